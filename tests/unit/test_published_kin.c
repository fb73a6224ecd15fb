/*
 * Pedigrees with known answers (tests/checks/pedigree/published.txt): F, kinship and mean
 * kinship to 1e-12 of the exact figure by every method, published ones to their printed
 * digits.
 */
#include "unit.h"

#include "core/kinship_methods.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MAX_ROWS = 100, MAX_CHECKS = 200, WORD = 16 };

struct known {
    char name[40];
    int32_t n;
    char id[MAX_ROWS][WORD],
        parent[MAX_ROWS][2][WORD]; /* a clone: its source, and "=" */
    double f[MAX_ROWS];            /* exact, by row */
    struct {
        char a[WORD], b[WORD];
        double k;
    } kinship[MAX_CHECKS];
    size_t kinship_n;
    struct {
        char id[WORD], printed[WORD], how[WORD];
    } published[MAX_CHECKS];
    size_t published_n;
    double mean;
    /* what the library makes of it */
    int32_t seed_parent[MAX_ROWS], pollen_parent[MAX_ROWS], clone_of[MAX_ROWS];
    struct pb_pedigree ped;
};

static int32_t row_of(const struct known *x, const char *id)
{
    for (int32_t r = 0; r < x->n; r++)
        if (strcmp(x->id[r], id) == 0)
            return r;
    CLAIM(strcmp(id, "-") == 0, "%s: no row %s", x->name, id);
    return PB_UNKNOWN;
}

static void build(struct known *x)
{
    for (int32_t r = 0; r < x->n; r++) {
        bool is_clone = strcmp(x->parent[r][1], "=") == 0;
        x->clone_of[r] = is_clone ? row_of(x, x->parent[r][0]) : PB_UNKNOWN;
        x->seed_parent[r] = is_clone ? PB_UNKNOWN : row_of(x, x->parent[r][0]);
        x->pollen_parent[r] = is_clone ? PB_UNKNOWN : row_of(x, x->parent[r][1]);
    }
    struct pb_pedigree_rows rows = {(size_t)x->n, x->seed_parent, x->pollen_parent,
                                    x->clone_of};
    CLAIM(pb_pedigree_build(&rows, &x->ped, NULL, NULL) == PB_OK, "%s", x->name);
}

/* F of every row to 1e-12, by each method. */
static void check_f(const struct known *x)
{
    double f[MAX_ROWS];
    for (int how = 0; how <= PB_KINSHIP_BEST; how++) {
        CLAIM(pb_kinship_inbreeding(&x->ped, (enum pb_kinship_method)how, f, NULL) ==
                  PB_OK,
              "%s: method %d", x->name, how);
        for (int32_t r = 0; r < x->n; r++)
            CLAIM(fabs(f[x->ped.genet_of[r]] - x->f[r]) <= 1e-12,
                  "%s: method %d: F of %s is %.17g, not %.17g", x->name, how, x->id[r],
                  f[x->ped.genet_of[r]], x->f[r]);
    }
}

/* Every kinship given, and the mean over all rows. */
static void check_kinship(const struct known *x)
{
    double k = 0, f[MAX_ROWS], weight[MAX_ROWS], mean[MAX_ROWS];
    struct pb_diversity d;
    for (size_t i = 0; i < x->kinship_n; i++) {
        int32_t a = x->ped.genet_of[row_of(x, x->kinship[i].a)];
        int32_t b = x->ped.genet_of[row_of(x, x->kinship[i].b)];
        struct pb_genets one = {&a, 1}, other = {&b, 1};
        assert_int_equal(pb_kinship_some(&x->ped, one, other, &k, NULL), PB_OK);
        CLAIM(fabs(k - x->kinship[i].k) <= 1e-12, "%s: %s with %s is %.17g", x->name,
              x->kinship[i].a, x->kinship[i].b, k);
    }
    assert_int_equal(pb_kinship_inbreeding(&x->ped, PB_KINSHIP_BEST, f, NULL), PB_OK);
    pb_kinship_weights(&x->ped, NULL, true, weight);
    pb_kinship_mean(&x->ped, f, weight, mean, &d);
    CLAIM(fabs(d.mean_kinship - x->mean) <= 1e-12, "%s: mean %.17g", x->name,
          d.mean_kinship);
}

/* F as printed: to half a unit of the last digit, a whole one where it was cut. */
static void check_published(const struct known *x)
{
    for (size_t i = 0; i < x->published_n; i++) {
        const char *printed = x->published[i].printed, *how = x->published[i].how;
        double f = x->f[row_of(x, x->published[i].id)], value = strtod(printed, NULL);
        double unit = pow(10, -(double)strlen(strchr(printed, '.') + 1));
        bool good = strcmp(how, "longer") == 0 ? f < value && f > value / 2
                    : strcmp(how, "cut") == 0  ? f >= value && f < value + unit
                                               : fabs(f - value) <= unit / 2 + 1e-12;
        CLAIM(good, "%s: %s is %g, published %s %s", x->name, x->published[i].id, f,
              printed, how);
    }
}

