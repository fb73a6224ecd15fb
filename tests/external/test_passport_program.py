#!/usr/bin/python3
"""What the program shares as a passport table and as crossings of a worked book, read by
Python's csv and json: columns, codes and forms of the published descriptors, keys and words
of the Breeding API, and the same facts as the records."""
import csv
import io
import json
import os
import re
import subprocess
import sys
import tempfile

sys.dont_write_bytecode = True
import json_cases as c  # noqa: E402

# FAO/Bioversity Multi-Crop Passport Descriptors V.2.1; the codes of STORAGE and the forms of
# OTHERNUMB and PUID from memory
COLUMNS = """PUID INSTCODE ACCENUMB COLLNUMB COLLCODE COLLNAME COLLINSTADDRESS COLLMISSID
GENUS SPECIES SPAUTHOR SUBTAXA SUBTAUTHOR CROPNAME ACCENAME ACQDATE ORIGCTY COLLSITE
DECLATITUDE LATITUDE DECLONGITUDE LONGITUDE COORDUNCERT COORDDATUM GEOREFMETH ELEVATION
COLLDATE BREDCODE BREDNAME SAMPSTAT ANCEST COLLSRC DONORCODE DONORNAME DONORNUMB OTHERNUMB
DUPLSITE DUPLINSTNAME STORAGE MLSSTAT REMARKS""".split()
FORMS = {
    "PUID": r"urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}",
    "GENUS": r"|×?[A-Z][a-z-]+",
    "SPECIES": r"|sp\.|×?[a-z-]+",
    "ACQDATE": r"|[0-9]{4}(0[1-9]|1[0-2])(0[1-9]|[12][0-9]|3[01])",
    "SAMPSTAT": r"|400|412|415",
    "ANCEST": r"|[^/]+/[^/]+",
    "OTHERNUMB": r"|:[^:;]+(;:[^:;]+)*",
    "STORAGE": r"|(10|20|30)(;(10|20|30))*",
}
# Cross of the Breeding API, version 2.1
KEYS = set("""additionalInfo crossAttributes crossDbId crossName crossType
crossingProjectDbId crossingProjectName externalReferences parent1 parent2 plannedCrossDbId
plannedCrossName pollinationEvents pollinationTimeStamp""".split())
PARENT = {"germplasmDbId", "germplasmName", "observationUnitDbId", "observationUnitName",
          "parentType"}
TYPES = {"BIPARENTAL", "SELF", "OPEN_POLLINATED", "BULK", "BULK_SELFED",
         "BULK_OPEN_POLLINATED", "DOUBLE_HAPLOID"}
ROLES = {"MALE", "FEMALE", "SELF", "POPULATION"}
EVENT = {"pollinationNumber", "pollinationSuccessful", "pollinationTimeStamp"}
INSTANT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(Z|[+-]\d\d:\d\d)")

COMMANDS = """
plant AR-1 Anoectochilus\\ roxburghii --clone-name =Old,\\ "Bench" --got 2020-05-01
plant AR-2 Anoectochilus\\ roxburghii --pup-of AR-1 --note @SUM(A1)
plant GH-2 Goodyera\\ hispida\\ var.\\ rosea --source +a;\\ friend --papers none
plant DM-1 Dossinia --seed-parent GH-2
plant DM-2 Dossinia\\ marmorata --seed-parent GH-2 --pollen-parent AR-1
cross AR-2 GH-2 --flowers 4 --on 2025-11-01 --flower-age 3 --at third --note -1+1
cross AR-1 AR-2 --on 2026-01-01
cross DM-1 GH-2+DM-2 --flowers 2 --on 2026-02-01
cross DM-2 unknown --on 2026-02-20
plant X-1 Anoectochilus\\ ×\\ Goodyera --from X25-001
cross X-1 AR-1 --on 2026-02-20
cross DM-1 DM-2 --on 2026-02-20
look X25-001 swollen --on 2025-11-06 --count 3
look X25-001 dropped --on 2025-12-01 --count 1 --note frost
harvest X25-001 --on 2025-12-10 --count 1
harvest X25-001 --on 2025-12-11 --count 1
look X26-001 dropped --on 2026-02-01
amend X26-003 --withdraw
gone DM-2 given --on 2026-02-21
"""


class Faults:
    """Says each fault and counts them."""

    def __init__(self):
        self.count = 0

    def unless(self, held, *what):
        if not held:
            print(*what)
            self.count += 1


