#!/usr/bin/python3
"""Killed at a random moment, again and again: what was acknowledged is there afterwards, and
nothing is there in half.

Commands that record, amend, receive and take back run one after the other, each on the book
that the last one left; each is sent SIGKILL after a random time, some before they end, some
behind it.  One that ended with status 0 first was acknowledged.  After each the book is
verified and every command held against the history and the records.

    --kills N     how many processes are killed (30; with --long 1000)
"""
import json
import signal
import subprocess
import time

from care import Place, check, fail, number, seeded

KILLS = number("--kills", 30, 1000)
FILES = number("--file-kills", 12, 200)
BATCH = 6  # plants of one received file


def duration(place, *words):
    """How long a command takes here and now, in seconds: the longest of three."""
    longest = 0.0
    for _ in range(3):
        began = time.monotonic()
        place.must(*words)
        longest = max(longest, time.monotonic() - began)
    return longest


def kill_within(place, rng, most, *words):
    """Run and kill: True where it was acknowledged, False where it was killed before."""
    process = place.start(*words)
    try:
        process.wait(timeout=rng.uniform(0, most))
    except subprocess.TimeoutExpired:
        process.send_signal(signal.SIGKILL)
    _, err = process.communicate()
    if process.returncode == -signal.SIGKILL:
        return False
    check(f"podbook {' '.join(words)} is done or killed", process.returncode == 0, err)
    return True


class Script:
    """The commands, and what must and may be in the book after those that were run."""

    def __init__(self, place, rng):
        self.place = place
        self.rng = rng
        self.turn = 0
        self.acks = {"done": 0, "killed": 0, "kept": 0}
        self.plants = {}   # code: note that it must have
        self.crosses = {}  # token: must be there
        place.must("plant", "BASE-1", "Anoectochilus roxburghii", "--note", "none")
        place.must("plant", "BASE-2", "Goodyera hispida")
        self.plants["BASE-1"] = "none"
        self.most = 1.6 * duration(place, "amend", "BASE-2", "note=timing")

    def notes(self):
        """Of every record that stands: plants by code, crosses by their note."""
        plants, crosses = {}, {}
        for line in self.place.must("share", "--with-notes").splitlines():
            record = json.loads(line)
            if record.get("withdrawn"):
                continue
            if record["format"] == "podbook-plant":
                plants[record["code"]] = record.get("note")
            elif record["format"] == "podbook-cross":
                crosses[record["note"]] = record
        return plants, crosses

    def kill(self, *words):
        """(acknowledged, in the history)"""
        before = len(self.place.json("history"))
        done = kill_within(self.place, self.rng, self.most, *words)
        self.place.sound(self.turn, words)
        kept = len(self.place.json("history")) - before
        check("a command is one command of the history, or none", kept in (0, 1), kept)
        check("what was acknowledged is in the history", kept == 1 or not done, words)
        self.acks["done" if done else "killed"] += 1
        self.acks["kept"] += kept and not done
        return kept == 1

    def record(self):
        token = f"token {self.turn}"
        if self.kill("cross", "BASE-1", f"NEW-{self.turn}=Macodes petola", "--flowers",
                     "3", "--note", token):
            self.crosses[token] = True
            self.plants[f"NEW-{self.turn}"] = None

    def amend(self):
        code = self.rng.choice(sorted(self.plants))
        token = f"amended {self.turn}"
        if self.kill("amend", code, f"note={token}"):
            self.plants[code] = token

    def look(self):
        """A look and what follows from it: the count that a command left stands whole."""
        codes = [x["code"] for x in self.notes()[1].values()]
        if codes:
            self.kill("look", self.rng.choice(codes), "unsure")

    def receive(self):
        lines = []
        for i in range(BATCH):
            lines.append(json.dumps({
                "format": "podbook-plant", "version": 1, "revision": 1,
                "id": f"019cae6b-{self.turn:04x}-7000-8000-{i:012x}",
                "code": f"IN-{self.turn}-{i}", "modified": "2026-03-01T00:00:00Z",
                "taxon": "Dossinia marmorata", "note": f"of {self.turn}"}))
        path = self.place.path / "in.jsonl"
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        kept = self.kill("receive", str(path))
        for i in range(BATCH):
            if kept:
                self.plants[f"IN-{self.turn}-{i}"] = f"of {self.turn}"

    def undo(self):
        """Takes back the newest command that stands; that one is done again at once, so that
        what must be there does not shrink to nothing."""
        token = f"undone {self.turn}"
        self.place.must("amend", "BASE-2", f"note={token}")
        kept = self.kill("undo")
        note = self.notes()[0]["BASE-2"]
        check("an undo is whole", (note != token) == kept, note)

    def hold(self):
        plants, crosses = self.notes()
        for code, note in self.plants.items():
            check("a plant is there", code in plants, code, self.turn)
            check("with what was last said of it", plants[code] == note, code,
                  plants[code], note)
        for token in self.crosses:
            check("a cross is there", token in crosses, token)
            check("whole", crosses[token]["flowers"] == 3 and crosses[token]["pollen_parents"])
        others = set(plants) - set(self.plants) - {"BASE-2"}
        check("nothing is there that was not kept", not others, others)
        check("no cross either", set(crosses) == set(self.crosses))

    def step(self):
        self.turn += 1
        self.rng.choice([self.record, self.record, self.amend, self.receive, self.look,
                         self.undo])()
        self.hold()


def kill_acts(rng):
    with Place() as place:
        script = Script(place, rng)
        while script.acks["killed"] < KILLS:
            script.step()
            if script.turn > 20 * KILLS:
                fail(f"only {script.acks['killed']} of {script.turn} were killed")
        print(json.dumps({"kills": script.acks["killed"],
                          "acknowledged": script.acks["done"],
                          "kept_though_killed": script.acks["kept"]}))
        check("some were acknowledged", script.acks["done"] > 0)


def kill_files(rng, name, *words):
    """What replaces a file whole: the old content or the new, never a torn one."""
    with Place() as place:
        for i in range(40):
            place.must("cross", f"A-{i}=Ludisia discolor", f"B-{i}=Macodes petola",
                       "--note", "x" * 3000)
        target = place.path / name
        command = [*words, "--out", name]
        most = 1.3 * duration(place, *command)
        killed, new, turn = 0, 0, 0
        while killed < FILES:
            turn += 1
            if turn > 20 * FILES:
                fail(f"only {killed} of {turn} were killed")
            old = target.read_bytes()
            place.must("amend", "X26-001", f"flowers={turn % 50 + 1}", f"at=turn {turn}",
                       f"note={turn}")
            done = kill_within(place, rng, most, *command)
            got = target.read_bytes()
            place.must(*words, "--out", "whole")
            whole = (place.path / "whole").read_bytes()
            check("the file is the old or the new", got in (old, whole), name, turn)
            check("the new, where that was acknowledged", got == whole or not done)
            check("the book's change is in the new", whole != old, turn)
            killed += not done
            new += got == whole
            place.sound(turn)
        print(json.dumps({"file": name, "kills": killed, "new": new, "runs": turn}))


def main():
    rng = seeded()
    kill_acts(rng)
    kill_files(rng, "all.ics", "calendar")
    kill_files(rng, "all.jsonl", "share", "--with-notes")


main()
