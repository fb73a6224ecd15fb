#!/usr/bin/python3
"""Break the code on purpose, one place at a time, and see a test fail each time.

    mutate.py [--every N] [--only TEXT] [--unit] [--say] [--list] [--jobs N]

What is broken is in mutants.py.  Each mutant is its one source compiled as a shared
library that goes before the project's own, so that no program is linked again; then the
unit tests of its subject run until one fails; where none does they run again with the
mutant under gcc's address sanitizer, where what leaks fails too, and then the cases of
tests/cli and examples.  PB_BUILD names the build (.build/dev).

    --every N    only each N-th mutant
    --only TEXT  only those with this in their name
    --unit       the unit tests alone, not the cases
    --list       print the names, run nothing
    --say        say what killed each
    --jobs N     at a time (the machine's processors)

Prints each mutant that survives, then "N mutants, N killed, N survived".  One may survive
if the file "equal" lists it with a reason; listed ones get the unit tests alone.  Exit
status 1 where another survives, where one that is listed does not, and where one that is
listed is not there.
"""
import argparse
import concurrent.futures
import functools
import os
import pathlib
import queue
import re
import resource
import shlex
import shutil
import subprocess
import sys
import tempfile
import time

import mutants

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
BUILD = pathlib.Path(os.environ.get("PB_BUILD", ROOT / ".build/dev")).resolve()
LAYERS = ["act", "book", "exchange", "core", "base"]
# what is out of bounds or overflows is a trap, and no luck
FLAGS = ["-std=c11", "-O1", "-fPIC", "-w", f"-I{ROOT / 'lib'}", "-fsanitize=undefined,bounds-strict",
         "-fsanitize-undefined-trap-on-error"]
MEMORY = 1 << 29   # bytes of a mutant's test
SLOWER = 10        # times as much time as the test needs: it hangs
QUICK = 0.3        # seconds; what takes longer is not run under the sanitizer
LEAST_SECONDS = 3  # of processor time that any test gets

# Which unit tests may find a mutant: those whose name holds one of these words, in their
# order.  The cases see the others.
SUBJECTS = [
    (r"courses\.c$", ["moves", "course", "life", "task", "shoot", "units", "kept", "batch"]),
    (r"course_tasks|task\.c$", ["task", "plan", "course", "shoot"]),
    (r"course|life\.c$", ["life", "replay", "course", "units", "task", "shoot", "kept"]),
    (r"ripening_law", ["ripening_law", "ripening"]),
    (r"ripening_kernel", ["ripening_kernel", "ripening"]),
    (r"ripening_data", ["ripening"]),
    (r"ripening", ["ripening"]),
    (r"setrate", ["setrate"]),
]


def said(words, **more):
    return subprocess.run([str(w) for w in words], check=True, capture_output=True,
                          text=True, **more).stdout


@functools.cache
def sanitizer():
    return said(["gcc", "-print-file-name=libasan.so"]).strip()


class Test:
    """A program of unit tests, and the processor time it takes."""

    def __init__(self, name):
        self.name, self.seconds = name, 60.0

    def passes(self, place, sanitized=False):
        limit = max(LEAST_SECONDS, int(self.seconds * SLOWER) + 1)
        env = dict(os.environ)
        if sanitized:
            env.update(LD_PRELOAD=sanitizer(), ASAN_OPTIONS="allocator_may_return_null=1:"
                       f"hard_rss_limit_mb={MEMORY >> 20}")

        def held():
            resource.setrlimit(resource.RLIMIT_CPU, (limit, limit))
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
            if not sanitized:  # its shadow is larger than any memory
                resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))

        done = subprocess.run([place / self.name], cwd=place, preexec_fn=held, env=env,
                              stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
                              stderr=subprocess.DEVNULL)
        return done.returncode == 0


