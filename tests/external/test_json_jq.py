#!/usr/bin/python3
"""What the writer writes is what `jq -cS` makes of it, byte for byte."""
import shutil
import subprocess
import sys

sys.dont_write_bytecode = True
import json_cases as c  # noqa: E402

if shutil.which("jq") is None:
    print("skipped: no jq")
    sys.exit(c.SKIP)

lines = c.corpus()
for path in c.files("kept"):
    with open(path, "rb") as f:
        lines.append(f.read().rstrip(b"\n"))
done = subprocess.run(["jq", "-cS", "."], input=b"\n".join(lines), check=True,
                      stdout=subprocess.PIPE).stdout.splitlines()
faults = len(done) != len(lines)
for ours, theirs in zip(lines, done):
    if ours != theirs:
        print("ours   %s\ntheirs %s" % (ours.decode(), theirs.decode()))
        faults += 1
print("%d records, %d faults" % (len(lines), faults))
sys.exit(faults != 0)
