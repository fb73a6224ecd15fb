/* Rows folded into clones: order, pups at any remove, and what is refused. */
#include "unit.h"

#include "base/limits.h"
#include "core/pedigree.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

enum { U = PB_UNKNOWN, MAX = 8 };

/* Rows in letters: seed parent, pollen parent, source of each; "." unknown, "x" a number
 * that is none.  "... ..0" is a plant and its pup. */
struct columns {
    int32_t p[MAX], q[MAX], c[MAX];
};

static int32_t number_of(char letter)
{
    return letter == '.' ? U : letter == 'x' ? -2 : letter - '0';
}

static struct pb_pedigree_rows read_rows(const char *text, struct columns *to)
{
    size_t n = (strlen(text) + 1) / 4;
    for (size_t r = 0; r < n; r++) {
        to->p[r] = number_of(text[4 * r]);
        to->q[r] = number_of(text[4 * r + 1]);
        to->c[r] = number_of(text[4 * r + 2]);
    }
    return (struct pb_pedigree_rows){n, to->p, to->q, to->c};
}

static int32_t genet_or_unknown(const struct pb_pedigree *ped, int32_t row)
{
    return row == U ? U : ped->genet_of[row];
}

static void folded(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *rows;
        const char *genets; /* by row */
        int32_t genet_n;
    } rows[] = {
        {"rows that come parents first keep their order", "... ... 01.",         "012",   3},
        {"a pup of a pup of a plant is that plant",       "... ..0 ..1 22.",     "0001",  2},
        {"a cutting may be entered before its source",    "..1 ..2 ...",         "000",   1},
        {"offspring may be entered before its parents",   "12. ... ...",         "201",   3},
        {"a late founder waits for its child",            "14. 23. ... ... ...", "42013", 5},
        {"a generation comes before the next",            "1.. ... 3.. ...",     "2031",  4},
        {"one parent may be unknown",                     "... .0.",             "01",    2},
        {"no rows are a pedigree too",                    "",                    "",      0},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct columns c;
        struct pb_pedigree_rows in = read_rows(rows[i].rows, &c);
        struct pb_pedigree ped;
        CLAIM(pb_pedigree_build(&in, &ped, NULL, NULL) == PB_OK, "%s", rows[i].claim);
        CLAIM(ped.genet_n == rows[i].genet_n && ped.row_n == strlen(rows[i].genets),
              "%s: %d genets", rows[i].claim, (int)ped.genet_n);
        for (size_t r = 0; r < in.n; r++) {
            int32_t g = ped.genet_of[r];
            CLAIM(g == rows[i].genets[r] - '0', "%s: row %zu is %d", rows[i].claim, r,
                  (int)g);
            if (c.c[r] != U)
                continue;
            CLAIM(ped.origin_row[g] == (int32_t)r, "%s: origin", rows[i].claim);
            CLAIM(ped.seed_parent[g] == genet_or_unknown(&ped, c.p[r]) &&
                      ped.pollen_parent[g] == genet_or_unknown(&ped, c.q[r]),
                  "%s: parents", rows[i].claim);
            CLAIM(ped.seed_parent[g] < g && ped.pollen_parent[g] < g, "%s: order",
                  rows[i].claim);
        }
        pb_pedigree_clear(&ped);
    }
}

/* Kinds of fault by row in letters: range, origins, cycle. */
static const char kind_letters[PB_FAULT_N + 1] = ".roc";

static const struct refusal {
    const char *claim, *rows;
    enum pb_pedigree_fault_kind kind; /* and rows of the first fault */
    const char *at;
    const char *kinds; /* of all rows */
} refusals[] = {
    {"a plant its own parent",         "0..",                         PB_FAULT_CYCLE,   "0",   "c"   },
    {"a pup of itself",                "..0",                         PB_FAULT_CYCLE,   "0",   "c"   },
    {"two plants each other's parent", "... 02. 10.",                 PB_FAULT_CYCLE,   "12",  ".cc" },
    {"its own ancestor through a pup", "2.. ..0 1..",                 PB_FAULT_CYCLE,   "021", "ccc" },
    {"cuttings of each other",         "..1 ..0",                     PB_FAULT_CYCLE,   "01",  "cc"  },
    {"what leads into one is left",    "1.. .2. 3.. 2..",             PB_FAULT_CYCLE,   "23",  "..cc"},
    {"a parent beyond the rows",       ".2. ...",                     PB_FAULT_RANGE,   "0",   "r."  },
    {"a parent before the rows",       "... x..",                     PB_FAULT_RANGE,   "1",   ".r"  },
    {"a source that is no row",        "..1",                         PB_FAULT_RANGE,   "0",   "r"   },
    {"a pup with a seed parent",       "... 0.0",                     PB_FAULT_ORIGINS, "1",   ".o"  },
    {"a pup with a pollen parent",     "... .00",                     PB_FAULT_ORIGINS, "1",   ".o"  },
    {"every fault at once",            "0.. ..0 9.. 121 5.. ..4 12.", PB_FAULT_RANGE,   "2",
     "c.rocc."                                                                                       },
};

