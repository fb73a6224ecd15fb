/* The history of new rows.  See additions.h. */
#include "book/additions.h"

#include "book/db.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

/* Calls that pass once triggers had to be turned on, twice as many each time that it was soon:
 * turning them off and on prepares some twenty statements anew. */
enum { WAIT_MIN = 8, WAIT_MAX = 1024 };

enum { SQL_BYTES = 1024 };

#define COUNT_TAXON(table)                                                      \
    "INSERT OR IGNORE INTO taxon_change VALUES((SELECT p.taxon_key FROM " table \
    " r JOIN crossing x ON x.n=r.crossing JOIN plant p ON p.n=x.seed_parent"    \
    " WHERE r.n=?),1) ON CONFLICT DO UPDATE SET number=number+1"

static size_t table_of(const char *name)
{
    size_t i = 0;
    while (i < PB_LOGGED_N && strcmp(pb_logged_tables[i].table, name) != 0)
        i++;
    return i;
}

/* SQLite's authorizer: a row of facts is not changed without its triggers. */
static int allow(void *ctx, int action, const char *a, const char *b, const char *c,
                 const char *d)
{
    (void)ctx;
    (void)b;
    (void)c;
    (void)d;
    bool changes = action == SQLITE_UPDATE || action == SQLITE_DELETE;
    return changes && table_of(a) < PB_LOGGED_N ? SQLITE_DENY : SQLITE_OK;
}

/* SQLite's update hook */
static void added(void *ctx, int op, const char *db, const char *table, sqlite3_int64 n)
{
    struct pb_additions *a = ctx;
    size_t which = table_of(table);
    (void)op; /* of tables of facts only INSERT is allowed */
    (void)db;
    if (which == PB_LOGGED_N)
        return;
    a->added++;
    a->table = which;
    a->row = n;
}

void pb_additions_begin(struct pb_book *b)
{
    struct pb_additions *a = &b->additions;
    if (a->calls++ < a->wait || a->on)
        return;
    a->on = true;
    a->calls = 0;
    a->added = 0;
    (void)sqlite3_db_config(b->db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, NULL);
    (void)sqlite3_set_authorizer(b->db, allow, NULL);
    (void)sqlite3_update_hook(b->db, added, a);
}

void pb_additions_end(struct pb_book *b)
{
    if (!b->additions.on)
        return;
    b->additions.on = false;
    (void)sqlite3_update_hook(b->db, NULL, NULL);
    (void)sqlite3_set_authorizer(b->db, NULL, NULL);
    (void)sqlite3_db_config(b->db, SQLITE_DBCONFIG_ENABLE_TRIGGER, 1, NULL);
}

bool pb_additions_refused(struct pb_book *b, int code)
{
    struct pb_additions *a = &b->additions;
    if (!a->on || (code & 0xff) != SQLITE_AUTH)
        return false;
    if (a->calls >= a->wait)
        a->wait = WAIT_MIN;
    else if (a->wait < WAIT_MAX)
        a->wait *= 2;
    a->calls = 0;
    pb_additions_end(b);
    return true;
}

/* ---- notes --------------------------------------------------------------------------- */

/* What the trigger of INSERT writes, by the words that it has them from (logged.def). */
static enum pb_rc prepare_note(struct pb_book *b, size_t table, struct pb_err *err)
{
    const struct pb_logged *t = &pb_logged_tables[table];
    char sql[SQL_BYTES];
    int n = snprintf(sql, sizeof(sql),
                     "INSERT INTO change(act,tbl,row,code) VALUES(?1,'%s',?2,"
                     "(SELECT %s FROM %s R WHERE R.n=?2))",
                     t->table, t->code, t->table);
    assert(n > 0 && (size_t)n < sizeof(sql));
    (void)n;
    return pb_db_prepare(b, sql, &b->additions.note[table], err);
}

/* What the triggers taxon_look_new and taxon_harvest_new do (schema_1.def).  Of a look that is
 * of no cross the taxon is NULL, which the column refuses: it is passed over. */
static enum pb_rc count_taxon(struct pb_book *b, size_t table, int64_t row,
                              struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = PB_OK;
    if (strcmp(pb_logged_tables[table].table, "look") == 0)
        rc = pb_db_get(b, COUNT_TAXON("look"), &s, err);
    else if (strcmp(pb_logged_tables[table].table, "harvest") == 0)
        rc = pb_db_get(b, COUNT_TAXON("harvest"), &s, err);
    if (s == NULL)
        return rc;
    (void)sqlite3_bind_int64(s, 1, row);
    return pb_db_run(b, s, err);
}

enum pb_rc pb_additions_note(struct pb_book *b, struct pb_err *err)
{
    struct pb_additions *a = &b->additions;
    const size_t table = a->table;
    const int64_t row = a->row;
    enum pb_rc rc = PB_OK;
    if (a->added == 0)
        return PB_OK;
    assert(a->added == 1); /* no statement of an act of many records adds more */
    a->added = 0;
    if (a->note[table] == NULL)
        rc = prepare_note(b, table, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(a->note[table], 1, b->act);
    (void)sqlite3_bind_int64(a->note[table], 2, row);
    rc = pb_db_run(b, a->note[table], err);
    if (rc == PB_OK)
        rc = count_taxon(b, table, row, err);
    sqlite3_set_last_insert_rowid(b->db, row);
    return rc;
}

void pb_additions_close(struct pb_book *b)
{
    for (size_t i = 0; i < PB_LOGGED_N; i++)
        (void)sqlite3_finalize(b->additions.note[i]);
    b->additions = (struct pb_additions){.on = false};
}
