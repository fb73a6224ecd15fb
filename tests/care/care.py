"""What the tests of this folder share: the program, a folder of their own, how to fail.

They hold the promises of podbook(1), "DURABILITY".  Most take --long, for the night; the
short run is for every day.
"""
import json
import os
import pathlib
import random
import subprocess
import sys
import tempfile

BUILD = pathlib.Path(os.environ["PB_BUILD"]).resolve()
PODBOOK = BUILD / "podbook"
LONG = "--long" in sys.argv[1:]


def number(name, short, long):
    """A figure of the test: its own option, else by the length of the run."""
    if name in sys.argv[1:]:
        return int(sys.argv[sys.argv.index(name) + 1])
    return long if LONG else short


def seeded():
    """Random numbers that can be had again: PB_SEED, which is printed."""
    seed = int(os.environ.get("PB_SEED", random.SystemRandom().randrange(1 << 32)))
    print(f"PB_SEED={seed}")
    return random.Random(seed)


def fail(text):
    sys.exit(f"FAILED: {text}")


def check(claim, holds, *seen):
    if not holds:
        fail("; ".join([claim, *map(str, seen)]))


class Place:
    """An empty folder with a book in it, and podbook as it is run there."""

    def __enter__(self):
        self.folder = tempfile.TemporaryDirectory()
        self.path = pathlib.Path(self.folder.name)
        self.book = self.path / "book.db"
        self.env = dict(os.environ, HOME=str(self.path), PODBOOK_FILE=str(self.book),
                        PODBOOK_TODAY="2026-03-02", SOURCE_DATE_EPOCH="1772452800")
        for name in ("PODBOOK_TEST_SEED", "XDG_DATA_HOME", "XDG_CONFIG_HOME"):
            self.env.pop(name, None)
        return self

    def __exit__(self, *_):
        self.folder.cleanup()

    def start(self, *words, **more):
        env = dict(self.env, **more)
        return subprocess.Popen([str(PODBOOK), *words], cwd=self.path, env=env,
                                stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                                stderr=subprocess.PIPE, text=True)

    def run(self, *words, **more):
        """(exit status, standard output, standard error)"""
        process = self.start(*words, **more)
        out, err = process.communicate()
        return process.returncode, out, err

    def must(self, *words, **more):
        status, out, err = self.run(*words, **more)
        check(f"podbook {' '.join(words)} is done", status == 0, status, err)
        return out

    def json(self, *words, **more):
        return json.loads(self.must(*words, "--json", **more))

    def sound(self, *about):
        status, out, err = self.run("verify")
        check("the book is sound", status == 0, out, err, *about)
