#!/usr/bin/python3
"""python3-icalendar reads back every value that went into a calendar, and no other."""
import datetime
import re
import sys

sys.dont_write_bytecode = True
import calendar_cases as c  # noqa: E402

try:
    import icalendar
except ImportError:
    print("skipped: no python3-icalendar here")
    sys.exit(c.SKIP)

ZERO = datetime.timedelta()


def misread(text):
    """icalendar 4 undoes escapes twice; ical.js, which does not, compares these texts."""
    return re.search(r"\\[nN;,\\]", text) is not None


def wanted(r, form):
    """The properties of one component as Python values."""
    want = {"UID": r["uid"], "DTSTAMP": c.instant(r["stamp"]),
            "LAST-MODIFIED": c.instant(r["stamp"]), "CREATED": c.instant(r["created"]),
            "SEQUENCE": r["sequence"], "SUMMARY": c.shown_summary(r, form),
            "STATUS": c.shown_status(r, form)}
    first, last = c.day(r["first"]), c.day(r["last"])
    if form == c.EVENTS:
        want.update({"DTSTART": first, "TRANSP": "TRANSPARENT",
                     "DTEND": last + datetime.timedelta(days=1)})
    else:
        want["DUE"] = last
        if first < last:
            want["DTSTART"] = first
        if r["status"] == c.DONE:
            want["COMPLETED"] = c.instant(r["done_on"] * 86400 + 43200)
            want["PERCENT-COMPLETE"] = 100
    for name in ("description", "category"):
        if r.get(name) is not None:
            want[{"category": "CATEGORIES"}.get(name, name.upper())] = r[name]
    return want


def value(component, name):
    if name == "CATEGORIES":
        cats = component[name].cats
        return str(cats[0]) if len(cats) == 1 else [str(one) for one in cats]
    got = component.decoded(name)
    return got.decode("utf-8") if isinstance(got, bytes) else got


def compare(report, r, form, component):
    want = wanted(r, form)
    report.same(r["uid"] + " has these", sorted(component), sorted(want))
    report.same(r["uid"] + " has no errors", component.errors, [])
    for name, expected in want.items():
        if isinstance(expected, str) and misread(expected):
            continue
        report.same("%s %s" % (r["uid"], name), value(component, name), expected)
    rings = []
    for alarm in component.subcomponents:
        trigger = alarm.decoded("TRIGGER")
        related = alarm["TRIGGER"].params.get("RELATED", "START")
        rings.append((trigger.days, (trigger - datetime.timedelta(trigger.days)).seconds
                      // 3600, related == "END"))
        report.same(r["uid"] + " alarm", sorted(alarm), ["ACTION", "DESCRIPTION", "TRIGGER"])
        if not misread(want["SUMMARY"]):
            report.same(r["uid"] + " alarm text", str(alarm["DESCRIPTION"]), want["SUMMARY"])
    report.same(r["uid"] + " rings", rings, c.alarms(r, form))


def main():
    report = c.Report()
    reminders = c.cases()
    for form, kind in ((c.EVENTS, "VEVENT"), (c.TO_DOS, "VTODO")):
        data = c.write(reminders, form)
        calendar = icalendar.Calendar.from_ical(data)
        report.same("the head", sorted(calendar), ["CALSCALE", "NAME", "PRODID", "VERSION"])
        found = {str(x["UID"]): x for x in calendar.walk(kind)}
        report.same("the reminders", len(calendar.subcomponents), len(reminders))
        for r in reminders:
            compare(report, r, form, found[r["uid"]])
        report.same("the same again", c.write(reminders, form, check=False), data)
    report.end()


if __name__ == "__main__":
    main()
