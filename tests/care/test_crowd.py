#!/usr/bin/python3
"""Many at one book: all writes are kept, no code is given twice, no reader sees half a
command; whoever finds the book locked waits, then says so.

    --seconds N   how long eight writers and four readers are at it (3; with --long 60)
"""
import json
import sqlite3
import threading
import time

from care import Place, check, number

SECONDS = number("--seconds", 3, 60)
WRITERS, READERS = 8, 4
BATCH = 5  # plants of one received file
BUSY = "another podbook is writing to the book"


class Crowd:
    """What the writers were told, and what went wrong anywhere."""

    def __init__(self, place):
        self.place = place
        self.end = time.monotonic() + SECONDS
        self.codes = []    # of crosses
        self.batches = []  # notes
        self.amended = {}  # cross: its newest note
        self.acts = 0
        self.refused = 0
        self.reads = 0
        self.lock = threading.Lock()
        self.faults = []

    def write(self, *words):
        """The output; None where the book was locked for too long."""
        status, out, err = self.place.run(*words)
        with self.lock:
            if status != 0 and BUSY in err:
                self.refused += 1
                return None
            check(f"podbook {' '.join(words)} is done", status == 0, err)
            self.acts += 1
        return out

    def cross(self, me, turn):
        out = self.write("cross", f"S-{me}-{turn}=Macodes petola",
                         f"P-{me}-{turn}=Ludisia discolor", "--json")
        if out is None:
            return
        code = json.loads(out)["code"]
        with self.lock:
            self.codes.append(code)
        if self.write("amend", code, f"note=by {me}") is not None:
            with self.lock:
                self.amended[code] = f"by {me}"

    def receive(self, me, turn):
        note = f"batch {me}-{turn}"
        path = self.place.path / f"in-{me}.jsonl"
        path.write_text("".join(json.dumps({
            "format": "podbook-plant", "version": 1, "revision": 1,
            "id": f"019cae6b-{turn:04x}-7000-8{me:03x}-{i:012x}",
            "code": f"IN-{me}-{turn}-{i}", "modified": "2026-03-01T00:00:00Z",
            "taxon": "Dossinia marmorata", "note": note}) + "\n" for i in range(BATCH)),
            encoding="utf-8")
        if self.write("receive", str(path)) is not None:
            with self.lock:
                self.batches.append(note)

    def writer(self, me):
        turn = 0
        while time.monotonic() < self.end:
            turn += 1
            (self.receive if turn % 3 == 0 else self.cross)(me, turn)

    def seen(self):
        """(crosses by code, notes of plants) of one reading, which must be of one state."""
        plants, crosses, notes = set(), {}, {}
        for line in self.place.must("share", "--with-notes").splitlines():
            record = json.loads(line)
            if record["format"] == "podbook-plant":
                plants.add(record["id"])
                notes[record.get("note")] = notes.get(record.get("note"), 0) + 1
            else:
                crosses[record["code"]] = record
        for code, cross in crosses.items():
            parents = [cross["seed_parent"], *cross["pollen_parents"]]
            check("a cross is seen with both its new parents", len(parents) == 2 and
                  all(p["id"] in plants for p in parents), code)
        for note, n in notes.items():
            check("a received file is seen whole", n == BATCH or note is None, note, n)
        return crosses, notes

    def reader(self, me):
        while time.monotonic() < self.end:
            if me == 0:
                self.place.sound("while others write")
            else:
                self.seen()
            with self.lock:
                self.reads += 1

    def run(self, what, me):
        try:
            what(me)
        except (Exception, SystemExit) as fault:  # of any kind: it is told below
            self.faults.append(str(fault))
            self.end = 0


def many():
    with Place() as place:
        place.must("plant", "BASE", "Anoectochilus roxburghii")
        crowd = Crowd(place)
        threads = [threading.Thread(target=crowd.run, args=(crowd.writer, i))
                   for i in range(WRITERS)]
        threads += [threading.Thread(target=crowd.run, args=(crowd.reader, i))
                    for i in range(READERS)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        check("nobody saw a fault", not crowd.faults, *crowd.faults)
        crosses, notes = crowd.seen()
        check("no code twice", len(set(crowd.codes)) == len(crowd.codes))
        check("every cross is kept", set(crowd.codes) == set(crosses))
        check("every amendment", all(crosses[code]["note"] == note
                                     for code, note in crowd.amended.items()))
        check("every received file", set(crowd.batches) == set(notes) - {None})
        check("each command once in the history",
              len(place.json("history")) == crowd.acts + 1, crowd.acts)
        place.sound()
        print(json.dumps({"seconds": SECONDS, "commands": crowd.acts,
                          "readings": crowd.reads, "refused_as_locked": crowd.refused}))
        check("they did write and read", crowd.acts > WRITERS and crowd.reads > READERS)


def first_ones():
    """All at a book that is not there yet, half of them with a command that is refused: no
    first book is lost with the file of somebody whose command failed."""
    for turn in range(4 if SECONDS < 30 else 40):
        with Place() as place:
            started = []
            for i in range(WRITERS):
                words = (("plant", f"A-{i}", "Ludisia") if i % 2 else
                         ("look", "X26-001", "holding"))
                started.append((i, place.start(*words)))
            kept = set()
            for i, process in started:
                _, err = process.communicate()
                check("done, or refused for a reason", process.returncode == 0 or
                      not i % 2 or "say it again" in err, err)
                if i % 2 and process.returncode == 0:
                    kept.add(f"A-{i}")
            has = {p["code"] for p in place.json("list", "plants")}
            check("who was told that it is kept has it there", kept <= has, kept, has, turn)


def locked():
    """Somebody is in the middle of a command."""
    with Place() as place:
        place.must("plant", "A", "Ludisia")
        other = sqlite3.connect(place.book, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        process = place.start("plant", "B", "Ludisia")
        time.sleep(0.5)
        check("it waits", process.poll() is None)
        check("reading does not", len(place.json("list", "plants")) == 1)
        other.execute("COMMIT")
        check("and is done then", process.wait(10) == 0, process.stderr.read())
        other.execute("BEGIN IMMEDIATE")
        began = time.monotonic()
        status, _, err = place.run("plant", "C", "Ludisia")
        check("it gives up", status == 1 and BUSY in err and "say it again" in err, err)
        check("after it has waited", time.monotonic() - began > 4)
        other.execute("ROLLBACK")
        place.must("plant", "C", "Ludisia")
        other.close()
        check("all is there", len(place.json("list", "plants")) == 3)
        place.sound()


many()
first_ones()
locked()
