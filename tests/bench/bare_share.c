/*
 * What sharing costs at least: reads the rows of all plants and crosses from SQLite, builds
 * the objects that `podbook share` prints with jansson and dumps them, one a line.
 *
 *   bare_share BOOK
 *
 * Tuned: crosses, pollen parents, looks and harvests are four cursors that run side by side,
 * plants are kept in memory, and a page cache of 8 MiB serves them.  It knows what the books
 * of book_make.c do not hold (clones, notes, withdrawn records, own keys) and leaves it out;
 * and it does not learn: the days of the windows are those of one profile, so that only
 * what is in a date differs from what podbook prints, never its length.
 */
#include "bare.h"

#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { ID = 37, CODE = 33, TAXON = 100, OUT = 1 << 16 };

struct plant {
    char id[ID], code[CODE], taxon[TAXON];
};

/* One table, read in the order of the crosses. */
struct cursor {
    sqlite3_stmt *s;
    sqlite3_int64 crossing; /* of the row that it stands on; 0: at its end */
};

struct share {
    sqlite3 *db;
    struct plant *plants; /* by row */
    sqlite3_int64 plant_n;
    struct cursor pollen, looks, harvests;
};

static const char *text(sqlite3_stmt *s, int i)
{
    return (const char *)sqlite3_column_text(s, i);
}

static void next(struct cursor *c)
{
    c->crossing = sqlite3_step(c->s) == SQLITE_ROW ? sqlite3_column_int64(c->s, 0) : 0;
}

static void put(json_t *obj, const char *key, json_t *value)
{
    if (json_object_set_new_nocheck(obj, key, value) != 0)
        bare_fail(NULL);
}

static void put_text(json_t *obj, const char *key, const char *value)
{
    if (value != NULL)
        put(obj, key, json_string_nocheck(value));
}

static void put_column(json_t *obj, const char *key, sqlite3_stmt *s, int i)
{
    int n = sqlite3_column_bytes(s, i);
    if (sqlite3_column_type(s, i) != SQLITE_NULL)
        put(obj, key, json_stringn_nocheck(text(s, i), (size_t)n));
}

static void put_int(json_t *obj, const char *key, json_int_t value)
{
    put(obj, key, json_integer(value));
}

static int write_out(const char *bytes, size_t n, void *unused)
{
    (void)unused;
    return fwrite(bytes, 1, n, stdout) == n ? 0 : -1;
}

static void dump(json_t *obj)
{
    if (json_dump_callback(obj, write_out, NULL, JSON_COMPACT | JSON_SORT_KEYS) != 0)
        bare_fail(NULL);
    (void)fputc('\n', stdout);
    json_decref(obj);
}

/* Columns: n, id, code, revision, modified. */
static void put_head(json_t *obj, const char *format, sqlite3_stmt *s)
{
    char when[32];
    struct tm tm;
    time_t modified = (time_t)sqlite3_column_int64(s, 4);
    put_text(obj, "format", format);
    put_int(obj, "version", 1);
    put_column(obj, "id", s, 1);
    put_column(obj, "code", s, 2);
    put_int(obj, "revision", sqlite3_column_int64(s, 3));
    (void)strftime(when, sizeof(when), "%Y-%m-%dT%H:%M:%SZ", gmtime_r(&modified, &tm));
    put_text(obj, "modified", when);
}

static void put_clone(json_t *obj, const struct plant *p)
{
    json_t *clone = json_object();
    put_text(clone, "id", p->id);
    put_text(clone, "code", p->code);
    put(obj, "clone", clone);
}

