#!/usr/bin/python3
"""The manual says what the program does: pages, synopses, summaries, options, examples.

    docs.py ROOT BIN      BIN: the directory of the program

Every command has the page podbook-NAME.1 and every such page a command; podbook.1 refers to
each.  A page's SYNOPSIS is the usage that "podbook help NAME" prints, its one-line
description the summary, and it lists the options that the command has, no more; the common
ones are listed in podbook.1.  Each example (a displayed line "$ ...") of a page is run as a
reader sees it, on the book that checks/man-setup makes, and must succeed.
"""
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
EXAMPLE = re.compile(r"^ +\$ (.+)$", re.M)
LISTED = re.compile(r"^\.It Fl -([a-z][a-z-]*)", re.M)


class Faults:
    """Says each fault and counts them."""

    def __init__(self):
        self.count = 0

    def say(self, where, what):
        print(f"{where}: {what}")
        self.count += 1


def run(*words):
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout


def one_line(text):
    return " ".join(text.split())


def help_of(program, name):
    """(usage, summary, own options, common options) as the program prints them."""
    parts = run(program, "help", name).split("\n\n")
    usage = one_line(parts[0].removeprefix("usage:"))
    summary = parts[1].partition(": ")[2].strip()
    own, common = set(), set()
    for part in parts[2:]:
        found = set(re.findall(r"^  --([a-z][a-z-]*)", part, re.M))
        if part.startswith("Options of every command:"):
            common |= found
        elif part.startswith("Options:"):
            own |= found
    return usage, summary, own, common


def printed(page):
    """The page as a reader sees it, in lines that are wide enough not to break."""
    return re.sub(r".\x08", "", run("mandoc", "-T", "utf8", "-O", "width=900", str(page)))


def synopsis_of(page):
    """The section as it is printed, on one line."""
    section = printed(page).partition("SYNOPSIS\n")[2]
    return one_line(re.split(r"\n(?=\S)", section)[0])


def compare_options(faults, page, listed, has):
    for name in sorted(has - listed):
        faults.say(page, f"does not list --{name}")
    for name in sorted(listed - has):
        faults.say(page, f"lists --{name}, which the program does not have")


def compare_page(faults, program, name, path):
    """One command's page; returns the common options that its help names."""
    usage, summary, own, common = help_of(program, name)
    page, text = path.name, path.read_text(encoding="utf-8")
    if synopsis_of(path) != usage:
        faults.say(page, f"SYNOPSIS is not the usage:\n  {synopsis_of(path)}\n  {usage}")
    description = re.search(r"^\.Nd (.*)$", text, re.M)
    if not description or description.group(1) != summary:
        faults.say(page, f'.Nd is not the summary "{summary}"')
    compare_options(faults, page, set(LISTED.findall(text)), own)
    return common


def replay(program, case, commands):
    (case / "cmd").write_text("\n".join(commands) + "\n", encoding="utf-8")
    return run("sh", str(HERE.parent / "cli/run-case.sh"), "--print", "--bin",
               str(pathlib.Path(program).parent), str(case))


def say_failures(faults, page, said):
    """What a replay holds of commands that failed."""
    stopped = r"\[(exit|the commands stopped)"
    if not re.search("^" + stopped, said, re.M):
        return
    command = ""
    for line in said.split("\n"):
        if line.startswith("$ "):
            command = line
        if re.match("! |" + stopped, line):
            faults.say(page, f"{command}\n  {line}")


def make_book(faults, program, place):
    """The book that the examples find; each page gets its own copy."""
    case = place / "setup"
    case.mkdir()
    setup = (HERE / "man-setup").read_text(encoding="utf-8").splitlines()
    said = replay(program, case, setup + [f"cp book.db '{place}/book.db'"])
    say_failures(faults, "man-setup", said)


def run_examples(faults, program, path, place):
    """Run the page's examples in order, in a directory with nothing but the book."""
    examples = EXAMPLE.findall(printed(path))
    if not examples:
        faults.say(path.name, "has no example")
        return
    case = place / path.name
    case.mkdir()
    shutil.copy(place / "book.db", case)
    say_failures(faults, path.name, replay(program, case, examples))


def check(faults, program, root, place):
    commands = set(re.findall(r"^  ([a-z][a-z-]*) ", run(program, "help"), re.M))
    if not commands:
        sys.exit("docs: podbook help lists no command")
    main_page = root / "man/podbook.1"
    main_text = main_page.read_text(encoding="utf-8") if main_page.exists() else ""
    common = set()
    make_book(faults, program, place)
    for name in sorted(commands):
        path = root / f"man/podbook-{name}.1"
        if not path.exists():
            faults.say("help", f"{name} has no page podbook-{name}.1")
            continue
        common |= compare_page(faults, program, name, path)
        run_examples(faults, program, path, place)
        if f".Xr podbook-{name} 1" not in main_text:
            faults.say("podbook.1", f"does not refer to podbook-{name}(1)")
    for path in sorted((root / "man").glob("podbook-*.1")):
        if path.name[len("podbook-"):-2] not in commands:
            faults.say(path.name, "is the page of no command")
    compare_options(faults, "podbook.1", set(LISTED.findall(main_text)), common)
    run_examples(faults, program, main_page, place)


def main():
    faults = Faults()
    program = str(pathlib.Path(sys.argv[2]).resolve() / "podbook")
    with tempfile.TemporaryDirectory() as place:
        check(faults, program, pathlib.Path(sys.argv[1]), pathlib.Path(place))
    sys.exit(1 if faults.count else 0)


if __name__ == "__main__":
    main()
