/*
 * The bare query for the rows that `podbook due` reads: open crosses whose seed parent is
 * here, their parents, looks and harvests.
 *
 *   bare_due BOOK         a line each
 *   bare_due --one BOOK   only the crosses, by one query: what starting costs
 */
#include "bare.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

/* ORDER with children */
static const char *const sql[] = {
    "SELECT q.lot,q.age_days,p.id,p.code,p.taxon,p.clone_name,p.ploidy,p.source,p.gone"
    " FROM pollen_parent q JOIN plant p ON p.n=q.plant WHERE q.crossing=? ORDER BY"
    " q.place",
    "SELECT id,number,day,found,count,amount,sample,scale,method,note FROM look"
    " WHERE crossing=? AND withdrawn=0 ORDER BY number",
    "SELECT number,day,count,state,held_cold,lot FROM harvest"
    " WHERE crossing=? AND withdrawn=0 ORDER BY number",
};
enum { CHILDREN = sizeof(sql) / sizeof(sql[0]) };

/* Read all columns; the last text of the rows. */
static const char *read_row(sqlite3_stmt *s)
{
    const char *last = "";
    for (int i = 0; i < sqlite3_column_count(s); i++)
        if (sqlite3_column_type(s, i) == SQLITE_TEXT)
            last = (const char *)sqlite3_column_text(s, i);
    return last;
}

int main(int argc, char **argv)
{
    bool one = argc == 3 && strcmp(argv[1], "--one") == 0;
    sqlite3_stmt *child[CHILDREN];
    if (argc != 2 && !one)
        return 2;
    sqlite3 *db = bare_open(argv[argc - 1]);
    sqlite3_stmt *s = bare_prepare(
        db, "SELECT x.n,x.id,x.code,x.origin_code,x.revision,x.modified,x.withdrawn,"
            "x.extra,x.pollinated,x.flowers,x.flower_age,x.at,x.own_pollen,x.grex,"
            "x.profile,x.bagged,x.note,x.doubtful,p.id,p.code,p.clone_name,p.ploidy,"
            "p.source,p.gone,p.taxon FROM crossing x JOIN plant p ON p.n=x.seed_parent"
            " WHERE x.open=1 AND p.elsewhere=0 AND p.gone IS NULL ORDER BY x.n");
    for (int i = 0; i < CHILDREN && !one; i++)
        child[i] = bare_prepare(db, sql[i]);
    while (sqlite3_step(s) == SQLITE_ROW) {
        const char *taxon = read_row(s);
        (void)printf("%s  %s  %s", (const char *)sqlite3_column_text(s, 2),
                     (const char *)sqlite3_column_text(s, 8), taxon);
        for (int i = 0; i < CHILDREN && !one; i++) {
            (void)sqlite3_bind_int64(child[i], 1, sqlite3_column_int64(s, 0));
            while (sqlite3_step(child[i]) == SQLITE_ROW)
                (void)printf("  %s", read_row(child[i]));
            (void)sqlite3_reset(child[i]);
        }
        (void)putchar('\n');
    }
    (void)sqlite3_finalize(s);
    for (int i = 0; i < CHILDREN && !one; i++)
        (void)sqlite3_finalize(child[i]);
    return sqlite3_close(db) == SQLITE_OK && fflush(stdout) == 0 ? 0 : 1;
}
