#!/usr/bin/python3
"""podbook-json(5) names every key and word of the schemas, and no other key.

   json_keys.py SOURCE
"""
import json
import re
import sys

source = sys.argv[1]
keys, words = set(), set()


def walk(schema):
    """Collect keys and words; the depth is that of our own files."""
    if isinstance(schema, dict):
        keys.update(schema.get("properties", {}))
        words.update(w for w in schema.get("enum", []) if isinstance(w, str))
        if isinstance(schema.get("const"), str):
            words.add(schema["const"])
        for part in schema.values():
            walk(part)
    elif isinstance(schema, list):
        for part in schema:
            walk(part)


for name in ("plant", "cross", "seed", "flask", "cutting", "pollen"):
    with open("%s/lib/schema/podbook-%s.schema.json" % (source, name), encoding="utf-8") as f:
        walk(json.load(f))
with open(source + "/man/podbook-json.5", encoding="utf-8") as f:
    page = f.read()

named = set()
for line in page.splitlines():
    macro = re.match(r"\.(?:It |Pq )?Cm (.*)", line)
    if macro:
        named.update(re.findall(r"[a-z][a-z_]*", re.sub(r" (?:Ns|Ar|Pc|Pq)\b.*", "", macro[1])))
quoted = set(re.findall(r"^\.Dq ([a-z0-9-]+(?: [a-z]+)*)", page, re.M))
faults = ["podbook-json.5: the key %s is not named" % k for k in sorted(keys - named)]
faults += ["podbook-json.5: %s is no key" % k for k in sorted(named - keys - {"x"})]
faults += ["podbook-json.5: the word %s is not named" % w for w in sorted(words - quoted - named)]
print("\n".join(faults) or "%d keys, %d words" % (len(keys), len(words)))
sys.exit(bool(faults))
