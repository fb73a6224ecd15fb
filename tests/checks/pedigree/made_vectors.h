/* Reads made.txt and compares the library with it. */
#ifndef PB_TESTS_MADE_VECTORS_H
#define PB_TESTS_MADE_VECTORS_H

#include "core/kinship.h"
#include "pedgen.h"
#include "unit.h"

#include <stdio.h>
#include <string.h>

/* What the library makes of one pedigree, by row. */
struct found {
    struct made made;
    struct pb_pedigree ped;
    double *f, *mean; /* by genet */
    struct pb_diversity diversity;
};

static inline void found_free(struct found *x)
{
    made_free(&x->made);
    pb_pedigree_clear(&x->ped);
    free(x->f);
    free(x->mean);
    *x = (struct found){0};
}

static inline void find_all(struct found *x, const struct pedgen *how)
{
    *x = (struct found){.made = pedgen(how)};
    struct pb_pedigree_rows rows = made_rows(&x->made);
    assert_int_equal(pb_pedigree_build(&rows, &x->ped, NULL, NULL), PB_OK);
    size_t bytes = (size_t)x->ped.genet_n * sizeof(double);
    double *weight = malloc(bytes);
    x->f = malloc(bytes);
    x->mean = malloc(bytes);
    assert_non_null(weight);
    assert_non_null(x->f);
    assert_non_null(x->mean);
    assert_int_equal(pb_kinship_inbreeding(&x->ped, PB_KINSHIP_BEST, x->f, NULL),
                     PB_OK);
    pb_kinship_weights(&x->ped, NULL, true, weight);
    pb_kinship_mean(&x->ped, x->f, weight, x->mean, &x->diversity);
    free(weight);
}

static inline void near(const char *what, long row, double got, double want)
{
    CLAIM(fabs(got - want) <= 1e-12 * (fabs(want) > 1 ? fabs(want) : 1),
          "%s of row %ld: %.17g, not %.17g", what, row, got, want);
}

static inline void check_summary(const struct found *x, const char *what, double want)
{
    double sum = 0, rest = 0, max = 0;
    long inbred = 0;
    for (int32_t r = 0; r < x->made.n; r++) {
        double f = x->f[x->ped.genet_of[r]];
        double y = f - rest, t = sum + y; /* Kahan (1965), Commun. ACM 8:40 */
        rest = (t - sum) - y;
        sum = t;
        max = f > max ? f : max;
        inbred += f > 0;
    }
    double got = strcmp(what, "sum") == 0    ? sum
                 : strcmp(what, "max") == 0  ? max
                 : strcmp(what, "mean") == 0 ? x->diversity.mean_kinship
                                             : (double)inbred;
    near(what, 0, got, want);
}

static inline void check_line(const struct found *x, const char *line)
{
    char what[16];
    double want = 0;
    int row = 0;
    if (sscanf(line, "f %d %lf", &row, &want) == 2)
        near("F", row, x->f[x->ped.genet_of[row - 1]], want);
    else if (sscanf(line, "m %d %lf", &row, &want) == 2)
        near("mean kinship", row, x->mean[x->ped.genet_of[row - 1]], want);
    else if (sscanf(line, "%15s %lf", what, &want) == 2)
        check_summary(x, what, want);
    else
        fail_msg("made.txt: %s", line);
}

/* Compare every pedigree of made.txt of low to high rows; how_many says how many. */
static inline void check_made(int low, int high, int how_many)
{
    FILE *file = fopen(PB_SOURCE_DIR "/tests/checks/pedigree/made.txt", "r");
    assert_non_null(file);
    struct found x = {0};
    char line[256];
    int seen = 0;
    bool wanted = false;
    while (fgets(line, sizeof(line), file) != NULL) {
        struct pedgen how = {0};
        unsigned long long seed = 0;
        if (line[0] == '#' || line[0] == '\n')
            continue;
        if (sscanf(line, "pedgen %d %llu %d %lf %lf %lf %d %lf", &how.n, &seed,
                   &how.founders, &how.self, &how.clone, &how.one_parent, &how.window,
                   &how.popular) == 8) {
            how.seed = seed;
            wanted = how.n >= low && how.n <= high;
            seen += wanted;
            found_free(&x);
            if (wanted)
                find_all(&x, &how);
        } else if (wanted) {
            check_line(&x, line);
        }
    }
    found_free(&x);
    (void)fclose(file);
    assert_int_equal(seen, how_many);
}

#endif
