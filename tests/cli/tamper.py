"""tamper.py BOOK SQL: change a book as no podbook would."""
import sqlite3
import sys

book = sqlite3.connect(sys.argv[1], isolation_level=None)
act = book.execute("SELECT max(n) FROM act").fetchone()[0]
book.create_function("book_act", 0, lambda: act)
for name in ("book_row", "book_was"):
    book.create_function(name, -1, lambda *_: "{}", deterministic=True)
book.execute("PRAGMA ignore_check_constraints=ON")
book.execute("PRAGMA writable_schema=ON")
book.executescript(sys.argv[2])
book.close()
