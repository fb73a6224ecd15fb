"""Reminders that are hard to write, and the files that our writer makes of them.

Shared by the test_calendar_*.py.  A case is what tests/external/calendar_write.c reads;
days count from 1970-01-01, both ends of a window inside.
"""
import datetime
import json
import os
import random
import shutil
import subprocess
import sys
import unicodedata
import uuid

sys.dont_write_bytecode = True
SOURCE = os.environ.get("PB_SOURCE", os.path.join(os.path.dirname(__file__), "../.."))
sys.path.insert(0, os.path.join(SOURCE, "tests/checks"))
from icslint import lint  # noqa: E402

PLANNED, DONE, WITHDRAWN = 0, 1, 2
EVENTS, TO_DOS = "events", "to-dos"
SKIP = 77
SPACE = uuid.UUID("01902d4e-7a10-7cc1-9b6e-3f0c5a7b8d21")
EPOCH = datetime.date(1970, 1, 1)

HARD_TEXTS = [
    "Harvest: X26-001 Goodyera hispida × Anoectochilus roxburghii",
    "comma, semicolon; colon: backslash\\ quote\" caret^ percent%",
    "\\", "\\\\", ";", ",", ":", "\"", "a\\,b", "a\\;b", "\\\\;", "a,,b;;c",
    "a\\nb is no new line", "a\\Nb neither", "\\n", "\\\\n",
    "BEGIN:VEVENT", "END:VCALENDAR", "X-A;B=\"C\":D",
    "=C3=97 &amp; <b>bold</b> %s %n",
    "🌸" * 60, "兰花" * 60, "×" * 130, "x" * 300, "a " * 200 + ".",
    "e\u0301\u0323" * 80, "\u00e9 and e\u0301 stay two forms",
    "flag \U0001f1f8\U0001f1f2 family \U0001f468\u200d\U0001f469\u200d\U0001f467",
    "\u00a0no-break blank at the ends\u00a0", "\u3000wide blank\u3000",
    "two  blanks   and more", "עברית العربية ไทย हिन्दी",
    "z" * 74 + "×", "z" * 66 + "🌸 tail", "\ufffd\ue000\U0010fffd\uffff",
]


def random_text(rng, most):
    """Any text that may be kept: no control character, no blank at either end."""
    pools = ["abcXYZ019 ", "\\;,:\"^nN ", "×éß兰ก\u0301\u0323", "🌸\U0001f468\u200d "]
    out = []
    while len(out) < rng.randint(1, most):
        if rng.random() < 0.05:
            c = chr(rng.randint(0x20, 0x10FFFF))
        else:
            c = rng.choice(rng.choice(pools))
        if unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") or c in refused:
            continue
        out.append(c)
    return "".join(out).strip(" ") or "."


# what pb_text_check refuses besides the controls: bidirectional marks, byte order mark
refused = set("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")


def case(name, **more):
    first = more.pop("first", 20539)
    return {"uid": str(uuid.uuid5(SPACE, name)), "summary": "Look: X26-001",
            "first": first, "last": first, "created": 1772755200, "stamp": 1772841599,
            "sequence": 0, "status": PLANNED, **more}


def cases():
    rng = random.Random(26)
    made = [case("plain")]
    for n, text in enumerate(HARD_TEXTS):
        made.append(case("hard/%d" % n, summary=text, description=text + "\n" + text,
                         category=text.translate({44: ".", 59: "."})[:40].strip(" "),
                         alarm_first=True))
    for n in range(400):
        first = rng.randint(-141349, 376190)
        made.append(case(
            "random/%d" % n, first=first, last=first + rng.choice([0, 0, 1, 4, 13, 400])
            if first < 375000 else first,
            summary=random_text(rng, 120),
            description="\n".join(random_text(rng, 60) for _ in range(rng.randint(1, 4))),
            alarm_first=rng.random() < 0.5, alarm_last=rng.random() < 0.5,
            guess=rng.random() < 0.5, sequence=rng.randint(0, 2147483647),
            created=rng.randint(-12212553600, 32503679999),
            stamp=rng.randint(-12212553600, 32503679999)))
    for status in (PLANNED, DONE, WITHDRAWN):
        for days in (0, 4):
            r = case("status/%d/%d" % (status, days), status=status, last=20539 + days,
                     alarm_first=True, alarm_last=True)
            if status == DONE:
                r["done_on"] = 20540
            made.append(r)
    return sorted(made, key=lambda r: r["uid"])


def write(reminders, form, check=True):
    """The bytes of the file; they pass the lint."""
    program = os.path.join(os.environ.get("PB_BUILD", ".build/gcc"), "tests/calendar_write")
    ordered = sorted(reminders, key=lambda r: r["uid"])
    done = subprocess.run([program, form], input=json.dumps(ordered).encode(),
                          stdout=subprocess.PIPE, check=True)
    if check:
        found = lint(done.stdout)
        assert not found, found
    return done.stdout


def day(n):
    return EPOCH + datetime.timedelta(days=n)


def instant(seconds):
    return (datetime.datetime(1970, 1, 1, tzinfo=datetime.timezone.utc)
            + datetime.timedelta(seconds=seconds))


def shown_summary(r, form):
    prefix = {WITHDRAWN: "Withdrawn: ", DONE: "Done: " if form == EVENTS else ""}
    return prefix.get(r["status"], "") + r["summary"]


def shown_status(r, form):
    if form == TO_DOS:
        return ("NEEDS-ACTION", "COMPLETED", "CANCELLED")[r["status"]]
    if r["status"] == PLANNED and r.get("guess"):
        return "TENTATIVE"
    return ("CONFIRMED", "CONFIRMED", "CANCELLED")[r["status"]]


def alarms(r, form):
    """[(days, hours, relative to the end)] of what rings."""
    days = r["last"] - r["first"]
    rings = []
    if r["status"] != PLANNED:
        return rings
    if r.get("alarm_first"):
        rings.append((0, 9, form == TO_DOS and days == 0))
    if r.get("alarm_last") and (days > 0 or not r.get("alarm_first")):
        rings.append((0 if form == TO_DOS else days, 9, form == TO_DOS))
    return rings


def need(program):
    """Skip the test where another program is missing."""
    if shutil.which(program) is None:
        print("skipped: no %s here" % program)
        sys.exit(SKIP)


class Report:
    """Counts, and says what differs."""

    def __init__(self):
        self.passed = self.failed = 0

    def same(self, claim, got, want):
        if got == want:
            self.passed += 1
        else:
            self.failed += 1
            print("%s\n   got %r\n  want %r" % (claim, got, want))

    def end(self):
        print("%d passed, %d failed" % (self.passed, self.failed))
        sys.exit(self.failed != 0)
