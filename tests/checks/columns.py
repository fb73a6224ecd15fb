#!/usr/bin/python3
"""No line that podbook prints for people is wider than a terminal of 80 columns.

    columns.py [ROOT]

Read are the replays of tests/cli and examples: the standard output of every podbook
command, columns counted and not bytes.  Left out is what machines read (--json, share, a
calendar, jq) and what only passes a file through; errors are left to the terminal to wrap,
as a script reads them by the line.  A line that cannot be broken, one word after its
indent, may be longer.
Prints "FILE:LINE: N columns", exit status 1 where there is any.
"""
import pathlib
import re
import sys
import unicodedata

WIDTH = 80
MACHINES = re.compile(r"--json|\bjq\b|podbook (?:--\S+ \S+ )*(?:share|calendar)\b|\bcat\b")


def columns(text):
    return sum(0 if unicodedata.combining(c) else
               2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text)


def faults(path):
    read = False
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        if line.startswith("$ "):
            read = "podbook" in line and not MACHINES.search(line)
        elif line.startswith("> "):
            read = read and not MACHINES.search(line)
        elif read and not line.startswith(("! ", "podbook: ", "# ", "[exit ", "\\ ")):
            wide = columns(line)
            if wide > WIDTH and " " in line.strip():
                yield f"{path}:{number}: {wide} columns"


def main():
    root = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ".")
    replays = sorted([*root.glob("tests/cli/*/expected"), *root.glob("examples/*/expected")])
    if not replays:
        print("no replay found")
        return 1
    found = [fault for path in replays for fault in faults(path)]
    print("\n".join(found), end="\n" if found else "")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
