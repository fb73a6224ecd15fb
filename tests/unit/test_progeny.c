/* What the seedlings of a cross are called. */
#include "unit.h"

#include "core/progeny.h"

#include <string.h>

static void name_rows(void **state)
{
    (void)state;
    static char l[] = "Ludisia discolor", m[] = "Macodes petola",
                gold[] = "Macodes petola 'Old Gold'",
                curly[] = "Macodes petola ‘Old Gold’",
                alba[] = "Ludisia discolor var. alba",
                straight[] = "Macodes petola \"Old Gold\"",
                middle[] = "Ludisia discolor 'No. 4' var. alba",
                alba_clone[] = "Ludisia discolor var. alba 'No. 4'",
                genus[] = "Ludisia", sp[] = "Ludisia sp.",
                f1[] = "Ludisia discolor × Macodes petola", green[] = "Green Lamp",
                lamp[] = "Macodes Green Lamp",
                lamp_clone[] = "Macodes Green Lamp 'Bright'",
                sanderiana[] = "Macodes sanderiana", small[] = "ludisia discolor";
    static const struct {
        const char *claim;
        char *seed, *pollen, *mixed, *grex;
        const char *name;
    } rows[] = {
        {"one species",                         l,        l,          NULL, NULL,  "Ludisia discolor"                  },
        {"however it is typed",                 small,    l,          NULL, NULL,  "Ludisia discolor"                  },
        {"a clone's name ends with it",         gold,     gold,       NULL, NULL,  "Macodes petola"                    },
        {"in curly quotes too",                 curly,    m,          NULL, NULL,  "Macodes petola"                    },
        {"in straight ones",                    straight, m,          NULL, NULL,  "Macodes petola"                    },
        {"wherever it stands",                  middle,   alba,       NULL, NULL,  "Ludisia discolor var. alba"        },
        {"unknown seed",                        NULL,     m,          NULL, green, "unknown × Macodes petola"         },
        {"a formula has no one genus",          f1,       l,          NULL, green,
         "(Ludisia discolor × Macodes petola) × Ludisia discolor"                                                    },
        {"nor has it where it is the pollen's", l,        f1,         NULL, green,
         "Ludisia discolor × (Ludisia discolor × Macodes petola)"                                                    },
        {"a variety of both is kept",           alba,     alba_clone, NULL, NULL,
         "Ludisia discolor var. alba"                                                                                  },
        {"of one it is not",                    alba,     l,          NULL, NULL,  "Ludisia discolor"                  },
        {"only a genus",                        genus,    sp,         NULL, NULL,  "Ludisia"                           },
        {"a genus may be another species",      genus,    l,          NULL, NULL,
         "Ludisia × Ludisia discolor"                                                                                 },
        {"two species, seed parent first",      l,        gold,       NULL, NULL,
         "Ludisia discolor × Macodes petola"                                                                          },
        {"a formula is put in brackets",        f1,       m,          NULL, NULL,
         "(Ludisia discolor × Macodes petola) × Macodes petola"                                                      },
        {"on either side",                      m,        f1,         NULL, NULL,
         "Macodes petola × (Ludisia discolor × Macodes petola)"                                                      },
        {"of sibs on both",                     f1,       f1,         NULL, NULL,
         "(Ludisia discolor × Macodes petola) × (Ludisia discolor × Macodes petola)"                                },
        {"of a registered name another",        lamp,     lamp_clone, NULL, NULL,
         "Macodes Green Lamp × Macodes Green Lamp"                                                                    },
        {"unknown pollen",                      gold,     NULL,       NULL, NULL,  "Macodes petola × unknown"         },
        {"one of several",                      l,        l,          m,    NULL,  "Ludisia discolor × unknown"       },
        {"several of one name",                 m,        l,          l,    NULL,  "Macodes petola × Ludisia discolor"},
        {"the registered name of a genus",      m,        sanderiana, NULL, green,
         "Macodes Green Lamp"                                                                                          },
        {"written with it",                     m,        sanderiana, NULL, lamp,  "Macodes Green Lamp"                },
        {"not of two genera: whose is it?",     l,        m,          NULL, green,
         "Ludisia discolor × Macodes petola"                                                                          },
        {"nor where a parent is unknown",       m,        NULL,       NULL, green,
         "Macodes petola × unknown"                                                                                   },
        {"in one species it is a species",      m,        m,          NULL, green, "Macodes petola"                    },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_cross x;
        struct pb_buf out;
        pb_cross_init(&x); /* borrows the row's texts: never cleared */
        pb_buf_init(&out, PB_MAX_NAME);
        x.seed.taxon = rows[i].seed;
        x.pollen[0].parent.taxon = rows[i].pollen;
        x.pollen[1].parent.taxon = rows[i].mixed;
        x.pollen_n = rows[i].mixed != NULL ? 2 : rows[i].pollen != NULL ? 1 : 0;
        x.grex = rows[i].grex;
        CLAIM(pb_progeny_taxon(&x, &out, NULL) == PB_OK, "%s", rows[i].claim);
        CLAIM(strcmp(pb_buf_peek(&out), rows[i].name) == 0, "%s: %s", rows[i].claim,
              pb_buf_peek(&out));
        pb_buf_clear(&out);
    }
}

