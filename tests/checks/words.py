#!/usr/bin/python3
"""Words that have no place in the tree: paths of one machine, hosts that nobody vetted,
whitespace and control characters that do not show.

    words.py [ROOT]

Hosts are held to a list that may only shrink or be argued for: published sources, the
standards that the formats follow, and names reserved for examples.
Prints "FILE:LINE: what", exit status 1 where there is any.
"""
import pathlib
import re
import subprocess
import sys

HOSTS = {
    "doi.org",
    "json-schema.org",
    "www.rfc-editor.org",
    "example.org",
    "example.com",
}
# Not written out as they would be found, so that this file holds its own rules.
RULES = [
    (re.compile(r"(?<![\w.])/(?:root|home|mnt|srv|wor[k])(?:/|\b)"), "a path of one machine"),
    (re.compile(r"/tm[p]/(?!\$|X{3})"), "a path of one machine: use mktemp"),
    (re.compile(r'"resolve[d]"\s*:'), "a lock file that says where a package came from"),
    (re.compile(r"[^\S\n]+$"), "blanks at the end of the line"),
    (re.compile("[\u200b-\u200f\u202a-\u202e\u2060-\u2064\u2066-\u2069\ufeff]"),
     "a character that does not show"),
    (re.compile(r"^(<<<<<<<|>>>>>>>) "), "an unfinished merge"),
]
TAB = (re.compile(r"\t"), "a tab")
URL = re.compile(r"\b(?:https?|ftp|git|ssh)://([^/\s\"'<>)\]}:]+)")
DOCUMENT = re.compile(r"\b([\w-]+\.md)\b")
BINARY = {".png", ".ico", ".db", ".gz"}
# What other programs wrote, or input that is wrong on purpose.
LEFT_OUT = ("tests/checks/fixtures/", "tests/fuzz/", "tests/golden/")


def files(root):
    """The files that git knows, else all but the build's."""
    try:
        listed = subprocess.run(
            ["git", "-C", str(root), "ls-files", "-co", "--exclude-standard"],
            check=True, capture_output=True, text=True).stdout.splitlines()
    except (OSError, subprocess.CalledProcessError):
        listed = []
    if not listed:
        listed = [str(p.relative_to(root)) for p in root.rglob("*")
                  if p.is_file() and not {".git", ".build"} & set(p.relative_to(root).parts)]
    return [p for p in sorted(listed)
            if not p.startswith(LEFT_OUT) and pathlib.Path(p).suffix not in BINARY
            and (root / p).is_file()]


def faults_of(path, text, documents):
    rules = RULES
    if path.startswith(("lib/", "cmd/")) and path.endswith((".c", ".h", ".def")):
        rules = RULES + [TAB]
    for n, line in enumerate(text.split("\n"), 1):
        for pattern, what in rules:
            if pattern.search(line.rstrip("\r") if path.endswith(".ics") else line):
                yield n, what
        for host in URL.findall(line):
            if host.lower() not in HOSTS:
                yield n, f"a host that is not on the list of words.py: {host}"
        for name in DOCUMENT.findall(line):
            if name not in documents:
                yield n, f"names a document that is not in the tree: {name}"
    if text and not text.endswith("\n"):
        yield len(text.split("\n")), "the last line does not end"


def main():
    root = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ".").resolve()
    faults = 0
    paths = files(root)
    documents = {pathlib.Path(p).name for p in paths} | {"README.md", "DEVELOPERS.md"}
    for path in paths:
        try:
            text = (root / path).read_bytes().decode("utf-8")
        except UnicodeDecodeError:
            print(f"{path}: not UTF-8")
            faults += 1
            continue
        for n, what in faults_of(path, text, documents):
            print(f"{path}:{n}: {what}")
            faults += 1
    if not paths:
        sys.exit("words: found no file")
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
