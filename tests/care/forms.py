#!/usr/bin/python3
"""Books of every form that was released, kept as SQL text in forms/form_N.sql.

  forms.py check SOURCE PODBOOK     is the form that PODBOOK makes the newest of them?
  forms.py make SOURCE PODBOOK      write the book of a form that has none yet, or (--anew)
                                    of one that nobody has yet

A book of each is opened by care/forms and by the cases of cli/.
"""
import os
import pathlib
import re
import sqlite3
import subprocess
import sys
import tempfile

SCHEMA = ("SELECT type,name,sql FROM sqlite_schema WHERE name NOT LIKE 'sqlite~_%'"
          " ESCAPE '~' ORDER BY type,name")


def steps(source):
    """The story of trials.def, as far as it is told in one book."""
    text = (source / "tests/care/trials.def").read_text()
    for seed, words in re.findall(r'^STEP\((\d+), "(.*)"\)$', text, re.M):
        words = words.split("|")
        if seed == "1" and words[0] not in ("backup", "calendar"):
            yield words


def tell(podbook, folder, story):
    env = dict(os.environ, HOME=str(folder), PODBOOK_FILE=str(folder / "book.db"),
               PODBOOK_TODAY="2026-03-02", SOURCE_DATE_EPOCH="1772452800",
               PODBOOK_TEST_SEED="1")
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME"):
        env.pop(name, None)
    for words in story:
        subprocess.run([podbook, *words], cwd=folder, env=env, check=True,
                       stdout=subprocess.DEVNULL)
    return sqlite3.connect(folder / "book.db")


def load(sql, path):
    """Make the book of an SQL text."""
    book = sqlite3.connect(path)
    book.executescript(sql.read_text())
    book.close()


def number(book, name):
    return book.execute(f"PRAGMA {name}").fetchone()[0]


def dump(book):
    yield f"PRAGMA application_id={number(book, 'application_id')};"
    yield f"PRAGMA user_version={number(book, 'user_version')};"
    yield from book.iterdump()


def goldens(source):
    return {int(path.stem.split("_")[1]): path
            for path in (source / "tests/care/forms").glob("form_*.sql")}


def make(source, podbook, folder):
    book = tell(podbook, folder, steps(source))
    form = number(book, "user_version")
    if form in goldens(source) and "--anew" not in sys.argv:
        sys.exit(f"form {form} has its book, and it is for ever")
    target = source / f"tests/care/forms/form_{form}.sql"
    target.parent.mkdir(exist_ok=True)
    target.write_text("\n".join(dump(book)) + "\n")
    print(target)


def check(source, podbook, folder):
    kept = goldens(source)
    book = tell(podbook, folder, [["plant", "A", "Ludisia"]])
    form = number(book, "user_version")
    if sorted(kept) != list(range(1, form + 1)):
        sys.exit(f"books of the forms {sorted(kept)} are kept, of 1 to {form} there should "
                 "be one each: tests/care/forms.py make")
    load(kept[form], folder / "kept.db")
    is_now = book.execute(SCHEMA).fetchall()
    was = sqlite3.connect(folder / "kept.db").execute(SCHEMA).fetchall()
    if is_now != was:
        for row in sorted(set(is_now) ^ set(was)):
            print("now:" if row in is_now else "was:", *row)
        sys.exit(f"form {form} is not what its book in tests/care/forms is: a form never "
                 "changes, add one (DEVELOPERS.md, \"A migration\")")


def main():
    what, source, podbook = sys.argv[1:4]
    with tempfile.TemporaryDirectory() as folder:
        {"make": make, "check": check}[what](pathlib.Path(source), podbook,
                                             pathlib.Path(folder))


if __name__ == "__main__":
    main()
