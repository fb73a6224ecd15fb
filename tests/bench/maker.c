/*
 * What the benches run on, made in a program of its own: the program that measures stays
 * small, for the memory of a child counts from what its parent had.
 *
 *   bench_maker book FILE TAXA CLONES FINISHED OPEN   (book_make.h)
 *   bench_maker bare BOOK              its triggers taken out
 *   bench_maker reminders BOOK FILE    the reminders that a book keeps, as lines
 */
#include "book_make.h"
#include "reminder_lines.h"

#include "act/learn.h"
#include "act/remind.h"

#include <inttypes.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int number(const char *text)
{
    return (int)strtol(text, NULL, 10);
}

static enum pb_rc print(void *ctx, const struct pb_reminder *r, bool shown,
                        struct pb_err *err)
{
    FILE *out = ctx;
    char *text = strdup(r->description);
    if (!shown || text == NULL)
        return pb_fail(err, PB_EINVALID, "%s is not shown", r->uid);
    for (char *p = text; (p = strchr(p, '\n')) != NULL;)
        *p = REMINDER_BREAK;
    (void)fprintf(out,
                  "%s\t%" PRId64 "\t%" PRId64 "\t%d\t%" PRId32 "\t%" PRId32
                  "\t%d\t%d\t%s\t%s\t%s\n",
                  r->uid, r->created, r->stamp, r->sequence, r->span.first,
                  r->span.last, r->guess, r->alarm_last ? 2 : 1, r->category,
                  r->summary, text);
    free(text);
    return PB_OK;
}

static void reminders(struct pb_act *a, const char *path)
{
    const struct pb_remind_codes all = {NULL, 0};
    struct pb_err err = {0};
    FILE *out = fopen(path, "w");
    if (out == NULL)
        exit(1);
    bench_must(pb_act_remind(a, &all, &err), &err);
    bench_must(pb_act_reminders(a, &all, print, out, &err), &err);
    pb_learner_close(a);
    if (fclose(out) != 0)
        exit(1);
}

static int drop_triggers(const char *path)
{
    enum { MAX = 200 };
    char *drop[MAX];
    int n = 0, code = SQLITE_OK;
    sqlite3 *db = NULL;
    sqlite3_stmt *s = NULL;
    if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK ||
        sqlite3_prepare_v2(db, "SELECT name FROM sqlite_schema WHERE type='trigger'",
                           -1, &s, NULL) != SQLITE_OK)
        return 1;
    while (n < MAX && sqlite3_step(s) == SQLITE_ROW)
        drop[n++] =
            sqlite3_mprintf("DROP TRIGGER %w", (const char *)sqlite3_column_text(s, 0));
    (void)sqlite3_finalize(s);
    for (int i = 0; i < n; i++) {
        code = code == SQLITE_OK ? sqlite3_exec(db, drop[i], NULL, NULL, NULL) : code;
        sqlite3_free(drop[i]);
    }
    return code == SQLITE_OK && n > 0 && sqlite3_close(db) == SQLITE_OK ? 0 : 1;
}

int main(int argc, char **argv)
{
    struct pb_err err = {0};
    const struct pb_profiles profiles = {NULL, &pb_profiles_builtin};
    struct pb_act a = {
        .profiles = &profiles,
        .today = BENCH_TODAY,
        .now = INT64_C(86400) * BENCH_TODAY,
        .ids = {{1, 2}, 0},
    };
    if (argc == 3 && strcmp(argv[1], "bare") == 0)
        return drop_triggers(argv[2]);
    bool makes = argc == 7 && strcmp(argv[1], "book") == 0;
    if (!makes && (argc != 4 || strcmp(argv[1], "reminders") != 0))
        return 2;
    bench_must(pb_book_open(argv[2], PB_BOOK_WRITE, &a.book, &err), &err);
    if (makes) {
        const struct bench_book what = {number(argv[3]), number(argv[4]),
                                        number(argv[5]), number(argv[6])};
        bench_book_make(&a, &what);
    } else
        reminders(&a, argv[3]);
    pb_book_close(a.book);
    return 0;
}
