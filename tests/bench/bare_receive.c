/*
 * What taking in records costs at least: parses each line with jansson, looks up each id,
 * and inserts the rows that `podbook receive` inserts, those of the history included, in one
 * transaction.
 *
 *   bare_receive BOOK   an empty book without triggers; the records on standard input
 *
 * It takes the tables, their checks and indexes as they are.  What the triggers write, the
 * history and how often a taxon changed, it writes itself, the latter once at the end.  Nothing is checked that SQLite does not check.
 */
#include "bare.h"

#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { LINE = 1 << 16, KEY = 100, TAXA_MAX = 200 };

/* ORDER with sql */
enum {
    FIND_PLANT,
    FIND_CROSS,
    FIND_LOOK,
    ADD_PLANT,
    ADD_CROSS,
    ADD_POLLEN,
    ADD_LOOK,
    ADD_HARVEST,
    ADD_CHANGE,
    COUNT_CODE,
    STATEMENT_N
};
static const char *const sql[STATEMENT_N] = {
    "SELECT n FROM plant WHERE id=?",
    "SELECT n FROM crossing WHERE id=?",
    "SELECT n FROM look WHERE id=?",
    "INSERT INTO plant(id,code,origin_code,revision,modified,taxon,taxon_key,origin)"
    " VALUES(?1,?2,?2,?3,?4,?5,?6,'unknown')",
    "INSERT INTO crossing(id,code,origin_code,revision,modified,seed_parent,pollinated,"
    "flowers,flower_age,open) VALUES(?1,?2,?2,?3,?4,?5,?6,?7,?8,?9)",
    "INSERT INTO pollen_parent(crossing,place,plant) VALUES(?,?,?)",
    "INSERT INTO look(id,crossing,number,day,found,count) VALUES(?,?,?,?,?,?)",
    "INSERT INTO harvest(crossing,number,day,count,state) VALUES(?,?,?,?,?)",
    "INSERT INTO change(tbl,row,code,act) VALUES(?,?,?,?)",
    "INSERT INTO counter(letter,year,last) VALUES('X',?,?)"
    " ON CONFLICT DO UPDATE SET last=max(last,excluded.last)",
};

static struct {
    sqlite3 *db;
    sqlite3_stmt *s[STATEMENT_N];
    struct {
        char key[KEY]; /* genus and species */
        int changes;
    } taxa[TAXA_MAX];
    int taxon_n;
} here;

static void bind_text(sqlite3_stmt *s, int i, const char *text)
{
    (void)sqlite3_bind_text(s, i, text, -1, SQLITE_STATIC);
}

static const char *get(const json_t *obj, const char *key)
{
    return json_string_value(json_object_get(obj, key));
}

static json_int_t get_int(const json_t *obj, const char *key)
{
    return json_integer_value(json_object_get(obj, key));
}

/* The row of an id, 0: none. */
static sqlite3_int64 find(int statement, const char *id)
{
    sqlite3_stmt *s = here.s[statement];
    bind_text(s, 1, id);
    sqlite3_int64 n = sqlite3_step(s) == SQLITE_ROW ? sqlite3_column_int64(s, 0) : 0;
    (void)sqlite3_reset(s);
    return n;
}

static void run(int statement)
{
    if (sqlite3_step(here.s[statement]) != SQLITE_DONE)
        bare_fail(here.db);
    (void)sqlite3_reset(here.s[statement]);
}

/* A row was added: its number, noted in the history. */
static sqlite3_int64 added(int statement, const char *table, const char *code)
{
    sqlite3_stmt *change = here.s[ADD_CHANGE];
    run(statement);
    sqlite3_int64 n = sqlite3_last_insert_rowid(here.db);
    bind_text(change, 1, table);
    (void)sqlite3_bind_int64(change, 2, n);
    bind_text(change, 3, code);
    run(ADD_CHANGE);
    return n;
}

static void count_change(const char *taxon)
{
    int i = 0;
    while (i < here.taxon_n && strcmp(here.taxa[i].key, taxon) != 0)
        i++;
    if (i == TAXA_MAX)
        bare_fail(NULL);
    if (i == here.taxon_n)
        (void)snprintf(here.taxa[here.taxon_n++].key, KEY, "%s", taxon);
    here.taxa[i].changes++;
}

static void keep_changes(void)
{
    sqlite3_stmt *s = bare_prepare(here.db, "INSERT INTO taxon_change VALUES(?,?)");
    for (int i = 0; i < here.taxon_n; i++) {
        bind_text(s, 1, here.taxa[i].key);
        (void)sqlite3_bind_int(s, 2, here.taxa[i].changes);
        if (sqlite3_step(s) != SQLITE_DONE)
            bare_fail(here.db);
        (void)sqlite3_reset(s);
    }
    (void)sqlite3_finalize(s);
}

/* Parameters 1 to 4 of a record. */
static void bind_head(sqlite3_stmt *s, const json_t *rec)
{
    struct tm tm = {0};
    const char *when = get(rec, "modified");
    tm.tm_year = atoi(when) - 1900;
    tm.tm_mon = atoi(when + 5) - 1;
    tm.tm_mday = atoi(when + 8);
    tm.tm_hour = atoi(when + 11);
    tm.tm_min = atoi(when + 14);
    tm.tm_sec = atoi(when + 17);
    bind_text(s, 1, get(rec, "id"));
    bind_text(s, 2, get(rec, "code"));
    (void)sqlite3_bind_int64(s, 3, get_int(rec, "revision"));
    (void)sqlite3_bind_int64(s, 4, (sqlite3_int64)timegm(&tm));
}

