#!/usr/bin/python3
"""The lint finds every fault that it is there for: a good file, broken once a rule."""
import sys

sys.dont_write_bytecode = True
from icslint import lint  # noqa: E402

EVENTS = """BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//podbook//podbook//EN
CALSCALE:GREGORIAN
NAME:podbook
BEGIN:VEVENT
UID:01902d4e-7a10-5cc1-9b6e-3f0c5a7b8d2a
DTSTAMP:20260306T235959Z
LAST-MODIFIED:20260306T235959Z
CREATED:20260306T000000Z
SEQUENCE:0
DTSTART;VALUE=DATE:20260327
DTEND;VALUE=DATE:20260401
STATUS:CONFIRMED
TRANSP:TRANSPARENT
SUMMARY:Harvest: Goodyera \u00d7 Dossinia\\, \u5170
DESCRIPTION:one\\ntwo\\\\\\;
CATEGORIES:harvest
BEGIN:VALARM
TRIGGER:P4DT9H
ACTION:DISPLAY
DESCRIPTION:ring
END:VALARM
END:VEVENT
BEGIN:VEVENT
UID:01902d4e-7a10-5cc1-9b6e-3f0c5a7b8d2b
DTSTAMP:20260306T235959Z
LAST-MODIFIED:20260306T235959Z
CREATED:20260306T000000Z
SEQUENCE:3
DTSTART;VALUE=DATE:20260228
DTEND;VALUE=DATE:20260301
STATUS:CANCELLED
TRANSP:TRANSPARENT
SUMMARY:Withdrawn: a word that is folded in the mid
 dle
END:VEVENT
END:VCALENDAR
"""
TO_DOS = """BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//podbook//podbook//EN
BEGIN:VTODO
UID:01902d4e-7a10-5cc1-9b6e-3f0c5a7b8d2a
DTSTAMP:20260306T235959Z
LAST-MODIFIED:20260306T235959Z
CREATED:20260306T000000Z
SEQUENCE:0
DUE;VALUE=DATE:20260401
STATUS:NEEDS-ACTION
SUMMARY:Look
BEGIN:VALARM
TRIGGER;RELATED=END:PT9H
ACTION:DISPLAY
DESCRIPTION:ring
END:VALARM
END:VTODO
BEGIN:VTODO
UID:01902d4e-7a10-5cc1-9b6e-3f0c5a7b8d2c
DTSTAMP:20260306T235959Z
LAST-MODIFIED:20260306T235959Z
CREATED:20260306T000000Z
SEQUENCE:0
DTSTART;VALUE=DATE:20260327
DUE;VALUE=DATE:20260401
STATUS:COMPLETED
COMPLETED:20260401T120000Z
PERCENT-COMPLETE:100
SUMMARY:Look
END:VTODO
END:VCALENDAR
"""