def podbook(book, *words):
    env = dict(os.environ, PODBOOK_TODAY="2026-03-02", SOURCE_DATE_EPOCH="1772452800",
               PODBOOK_TEST_SEED="passport", NO_COLOR="1")
    done = subprocess.run([c.BUILD + "/podbook", "--book", book, *words], env=env,
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    if done.returncode != 0:
        sys.exit("%s: %s" % (words, done.stderr.decode()))
    return done.stdout.decode()


def table(book, records, faults):
    """Every row against the published forms and against the records."""
    text = podbook(book, "share", "--as", "mcpd", "--with-notes")
    rows = list(csv.DictReader(io.StringIO(text), strict=True))
    faults.unless(next(csv.reader(io.StringIO(text))) == COLUMNS, "columns", text[:400])
    for row in rows:
        faults.unless(None not in row and None not in row.values(), "cells of", row)
        for name, form in FORMS.items():
            faults.unless(re.fullmatch(form, row[name]), row["ACCENUMB"], name, row[name])
        for name, value in row.items():
            faults.unless(value[:1] not in set("=+-@"), "a formula:", name, value)
        record = records[row["ACCENUMB"]]
        faults.unless(row["PUID"] == "urn:uuid:" + record["id"], "PUID", row)
        faults.unless(row["ACQDATE"] in ("", record.get("got", "").replace("-", ""))
                      or record["format"] == "podbook-cross", "ACQDATE", row)
    wanted = {"AR-1", "AR-2", "GH-2", "DM-1", "X-1", "X25-001"}
    faults.unless({row["ACCENUMB"] for row in rows} == wanted, "rows", rows)
    by_code = {row["ACCENUMB"]: row for row in rows}
    for code, name, value in (
            ("X25-001", "ACQDATE", "20251210"), ("X25-001", "SAMPSTAT", "412"),
            ("X25-001", "STORAGE", "10"), ("X25-001", "REMARKS", "'-1+1"),
            ("X25-001", "OTHERNUMB", ":S25-001;:S25-002"),
            ("X-1", "ANCEST", by_code["X25-001"]["ANCEST"]),
            ("AR-2", "ACCENAME", "'=Old, \"Bench\""), ("AR-2", "REMARKS", "'@SUM(A1)"),
            ("GH-2", "SUBTAXA", "var. rosea"), ("GH-2", "DONORNAME", "'+a, friend"),
            ("DM-1", "SPECIES", "sp."),
            ("DM-1", "ANCEST", "GH-2 (Goodyera hispida var. rosea)/UNKNOWN")):
        faults.unless(by_code[code][name] == value, code, name, by_code[code][name])
    return len(rows)


def crossings(book, records, faults):
    """Every object against the published keys and words and against the records."""
    text = podbook(book, "share", "--as", "crossings", "--with-notes")
    crosses = json.loads(text)
    for cross in crosses:
        record = records[cross["crossName"]]
        faults.unless(set(cross) <= KEYS, "keys", sorted(set(cross) - KEYS))
        faults.unless(cross.get("crossType") in TYPES or not record["pollen_parents"],
                      "crossType", cross)
        parents = [cross["parent1"], cross.get("parent2", {})]
        for parent in parents:
            faults.unless(set(parent) <= PARENT, "keys of a parent", parent)
            faults.unless(parent.get("parentType", "MALE") in ROLES, "parentType", parent)
        faults.unless(parents[0]["observationUnitDbId"] == record["seed_parent"]["id"],
                      "the seed parent of", cross["crossName"])
        if len(record["pollen_parents"]) == 1:
            faults.unless(parents[1]["observationUnitDbId"]
                          == record["pollen_parents"][0]["id"],
                          "the pollen parent of", cross["crossName"])
        same = parents[0]["germplasmDbId"] == parents[1].get("germplasmDbId")
        faults.unless(same == (cross.get("crossType") == "SELF"), "selfing", cross)
        for event in cross["pollinationEvents"]:
            faults.unless(set(event) <= EVENT, "keys of an event", event)
            faults.unless(INSTANT.fullmatch(event["pollinationTimeStamp"]), event)
            faults.unless(event["pollinationTimeStamp"][:10] == record["pollinated"], event)
        for item in cross["crossAttributes"]:
            faults.unless(set(item) == {"crossAttributeName", "crossAttributeValue"}
                          and all(isinstance(v, str) for v in item.values()), item)
        for ours, theirs in (("looks", "on"), ("harvests", "count")):
            faults.unless([x[theirs] for x in record[ours]]
                          == [x[theirs] for x in cross["additionalInfo"][ours]],
                          ours, cross["crossName"])
    told = {x["crossName"]: x["pollinationEvents"][0].get("pollinationSuccessful")
            for x in crosses}
    faults.unless(told == {"X25-001": True, "X26-001": False, "X26-002": None,
                           "X26-004": None, "X26-005": None}, "success", told)
    return len(crosses)


def main():
    faults = Faults()
    with tempfile.TemporaryDirectory() as folder:
        book = folder + "/book.db"
        for line in COMMANDS.strip().splitlines():
            podbook(book, *[w.replace("\0", " ")
                            for w in line.replace("\\ ", "\0").split()])
        records = {}
        for line in podbook(book, "share").splitlines():
            record = json.loads(line)
            records[record["code"]] = record
        rows = table(book, records, faults)
        objects = crossings(book, records, faults)
    print("%d rows, %d crosses, %d faults" % (rows, objects, faults.count))
    sys.exit(faults.count != 0)


main()
