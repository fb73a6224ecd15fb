/*
 * The rows that `podbook cross` writes, those of the history included, in one transaction
 * that is as safe: synced in full, in the write-ahead journal.
 *
 *   bare_cross BOOK SEED-PARENT POLLEN-PARENT   codes of plants
 *
 * The triggers, are dropped by whoever made the book (maker.c): what they write is written
 * here.
 */
#include "bare.h"

#include <stdio.h>

static sqlite3 *db;

/* One statement with up to three parameters; the number that it returns, or of its row. */
static sqlite3_int64 put(const char *sql, const char *text, sqlite3_int64 a,
                         sqlite3_int64 b)
{
    sqlite3_stmt *s = bare_prepare(db, sql);
    (void)sqlite3_bind_text(s, 1, text, -1, SQLITE_STATIC);
    (void)sqlite3_bind_int64(s, 2, a);
    (void)sqlite3_bind_int64(s, 3, b);
    int code = sqlite3_step(s);
    if (code != SQLITE_DONE && code != SQLITE_ROW)
        bare_fail(db);
    sqlite3_int64 n =
        code == SQLITE_ROW ? sqlite3_column_int64(s, 0) : sqlite3_last_insert_rowid(db);
    if (sqlite3_finalize(s) != SQLITE_OK)
        bare_fail(db);
    return n;
}

int main(int argc, char **argv)
{
    char code[40];
    if (argc != 4)
        return 2;
    db = bare_open(argv[1]);
    bare_exec(db, "PRAGMA journal_mode=WAL; BEGIN IMMEDIATE");
    sqlite3_int64 act = put(
        "INSERT INTO act(at,today,command) VALUES(0,'2026-02-16',?1)", argv[2], 0, 0);
    sqlite3_int64 seed = put("SELECT n FROM plant WHERE code=?1", argv[2], 0, 0);
    sqlite3_int64 pollen = put("SELECT n FROM plant WHERE code=?1", argv[3], 0, 0);
    sqlite3_int64 number =
        put("INSERT INTO counter(letter,year,last) VALUES(?1,26,1) ON"
            " CONFLICT DO UPDATE SET last=last+1 RETURNING last",
            "X", 0, 0);
    (void)snprintf(code, sizeof(code), "X26-%03lld", (long long)number);
    sqlite3_int64 crossing = put(
        "INSERT INTO crossing(id,code,revision,modified,seed_parent,pollinated,"
        "flowers,open) VALUES(lower(hex(randomblob(18))),?1,1,0,?2,'2026-02-16',4,1)",
        code, seed, 0);
    sqlite3_int64 parent = put("INSERT INTO pollen_parent(crossing,place,plant)"
                               " VALUES(?2,0,?3)",
                               NULL, crossing, pollen);
    (void)put("INSERT INTO change(act,tbl,row,code) VALUES(?2,'crossing',?3,?1)", code,
              act, crossing);
    (void)put("INSERT INTO change(act,tbl,row,code) VALUES(?2,'pollen_parent',?3,?1)",
              code, act, parent);
    bare_exec(db, "COMMIT");
    (void)printf("%s\n", code);
    return sqlite3_close(db) == SQLITE_OK ? 0 : 1;
}