static void refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < PB_ARRAY_LEN(refusals); i++) {
        const struct refusal *row = &refusals[i];
        struct columns c;
        struct pb_pedigree_rows in = read_rows(row->rows, &c);
        struct pb_pedigree ped = {.genet_n = 77};
        struct pb_pedigree_fault fault = {0};
        struct pb_err err = {0};
        CLAIM(pb_pedigree_build(&in, &ped, &fault, &err) == PB_EINVALID, "%s",
              row->claim);
        CLAIM(ped.genet_n == 77, "%s: untouched on error", row->claim);
        CLAIM(err.rc == PB_EINVALID && err.text[0] != '\0', "%s: no words", row->claim);
        CLAIM(fault.kind == row->kind && fault.n == strlen(row->at),
              "%s: kind %d, %zu rows", row->claim, (int)fault.kind, fault.n);
        for (size_t k = 0; k < fault.n; k++)
            CLAIM(fault.rows[k] == row->at[k] - '0', "%s: row %d", row->claim,
                  (int)fault.rows[k]);
    }
}

/* All rows at fault are named, and without them there is no fault. */
static void all_named(void **state)
{
    (void)state;
    for (size_t i = 0; i < PB_ARRAY_LEN(refusals); i++) {
        const struct refusal *row = &refusals[i];
        struct columns c;
        struct pb_pedigree_rows in = read_rows(row->rows, &c);
        uint8_t kinds[MAX];
        size_t bad = 0, want = 0;
        CLAIM(pb_pedigree_check(&in, kinds, &bad, NULL) == PB_OK, "%s", row->claim);
        for (size_t r = 0; r < in.n; r++) {
            CLAIM(kind_letters[kinds[r]] == row->kinds[r], "%s: row %zu: %d",
                  row->claim, r, (int)kinds[r]);
            want += kinds[r] != PB_FAULT_NONE;
            if (kinds[r] != PB_FAULT_NONE)
                c.p[r] = c.q[r] = c.c[r] = U;
        }
        CLAIM(bad == want, "%s: %zu bad", row->claim, bad);
        struct pb_pedigree ped;
        CLAIM(pb_pedigree_build(&in, &ped, NULL, NULL) == PB_OK, "%s: cured",
              row->claim);
        pb_pedigree_clear(&ped);
    }
}

/* A million plants in one line, youngest first: no depth is too much for the walk. */
static void long_lines(void **state)
{
    (void)state;
    enum { N = 1000000 };
    int32_t *next = malloc(N * sizeof(*next)), *none = malloc(N * sizeof(*none));
    assert_non_null(next);
    assert_non_null(none);
    for (int32_t r = 0; r < N; r++) {
        next[r] = r + 1 < N ? r + 1 : U;
        none[r] = U;
    }
    struct pb_pedigree ped;
    struct pb_pedigree_rows line = {N, next, none, none}, pups = {N, none, none, next};
    assert_int_equal(pb_pedigree_build(&line, &ped, NULL, NULL), PB_OK);
    assert_int_equal(ped.genet_n, N);
    assert_int_equal(ped.genet_of[0], N - 1);
    pb_pedigree_clear(&ped);
    assert_int_equal(pb_pedigree_build(&pups, &ped, NULL, NULL), PB_OK);
    assert_int_equal(ped.genet_n, 1);
    pb_pedigree_clear(&ped);
    struct pb_pedigree_fault fault = {0};
    next[N - 1] = 0;
    assert_int_equal(pb_pedigree_build(&line, &ped, &fault, NULL), PB_EINVALID);
    assert_int_equal(fault.n, N);
    assert_int_equal(fault.rows[PB_FAULT_ROWS - 1], PB_FAULT_ROWS - 1);
    free(next);
    free(none);
}

static void too_many(void **state)
{
    (void)state;
    struct pb_pedigree_rows rows = {(size_t)PB_MAX_PEDIGREE + 1, NULL, NULL, NULL};
    struct pb_pedigree ped;
    struct pb_err err = {0};
    assert_int_equal(pb_pedigree_build(&rows, &ped, NULL, &err), PB_ELIMIT);
    assert_non_null(strstr(err.text, "16777216"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(folded),    cmocka_unit_test(refused),
        cmocka_unit_test(all_named), cmocka_unit_test(long_lines),
        cmocka_unit_test(too_many),
    };
    return UNIT_MAIN("pedigree", tests);
}
