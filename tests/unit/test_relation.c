/* Relations in words, common ancestors, shares of founder taxa, ploidy. */
#include "unit.h"

#include "core/founders.h"
#include "core/relation.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A bench of plants, parents first.  ORDER BENCH: parents */
// clang-format off
enum plant {
    A, B, C, D, E, F,
    AB1, AB2, AC, CD, AA1, AA2,
    AB1_C, AB2_D, AC_E, AB1_A,
    G1, G2, X_A, X_B, Y_B, S1, R1, T1, PLANTS
};
// clang-format on

enum { U = PB_UNKNOWN };

/* ORDER BENCH */
static const int32_t parents[][2] = {
    {U,     U  }, /* A */
    {U,     U  }, /* B */
    {U,     U  }, /* C */
    {U,     U  }, /* D */
    {U,     U  }, /* E */
    {U,     U  }, /* F */
    {A,     B  }, /* AB1 */
    {B,     A  }, /* AB2 */
    {A,     C  }, /* AC */
    {C,     D  }, /* CD */
    {A,     A  }, /* AA1 */
    {A,     A  }, /* AA2 */
    {AB1,   C  }, /* AB1_C */
    {AB2,   D  }, /* AB2_D */
    {AC,    E  }, /* AC_E */
    {AB1,   A  }, /* AB1_A */
    {AB1_C, F  }, /* G1 */
    {AB2_D, U  }, /* G2 */
    {A,     U  }, /* X_A */
    {U,     A  }, /* X_B */
    {B,     U  }, /* Y_B */
    {AB1_A, AB1}, /* S1 */
    {X_A,   U  }, /* R1 */
    {R1,    AA1}, /* T1 */
};
_Static_assert(PB_ARRAY_LEN(parents) == PLANTS, "ORDER BENCH");

static struct pb_pedigree bench(void)
{
    static int32_t p[PLANTS], q[PLANTS];
    for (int i = 0; i < PLANTS; i++) {
        p[i] = parents[i][0];
        q[i] = parents[i][1];
    }
    struct pb_pedigree_rows rows = {PLANTS, p, q, NULL};
    struct pb_pedigree ped;
    assert_int_equal(pb_pedigree_build(&rows, &ped, NULL, NULL), PB_OK);
    return ped;
}

static void in_words(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        int32_t a, b;
        enum pb_relation relation;
        const char *words;
    } rows[] = {
        {"itself, or a pup of it",                  A,     A,     PB_REL_CLONE,       "same clone: a selfing"             },
        {"back to a parent",                        AB1,   A,     PB_REL_BACKCROSS,
         "parent and offspring: a backcross"                                                                              },
        {"the other parent being unknown",          X_A,   A,     PB_REL_BACKCROSS,
         "parent and offspring: a backcross"                                                                              },
        {"a selfing to its parent is no backcross", AA1,   A,     PB_REL_PARENT,
         "parent and offspring"                                                                                           },
        {"one cross, and its reverse",              AB1,   AB2,   PB_REL_FULL_SIBS,   "full sibs"                         },
        {"of one selfing",                          AA1,   AA2,   PB_REL_FULL_SIBS,   "full sibs"                         },
        {"one parent shared",                       AB1,   AC,    PB_REL_HALF_SIBS,   "half sibs"                         },
        {"shared in another role",                  X_A,   X_B,   PB_REL_HALF_SIBS,   "half sibs"                         },
        {"selfing and outcross of one",             AA1,   AB1,   PB_REL_HALF_SIBS,   "half sibs"                         },
        {"unknown parents are not shared",          X_A,   Y_B,   PB_REL_UNRELATED,
         "unrelated as far as the book knows"                                                                             },
        {"half sib of a grandparent",               X_A,   G2,    PB_REL_RELATED,     "related"                           },
        {"parent's parent",                         AB1_C, B,     PB_REL_GRANDPARENT, "grandparent and grandchild"        },
        {"sib of a parent",                         AB1_C, AB2,   PB_REL_PARENTS_SIB,
         "a sib of the other's parent"                                                                                    },
        {"half sib of a parent",                    AB1_C, AA1,   PB_REL_PARENTS_SIB,
         "a sib of the other's parent"                                                                                    },
        {"parents full sibs",                       AB1_C, AB2_D, PB_REL_COUSINS,     "cousins"                           },
        {"parents half sibs",                       AB2_D, AC_E,  PB_REL_COUSINS,     "cousins"                           },
        {"three generations down",                  G1,    A,     PB_REL_ANCESTOR,    "ancestor and descendant"           },
        {"cousins a generation on",                 G1,    G2,    PB_REL_RELATED,     "related"                           },
        {"nothing in common",                       AB1,   CD,    PB_REL_UNRELATED,
         "unrelated as far as the book knows"                                                                             },
        {"founders",                                A,     B,     PB_REL_UNRELATED,   "unrelated as far as the book knows"},
        {"offspring comes before sib",              S1,    AB1,   PB_REL_BACKCROSS,
         "parent and offspring: a backcross"                                                                              },
    };
    struct pb_pedigree ped = bench();
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        int32_t a = ped.genet_of[rows[i].a], b = ped.genet_of[rows[i].b];
        enum pb_relation got = PB_REL_N, back = PB_REL_N;
        assert_int_equal(pb_relation_find(&ped, a, b, &got, NULL), PB_OK);
        assert_int_equal(pb_relation_find(&ped, b, a, &back, NULL), PB_OK);
        CLAIM(got == rows[i].relation, "%s: %s", rows[i].claim, pb_relation_words(got));
        CLAIM(back == got, "%s: the other way round", rows[i].claim);
        CLAIM(strcmp(pb_relation_words(got), rows[i].words) == 0, "%s: words",
              rows[i].claim);
    }
    pb_pedigree_clear(&ped);
}