static void add_plant(const json_t *rec)
{
    sqlite3_stmt *s = here.s[ADD_PLANT];
    if (find(FIND_PLANT, get(rec, "id")) != 0)
        bare_fail(NULL);
    bind_head(s, rec);
    bind_text(s, 5, get(rec, "taxon"));
    bind_text(s, 6, get(rec, "taxon")); /* no more than genus and species here */
    (void)added(ADD_PLANT, "plant", get(rec, "code"));
}

static void add_pollen(const json_t *rec, sqlite3_int64 crossing, const char *code)
{
    size_t i;
    json_t *item;
    sqlite3_stmt *s = here.s[ADD_POLLEN];
    json_array_foreach(json_object_get(rec, "pollen_parents"), i, item)
    {
        (void)sqlite3_bind_int64(s, 1, crossing);
        (void)sqlite3_bind_int64(s, 2, (sqlite3_int64)i);
        (void)sqlite3_bind_int64(s, 3, find(FIND_PLANT, get(item, "id")));
        (void)added(ADD_POLLEN, "pollen_parent", code);
    }
}

static void add_looks(const json_t *rec, sqlite3_int64 crossing, const char *code)
{
    size_t i;
    json_t *item;
    sqlite3_stmt *s = here.s[ADD_LOOK];
    json_array_foreach(json_object_get(rec, "looks"), i, item)
    {
        if (find(FIND_LOOK, get(item, "id")) != 0)
            bare_fail(NULL);
        bind_text(s, 1, get(item, "id"));
        (void)sqlite3_bind_int64(s, 2, crossing);
        (void)sqlite3_bind_int64(s, 3, (sqlite3_int64)i + 1);
        bind_text(s, 4, get(item, "on"));
        bind_text(s, 5, get(item, "found"));
        (void)sqlite3_bind_int64(s, 6, get_int(item, "count"));
        (void)added(ADD_LOOK, "look", code);
        count_change(get(json_object_get(rec, "seed_parent"), "taxon"));
    }
}

static void add_harvests(const json_t *rec, sqlite3_int64 crossing, const char *code)
{
    size_t i;
    json_t *item;
    sqlite3_stmt *s = here.s[ADD_HARVEST];
    json_array_foreach(json_object_get(rec, "harvests"), i, item)
    {
        (void)sqlite3_bind_int64(s, 1, crossing);
        (void)sqlite3_bind_int64(s, 2, (sqlite3_int64)i + 1);
        bind_text(s, 3, get(item, "on"));
        (void)sqlite3_bind_int64(s, 4, get_int(item, "count"));
        bind_text(s, 5, get(item, "as"));
        (void)added(ADD_HARVEST, "harvest", code);
        count_change(get(json_object_get(rec, "seed_parent"), "taxon"));
    }
}

static void add_cross(const json_t *rec)
{
    sqlite3_stmt *s = here.s[ADD_CROSS], *counter = here.s[COUNT_CODE];
    const char *code = get(rec, "code");
    if (find(FIND_CROSS, get(rec, "id")) != 0)
        bare_fail(NULL);
    bind_head(s, rec);
    (void)sqlite3_bind_int64(
        s, 5, find(FIND_PLANT, get(json_object_get(rec, "seed_parent"), "id")));
    bind_text(s, 6, get(rec, "pollinated"));
    (void)sqlite3_bind_int64(s, 7, get_int(rec, "flowers"));
    (void)sqlite3_bind_int64(s, 8, get_int(rec, "flower_age_days"));
    (void)sqlite3_bind_int(s, 9, strcmp(get(rec, "state"), "pollinated") == 0);
    sqlite3_int64 n = added(ADD_CROSS, "crossing", code);
    (void)sqlite3_bind_int(counter, 1, atoi(code + 1));
    (void)sqlite3_bind_int(counter, 2, atoi(code + 4));
    run(COUNT_CODE);
    add_pollen(rec, n, code);
    add_looks(rec, n, code);
    add_harvests(rec, n, code);
}

int main(int argc, char **argv)
{
    static char line[LINE];
    if (argc != 2)
        return 2;
    here.db = bare_open(argv[1]);
    bare_exec(here.db, "BEGIN IMMEDIATE; INSERT INTO act(at,today,command)"
                       " VALUES(0,'2026-02-16','bare')");
    for (int i = 0; i < STATEMENT_N; i++)
        here.s[i] = bare_prepare(here.db, sql[i]);
    (void)sqlite3_bind_int64(here.s[ADD_CHANGE], 4, sqlite3_last_insert_rowid(here.db));
    while (fgets(line, sizeof(line), stdin) != NULL) {
        json_t *rec = json_loads(line, JSON_REJECT_DUPLICATES, NULL);
        if (rec == NULL)
            bare_fail(NULL);
        if (strcmp(get(rec, "format"), "podbook-cross") == 0)
            add_cross(rec);
        else
            add_plant(rec);
        json_decref(rec);
    }
    keep_changes();
    bare_exec(here.db, "COMMIT");
    for (int i = 0; i < STATEMENT_N; i++)
        (void)sqlite3_finalize(here.s[i]);
    return sqlite3_close(here.db) == SQLITE_OK ? 0 : 1;
}
