#!/usr/bin/python3
"""Files of at most 500 lines, functions of at most 70 lines and 6 parameters.

    sizes.py [ROOT]

What is over is named, one a line, in checks/sizes.allow under ROOT/tests: "PATH" or
"PATH FUNCTION", each with why.  That list may only shrink: an entry that is no longer
over is a fault too, and so is a file of more than 600 lines, listed or not.
"""
import pathlib
import re
import sys

FILE_LINES, FILE_LINES_EVER, FUNCTION_LINES, PARAMETERS = 500, 600, 70, 6
SUFFIXES = {".c", ".h", ".py", ".sh", ".txt", ".mjs"}
FUNCTION = re.compile(r"\b(\w+)\((?P<inside>[^()]*(?:\([^()]*\)[^()]*)*)\)\s*$")


TABLE = re.compile(r"^    static const (struct|char|int|enum|double|bool)\b.*(\{|=)$")


def functions(lines):
    """(name, parameters, lines) of each function, by the house's braces: a body opens
    and closes in column 0.  A constant table inside it is data and does not count."""
    head, opened, table, rows = [], None, None, 0
    for n, line in enumerate(lines):
        if opened is not None and table is None and TABLE.match(line):
            table = n
        if table is not None and (line.startswith("    };") or line == ""):
            rows += n - table + 1
            table = None
        if line == "{":
            opened, table, rows = n, None, 0
        elif line == "}" and opened is not None:
            m = FUNCTION.search(" ".join(part.strip() for part in head))
            if m:
                inside = re.sub(r"\([^()]*\)", "", m.group("inside")).strip()
                count = 0 if inside in ("", "void") else inside.count(",") + 1
                yield m.group(1), count, n - opened + 1 + len(head) - rows
            head, opened = [], None
        elif opened is None:
            # a head is what stands between the last empty or closing line and the "{"
            blank = not line.strip() or line.startswith(("#", "}", "/", " *"))
            head = [] if blank or line.endswith(";") else head + [line]


def over(path, text):
    """(key, what) of each thing of the file that is too large."""
    lines = text.splitlines()
    if len(lines) > FILE_LINES:
        yield path, f"{len(lines)} lines, at most {FILE_LINES}"
    if path.endswith(".c"):
        for name, parameters, n in functions(lines):
            if n > FUNCTION_LINES:
                yield f"{path} {name}", f"{n} lines, at most {FUNCTION_LINES}"
            if parameters > PARAMETERS:
                yield f"{path} {name}", f"{parameters} parameters, at most {PARAMETERS}"


def allowed(root):
    entries = {}
    path = root / "tests/checks/sizes.allow"
    for n, line in enumerate(path.read_text().splitlines() if path.exists() else [], 1):
        entry, _, why = line.partition("#")
        if entry.strip() and not why.strip():
            print(f"sizes.allow:{n}: says no reason: {entry.strip()}")
        if entry.strip():
            entries[" ".join(entry.split())] = bool(why.strip())
    return entries


def main():
    root = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ".")
    entries = allowed(root)
    faults = list(entries.values()).count(False)
    if list(entries) != sorted(entries):
        print("sizes.allow: not sorted")
        faults += 1
    seen, count = set(), 0
    for top in ("lib", "cmd", "tests", "examples"):
        for p in sorted((root / top).rglob("*")):
            path = p.relative_to(root).as_posix()
            if p.suffix not in SUFFIXES or "/fixtures/" in path or not p.is_file():
                continue
            count += 1
            text = p.read_text(encoding="utf-8")
            if len(text.splitlines()) > FILE_LINES_EVER:
                print(f"{path}: {len(text.splitlines())} lines, never over {FILE_LINES_EVER}")
                faults += 1
                seen.add(path)
                continue
            for key, what in over(path, text):
                seen.add(key)
                if key not in entries:
                    print(f"{key}: {what}")
                    faults += 1
    for key in entries:
        if key not in seen:
            print(f"sizes.allow: no longer over, take it out: {key}")
            faults += 1
    if count == 0:
        sys.exit("sizes: found no file")
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
