"""Records of podbook as JSON: the files of tests/checks/json, and many made ones.

Shared by the test_json_*.py.
"""
import glob
import json
import os
import subprocess
import sys
import tempfile

sys.dont_write_bytecode = True
SOURCE = os.environ.get("PB_SOURCE", os.path.join(os.path.dirname(__file__), "../.."))
BUILD = os.environ.get("PB_BUILD", SOURCE + "/.build/dev")
KINDS = ("plant", "cross", "seed", "flask", "cutting", "pollen")
FORMATS = tuple("podbook-" + kind for kind in KINDS)
SKIP = 77


def files(kind):
    """Paths of the files of one kind: kept, refused, reader-refuses."""
    found = sorted(glob.glob("%s/tests/checks/json/%s/*.json" % (SOURCE, kind)))
    if not found:
        sys.exit("no files in tests/checks/json/" + kind)
    return found


def schema(name):
    with open("%s/lib/schema/%s.schema.json" % (SOURCE, name), encoding="utf-8") as f:
        return json.load(f)


def validators(jsonschema):
    """A validator for each format; the schemas refer to each other by their $id."""
    schemas = {name: schema(name) for name in FORMATS}
    try:
        import referencing
        registry = referencing.Registry().with_resources(
            (s["$id"], referencing.Resource.from_contents(s)) for s in schemas.values())
        more = {name: {"registry": registry} for name in FORMATS}
    except ImportError:  # before jsonschema 4.18, which loses its way under a urn
        schemas = {name: json.loads(json.dumps(s).replace("urn:podbook:schema:",
                                                          "file:///"))
                   for name, s in schemas.items()}
        store = {s["$id"]: s for s in schemas.values()}
        more = {name: {"resolver": jsonschema.RefResolver(s["$id"], s, store=store)}
                for name, s in schemas.items()}
    return {name: jsonschema.Draft202012Validator(s, **more[name])
            for name, s in schemas.items()}


def schema_of(record):
    """Which schema a record is held against; what names none is held against all."""
    named = record.get("format") if isinstance(record, dict) else None
    return [named] if named in FORMATS else list(FORMATS)


def corpus(variable="PB_JSON_CORPUS"):
    """Lines as bytes: what the writer made of a few thousand made records, or, with
    PB_JSON_TAKEN, what the reader took of many damaged ones."""
    with tempfile.TemporaryDirectory() as folder:
        path = folder + "/corpus.jsonl"
        subprocess.run([BUILD + "/tests/prop_record"], check=True,
                       stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                       env=dict(os.environ, **{variable: path}))
        with open(path, "rb") as f:
            lines = f.read().split(b"\n")[:-1]
    if len(lines) < 1000:
        sys.exit("the corpus has %d records only" % len(lines))
    return lines


def held_against(valid):
    """Hold everything against a validator: valid(schema name, record) -> reason or None.

    Prints what is otherwise than it should be; the number of faults.
    """
    faults, held = 0, 0
    for kind, wanted in (("kept", True), ("reader-refuses", True), ("refused", False)):
        for path in files(kind):
            with open(path, encoding="utf-8") as f:
                record = json.load(f)
            reasons = [valid(name, record) for name in schema_of(record)]
            held += 1
            if any(r is None for r in reasons) != wanted:
                print("%s: %s" % (os.path.relpath(path, SOURCE), reasons))
                faults += 1
    for line in corpus() + corpus("PB_JSON_TAKEN"):
        record = json.loads(line)
        reason = valid(record["format"], record)
        held += 1
        if reason is not None:
            print("%s: %s" % (reason, line.decode()))
            faults += 1
    print("%d records, %d faults" % (held, faults))
    return faults
