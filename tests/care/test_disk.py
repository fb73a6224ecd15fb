#!/usr/bin/python3
"""A book on a network's disk is warned of once a writing command, and does without WAL."""
import sqlite3

from care import BUILD, Place, check

NFS = {"LD_PRELOAD": str(BUILD / "tests" / "libstatfs_shim.so"), "PB_FAKE_DISK": "0x6969"}
LOCAL = dict(NFS, PB_FAKE_DISK="0xEF53")


def has_wal(path):
    return path.read_bytes()[18] == 2


def warnings(place, *words, **more):
    status, _, err = place.run(*words, **more)
    check(f"podbook {' '.join(words)} is done", status == 0, err)
    return err.count("(nfs)")


def made_there():
    with Place() as place:
        check("the first write warns", warnings(place, "plant", "A", "Ludisia", **NFS) == 1)
        check("no WAL there", not has_wal(place.book))
        check("nor after the next", warnings(place, "plant", "B", "Ludisia", **NFS) == 1 and
              not has_wal(place.book))
        check("reading does not warn", warnings(place, "list", "plants", **NFS) == 0)
        check("nor verifying", warnings(place, "verify", **NFS) == 0)
        check("nor does a disk of this machine",
              warnings(place, "plant", "C", "Ludisia", **LOCAL) == 0)
        check("which has WAL", has_wal(place.book))
        check("only book and nothing else", [p.name for p in place.path.iterdir()] ==
              ["book.db"])


def brought_there():
    with Place() as place:
        place.must("plant", "A", "Ludisia")
        check("a book here has WAL", has_wal(place.book))
        place.must("verify", **NFS)
        check("verify leaves it", has_wal(place.book))
        place.must("list", "plants", **NFS)
        check("the first reading there turns it back", not has_wal(place.book))
        check("and leaves no memory file", not place.book.with_name("book.db-shm").exists())
        place.sound()


def in_use():
    """Another program has it open: it stays as it is, and works."""
    with Place() as place:
        place.must("plant", "A", "Ludisia")
        other = sqlite3.connect(place.book, isolation_level=None)
        other.execute("SELECT count(*) FROM plant").fetchall()
        check("done all the same", warnings(place, "plant", "B", "Ludisia", **NFS) == 1)
        check("still WAL", has_wal(place.book))
        check("the other sees it", other.execute("SELECT count(*) FROM plant").fetchone() ==
              (2,))
        other.close()
        place.sound()


def of_others():
    """A database of another program is left alone."""
    with Place() as place:
        path = place.path / "other.db"
        other = sqlite3.connect(path)
        other.execute("PRAGMA journal_mode=WAL")
        other.execute("CREATE TABLE t(a)")
        other.close()
        before = path.read_bytes()
        for words in (("list", "plants"), ("plant", "A", "Ludisia")):
            status, _, err = place.run("--book", str(path), *words, **NFS)
            check("refused", status == 1 and "of another program" in err, err)
        check("unchanged", path.read_bytes() == before and has_wal(path))


made_there()
brought_there()
in_use()
of_others()