static void check(struct known *x)
{
    if (x->n == 0)
        return;
    build(x);
    check_f(x);
    check_kinship(x);
    check_published(x);
    pb_pedigree_clear(&x->ped);
}

/* "P/Q" or a whole number. */
static double read_fraction(const char *text)
{
    double top = 0, bottom = 1;
    CLAIM(sscanf(text, "%lf/%lf", &top, &bottom) >= 1, "published.txt: %s", text);
    return top / bottom;
}

static void add_f(struct known *x, char words[3][WORD])
{
    x->f[row_of(x, words[0])] = read_fraction(words[1]);
}

static void add_kinship(struct known *x, char words[3][WORD])
{
    memcpy(x->kinship[x->kinship_n].a, words[0], WORD);
    memcpy(x->kinship[x->kinship_n].b, words[1], WORD);
    x->kinship[x->kinship_n++].k = read_fraction(words[2]);
}

static void add_published(struct known *x, char words[3][WORD])
{
    memcpy(x->published[x->published_n].id, words[0], WORD);
    memcpy(x->published[x->published_n].printed, words[1], WORD);
    memcpy(x->published[x->published_n++].how, words[2], WORD);
}

/* The words of a line, so many at a time. */
static void read_items(struct known *x, const char *line, int size,
                       void (*add)(struct known *x, char words[3][WORD]))
{
    char words[3][WORD];
    int n = 0, used = 0;
    while (sscanf(line, "%15s%n", words[n], &used) == 1) {
        line += used;
        if (++n == size) {
            add(x, words);
            n = 0;
        }
    }
    CLAIM(n == 0, "%s: words left over", x->name);
}

static void read_line(struct known *x, const char *line)
{
    if (sscanf(line, "row %15s %15s %15s", x->id[x->n], x->parent[x->n][0],
               x->parent[x->n][1]) == 3) {
        x->n++;
    } else if (sscanf(line, "clone %15s %15s", x->id[x->n], x->parent[x->n][0]) == 2) {
        memcpy(x->parent[x->n++][1], "=", 2);
    } else if (strncmp(line, "f ", 2) == 0) {
        read_items(x, line + 2, 2, add_f);
    } else if (strncmp(line, "k ", 2) == 0) {
        read_items(x, line + 2, 3, add_kinship);
    } else if (strncmp(line, "published ", 10) == 0) {
        read_items(x, line + 10, 3, add_published);
    } else if (sscanf(line, "mean %lf", &x->mean) != 1) {
        CLAIM(strncmp(line, "source ", 7) == 0, "published.txt: %s", line);
    }
}

static void known_answers(void **state)
{
    (void)state;
    static struct known x, empty;
    char line[512];
    int seen = 0;
    FILE *file = fopen(PB_SOURCE_DIR "/tests/checks/pedigree/published.txt", "r");
    assert_non_null(file);
    while (fgets(line, sizeof(line), file) != NULL) {
        if (line[0] == '#' || line[0] == '\n')
            continue;
        if (strncmp(line, "pedigree ", 9) == 0) {
            check(&x);
            x = empty;
            assert_int_equal(sscanf(line, "pedigree %39s", x.name), 1);
            seen++;
        } else {
            read_line(&x, line);
        }
    }
    check(&x);
    (void)fclose(file);
    assert_int_equal(seen, 14);
}

/* Mrode's table 2.1 in full: the diagonal of D, and mean kinships (computed, numpy). */
static void mrode_in_full(void **state)
{
    (void)state;
    static const int32_t p[] = {-1, -1, 0, 0, 3, 4}, q[] = {-1, -1, 1, -1, 2, 1};
    static const double d[] = {1, 1, 0.5, 0.75, 0.5, 0.469};
    static const double want[] = {0.22916667, 0.19791667, 0.28645833,
                                  0.22395833, 0.31770833, 0.296875};
    struct pb_pedigree_rows rows = {6, p, q, NULL};
    struct pb_pedigree ped;
    struct pb_diversity diversity;
    double f[6], weight[6], mean[6];
    assert_int_equal(pb_pedigree_build(&rows, &ped, NULL, NULL), PB_OK);
    assert_int_equal(pb_kinship_inbreeding(&ped, PB_KINSHIP_BEST, f, NULL), PB_OK);
    pb_kinship_weights(&ped, NULL, false, weight);
    pb_kinship_mean(&ped, f, weight, mean, &diversity);
    for (int32_t g = 0; g < 6; g++) {
        CLAIM(fabs(pb_mendelian(&ped, f, g) - d[g]) <= 0.0005, "D of %d", (int)g + 1);
        CLAIM(fabs(mean[g] - want[g]) <= 0.5e-8, "mean kinship of %d", (int)g + 1);
    }
    assert_true(fabs(diversity.gene_diversity - 0.7413194444444444) <= 1e-12);
    assert_true(fabs(diversity.founder_equivalents - 1.9328859060402683) <= 1e-12);
    pb_pedigree_clear(&ped);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(known_answers),
        cmocka_unit_test(mrode_in_full),
    };
    return UNIT_MAIN_VECTORS("published_kin", tests);
}