class Place:
    """A folder with the programs, linked so that libpbmutant.so beside them is read
    before the project's own code."""

    def __init__(self, folder, tests):
        self.path, self.tests = pathlib.Path(folder), tests

    def link(self):
        """Link all of it once."""
        link = said(["ninja", "-C", BUILD, "-t", "commands", "podbook"]).splitlines()[-1]
        words = shlex.split(link)
        libraries = [w for w in words if w.endswith(".so") or re.match(r"-l\w", w)]
        libraries += ["-lcmocka"]
        archives = [BUILD / f"libpb_{layer}.a" for layer in LAYERS]
        said(["gcc", "-shared", "-o", self.path / "libpbwhole.so", "-Wl,--whole-archive",
              *archives, "-Wl,--no-whole-archive", *libraries])
        self.put("")
        ours = [f"-L{self.path}", "-Wl,--no-as-needed", "-lpbmutant", "-lpbwhole",
                "-Wl,-rpath,$ORIGIN", *libraries]
        program = [BUILD / w for w in words if w.endswith(".o")]
        said(["gcc", "-o", self.path / "podbook", *program, *ours])
        with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
            list(pool.map(lambda test: said(
                ["gcc", "-o", self.path / test.name, object_of(test.name), *ours]),
                self.tests))

    def copy(self, folder):
        shutil.copytree(self.path, folder, copy_function=os.link)
        return Place(folder, self.tests)

    def put(self, text, *flags):
        """Compile a text in the place of a source; False: it is not C."""
        out = self.path / "libpbmutant.so"
        out.unlink(missing_ok=True)
        done = subprocess.run(["gcc", "-shared", *FLAGS, *flags, "-x", "c", "-", "-o", out], input=text, text=True,
                              stderr=subprocess.DEVNULL)
        return done.returncode == 0

    def failing(self, path, sanitized=False):
        """The first test that fails; None: all pass."""
        return next((t.name for t in ordered(self.tests, path)
                     if not (sanitized and t.seconds > QUICK) and
                     not t.passes(self.path, sanitized)), None)

    def failing_case(self):
        for case in cases():
            done = subprocess.run(["sh", ROOT / "tests/cli/run-case.sh", "--bin",
                                   self.path, case], stdin=subprocess.DEVNULL,
                                  stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            if done.returncode != 0:
                return case
        return None


def object_of(name):
    return BUILD / f"tests/CMakeFiles/{name}.dir/unit/{name}.c.o"


def cases():
    return [str(p.parent) for folder in ("tests/cli", "examples")
            for p in sorted((ROOT / folder).glob("*/cmd"))]


def ordered(tests, path):
    words = next((w for pattern, w in SUBJECTS if re.search(pattern, path)), [])

    def rank(test):
        return next((i for i, w in enumerate(words) if w in test.name), None)

    return sorted((t for t in tests if rank(t) is not None), key=lambda t: (rank(t), t.name))


class Run:
    """The places, the tests, and what has come of each mutant."""

    def __init__(self, folder, jobs):
        of_any = re.compile("|".join(w for _, words in SUBJECTS for w in words))
        self.tests = [Test(p.stem) for p in sorted((ROOT / "tests/unit").glob("test_*.c"))
                      if of_any.search(p.stem) and object_of(p.stem).exists()]
        self.first = Place(folder / "0", self.tests)
        self.first.path.mkdir()
        self.first.link()
        self.places = queue.Queue()
        for i in range(jobs):
            self.places.put(self.first.copy(folder / str(i + 1)))

    def check(self, paths):
        """The tests pass on sources that are not broken, put in the same way."""
        for path in paths:
            text = (ROOT / path).read_text(encoding="utf-8")
            for flags in ["-fsanitize=address"], []:
                if not self.first.put(text, *flags):
                    sys.exit(f"mutate: {path} does not compile")
                by = self.first.failing(path, bool(flags))
                if by is not None:
                    sys.exit(f"mutate: {by} fails, and nothing is broken in {path}")

    def time(self):
        for test in self.tests:
            before = resource.getrusage(resource.RUSAGE_CHILDREN)
            test.passes(self.first.path)
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            test.seconds = (after.ru_utime + after.ru_stime -
                            before.ru_utime - before.ru_stime)

    @functools.cached_property
    def sound_cases(self):
        case = self.first.failing_case()
        if case is not None:
            sys.exit(f"mutate: {case} fails, and nothing is broken")
        return True

    def killed_by(self, mutant, only_units):
        """What fails; None: nothing does; "": it is not C."""
        place = self.places.get()
        try:
            if not place.put(mutant.text()):
                return ""
            by = place.failing(mutant.path)
            if by is None:
                place.put(mutant.text(), "-fsanitize=address")
                by = place.failing(mutant.path, sanitized=True)
                place.put(mutant.text())
            if by is None and not only_units and self.sound_cases:
                by = place.failing_case()
            return by
        finally:
            self.places.put(place)


def listed():
    """The names in the file "equal".  A reason stands indented below what it is of."""
    names, waiting = set(), []
    for line in (HERE / "equal").read_text(encoding="utf-8").splitlines():
        if line.startswith("    "):
            waiting = []
        elif line.strip() and not line.startswith("#"):
            waiting.append(line)
            names.add(line)
    if waiting:
        sys.exit(f"mutate: equal gives no reason for: {waiting[0]}")
    return names


def options():
    parser = argparse.ArgumentParser()
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--only", default="")
    parser.add_argument("--unit", action="store_true")
    parser.add_argument("--say", action="store_true")
    parser.add_argument("--list", action="store_true")
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    return parser.parse_args()


def main():
    wanted = options()
    if not (BUILD / "build.ninja").exists():
        print("skipped: what ninja built is needed")
        return 77
    every = list(mutants.every(ROOT))
    equal = listed()
    faults = [f"listed as equal, but there is none: {name}"
              for name in sorted(equal - {m.name for m in every})]
    chosen = [m for m in every[::wanted.every] if wanted.only in m.name]
    if wanted.list:
        print("\n".join(m.name for m in chosen))
        return 0
    killed = survived = broken = 0
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="mutate-") as folder:
        run = Run(pathlib.Path(folder), wanted.jobs)
        run.time()
        run.check(sorted({m.path for m in chosen}))
        with concurrent.futures.ThreadPoolExecutor(wanted.jobs) as pool:
            work = [(m, pool.submit(run.killed_by, m, wanted.unit or m.name in equal))
                    for m in chosen]
            for mutant, done in work:
                by = done.result()
                killed += bool(by)
                survived += by is None
                broken += by == ""
                if by is None and mutant.name not in equal:
                    faults.append(f"survived: {mutant.name}")
                    print(faults[-1], flush=True)
                elif by and mutant.name in equal:
                    faults.append(f"listed as equal, but killed by {by}: {mutant.name}")
                if wanted.say:
                    print(f"{by}: {mutant.name}", flush=True)
    print("\n".join(f for f in faults if not f.startswith("survived")))
    print(f"{broken} more were no C; {time.monotonic() - began:.0f} s")
    print(f"{killed + survived} mutants, {killed} killed, {survived} survived")
    return 1 if faults or killed == 0 else 0


if __name__ == "__main__":
    sys.exit(main())
