#!/usr/bin/python3
"""khal imports a calendar, and again after a change: one moved event, a cancelled one."""
import os
import subprocess
import sys
import tempfile

sys.dont_write_bytecode = True
import calendar_cases as c  # noqa: E402

CONFIG = """[calendars]
[[crosses]]
path = {0}/calendar
[locale]
timeformat = %H:%M
dateformat = %Y-%m-%d
longdateformat = %Y-%m-%d
datetimeformat = %Y-%m-%d %H:%M
longdatetimeformat = %Y-%m-%d %H:%M
[sqlite]
path = {0}/khal.db
[default]
default_calendar = crosses
"""


def khal(folder, *words):
    env = dict(os.environ, HOME=folder, XDG_CONFIG_HOME=folder, XDG_DATA_HOME=folder,
               XDG_CACHE_HOME=folder, TZ="UTC", LC_ALL="C.UTF-8")
    done = subprocess.run(["khal", "-c", folder + "/config", *words], env=env, cwd=folder,
                          stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, check=True)
    return done.stdout.decode()


def after_import(folder, reminders):
    """[(first, last, status, summary, uid)] of each event that khal has."""
    path = folder + "/in.ics"
    with open(path, "wb") as f:
        f.write(c.write(reminders, c.EVENTS))
    khal(folder, "import", "--batch", "-a", "crosses", path)
    lines = khal(folder, "list", "--once", "--format",
                 "{start-date}|{end-date}|{status}|{title}|{uid}", "2026-01-01", "400d")
    rows = [tuple(part.strip() for part in line.split("|"))
            for line in lines.splitlines() if "|" in line]
    return sorted(rows, key=lambda row: row[4])


def shown(r):
    return (c.day(r["first"]).isoformat(), c.day(r["last"]).isoformat(),
            c.shown_status(r, c.EVENTS), c.shown_summary(r, c.EVENTS), r["uid"])


def main():
    c.need("khal")
    report = c.Report()
    moved = c.case("moved", summary="Harvest: X26-001", last=20543, alarm_last=True)
    stays = c.case("stays", summary="Look: X26-002", alarm_first=True)
    with tempfile.TemporaryDirectory() as folder:
        os.mkdir(folder + "/calendar")
        with open(folder + "/config", "w", encoding="utf-8") as f:
            f.write(CONFIG.format(folder))

        def check(claim, *reminders):
            want = sorted((shown(r) for r in reminders), key=lambda row: row[4])
            report.same(claim, after_import(folder, reminders), want)
        check("both are there, last day inside", moved, stays)
        check("the same file again changes nothing", moved, stays)
        moved.update(first=20550, last=20552, sequence=1, stamp=moved["stamp"] + 60)
        check("one moved event, none twice", moved, stays)
        moved.update(status=c.WITHDRAWN, sequence=2, stamp=moved["stamp"] + 60)
        check("withdrawn is shown as cancelled", moved, stays)
    report.end()


if __name__ == "__main__":
    main()
