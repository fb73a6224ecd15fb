#!/usr/bin/python3
"""ical.js, in its strict mode, reads back every value that went into a calendar."""
import json
import os
import subprocess
import sys

sys.dont_write_bytecode = True
import calendar_cases as c  # noqa: E402


def parsed(data):
    """The file as ical.js sees it."""
    here = os.path.dirname(os.path.abspath(__file__))
    modules = os.path.join(os.environ.get("PB_NPM", c.SOURCE + "/.build/npm"), "node_modules")
    if not os.path.isdir(modules + "/ical.js"):
        print("skipped: no ical.js in %s" % modules)
        sys.exit(c.SKIP)
    done = subprocess.run(["node", here + "/calendar_icaljs.mjs", modules], input=data,
                          stdout=subprocess.PIPE, check=True)
    return json.loads(done.stdout)


def stamp(seconds):
    return ["date-time", c.instant(seconds).strftime("%Y-%m-%dT%H:%M:%SZ")]


def wanted(r, form):
    """Properties as [parameters, type, value]."""
    def date(n):
        return ["date", c.day(n).isoformat()]
    want = {"uid": ["text", r["uid"]], "dtstamp": stamp(r["stamp"]),
            "last-modified": stamp(r["stamp"]), "created": stamp(r["created"]),
            "sequence": ["integer", str(r["sequence"])],
            "summary": ["text", c.shown_summary(r, form)],
            "status": ["text", c.shown_status(r, form)]}
    if form == c.EVENTS:
        want["dtstart"], want["dtend"] = date(r["first"]), date(r["last"] + 1)
        want["transp"] = ["text", "TRANSPARENT"]
    else:
        want["due"] = date(r["last"])
        if r["first"] < r["last"]:
            want["dtstart"] = date(r["first"])
        if r["status"] == c.DONE:
            want["completed"] = stamp(r["done_on"] * 86400 + 43200)
            want["percent-complete"] = ["integer", "100"]
    for name, key in (("description", "description"), ("categories", "category")):
        if r.get(key) is not None:
            want[name] = ["text", r[key]]
    return {name: [[{}] + value] for name, value in want.items()}


def alarm(days, hours, from_end, summary):
    duration = "P%sT%dH" % ("%dD" % days if days else "", hours)
    related = {"related": "END"} if from_end else {}
    return {"properties": {"trigger": [[related, "duration", duration]],
                           "action": [[{}, "text", "DISPLAY"]],
                           "description": [[{}, "text", summary]]},
            "inside": []}


def main():
    c.need("node")
    report = c.Report()
    reminders = c.cases()
    for form in (c.EVENTS, c.TO_DOS):
        got = parsed(c.write(reminders, form))
        report.same("the head", sorted(got["root"]["properties"]),
                    ["calscale", "name", "prodid", "version"])
        components = got["root"]["inside"]
        report.same("the reminders", len(components), len(reminders))
        for r, component in zip(reminders, components):
            want, found = wanted(r, form), component["properties"]
            for name in sorted(set(want) | set(found)):
                report.same("%s %s" % (r["uid"], name), found.get(name), want.get(name))
            report.same(r["uid"] + " rings", component["inside"],
                        [alarm(*ring, c.shown_summary(r, form)) for ring in c.alarms(r, form)])
        if form == c.EVENTS:
            report.same("as events", got["events"],
                        [[r["uid"], True, r["last"] - r["first"] + 1, False]
                         for r in reminders])
    report.end()


if __name__ == "__main__":
    main()
