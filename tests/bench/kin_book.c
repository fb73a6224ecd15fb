/*
 * What `podbook kin --json` costs over a big book, beside a bare program that reads the
 * same rows and prints as many lines.
 *
 *   bench_kin_book PODBOOK [PLANTS]    PODBOOK: the program; 100,000 plants
 *   bench_kin_book --bare BOOK         the bare program
 *
 * One JSON line a figure.  The book is the shallow pedigree of kinship.c, made in a folder
 * of its own.  Seconds are of the processor, of the whole process.
 */
#include "../checks/pedigree/pedgen.h"
#include "measure.h"

#include "book/plants.h"
#include "core/kinship.h"

#include <inttypes.h>
#include <sqlite3.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

static int fail(const char *what)
{
    (void)fprintf(stderr, "kin_book: %s\n", what);
    return 1;
}

/* ---- the bare program ---------------------------------------------------------------- */

static int bare(const char *path)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *s = NULL;
    bool more = false;
    if (sqlite3_open(path, &db) != SQLITE_OK ||
        sqlite3_prepare_v2(db,
                           "SELECT n,code,source,seed_parent,pollen_parent,withdrawn,"
                           "elsewhere,gone FROM plant ORDER BY n",
                           -1, &s, NULL) != SQLITE_OK)
        return fail(sqlite3_errmsg(db));
    (void)printf("[");
    for (; sqlite3_step(s) == SQLITE_ROW; more = true) {
        const char *code = (const char *)sqlite3_column_text(s, 1);
        (void)printf("%s\n{\"code\":\"%s\",\"clone\":\"%s\",\"F\":%.12g,"
                     "\"mean_kinship\":%.12g,\"living\":%s}",
                     more ? "," : "", code, code,
                     (double)sqlite3_column_int64(s, 3) * 1e-9,
                     (double)sqlite3_column_int64(s, 4) * 1e-9,
                     sqlite3_column_type(s, 7) == SQLITE_NULL ? "true" : "false");
    }
    (void)printf("\n]\n");
    (void)sqlite3_finalize(s);
    return sqlite3_close(db) == SQLITE_OK ? 0 : 1;
}

/* ---- the book ------------------------------------------------------------------------ */

static enum pb_rc enter(struct pb_book *book, const struct made *m, int32_t i)
{
    struct pb_plant p;
    char taxon[] = "Ludisia discolor";
    pb_plant_init(&p);
    (void)snprintf(p.head.id, sizeof(p.head.id),
                   "%08" PRIx32 "-0000-7000-8000-%012" PRIx32, (uint32_t)i,
                   (uint32_t)i);
    (void)snprintf(p.head.code, sizeof(p.head.code), "P%" PRId32, i + 1);
    p.head.revision = 1;
    p.taxon = taxon;
    p.source.n = m->clone_of[i] + 1; /* a row counts from 1, and 0 is none */
    p.seed_parent.n = m->seed_parent[i] + 1;
    p.pollen_parent.n = m->pollen_parent[i] + 1;
    p.origin = p.source.n != 0                                  ? PB_ORIGIN_PUP
               : p.seed_parent.n != 0 || p.pollen_parent.n != 0 ? PB_ORIGIN_PARENTS
                                                                : PB_ORIGIN_UNKNOWN;
    return pb_plant_insert(book, &p, NULL);
}

static int make_book(const char *path, const struct made *m)
{
    struct pb_book *book = NULL;
    struct pb_err err = {0};
    enum pb_rc rc = pb_book_open(path, PB_BOOK_WRITE, &book, &err);
    if (rc == PB_OK)
        rc = pb_book_begin(book, "bench", 20000, 0, &err);
    for (int32_t i = 0; rc == PB_OK && i < m->n; i++)
        rc = enter(book, m, i);
    rc = book != NULL ? pb_book_end(book, rc, &err) : rc;
    pb_book_close(book);
    return rc == PB_OK ? 0 : fail(err.text);
}

/* ---- measuring ----------------------------------------------------------------------- */

/* F and mean kinship of all, from parents in memory. */
static double library(const struct made *m)
{
    const struct pb_pedigree_rows rows = made_rows(m);
    struct pb_pedigree ped;
    struct pb_diversity d;
    size_t n = (size_t)m->n;
    double *f = calloc(n, sizeof(*f)), *w = calloc(n, sizeof(*w)),
           *mean = calloc(n, sizeof(*mean));
    clock_t start = clock();
    if (f != NULL && w != NULL && mean != NULL &&
        pb_pedigree_build(&rows, &ped, NULL, NULL) == PB_OK &&
        pb_kinship_inbreeding(&ped, PB_KINSHIP_BEST, f, NULL) == PB_OK) {
        pb_kinship_weights(&ped, NULL, false, w);
        pb_kinship_mean(&ped, f, w, mean, &d);
        pb_pedigree_clear(&ped);
    }
    double taken = (double)(clock() - start) / CLOCKS_PER_SEC;
    free(f);
    free(w);
    free(mean);
    return taken;
}

static void print(int32_t n, const char *figure, double value)
{
    (void)printf("{\"bench\":\"kin_book\",\"plants\":%" PRId32
                 ",\"figure\":\"%s\",\"value\":%.3f}\n",
                 n, figure, value);
}

static int measure(char *self, char *podbook, const struct made *m, char *path)
{
    const char *const program[] = {podbook, "--book", path, "kin", "--json", NULL};
    const char *const other[] = {self, "--bare", path, NULL};
    const struct bench_command ours = {program, NULL, NULL},
                               bare_one = {other, NULL, NULL};
    struct bench_cost cost, least;
    if (!bench_run(&ours, &cost) || !bench_run(&bare_one, &least))
        return 1;
    double inside = library(m);
    print(m->n, "kin_json_s", cost.cpu_s);
    print(m->n, "kin_json_mib", (double)cost.peak_kib / 1024);
    print(m->n, "bare_s", least.cpu_s);
    print(m->n, "library_s", inside);
    print(m->n, "share_of_allowed", cost.cpu_s / (2 * least.cpu_s + inside));
    return 0;
}

int main(int argc, char **argv)
{
    if (argc == 3 && strcmp(argv[1], "--bare") == 0)
        return bare(argv[2]);
    if (argc < 2)
        return fail("usage: bench_kin_book PODBOOK [PLANTS]");
    int64_t n = 100000;
    if (argc > 2 && (sscanf(argv[2], "%" SCNd64, &n) != 1 || n < 1 || n > 10000000))
        return fail("a number of plants, please");
    struct pedgen how = {(int32_t)n, 14, n < 100000 ? 100 : 1000, 0.2, 0.3, 0.02, 0, 0};
    struct made m = pedgen(&how);
    char folder[] = "kin_book-XXXXXX", path[64];
    if (mkdtemp(folder) == NULL)
        return fail("no folder for the book");
    (void)snprintf(path, sizeof(path), "%s/book.db", folder);
    int status = make_book(path, &m);
    if (status == 0)
        status = measure(argv[0], argv[1], &m, path);
    (void)unlink(path);
    (void)rmdir(folder);
    made_free(&m);
    return status;
}
