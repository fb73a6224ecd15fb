#!/usr/bin/python3
"""The built-in profiles and their manual: every number names a source that is listed, the
page lists every source in the same words, every stage and every key.

    profiles.py [ROOT]

Prints "FILE: what", exit status 1 where there is any.
"""
import json
import pathlib
import re
import sys

DATA = "lib/data/profiles.json"
SCHEMA = "lib/schema/profiles.schema.json"
PAGE = "man/podbook-profiles.5"
ITEM = re.compile(r"^\.It Cm (\S+)$")
STAGE = re.compile(r"^\.It Cm (\S+) Ta ")
KEYS = re.compile(r"^\.It Cm (\S+(?: , \S+)*)$", re.M)


def numbers(row):
    """(where, the thing that names a source) of each number of a row."""
    for stage, value in row["stages"].items():
        yield f'{row["name"]}.{stage}', value
    if "set_rate" in row:
        yield f'{row["name"]}.set_rate', row["set_rate"]


def sources_of_page(text):
    """Key and words of each item of SOURCES."""
    found, key = {}, None
    for line in text.partition(".Sh SOURCES\n")[2].partition("\n.Sh ")[0].splitlines():
        m = ITEM.match(line)
        if m:
            key = m.group(1)
            found[key] = ""
        elif line.startswith(".El"):
            key = None
        elif key:
            found[key] += " " + line.replace("\\&", "")
    return {k: " ".join(v.split()) for k, v in found.items()}


def faults_of_data(data):
    listed, used = set(data["sources"]), set()
    for row in data["profiles"]:
        for where, number in numbers(row):
            keys = number.get("source", "").split("+")
            used.update(keys)
            for key in keys:
                if key not in listed:
                    yield f'{DATA}: {where}: source "{key}" is not listed'
            if number.get("confidence") not in ("H", "M", "L"):
                yield f"{DATA}: {where}: no confidence"
    for key in sorted(listed - used):
        yield f'{DATA}: source "{key}" serves nothing'


def faults_of_page(data, schema, page):
    shown = sources_of_page(page)
    for key, words in data["sources"].items():
        if key not in shown:
            yield f'{PAGE}: source "{key}" is not listed'
        elif shown[key] != words:
            yield f'{PAGE}: source "{key}": "{shown[key]}", the data say "{words}"'
    for key in sorted(set(shown) - set(data["sources"])):
        yield f'{PAGE}: source "{key}" is in no data'
    defs = schema["$defs"]
    row = defs["profile"]["properties"]
    stages = set(row["stages"]["properties"])
    told = {m.group(1) for m in map(STAGE.match, page.splitlines()) if m}
    for stage in sorted(stages ^ told):
        yield f'{PAGE}: stage "{stage}" is ' + ("not told" if stage in stages else "unknown")
    keys = {"from", "to", "sign", "weight", "best", "source", "confidence"}
    keys |= set(row) | set(schema["properties"])
    told = {key for m in KEYS.finditer(page) for key in m.group(1).split(" , ")}
    for key in sorted(keys - told):
        yield f'{PAGE}: key "{key}" is not told'


def main():
    root = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ".")
    data, schema = (json.loads((root / p).read_text(encoding="utf-8"))
                    for p in (DATA, SCHEMA))
    page = (root / PAGE).read_text(encoding="utf-8")
    faults = list(faults_of_data(data)) + list(faults_of_page(data, schema, page))
    if not data["profiles"]:
        faults.append(f"{DATA}: no profiles")
    print("\n".join(faults), end="\n" if faults else "")
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