# rule, file, what is replaced (the first time), by what
ROWS = [
    ("last-break", EVENTS, "END:VCALENDAR\r\n", "END:VCALENDAR"),
    ("break", EVENTS, "VERSION:2.0\r\n", "VERSION:2.0\n"),
    ("break", EVENTS, "Harvest", "Har\rvest"),
    ("length", EVENTS, "ring", "r" * 64),
    ("empty", EVENTS, "SEQUENCE:0\r\n", "SEQUENCE:0\r\n\r\n"),
    ("blank", EVENTS, "mid\r\n", "mid \r\n"),
    ("control", EVENTS, "Harvest", "Har\avest"),
    ("control", EVENTS, "Harvest", "Har\x7fvest"),
    ("utf-8", EVENTS, b"\xc3\x97", b"\xd7"),
    ("utf-8", EVENTS, b"\xe5\x85\xb0", b"\xe5\x85\r\n \xb0"),
    ("form", EVENTS, "SEQUENCE:0", "SEQUENCE"),
    ("nesting", EVENTS, "END:VALARM\r\n", ""),
    ("nesting", EVENTS, "END:VCALENDAR\r\n", ""),
    ("nesting", EVENTS, "BEGIN:VALARM", "BEGIN:VJOURNAL"),
    ("nesting", EVENTS, "BEGIN:VCALENDAR\r\n", ""),
    ("nesting", EVENTS, "END:VEVENT\r\n", "END:VTODO\r\n"),
    ("mixed", TO_DOS, "END:VCALENDAR", EVENTS[EVENTS.index("BEGIN:VEVENT\n"):].strip()),
    ("message", EVENTS, "CALSCALE:GREGORIAN", "METHOD:PUBLISH"),
    ("message", EVENTS, "CATEGORIES:harvest", "ORGANIZER:mailto:a@example.org"),
    ("unknown", EVENTS, "CATEGORIES:harvest", "X-LIC-ERROR:no value"),
    ("unknown", EVENTS, "CATEGORIES:harvest", "RRULE:FREQ=DAILY"),
    ("unknown", EVENTS, "DTEND", "DUE"),
    ("twice", EVENTS, "SEQUENCE:0", "SEQUENCE:0\r\nSEQUENCE:1"),
    ("missing", EVENTS, "VERSION:2.0\r\n", ""),
    ("missing", EVENTS, "PRODID:-//podbook//podbook//EN\r\n", ""),
    ("missing", EVENTS, "UID:01902d4e-7a10-5cc1-9b6e-3f0c5a7b8d2a\r\n", ""),
    ("missing", EVENTS, "DTSTAMP:20260306T235959Z\r\n", ""),
    ("missing", EVENTS, "SEQUENCE:0\r\n", ""),
    ("missing", EVENTS, "DTEND;VALUE=DATE:20260401\r\n", ""),
    ("missing", EVENTS, "TRANSP:TRANSPARENT\r\n", ""),
    ("missing", EVENTS, "TRIGGER:P4DT9H\r\n", ""),
    ("missing", EVENTS, "DESCRIPTION:ring\r\n", ""),
    ("missing", TO_DOS, "DUE;VALUE=DATE:20260401\r\n", ""),
    ("no-value", EVENTS, "DESCRIPTION:one\\ntwo\\\\\\;", "DESCRIPTION:"),
    ("parameter", EVENTS, "DTSTART;VALUE=DATE", "DTSTART;TZID=Europe/Berlin;VALUE=DATE"),
    ("parameter", EVENTS, "DTSTART;VALUE=DATE", "DTSTART"),
    ("escape", EVENTS, "\\,", ","),
    ("escape", EVENTS, "\\;", ";"),
    ("escape", EVENTS, "\\n", "\\t"),
    ("escape", EVENTS, "SUMMARY:Harvest", "SUMMARY:\\Harvest"),
    ("escape", EVENTS, "CATEGORIES:harvest", "CATEGORIES:harvest,look"),
    ("value", EVENTS, "TRANSP:TRANSPARENT", "TRANSP:OPAQUE"),
    ("value", EVENTS, "VERSION:2.0", "VERSION:1.0"),
    ("value", EVENTS, "SEQUENCE:0", "SEQUENCE:-1"),
    ("value", EVENTS, "STATUS:CONFIRMED", "STATUS:NEEDS-ACTION"),
    ("value", EVENTS, "7a10-5cc1", "7a10-4cc1"),
    ("value", EVENTS, "TRIGGER:P4DT9H", "TRIGGER:-P"),
    ("day", EVENTS, "20260228", "20260230"),
    ("day", EVENTS, "20260327", "20261301"),
    ("day", EVENTS, "20260327", "20260327T000000Z"),
    ("instant", EVENTS, "20260306T235959Z", "20260306T235959"),
    ("instant", EVENTS, "20260306T235959Z", "20260306T250000Z"),
    ("uid", EVENTS, "8d2b", "8d2a"),
    ("order", EVENTS, "DTEND;VALUE=DATE:20260401", "DTEND;VALUE=DATE:20260327"),
    ("order", TO_DOS, "DUE;VALUE=DATE:20260401\r\nSTATUS:COMPLETED",
     "DUE;VALUE=DATE:20260327\r\nSTATUS:COMPLETED"),
    ("alarm", EVENTS, "STATUS:CONFIRMED", "STATUS:CANCELLED"),
    ("completed", TO_DOS, "COMPLETED:20260401T120000Z\r\n", ""),
]


def octets(text):
    return text if isinstance(text, bytes) else text.encode("utf-8")


def main():
    failed = 0
    for name, good in (("events", EVENTS), ("to-dos", TO_DOS)):
        found = lint(octets(good.replace("\n", "\r\n")))
        if found:
            failed += 1
            print("the good %s are refused: %s" % (name, found))
    for rule, good, old, new in ROWS:
        data = octets(good.replace("\n", "\r\n"))
        old, new = octets(old), octets(new)
        if new.count(b"\n") > 2:
            new = new.replace(b"\n", b"\r\n")
        if old not in data:
            failed += 1
            print("%s: nothing to break: %r" % (rule, old))
            continue
        rules = {found[1] for found in lint(data.replace(old, new, 1))}
        if rule not in rules:
            failed += 1
            print("%s: not found after %r -> %r: %s" % (rule, old, new, sorted(rules)))
    print("%d passed, %d failed" % (len(ROWS) + 2 - failed, failed))
    return failed != 0


if __name__ == "__main__":
    sys.exit(main())
