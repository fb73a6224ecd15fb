#!/usr/bin/python3
"""Every promise of podbook(1), DURABILITY, has a test, and every test named is there.

    promises.py ROOT
"""
import pathlib
import re
import subprocess
import sys


def promised(root):
    """The sentences of the section, as a reader sees them."""
    page = subprocess.run(["mandoc", "-T", "utf8", "-O", "width=900",
                           str(root / "man/podbook.1")], check=True, capture_output=True,
                          text=True).stdout
    text = re.sub(r".\x08", "", page).partition("DURABILITY\n")[2]
    text = " ".join(re.split(r"\n(?=\S)", text)[0].split())
    return re.split(r"(?<=\.) (?=[A-Zp])", text) if text else []


def held(root):
    """{sentence: [test]}"""
    sentences, last = {}, None
    for line in (root / "tests/care/promises").read_text(encoding="utf-8").splitlines():
        if line.startswith("    "):
            sentences[last].append(line.strip())
        elif line and not line.startswith("#"):
            last = line
            sentences[last] = []
    return sentences


def is_there(root, test):
    kind, _, name = test.partition("/")
    tests = root / "tests"
    return (any((tests / kind / file).is_file()
                for file in (f"test_{name}.py", f"test_{name}.c", f"trial_{name}.c",
                             f"target_{name}.c", f"{name}.c")) or
            (tests / kind / name / "cmd").is_file())


def main():
    root = pathlib.Path(sys.argv[1])
    faults = []
    man, tests = promised(root), held(root)
    if not man:
        faults.append("podbook.1: promises nothing")
    for sentence in man:
        if not tests.get(sentence):
            faults.append(f"podbook.1: no test for \"{sentence}\"")
    for sentence, names in tests.items():
        if sentence not in man:
            faults.append(f"promises: podbook.1 does not say \"{sentence}\"")
        faults += [f"promises: no test {name}" for name in names if not is_there(root, name)]
    for fault in faults:
        print(fault)
    sys.exit(1 if faults else 0)


main()