static void share_plants(struct share *sh)
{
    sqlite3_stmt *s = bare_prepare(
        sh->db, "SELECT n,id,code,revision,modified,taxon FROM plant ORDER BY n");
    while (sqlite3_step(s) == SQLITE_ROW) {
        sqlite3_int64 n = sqlite3_column_int64(s, 0);
        if (n >= sh->plant_n) {
            sh->plant_n = 2 * n + 64;
            sh->plants = realloc(sh->plants, (size_t)sh->plant_n * sizeof(*sh->plants));
            if (sh->plants == NULL)
                bare_fail(NULL);
        }
        struct plant *p = &sh->plants[n];
        (void)snprintf(p->id, ID, "%s", text(s, 1));
        (void)snprintf(p->code, CODE, "%s", text(s, 2));
        (void)snprintf(p->taxon, TAXON, "%s", text(s, 5));
        json_t *obj = json_object();
        put_head(obj, "podbook-plant", s);
        put_text(obj, "taxon", p->taxon);
        put_clone(obj, p);
        dump(obj);
    }
    (void)sqlite3_finalize(s);
}

static json_t *parent(const struct share *sh, sqlite3_int64 plant)
{
    const struct plant *p = &sh->plants[plant];
    json_t *obj = json_object();
    put_text(obj, "id", p->id);
    put_text(obj, "code", p->code);
    put_text(obj, "taxon", p->taxon);
    put_clone(obj, p);
    return obj;
}

/* ---- days --------------------------------------------------------------------------- */

static void put_day(json_t *obj, const char *key, time_t day)
{
    char iso[16];
    struct tm tm;
    time_t at = day * 86400;
    (void)strftime(iso, sizeof(iso), "%Y-%m-%d", gmtime_r(&at, &tm));
    put_text(obj, key, iso);
}

static void put_span(json_t *obj, const char *key, time_t from, time_t to)
{
    json_t *span = json_object();
    put_day(span, "from", from);
    put_day(span, "to", to);
    put(obj, key, span);
}

static time_t day_of(const char *iso)
{
    struct tm tm = {0};
    tm.tm_year = atoi(iso) - 1900;
    tm.tm_mon = atoi(iso + 5) - 1;
    tm.tm_mday = atoi(iso + 8);
    return timegm(&tm) / 86400;
}

static void put_windows(json_t *obj, time_t start, int is_open)
{
    json_t *windows = json_object();
    put_span(windows, "swelling", start + 3, start + 7);
    put_span(windows, "harvest", start + 22, start + 27);
    put_span(windows, "split", start + 26, start + 28);
    if (is_open)
        put_day(windows, "risk_day", start + 25);
    put(obj, "windows", windows);
}

/* ---- a cross ------------------------------------------------------------------------ */

/* ORDER with states */
enum { POLLINATED, SPLIT, HARVESTED, STATE_N };
static const char *const states[] = {"pollinated", "split", "harvested"};

/* Of the books of book_make.c all flowers of a cross are in the state of its last look or
 * harvest. */
static void put_state(json_t *obj, int state, int flowers)
{
    static const char *const others[] = {"unchanged", "unsure",  "swollen", "holding",
                                         "yellowing", "dropped", "lost"};
    json_t *capsules = json_object();
    put_int(capsules, "open", state == POLLINATED ? flowers : 0);
    for (int i = 0; i < STATE_N; i++)
        put_int(capsules, states[i], i == state ? flowers : 0);
    for (size_t i = 0; i < sizeof(others) / sizeof(others[0]); i++)
        put_int(capsules, others[i], 0);
    put(obj, "capsules", capsules);
    put_text(obj, "state", states[state]);
    put_text(obj, "kind", "outcross");
}

static json_t *list_pollen(struct share *sh, sqlite3_int64 n)
{
    struct cursor *c = &sh->pollen;
    json_t *list = json_array();
    for (; c->crossing == n; next(c)) {
        json_t *item = parent(sh, sqlite3_column_int64(c->s, 1));
        put_column(item, "pollen_lot", c->s, 2);
        if (sqlite3_column_type(c->s, 3) != SQLITE_NULL)
            put_int(item, "pollen_age_days", sqlite3_column_int64(c->s, 3));
        (void)json_array_append_new(list, item);
    }
    return list;
}