/* Too long a formula is no name cut short. */
static void a_name_has_a_longest_length(void **state)
{
    (void)state;
    char seed[PB_MAX_NAME + 1], pollen[] = "Macodes petola";
    struct pb_cross x;
    struct pb_buf out;
    memset(seed, 'a', sizeof(seed));
    memcpy(seed, "Ludisia ", 8);
    seed[PB_MAX_NAME] = '\0';
    pb_cross_init(&x);
    pb_buf_init(&out, PB_MAX_NAME);
    x.seed.taxon = seed;
    x.pollen[0].parent.taxon = pollen;
    x.pollen_n = 1;
    assert_int_equal(pb_progeny_taxon(&x, &out, NULL), PB_ELIMIT);
    pb_buf_clear(&out);
}

static void parents_make_a_formula(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *seed, *pollen, *whole, *brief;
    } rows[] = {
        {"two species",             "Aa bb",       "Cc dd",    "Aa bb × Cc dd",         "A. bb × C. dd"    },
        {"one species",             "Aa bb",       "Aa bb",    "Aa bb × Aa bb",         "Aa bb"             },
        {"a formula has brackets",  "Aa bb × Cc", "Dd ee",    "(Aa bb × Cc) × Dd ee",
         "(Aa bb × Cc) × D. ee"                                                                            },
        {"on either side",          "Dd",          "Aa × Cc", "Dd × (Aa × Cc)",       "Dd × (Aa × Cc)"  },
        {"a clone keeps its name",  "Aa bb 'Old'", "Aa bb",    "Aa bb 'Old' × Aa bb",
         "A. bb 'Old' × A. bb"                                                                              },
        {"so does a grex",          "Aa Lamp",     "Aa bb",    "Aa Lamp × Aa bb",       "Aa Lamp × A. bb"  },
        {"nobody knows the pollen", "Aa bb",       NULL,       "Aa bb × unknown",
         "A. bb × unknown"                                                                                  },
        {"nor both",                NULL,          NULL,       "unknown × unknown",     "unknown × unknown"},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        for (int brief = 0; brief < 2; brief++) {
            struct pb_buf out;
            pb_buf_init(&out, 200);
            pb_parents_formula(rows[i].seed, rows[i].pollen, brief, &out);
            const char *want = brief ? rows[i].brief : rows[i].whole;
            if (strcmp(pb_buf_peek(&out), want) != 0)
                fail_msg("%s: got \"%s\"", rows[i].claim, pb_buf_peek(&out));
            pb_buf_clear(&out);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(name_rows),
        cmocka_unit_test(a_name_has_a_longest_length),
        cmocka_unit_test(parents_make_a_formula),
    };
    return UNIT_MAIN("progeny", tests);
}
