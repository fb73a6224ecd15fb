"""Run a command while somebody reads in the book, so that its journal is not put into it."""
import sqlite3
import subprocess
import sys

book = sqlite3.connect("kept/book.db")
book.execute("BEGIN")
book.execute("SELECT * FROM plant").fetchall()
sys.exit(subprocess.call(sys.argv[1:]))
