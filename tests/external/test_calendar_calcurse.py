#!/usr/bin/python3
"""calcurse imports a calendar; its import knows no UID, so a second one adds again.

The manual warns of this; should calcurse learn better, this test says so.
"""
import os
import subprocess
import sys
import tempfile

sys.dont_write_bytecode = True
import calendar_cases as c  # noqa: E402


def calcurse(folder, data):
    """The lines of its appointments and to-dos after an import."""
    path = folder + "/in.ics"
    with open(path, "wb") as f:
        f.write(data)
    env = dict(os.environ, HOME=folder, TZ="UTC", LC_ALL="C.UTF-8", TERM="dumb")
    subprocess.run(["calcurse", "-D", folder, "-C", folder, "-q", "-i", path], env=env,
                   stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, check=True)
    kept = []
    for name in ("apts", "todo"):
        if os.path.exists(folder + "/" + name):
            with open(folder + "/" + name, encoding="utf-8") as f:
                kept += f.read().splitlines()
    return kept


def main():
    c.need("calcurse")
    report = c.Report()
    r = c.case("moved", summary="Harvest: X26-001")
    with tempfile.TemporaryDirectory() as folder:
        first = calcurse(folder, c.write([r], c.EVENTS))
        report.same("an event of a day", first, ["03/27/2026 [1] Harvest: X26-001"])
        r.update(first=20550, last=20550, sequence=1, stamp=r["stamp"] + 60)
        again = calcurse(folder, c.write([r], c.EVENTS))
        report.same("the moved one is a second one", again,
                    first + ["04/07/2026 [1] Harvest: X26-001"])
    with tempfile.TemporaryDirectory() as folder:
        kept = calcurse(folder, c.write([r], c.TO_DOS))
        report.same("a to-do", kept, ["[0] Harvest: X26-001"])
    report.end()


if __name__ == "__main__":
    main()
