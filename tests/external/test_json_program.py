#!/usr/bin/python3
"""What the program shares of a worked book: valid for both the schemas, canonical for jq,
and, taken in by an empty book and shared again, the same facts."""
import json
import os
import shutil
import subprocess
import sys
import tempfile

sys.dont_write_bytecode = True
import json_cases as c  # noqa: E402

try:
    import jsonschema
except ImportError:
    print("skipped: no jsonschema")
    sys.exit(c.SKIP)
if shutil.which("jq") is None:
    print("skipped: no jq")
    sys.exit(c.SKIP)

COMMANDS = """
plant AR-1 Anoectochilus\\ roxburghii --clone-name Old\\ Bench --ploidy 2 --got 2020-05-01
plant AR-2 Anoectochilus\\ roxburghii --pup-of AR-1 --note pot\\ 7
plant GH-2 Goodyera\\ hispida --source a\\ friend --papers none --place bench\\ 2
plant DM-1 Dossinia\\ marmorata --seed-parent GH-2
plant DM-2 Dossinia\\ marmorata --seed-parent GH-2 --pollen-parent AR-1
cross AR-2 GH-2 --flowers 4 --on 2025-11-01 --flower-age 3 --at third --own-pollen removed
cross AR-1 AR-2 --on 2026-02-01 --note selfing
cross DM-1 GH-2+DM-2 --flowers 2 --on 2026-02-01
cross DM-2 unknown --on 2026-02-20
plant X-1 Anoectochilus\\ ×\\ Goodyera --from X25-001
cross X-1 AR-1 --on 2026-02-20
cross DM-1 DM-2 --on 2026-02-20
look X25-001 swollen --on 2025-11-06 --count 3
look X25-001 dropped --on 2025-12-01 --count 1 --note frost
bag X25-001 --on 2025-12-02
harvest X25-001 --on 2025-12-10 --count 1 --as about-to-split --held-cold
harvest X25-001 --on 2025-12-11 --count 1
amend X26-003 --withdraw
gone GH-2 given --on 2026-02-21
amend X26-001 grex=Schoolhouse
"""


def podbook(book, words, text=b""):
    env = dict(os.environ, PODBOOK_TODAY="2026-03-02", SOURCE_DATE_EPOCH="1772452800",
               PODBOOK_TEST_SEED=os.path.basename(book), NO_COLOR="1")
    done = subprocess.run([c.BUILD + "/podbook", "--book", book] + words, input=text,
                          env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    if done.returncode != 0:
        sys.exit("%s: %s" % (words, done.stderr.decode()))
    return done.stdout


def facts(line):
    """A record without what is computed and what another book calls it."""
    record = json.loads(line)
    for key in ("kind", "windows", "capsules", "state", "origin_code"):
        record.pop(key, None)
    return record


def main():
    faults = 0
    validators = c.validators(jsonschema)
    with tempfile.TemporaryDirectory() as folder:
        one, other = folder + "/one.db", folder + "/other.db"
        for line in COMMANDS.strip().splitlines():
            podbook(one, [w.replace("\0", " ") for w in line.replace("\\ ", "\0").split()])
        shared = podbook(one, ["share", "--with-notes"])
        lines = shared.splitlines()
        kinds = set()
        for line in lines + [podbook(one, ["show", "--json", code]) for code in
                             ("AR-2", "GH-2", "DM-1", "DM-2", "X-1", "X25-001", "X26-002")]:
            record = json.loads(line)
            kinds.add(record.get("kind"))
            for error in validators[record["format"]].iter_errors(record):
                print("%s: %s" % (record["code"], error.message))
                faults += 1
        if not {"outcross", "self", "backcross", "unknown"} <= kinds:
            print("kinds", kinds)
            faults += 1
        jq = subprocess.run(["jq", "-cS", "."], input=shared, stdout=subprocess.PIPE, check=True)
        if jq.stdout != shared:
            print("jq -cS makes something else of it")
            faults += 1
        podbook(other, ["receive", "-"], shared)
        again = podbook(other, ["share", "--with-notes"]).splitlines()
        for before, after in zip(lines, again):
            if facts(before) != facts(after):
                print("before %s\nafter  %s" % (before.decode(), after.decode()))
                faults += 1
        faults += len(lines) != len(again)
    print("%d records, %d faults" % (len(lines), faults))
    sys.exit(faults != 0)


main()
