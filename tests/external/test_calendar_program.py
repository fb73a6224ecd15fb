#!/usr/bin/python3
"""A season of random work: what calendars are told, step by step, read by python3-icalendar.

After every step: the file passes the lint; written again it has the same bytes; a reminder
whose content changed has a higher number and no earlier stamp, any other the same; new ones
are planned; none goes before sixty days of being done or cancelled; and all that `due`
lists is in it, with the same days.
"""
import datetime
import json
import os
import random
import subprocess
import sys
import tempfile

sys.dont_write_bytecode = True
import calendar_cases as c  # noqa: E402

try:
    import icalendar
except ImportError:
    print("skipped: no python3-icalendar here")
    sys.exit(c.SKIP)

TAXA = ["Ludisia discolor", "Macodes petola", "Dossinia marmorata", "Goodyera hispida",
        "Anoectochilus roxburghii"]
FOUND = ["unchanged", "unsure", "swollen", "holding", "yellowing", "split", "dropped", "lost"]
SHOWN = datetime.timedelta(60)
STEPS = 60


class Season:
    """One book, its clock, and the calendar as it was after the step before."""

    def __init__(self, folder, seed):
        self.rng = random.Random(seed)
        self.today = datetime.date(2026, 3, 2)
        self.now = 1772452800
        self.env = {"PATH": os.environ["PATH"], "HOME": folder, "LC_ALL": "C.UTF-8",
                    "PODBOOK_FILE": folder + "/book.db", "PODBOOK_TEST_SEED": str(seed)}
        self.before = {}
        self.crosses = []
        self.over = {}   # UID -> day on which it was first seen done or cancelled

    def run(self, *words, check=False):
        env = dict(self.env, PODBOOK_TODAY=self.today.isoformat(),
                   SOURCE_DATE_EPOCH=str(self.now))
        program = os.path.join(os.environ.get("PB_BUILD", c.SOURCE + "/.build/dev"), "podbook")
        done = subprocess.run([program, *words], env=env, stdin=subprocess.DEVNULL,
                              stdout=subprocess.PIPE, stderr=subprocess.PIPE, check=False)
        if check and done.returncode != 0:
            raise AssertionError("%s: %s" % (words, done.stderr.decode()))
        return done.stdout

    def step(self):
        """Something that a grower does; what the book refuses is no step."""
        rng = self.rng
        # a clock that is put back must not put back a stamp
        self.now += rng.randint(1, 40000) if rng.random() < 0.9 else -50000
        if rng.random() < 0.6:
            self.today += datetime.timedelta(rng.choice([1, 1, 2, 3, 7, 25]))
        plant = "P-%d" % rng.randint(1, 6)
        code = rng.choice(self.crosses) if self.crosses else "X26-001"
        kind = rng.choice(["cross"] * 3 + ["look"] * 5 + ["harvest", "withdraw", "undo", "undo",
                                                          "gone", "day", "code"])
        if kind == "cross":
            parents = ["%s=%s" % (p, rng.choice(TAXA)) if rng.random() < 0.5 else p
                       for p in (plant, "Q-%d" % rng.randint(1, 4))]
            said = self.run("cross", *parents, "--flowers", str(rng.randint(1, 3)), "--json")
            if said:
                self.crosses.append(json.loads(said)["code"])
        elif kind == "look":
            count = ["--count", "1"] if rng.random() < 0.3 else []
            self.run("look", code, rng.choice(FOUND), *count)
        elif kind == "withdraw":
            self.run("amend", code, "--withdraw")
        elif kind == "gone":
            self.run("gone", plant, "dead")
        elif kind == "day":
            back = self.today - datetime.timedelta(rng.randint(0, 5))
            self.run("amend", code, "on=%s" % back)
        elif kind == "code":
            self.run("calendar", code)
        else:
            self.run(kind, *([code] if kind == "harvest" else []))
        return kind

    def calendar(self):
        return self.run("calendar", check=True)


def content(event):
    """What a person would see of it."""
    alarms = [(a["TRIGGER"].to_ical(), str(a["DESCRIPTION"])) for a in event.subcomponents]
    return ([(name, event[name].to_ical()) for name in sorted(event)
             if name not in ("SEQUENCE", "DTSTAMP", "LAST-MODIFIED", "CREATED")], alarms)


def is_over(event):
    return event["STATUS"] == "CANCELLED" or str(event["SUMMARY"]).startswith("Done: ")


def compare(report, season, events, where):
    for uid, event in events.items():
        old = season.before.get(uid)
        sequence, stamp = event["SEQUENCE"], event.decoded("DTSTAMP")
        if old is None:
            # one that was left out for good may come back, with its number
            report.same(where + " begins at 0, planned",
                        uid in season.over or (sequence == 0 and not is_over(event)), True)
        elif content(old) == content(event):
            report.same(where + " stays", (sequence, stamp),
                        (old["SEQUENCE"], old.decoded("DTSTAMP")))
        else:
            report.same(where + " has the next number",
                        sequence == old["SEQUENCE"] + 1 and stamp >= old.decoded("DTSTAMP"),
                        True)
        if old is not None:
            report.same(where + " was made once", event["CREATED"].to_ical(),
                        old["CREATED"].to_ical())
        if is_over(event):
            season.over.setdefault(uid, season.today)
        else:
            season.over.pop(uid, None)
    for uid in set(season.before) - set(events):
        first = season.over.get(uid, season.today)
        report.same(where + " is left out in time",
                    is_over(season.before[uid]) and season.today - first <= SHOWN, False)
        report.same(where + " was over", is_over(season.before[uid]), True)


def holds_what_is_due(report, season, events, where):
    by = season.today + datetime.timedelta(400)
    due = json.loads(season.run("due", "--json", "--by", by.isoformat(), check=True))
    planned = {(str(e["SUMMARY"]).split(": ")[1].split(" ")[0], str(e["CATEGORIES"].cats[0]),
                e.decoded("DTSTART").isoformat(),
                (e.decoded("DTEND") - datetime.timedelta(1)).isoformat())
               for e in events.values() if not is_over(e)}
    for task in due:
        key = (task["code"], task["task"], task["from"], task["to"])
        report.same(where + " has what is due", (key, key in planned), (key, True))
    report.same(where + " has nothing of crosses that are not due",
                {key[0] for key in planned}, {task["code"] for task in due})


def main():
    report = c.Report()
    for seed in range(1, 5):
        with tempfile.TemporaryDirectory() as folder:
            season = Season(folder, seed)
            for n in range(STEPS):
                where = "season %d, step %d (%s)" % (seed, n, season.step())
                data = season.calendar()
                report.same(where + ": lint", c.lint(data), [])
                report.same(where + ": again", season.calendar(), data)
                events = {str(e["UID"]): e
                          for e in icalendar.Calendar.from_ical(data).walk("VEVENT")}
                compare(report, season, events, where)
                holds_what_is_due(report, season, events, where)
                season.before = events
    report.end()


if __name__ == "__main__":
    main()
