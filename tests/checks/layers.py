#!/usr/bin/python3
"""Which file may include what: the ranks of the layers, and where other people's headers
may appear.

    layers.py [ROOT]

Prints "FILE:LINE: may not include X: why", exit status 1 where there is any.
"""
import pathlib
import re
import sys

RANK = {"base": 0, "core": 1, "book": 2, "exchange": 2, "draw": 2, "act": 3, "cmd": 4}
# lib/data holds data, and the program that turns them into C while the library is built;
# nobody includes it.
BUILD_TOOLS = {"data": 3}

# Other people's headers: the one folder whose files may name them.
THIRD_PARTY = {
    "sqlite3.h": "book",
    "jansson.h": "exchange",
    "libical/ical.h": "exchange",
    "uuid/uuid.h": "exchange",
    "csv.h": "exchange",
    "cairo.h": "draw",
    "pango/pangocairo.h": "draw",
    "qrencode.h": "draw",
}
# Those that one file alone may include: a dear library stays behind one door.
ONE_FILE = {"libical/ical.h", "csv.h"}

# base and core are pure: C only, and of that nothing that knows a clock, a locale, a
# signal or a thread.  stdio.h is for snprintf; the check of symbols holds it to that.
PURE_C = {
    "assert.h", "errno.h", "float.h", "inttypes.h", "limits.h", "math.h", "stdarg.h",
    "stdbool.h", "stddef.h", "stdint.h", "stdio.h", "stdlib.h", "string.h",
}
# What the layers above may use of the system besides, and which of them.
SYSTEM = {
    "dlfcn.h": {"exchange"},
    "setjmp.h": {"exchange"},
    "dirent.h": {"book", "exchange", "cmd"},
    "fcntl.h": {"book", "exchange", "cmd"},
    "sys/stat.h": {"book", "exchange", "cmd"},
    "sys/vfs.h": {"book"},
    "sys/types.h": {"book", "exchange", "cmd"},
    "unistd.h": {"book", "exchange", "cmd"},
    "time.h": {"exchange", "cmd"},
    "signal.h": {"cmd"},
    "locale.h": {"cmd"},
    "sys/ioctl.h": {"cmd"},
    "termios.h": {"cmd"},
    "wchar.h": {"cmd"},
}
UMBRELLA = "lib/podbook.h"
INCLUDE = re.compile(r'^\s*#\s*include\s*(?:<([^>]*)>|"([^"]*)"|(\S.*))')


def folder_of(path):
    """The layer that a file of the tree belongs to."""
    return "cmd" if path.parts[0] == "cmd" else path.parts[1]


def umbrella_fault(name, quoted):
    if not quoted or "/" not in name:
        return "the umbrella includes public headers of the layers and nothing else"
    return None


def quoted_fault(path, own, name, public):
    """Why a file of the folder own may not include "name", or None."""
    parts = name.split("/")
    if own == "cmd" and len(parts) == 1:
        if path.name.startswith("cmd_") and name.startswith("cmd_"):
            return "commands do not know each other"
        return None
    if name == "podbook.h":
        return None if own == "cmd" else "the umbrella is for those who use the library"
    if len(parts) != 2 or parts[0] not in RANK:
        return 'write it as "folder/name.h"'
    other = parts[0]
    rank = (RANK | BUILD_TOOLS)[own]
    if other != own and RANK[other] >= rank:
        return f"{own} has rank {rank} and {other} {RANK[other]}"
    if own == "cmd" and other != "cmd" and name not in public:
        return "what a command needs, other front ends need: podbook.h does not include it"
    return None


def angled_fault(own, name, users):
    """Why a file of the folder own may not include <name>, or None."""
    if name in THIRD_PARTY:
        if own != THIRD_PARTY[name]:
            return f"it belongs to {THIRD_PARTY[name]}"
        if name in ONE_FILE and len(users[name]) > 1:
            return "one file alone may: " + ", ".join(sorted(users[name]))
        return None
    if name in PURE_C:
        return None
    if own in SYSTEM.get(name, ()):
        return None
    if own in ("base", "core"):
        return f"{own} is pure"
    return "no rule of layers.py gives it to " + own


def main():
    root = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ".")
    files = sorted(
        p for top in ("lib", "cmd") for p in (root / top).rglob("*.[ch]") if p.is_file()
    )
    if not files:
        sys.exit("layers: found no source under " + str(root))
    found, users = [], {}
    for p in files:
        path = p.relative_to(root)
        for n, line in enumerate(p.read_text(encoding="utf-8").splitlines(), 1):
            m = INCLUDE.match(line)
            if m:
                found.append((path, n, m.group(1), m.group(2), m.group(3)))
                if m.group(1):
                    users.setdefault(m.group(1), set()).add(str(path))
    public = {quoted for path, _, _, quoted, _ in found if str(path) == UMBRELLA}
    faults = 0
    for path, n, angled, quoted, other in found:
        if other is not None:
            why = "an include names its file"
        elif str(path) == UMBRELLA:
            why = umbrella_fault(quoted or angled, quoted is not None)
        elif folder_of(path) not in RANK | BUILD_TOOLS:
            why = f"{folder_of(path)} is no layer"
        elif quoted is not None:
            why = quoted_fault(path, folder_of(path), quoted, public)
        else:
            why = angled_fault(folder_of(path), angled, users)
        if why:
            shown = f"<{angled}>" if angled is not None else f'"{quoted}"'
            print(f"{path}:{n}: may not include {other or shown}: {why}")
            faults += 1
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
