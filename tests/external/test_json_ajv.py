#!/usr/bin/python3
"""ajv, in its strict mode, takes what the writer writes and refuses what it should."""
import json
import os
import subprocess
import sys

sys.dont_write_bytecode = True
import json_cases as c  # noqa: E402

HERE = os.path.dirname(os.path.abspath(__file__))
MODULES = os.path.join(os.environ.get("PB_NPM", c.SOURCE + "/.build/npm"), "node_modules")
if not os.path.isdir(MODULES + "/ajv"):
    print("skipped: no ajv in " + MODULES)
    sys.exit(c.SKIP)

peer = subprocess.Popen(
    ["node", HERE + "/json_ajv.mjs", MODULES] +
    ["%s/lib/schema/%s.schema.json" % (c.SOURCE, name) for name in c.FORMATS],
    stdin=subprocess.PIPE, stdout=subprocess.PIPE)


def valid(schema, record):
    question = json.dumps({"schema": c.FORMATS.index(schema), "record": record})
    peer.stdin.write(question.encode() + b"\n")
    peer.stdin.flush()
    return json.loads(peer.stdout.readline())


faults = c.held_against(valid)
peer.stdin.close()
sys.exit(peer.wait() != 0 or faults != 0)
