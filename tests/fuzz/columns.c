/*
 * A book in which one column holds what it may not, or a table nothing.  Every column of
 * every table is set, in all its rows, to each of a list of values, behind the back of the
 * types and the checks, and commands of fuzz_asks are run on it, verify among them: each ends
 * with a status of podbook's and prints nothing that a terminal obeys.
 *   columns           some of the commands on each, all of them on each column
 *   columns --all     all of them on each
 *   columns TABLE     all of them on each of a table's
 */
#include "fuzz_command.h"
#include "fuzz_mangle.h"

#include <sqlite3.h>
#include <string.h>

enum { SQL_BYTES = 512, MOST = 256, SOME = 7 };

static const char *const values[] = {"NULL",
                                     "-1",
                                     "0",
                                     "77",
                                     "9223372036854775807",
                                     "-9223372036854775808",
                                     "1e300",
                                     "'x'",
                                     "''",
                                     "1.5",
                                     "char(27)||'[31m'",
                                     "x'00ff'",
                                     "'2026-02-30'",
                                     "'9999-12-31'"};

struct column {
    char table[64], name[64];
};

/* The types and NOT NULL go first: a table is read as its text says when the book is opened
 * next. */
static void loosen(void)
{
    fuzz_mangle("UPDATE sqlite_schema SET sql=replace(replace(sql,' STRICT',''),"
                "' NOT NULL','') WHERE type='table'");
}

/* The columns of the book, from it. */
static size_t columns_of(struct column *v)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *s = NULL;
    size_t n = 0;
    MUST(sqlite3_open_v2("book.db", &db, SQLITE_OPEN_READONLY, NULL) == SQLITE_OK &&
             sqlite3_prepare_v2(db,
                                "SELECT m.name,c.name FROM sqlite_schema m,"
                                "pragma_table_info(m.name) c WHERE m.type='table'"
                                " AND m.name NOT GLOB 'sqlite_*'",
                                -1, &s, NULL) == SQLITE_OK,
         "no columns");
    for (; sqlite3_step(s) == SQLITE_ROW; n++) {
        MUST(n < MOST, "more columns than expected");
        (void)snprintf(v[n].table, sizeof(v[n].table), "%s",
                       (const char *)sqlite3_column_text(s, 0));
        (void)snprintf(v[n].name, sizeof(v[n].name), "%s",
                       (const char *)sqlite3_column_text(s, 1));
    }
    (void)sqlite3_finalize(s);
    (void)sqlite3_close(db);
    return n;
}

/* The club's book, with rows in the other tables too. */
static char *bytes;
static size_t bytes_n;

static void make(void)
{
    static const char *const say[] = {"away 2026-04-01 2026-04-09", "setting risk=0.05",
                                      "calendar"};
    int status = 0;
    fuzz_folder_fill();
    for (size_t i = 0; i < PB_ARRAY_LEN(say); i++) {
        (void)fuzz_command_line(say[i], &status);
        MUST(status == 0, "%s: status %d", say[i], status);
    }
    bytes = fuzz_folder_book(&bytes_n);
}

static void fill(void)
{
    fuzz_folder_fill();
    FILE *file = fopen("book.db", "wb");
    MUST(file != NULL && fwrite(bytes, 1, bytes_n, file) == bytes_n &&
             fclose(file) == 0,
         "no book");
}

/* Every step-th ask from one on, verify being the last, each on a book of its own. */
static void ask(const char *sql, size_t from, size_t step)
{
    int status = 0;
    for (size_t i = from % step; i <= FUZZ_ASKS; i += step) {
        fill();
        loosen();
        fuzz_mangle(sql);
        (void)fuzz_command_line(i < FUZZ_ASKS ? fuzz_asks[i] : "verify", &status);
    }
}

int main(int argc, char **argv)
{
    static struct column v[MOST];
    char sql[SQL_BYTES];
    const char *only = argc > 1 && strcmp(argv[1], "--all") != 0 ? argv[1] : NULL;
    size_t asked = 0, step = argc > 1 ? 1 : SOME;
    make();
    size_t n = columns_of(v);
    for (size_t i = 0; i < n; i++) {
        if (only != NULL && strcmp(only, v[i].table) != 0)
            continue;
        if (i == 0 || strcmp(v[i - 1].table, v[i].table) != 0) {
            (void)snprintf(sql, sizeof(sql), "DELETE FROM \"%.63s\"", v[i].table);
            (void)fprintf(stderr, "%s\n", sql);
            ask(sql, 0, 1);
        }
        for (size_t k = 0; k < PB_ARRAY_LEN(values); k++) {
            (void)snprintf(sql, sizeof(sql), "UPDATE \"%.63s\" SET \"%.63s\"=%s",
                           v[i].table, v[i].name, values[k]);
            (void)fprintf(stderr, "%s\n", sql);
            ask(sql, asked++, step);
        }
    }
    MUST(asked > 0, "no such table");
    free(bytes);
    printf("%zu books\n", asked);
    return 0;
}
