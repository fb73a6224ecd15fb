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
amend X25-001 doubtful=tag\\ fell\\ off
look S25-001 counted --count 4000 --on 2025-12-11
look S25-001 viable --count 63 --of 100 --method TTC --on 2025-12-11
amend S25-002 form=dry-seed celsius=4.5 moisture=6.25 viability=92.5 below=50 ke=6.5 cw=3.125 ch=0.0329 cq=0.000478 constants=their\\ own\\ trials
sow S25-001 --flasks 2 --seeds 200 --medium half\\ strength --agent bleach --chlorine 0.525 --minutes 10 --on 2025-12-12
look F25-001 germinated --count 120 --on 2026-01-20
replate F25-001 --flasks 2 --on 2026-01-30
look F26-002 stage-3 --count 50 --scale Arditti\\ 1967 --on 2026-02-20
deflask F26-001 --plants 2 --prefix AG- --taxon Anoectochilus\\ ×\\ Goodyera --on 2026-02-25
cut AR-1 --count 3 --nodes 2 --medium water --on 2026-01-05
look C26-001 rooted --count 2 --on 2026-02-01 --note short
look C26-001 potted --as AR-9 --on 2026-02-10
pollen AR-1 --kept fridge --dried --cap-removed --celsius -18.5 --on 2026-02-20
bloom AR-1 open --on 2025-10-20
bloom AR-1 over --on 2025-12-01
look AR-1 pups --count 2 --on 2026-01-04
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
    told = ["state", "tasks", "left", "doubts", "origin_code"]
    for part in (record, record.get("cross", {})):
        computed = ["kind", "windows", "capsules"] if "pollinated" in part else ["cuttings"]
        for key in told + computed:
            part.pop(key, None)
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
                             ("AR-1", "AR-2", "GH-2", "DM-1", "DM-2", "X-1", "AG-1", "X25-001",
                              "X26-002", "S25-001", "F25-002", "F26-001", "C26-001", "P26-001")]:
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
