#!/usr/bin/python3
"""Octet lint of an iCalendar file as podbook writes them.

usage: icslint.py FILE...     prints "FILE:LINE: RULE: what"; exit status 1 if it found any

Written from RFC 5545 without an iCalendar library, so that it shares no mistake with one.
Stricter than the RFC where podbook promises more: whole days only, no METHOD, nothing
twice.  icslint_test.py breaks a good file once for each rule.
"""
import datetime
import re
import sys

# What may stand in each component: name -> (least, most) times.
ONCE, MAYBE = (1, 1), (0, 1)
HEAD = {"UID": ONCE, "DTSTAMP": ONCE, "LAST-MODIFIED": ONCE, "CREATED": ONCE,
        "SEQUENCE": ONCE, "STATUS": ONCE, "SUMMARY": ONCE, "DESCRIPTION": MAYBE,
        "CATEGORIES": MAYBE}
ALLOWED = {
    "VCALENDAR": {"VERSION": ONCE, "PRODID": ONCE, "CALSCALE": MAYBE, "NAME": MAYBE},
    "VEVENT": {**HEAD, "DTSTART": ONCE, "DTEND": ONCE, "TRANSP": ONCE},
    "VTODO": {**HEAD, "DTSTART": MAYBE, "DUE": ONCE, "COMPLETED": MAYBE,
              "PERCENT-COMPLETE": MAYBE},
    "VALARM": {"TRIGGER": ONCE, "ACTION": ONCE, "DESCRIPTION": ONCE},
}
INSIDE = {"VCALENDAR": (), "VEVENT": ("VCALENDAR",), "VTODO": ("VCALENDAR",),
          "VALARM": ("VEVENT", "VTODO")}
STATUS = {"VEVENT": ("TENTATIVE", "CONFIRMED", "CANCELLED"),
          "VTODO": ("NEEDS-ACTION", "COMPLETED", "CANCELLED")}
DAYS = ("DTSTART", "DTEND", "DUE")
INSTANTS = ("DTSTAMP", "LAST-MODIFIED", "CREATED", "COMPLETED")
TEXTS = ("SUMMARY", "DESCRIPTION", "CATEGORIES", "NAME")
FORMS = {"SEQUENCE": r"\d+", "TRANSP": "TRANSPARENT", "VERSION": r"2\.0",
         "CALSCALE": "GREGORIAN", "ACTION": "DISPLAY", "PERCENT-COMPLETE": "100",
         "TRIGGER": r"P(\d+D)?T\d+H",
         "UID": "[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}"}


class Component:
    def __init__(self, kind, line):
        self.kind, self.line = kind, line
        self.first = {}   # name -> (value, line) of its first time
        self.times = {}
        self.alarms = 0