static json_t *list_looks(struct share *sh, sqlite3_int64 n, int *state)
{
    struct cursor *c = &sh->looks;
    json_t *list = json_array();
    for (; c->crossing == n; next(c)) {
        json_t *item = json_object();
        put_column(item, "id", c->s, 1);
        put_column(item, "on", c->s, 2);
        put_column(item, "found", c->s, 3);
        put_int(item, "count", sqlite3_column_int64(c->s, 4));
        if (strcmp(text(c->s, 3), states[SPLIT]) == 0)
            *state = SPLIT;
        (void)json_array_append_new(list, item);
    }
    return list;
}

static json_t *list_harvests(struct share *sh, sqlite3_int64 n, int *state)
{
    struct cursor *c = &sh->harvests;
    json_t *list = json_array();
    for (; c->crossing == n; next(c)) {
        json_t *item = json_object();
        put_column(item, "on", c->s, 1);
        put_int(item, "count", sqlite3_column_int64(c->s, 2));
        put_column(item, "as", c->s, 3);
        if (sqlite3_column_int(c->s, 4) != 0)
            put(item, "held_cold", json_true());
        *state = HARVESTED;
        (void)json_array_append_new(list, item);
    }
    return list;
}

static void share_cross(struct share *sh, sqlite3_stmt *s)
{
    static const char *const keys[] = {"at", "own_pollen", "grex", "profile"};
    int state = POLLINATED, flowers = sqlite3_column_int(s, 7);
    sqlite3_int64 n = sqlite3_column_int64(s, 0);
    json_t *obj = json_object();
    put_head(obj, "podbook-cross", s);
    put(obj, "seed_parent", parent(sh, sqlite3_column_int64(s, 5)));
    put(obj, "pollen_parents", list_pollen(sh, n));
    put_column(obj, "pollinated", s, 6);
    put_int(obj, "flowers", flowers);
    if (sqlite3_column_type(s, 8) != SQLITE_NULL)
        put_int(obj, "flower_age_days", sqlite3_column_int64(s, 8));
    for (int i = 0; i < 4; i++)
        put_column(obj, keys[i], s, 9 + i);
    put_column(obj, "bagged", s, 13);
    put(obj, "looks", list_looks(sh, n, &state));
    put(obj, "harvests", list_harvests(sh, n, &state));
    put_state(obj, state, flowers);
    put_windows(obj, day_of(text(s, 6)), state == POLLINATED);
    dump(obj);
}

int main(int argc, char **argv)
{
    static char out[OUT];
    struct share sh = {0};
    if (argc != 2)
        return 2;
    sh.db = bare_open(argv[1]);
    bare_exec(sh.db, "BEGIN");
    (void)setvbuf(stdout, out, _IOFBF, sizeof(out));
    share_plants(&sh);
    sh.pollen.s =
        bare_prepare(sh.db, "SELECT crossing,plant,lot,age_days FROM pollen_parent"
                            " ORDER BY crossing,place");
    sh.looks.s =
        bare_prepare(sh.db, "SELECT crossing,id,day,found,count FROM look WHERE"
                            " crossing>0 AND withdrawn=0 ORDER BY crossing,number");
    sh.harvests.s = bare_prepare(
        sh.db, "SELECT crossing,day,count,state,held_cold FROM harvest WHERE"
               " withdrawn=0 ORDER BY crossing,number");
    sqlite3_stmt *s =
        bare_prepare(sh.db, "SELECT n,id,code,revision,modified,seed_parent,pollinated,"
                            "flowers,flower_age,at,own_pollen,grex,profile,bagged"
                            " FROM crossing ORDER BY n");
    next(&sh.pollen);
    next(&sh.looks);
    next(&sh.harvests);
    while (sqlite3_step(s) == SQLITE_ROW)
        share_cross(&sh, s);
    (void)sqlite3_finalize(s);
    (void)sqlite3_finalize(sh.pollen.s);
    (void)sqlite3_finalize(sh.looks.s);
    (void)sqlite3_finalize(sh.harvests.s);
    free(sh.plants);
    return sqlite3_close(sh.db) == SQLITE_OK && fflush(stdout) == 0 ? 0 : 1;
}
