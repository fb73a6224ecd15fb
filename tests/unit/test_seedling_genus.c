/* Which genus a seedling can be of. */
#include "unit.h"

#include "core/profile.h"

static const struct pb_profiles ps = {NULL, &pb_profiles_builtin};

static void seedlings(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *seed, *pollen, *taxon;
        bool may;
    } rows[] = {
        {"the seed parent's",       "Goodyera hispida",   "Dossinia marmorata", "Goodyera sp.",
         true                                                                                           },
        {"the pollen parent's",     "Goodyera hispida",   "Dossinia marmorata", "Dossinia",
         true                                                                                           },
        {"both in a formula",       "Goodyera hispida",   "Dossinia marmorata",
         "Goodyera × Dossinia",                                                                   true },
        {"neither's",               "Goodyera hispida",   "Dossinia marmorata", "Macodes petola",
         false                                                                                          },
        {"a hybrid genus of two",   "Ludisia discolor",   "Macodes petola",     "× Ludochilus",
         true                                                                                           },
        {"without its sign",        "Ludisia discolor",   "Macodes petola",     "Ludochilus",      false},
        {"a hybrid genus of one",   "Ludisia discolor",   "Ludisia discolor",
         "× Ludochilus",                                                                          false},
        {"of a hybrid parent",      "× Ludochilus",      "× Ludochilus",      "× Anoectodisia", true },
        {"of a formula",            "Ludisia × Macodes", "Ludisia",            "× Ludochilus",   true },
        {"its second name's",       "Ludisia × Macodes", "Ludisia",            "Macodes",         true },
        {"typed small",             "Goodyera hispida",   "Dossinia",           "goodyera",        true },
        {"under its synonym",       "Haemaria discolor",  "Macodes",            "Ludisia",         true },
        {"no genus",                "Goodyera",           "Dossinia",           "'Club'",          true },
        {"of a parent without one", "?",                  "Dossinia",           "Macodes",         true },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        CLAIM(pb_profile_may_give(&ps, rows[i].seed, rows[i].pollen, rows[i].taxon) ==
                  rows[i].may,
              "%s", rows[i].claim);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(seedlings)};
    return UNIT_MAIN("seedling_genus", tests);
}