class Lint:
    def __init__(self, data):
        self.found = []
        self.stack = []
        self.uids = {}
        self.kinds = set()
        self.closed = False
        for at, text in self.unfold(self.lines(data)):
            self.content(at, text)
        if self.stack or not self.closed:
            self.say(0, "nesting", "the file ends inside a component")

    def say(self, line, rule, text):
        self.found.append((line, rule, text))

    # ---- octets: RFC 5545, section 3.1

    def lines(self, data):
        if not data.endswith(b"\r\n"):
            self.say(0, "last-break", "the last line has no CR LF")
        parts = data.split(b"\r\n")
        if parts[-1] == b"":
            parts.pop()
        for n, raw in enumerate(parts, 1):
            if b"\n" in raw or b"\r" in raw:
                self.say(n, "break", "a CR or LF that is not CR LF")
            if len(raw) > 75:
                self.say(n, "length", "%d octets" % len(raw))
            if raw.strip() == b"":
                self.say(n, "empty", "an empty line")
            if raw.endswith((b" ", b"\t")):
                self.say(n, "blank", "ends in a blank, which an editor may strip")
            if any(c < 0x20 or c == 0x7F for c in raw.replace(b"\n", b"").replace(b"\r", b"")):
                self.say(n, "control", "a control character")
            try:
                raw.decode("utf-8")
            except UnicodeDecodeError as e:
                self.say(n, "utf-8", str(e.reason))
            yield n, raw

    @staticmethod
    def unfold(lines):
        start, whole = 0, None
        for n, raw in lines:
            if raw[:1] in (b" ", b"\t") and whole is not None:
                whole += raw[1:]
                continue
            if whole is not None:
                yield start, whole.decode("utf-8", "replace")
            start, whole = n, raw
        if whole is not None:
            yield start, whole.decode("utf-8", "replace")

    # ---- components

    def content(self, at, text):
        m = re.fullmatch(r"([A-Z-]+)((?:;[A-Z-]+=[^;:\"]+)*):(.*)", text, re.S)
        if m is None:
            self.say(at, "form", "not NAME;PARAMETER=VALUE:VALUE")
            return
        name, params, value = m.groups()
        if name == "BEGIN":
            self.begin(at, value)
        elif name == "END":
            self.end(at, value)
        elif not self.stack:
            self.say(at, "nesting", "%s outside a component" % name)
        else:
            self.property(at, name, params, value)

    def begin(self, at, kind):
        above = self.stack[-1].kind if self.stack else None
        if kind not in ALLOWED:
            self.say(at, "nesting", "a %s" % kind)
        elif above not in (INSIDE[kind] or (None,)) or (above is None and self.closed):
            self.say(at, "nesting", "a %s in %s" % (kind, above))
        if kind == "VALARM" and self.stack:
            self.stack[-1].alarms += 1
        if kind in ("VEVENT", "VTODO"):
            self.kinds.add(kind)
            if len(self.kinds) > 1:
                self.say(at, "mixed", "events and to-dos in one file")
        self.stack.append(Component(kind, at))

    def end(self, at, kind):
        if not self.stack or self.stack[-1].kind != kind:
            self.say(at, "nesting", "END:%s closes nothing" % kind)
            return
        self.whole(self.stack.pop())
        self.closed = not self.stack

    def property(self, at, name, params, value):
        c = self.stack[-1]
        c.times[name] = c.times.get(name, 0) + 1
        c.first.setdefault(name, (value, at))
        allowed = ALLOWED.get(c.kind, {})
        if name in ("METHOD", "ORGANIZER", "ATTENDEE"):
            self.say(at, "message", "%s makes a message of it" % name)
        elif name not in allowed:
            self.say(at, "unknown", "%s in %s" % (name, c.kind))
        elif c.times[name] > allowed[name][1]:
            self.say(at, "twice", "%s in one %s" % (name, c.kind))
        if value == "":
            self.say(at, "no-value", "%s is empty" % name)
        want = ""
        if name in DAYS:
            want = ";VALUE=DATE"
            self.day(at, value)
        elif name in INSTANTS:
            self.instant(at, value)
        elif name == "TRIGGER" and params == ";RELATED=END":
            want = params
        if params != want:
            self.say(at, "parameter", "%s%s" % (name, params))
        if name in TEXTS and re.search(r"(?<!\\)(\\\\)*([;,]|\\([^\\;,nN]|$))", value):
            self.say(at, "escape", "%s holds an unescaped character" % name)
        if name in FORMS and not re.fullmatch(FORMS[name], value):
            self.say(at, "value", "%s:%s" % (name, value))

    def day(self, at, value):
        try:
            if re.fullmatch(r"\d{8}", value) is None:
                raise ValueError("not a whole day")
            return datetime.date(int(value[:4]), int(value[4:6]), int(value[6:]))
        except ValueError as e:
            self.say(at, "day", "%s: %s" % (value, e))
            return None

    def instant(self, at, value):
        try:
            datetime.datetime.strptime(value, "%Y%m%dT%H%M%SZ")
        except ValueError:
            self.say(at, "instant", "%s is not an instant in UTC" % value)

    def whole(self, c):
        for name, (least, _) in ALLOWED.get(c.kind, {}).items():
            if c.times.get(name, 0) < least:
                self.say(c.line, "missing", "%s in %s" % (name, c.kind))
        value = {name: v for name, (v, _) in c.first.items()}
        if "UID" in value:
            before = self.uids.setdefault(value["UID"], c.line)
            if before != c.line:
                self.say(c.line, "uid", "also in line %d" % before)
        status = value.get("STATUS")
        if status is not None and status not in STATUS.get(c.kind, ()):
            self.say(c.line, "value", "STATUS:%s in %s" % (status, c.kind))
        end = value.get("DTEND", value.get("DUE"))
        if "DTSTART" in value and end is not None and end <= value["DTSTART"]:
            self.say(c.line, "order", "the end does not come after the start")
        if status in ("CANCELLED", "COMPLETED") and c.alarms > 0:
            self.say(c.line, "alarm", "an alarm of what is %s" % status)
        if (status == "COMPLETED") != ("COMPLETED" in value):
            self.say(c.line, "completed", "STATUS and COMPLETED disagree")


def lint(data):
    """[(line, rule, what)] of the bytes of a file."""
    return Lint(data).found


def main(paths):
    if not paths:
        print(__doc__.split("\n\n")[1], file=sys.stderr)
        return 2
    bad = 0
    for path in paths:
        with open(path, "rb") as f:
            for line, rule, what in lint(f.read()):
                print("%s:%d: %s: %s" % (path, line, rule, what))
                bad = 1
    return bad


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