/* want: by plant */
static void check_common(const struct pb_pedigree *ped, int32_t a, int32_t b,
                         const char *claim, const struct pb_common *want, size_t want_n)
{
    struct pb_common *list = NULL;
    size_t n = 99;
    CLAIM(pb_relation_common(ped, a, b, &list, &n, NULL) == PB_OK, "%s", claim);
    CLAIM(n == want_n, "%s: %zu", claim, n);
    CLAIM((list == NULL) == (n == 0), "%s: a list", claim);
    for (size_t j = 0; j < n; j++)
        CLAIM(ped->origin_row[list[j].genet] == want[j].genet &&
                  list[j].up_a == want[j].up_a && list[j].up_b == want[j].up_b,
              "%s: %zu is %d, %d and %d up", claim, j,
              (int)ped->origin_row[list[j].genet], (int)list[j].up_a,
              (int)list[j].up_b);
    free(list);
}

static void common_ancestors(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        int32_t a, b;
        size_t n;
        struct pb_common want[3]; /* by plant, youngest (last entered) first */
    } rows[] = {
        {"both parents of sibs",                         AB1,   AB2,   2, {{B, 1, 1}, {A, 1, 1}}  },
        {"grandparents of cousins, not their ancestors",
         AB1_C,                                                 AB2_D,
         2,                                                               {{B, 2, 2}, {A, 2, 2}}  },
        {"the one side itself",                          AB1,   A,     1, {{A, 1, 0}}             },
        {"by different ways",                            AB1_C, AC,    2, {{C, 1, 1}, {A, 2, 1}}  },
        {"nearest, and one that a line reaches past it",
         AB1_A,                                                 AB1,
         2,                                                               {{AB1, 1, 0}, {A, 1, 1}}},
        {"itself for itself",                            A,     A,     1, {{A, 0, 0}}             },
        {"none",                                         AB1,   CD,    0, {{0}}                   },
        {"the shortest line counts",                     T1,    A,     1, {{A, 2, 0}}             },
    };
    struct pb_pedigree ped = bench();
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        int32_t a = ped.genet_of[rows[i].a], b = ped.genet_of[rows[i].b];
        check_common(&ped, a, b, rows[i].claim, rows[i].want, rows[i].n);
        struct pb_common back[3];
        for (size_t j = 0; j < rows[i].n; j++)
            back[j] = (struct pb_common){rows[i].want[j].genet, rows[i].want[j].up_b,
                                         rows[i].want[j].up_a};
        check_common(&ped, b, a, rows[i].claim, back, rows[i].n);
    }
    pb_pedigree_clear(&ped);
}

static void shares(void **state)
{
    (void)state;
    enum { ROXBURGHII, FORMOSANUS, TAXA };
    static const struct {
        const char *claim;
        int32_t plant;
        double share[TAXA + 1];
    } rows[] = {
        {"a founder is its own taxon",       A,     {1, 0, 0}           },
        {"one of no known taxon is unknown", C,     {0, 0, 1}           },
        {"half from each parent",            AB1,   {0.5, 0.5, 0}       },
        {"a selfing is its parent",          AA1,   {1, 0, 0}           },
        {"a backcross",                      AB1_A, {0.75, 0.25, 0}     },
        {"and on",                           S1,    {0.625, 0.375, 0}   },
        {"an unknown parent's half",         X_A,   {0.5, 0, 0.5}       },
        {"unknown on both ways",             G1,    {0.125, 0.125, 0.75}},
    };
    struct pb_pedigree ped = bench();
    int32_t taxon[PLANTS];
    for (int r = 0; r < PLANTS; r++) /* what hybrids are called does not matter */
        taxon[ped.genet_of[r]] = r == A ? ROXBURGHII : r == B ? FORMOSANUS : U;
    taxon[ped.genet_of[AB1]] = ROXBURGHII;
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        double share[TAXA + 1];
        assert_int_equal(pb_founder_shares(&ped, taxon, TAXA,
                                           ped.genet_of[rows[i].plant], share, NULL),
                         PB_OK);
        for (int t = 0; t <= TAXA; t++)
            CLAIM(fabs(share[t] - rows[i].share[t]) < 1e-15, "%s: taxon %d: %.17g",
                  rows[i].claim, t, share[t]);
    }
    pb_pedigree_clear(&ped);
}

static void ploidy(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        int a, b;
        unsigned notes;
    } rows[] = {
        {"diploids",          2, 2, 0                                       },
        {"tetraploids",       4, 4, 0                                       },
        {"2x by 4x gives 3x", 2, 4, PB_PLOIDY_DIFFER | PB_PLOIDY_ODD_PROGENY},
        {"and 4x by 2x",      4, 2, PB_PLOIDY_DIFFER | PB_PLOIDY_ODD_PROGENY},
        {"2x by 6x gives 4x", 2, 6, PB_PLOIDY_DIFFER                        },
        {"a triploid parent", 3, 2, PB_PLOIDY_DIFFER | PB_PLOIDY_ODD_PARENT },
        {"two of them",       3, 3, PB_PLOIDY_ODD_PARENT                    },
        {"haploids",          1, 1, PB_PLOIDY_ODD_PARENT                    },
        {"one not known",     2, 0, PB_PLOIDY_UNKNOWN                       },
        {"none known",        0, 0, PB_PLOIDY_UNKNOWN                       },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        CLAIM(pb_ploidy_notes(rows[i].a, rows[i].b) == rows[i].notes, "%s",
              rows[i].claim);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(in_words),
        cmocka_unit_test(common_ancestors),
        cmocka_unit_test(shares),
        cmocka_unit_test(ploidy),
    };
    return UNIT_MAIN("relation", tests);
}
