#!/usr/bin/python3
"""Every public function is called where allocations fail: in a test of tests/oom, or by a
command (care/memory runs each of them with every allocation failing), directly or through
another function of the library.

  oom.py SOURCE

Those that neither calls stand in tests/oom/uncalled, with the reason; a line there that is
no longer true is an error, too.
"""
import pathlib
import re
import sys

CALL = re.compile(r"\b(pb_[a-z0-9_]+)\b")
PUBLIC = re.compile(r"^[a-z][^;{}#=]*?\b(pb_[a-z0-9_]+)\([^;{}]*\)[^;{}]*;", re.M)
BODY = re.compile(r"^(?:[A-Z_]+ )?[a-z][^;{}#=]*?\b([a-z_][a-z0-9_]*)\([^;{}]*\)\n\{\n(.*?)^\}", re.M | re.S)


def bare(text):
    text = re.sub(r"/\*.*?\*/", " ", text, flags=re.S)
    return re.sub(r'"(\\.|[^"\\\n])*"', '""', text)


def read(paths):
    return {path: bare(path.read_text(encoding="utf-8")) for path in paths}


def public(root):
    umbrella = (root / "lib/podbook.h").read_text(encoding="utf-8")
    for header in re.findall(r'#include "(.*)"', umbrella):
        text = bare((root / "lib" / header).read_text(encoding="utf-8"))
        text = re.sub(r"static inline.*?^\}", "", text, flags=re.M | re.S)
        text = re.sub(r"\b(struct|enum) \w+ \{.*?^\}", "", text, flags=re.M | re.S)
        text = re.sub(r"typedef [^;]*;", "", text)
        yield from PUBLIC.findall(text)


def reached(root):
    """By name from tests and commands; a file of the library that holds one that is reached
    is followed through the functions that it defines."""
    calls = {}
    for text in read((root / "lib").glob("*/*.c")).values():
        local = {name: body for name, body in BODY.findall(text)}
        for name, body in local.items():
            calls.setdefault(name, set()).update(re.findall(r"\b([a-z_][a-z0-9_]*)\b", body))
    todo = set()
    for folder in ("tests/oom", "cmd"):
        for text in read((root / folder).glob("*.c")).values():
            todo.update(CALL.findall(text))
    seen = set()
    while todo:
        name = todo.pop()
        if name not in seen:
            seen.add(name)
            todo |= {n for n in calls.get(name, ())
                     if n in calls or n.startswith("pb_")} - seen
    return seen


def main():
    root = pathlib.Path(sys.argv[1])
    excused = {}
    for line in (root / "tests/oom/uncalled").read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            name, _, reason = line.partition(" ")
            excused[name] = reason.strip()
    names, called, wrong = set(public(root)), reached(root), []
    for name in sorted(names - called - set(excused)):
        wrong.append(f"{name}: is called by no test of tests/oom and by no command")
    for name in sorted(excused):
        if name not in names or name in called or not excused[name]:
            wrong.append(f"tests/oom/uncalled: {name} needs no line, or a reason")
    if len(names) < 100:
        wrong.append(f"only {len(names)} public functions were found")
    for line in wrong:
        print(line)
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
