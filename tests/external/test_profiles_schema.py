#!/usr/bin/python3
"""The schema of the profiles, judged by validators of other people: jsonschema and ajv.

The built-in file and the manual's example are valid.  Each document that the reader refuses (the rows of
test_profile_file) is refused by the schema too, but for those where only the reader can
see what is wrong; and those the schema must accept, so that the list stays true.
"""
import json
import os
import subprocess
import sys

import jsonschema

SOURCE = os.environ["PB_SOURCE"]
BUILD = os.environ["PB_BUILD"]
SCHEMA = SOURCE + "/lib/schema/profiles.schema.json"
MODULES = os.path.join(os.environ.get("PB_NPM", SOURCE + "/.build/npm"), "node_modules")

# What no schema says: order of numbers, references within the document, doubles across
# rows, the parser's own limits.
READER_ONLY = {
    "a key twice", "from after to", "a whole number with a point", "a source not listed",
    "one of several not listed", "a join too many", "a best day outside", "a name twice",
    "a taxon twice", "a species twice", "a taxon twice in a row", "a group twice",
    "a genus whole and in parts", "a part twice", "sp.", "a synonym of a synonym",
    "a synonym of itself", "a taxon with more",
}
NOT_JSON = {"not JSON", "a weight that is no number", "nor beyond all"}


def rows():
    done = subprocess.run([BUILD + "/tests/test_profile_file", "--rows"], check=True,
                          stdout=subprocess.PIPE)
    for line in done.stdout.decode("utf-8").splitlines():
        claim, _, text = line.partition("\t")
        if claim not in NOT_JSON:
            yield claim, json.loads(text)


def example():
    """The file that podbook-profiles(5) shows."""
    with open(SOURCE + "/man/podbook-profiles.5", encoding="utf-8") as f:
        page = f.read()
    return json.loads(page.partition(".Bd -literal -offset indent\n")[2].partition(".Ed")[0])


def by_jsonschema(schema, docs):
    jsonschema.Draft202012Validator.check_schema(schema)
    judge = jsonschema.Draft202012Validator(schema)
    return [judge.is_valid(doc) for doc in docs]


def by_ajv(docs):
    """None where ajv is not there."""
    if not os.path.isdir(MODULES + "/ajv"):
        return None
    lines = "".join(json.dumps({"schema": 0, "record": doc}) + "\n" for doc in docs)
    done = subprocess.run(
        ["node", SOURCE + "/tests/external/json_ajv.mjs", MODULES, SCHEMA],
        input=lines.encode(), stdout=subprocess.PIPE, check=True)
    return [json.loads(line) is None for line in done.stdout.splitlines()]


def main():
    with open(SCHEMA, encoding="utf-8") as f:
        schema = json.load(f)
    with open(SOURCE + "/lib/data/profiles.json", encoding="utf-8") as f:
        cases = [("the built-in file", json.load(f), True)]
    cases.append(("the manual's example", example(), True))
    cases += [(claim, doc, claim in READER_ONLY) for claim, doc in rows()]
    docs = [doc for _, doc, _ in cases]
    faults = 0
    if len(cases) < 50 or READER_ONLY - {claim for claim, _, _ in cases}:
        print("rows are missing: %d, %s" % (len(cases), READER_ONLY))
        faults += 1
    judges = {"jsonschema": by_jsonschema(schema, docs), "ajv": by_ajv(docs)}
    for name, verdicts in judges.items():
        if verdicts is None:
            print("%s is not there" % name)
            continue
        for (claim, _, valid), verdict in zip(cases, verdicts):
            if verdict != valid:
                print("%s: %s: %s" % (name, claim, "accepts" if verdict else "refuses"))
                faults += 1
        print("%s: %d documents" % (name, len(verdicts)))
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
