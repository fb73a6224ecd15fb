/* Taxa as growers write them. */
#include "unit.h"

#include "core/taxon.h"

#include <stdlib.h>
#include <string.h>

static bool is(struct pb_slice s, const char *text)
{
    return pb_slice_equal(s, (struct pb_slice){text, strlen(text)});
}

/* One name: what is genus, species, grex, clone. */
static void name_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text, *genus, *species, *grex, *clone;
        bool hybrid;
    } rows[] = {
        {"a species",                 "Anoectochilus roxburghii",          "Anoectochilus",    "roxburghii",       "",           "",
         0                                                                                                                                 },
        {"a genus",                   "Goodyera",                          "Goodyera",         "",                 "",           "",      0},
        {"typed small",               "goodyera hispida",                  "goodyera",         "hispida",          "",           "",      0},
        {"sp. is no species",         "Goodyera sp.",                      "Goodyera",         "",                 "",           "",      0},
        {"spp. neither",              "Goodyera spp.",                     "Goodyera",         "",                 "",           "",      0},
        {"nor sp",                    "Goodyera sp",                       "Goodyera",         "",                 "",           "",      0},
        {"cf. leaves it open",        "Goodyera cf. hispida",              "Goodyera",         "",                 "",           "",      0},
        {"aff. too",                  "Goodyera aff. hispida",             "Goodyera",         "",                 "",           "",      0},
        {"hybrid of unknown parents", "Cattleya hybrid",                   "Cattleya",         "",                 "",           "",      0},
        {"variety of no species",     "Ludisia var. alba",                 "Ludisia",          "",                 "",           "",      0},
        {"variety",                   "Ludisia discolor var. alba",        "Ludisia",          "discolor",         "",           "",      0},
        {"authors",                   "Ludisia discolor (Ker Gawl.) Bl.",  "Ludisia",          "discolor",         "",           "",
         0                                                                                                                                 },
        {"clone of a species",        "Macodes petola 'Old Gold'",         "Macodes",          "petola",           "",
         "Old Gold",                                                                                                                      0},
        {"clone of a genus",          "Dossinia 'Club'",                   "Dossinia",         "",                 "",           "Club",  0},
        {"curly quotes",              "Macodes petola ‘Old Gold’",     "Macodes",          "petola",           "",
         "Old Gold",                                                                                                                      0},
        {"double quotes",             "Macodes petola \"Old Gold\"",       "Macodes",          "petola",           "",
         "Old Gold",                                                                                                                      0},
        {"apostrophe inside",         "Macodes petola 'Sam's Own'",        "Macodes",          "petola",           "",
         "Sam's Own",                                                                                                                     0},
        {"a quote never closed",      "Macodes petola 'Old",               "Macodes",          "petola",           "",           "",      0},
        {"a quote never opened",      "Macodes petola Old'",               "Macodes",          "petola",           "",           "",      0},
        {"a grex",                    "Macodes Green Lamp",                "Macodes",          "",                 "Green Lamp", "",      0},
        {"grex and clone",            "Macodes Green Lamp 'No. 4'",        "Macodes",          "",                 "Green Lamp",
         "No. 4",                                                                                                                         0},
        {"x inside a clone",          "Macodes petola 'A x B'",            "Macodes",          "petola",           "",           "A x B",
         0                                                                                                                                 },
        {"hybrid genus",              "× Ludochilus",                     "Ludochilus",       "",                 "",           "",      1},
        {"sign set close",            "×Ludochilus Green Lamp",           "Ludochilus",       "",                 "Green Lamp", "",
         1                                                                                                                                 },
        {"a small x for it",          "xLudochilus",                       "Ludochilus",       "",                 "",           "",      1},
        {"and apart",                 "x Ludochilus",                      "Ludochilus",       "",                 "",           "",      1},
        {"X a genus may begin with",  "Xylobium variegatum",               "Xylobium",         "variegatum",
         "",                                                                                                                     "",      0},
        {"a species-like hybrid",     "Goodyera × intermedia",            "Goodyera",         "intermedia",       "",
         "",                                                                                                                              0},
        {"sign set close there",      "Goodyera ×intermedia",             "Goodyera",         "intermedia",       "",
         "",                                                                                                                              0},
        {"with an x",                 "Goodyera x intermedia",             "Goodyera",         "intermedia",       "",           "",      0},
        {"hyphens stay",              "Paphiopedilum sancti-fici",         "Paphiopedilum",    "sancti-fici",
         "",                                                                                                                     "",      0},
        {"many blanks",               "  Goodyera   hispida  ",            "Goodyera",         "hispida",          "",           "",      0},
        {"nothing",                   "",                                  "",                 "",                 "",           "",      0},
        {"blanks only",               "  ",                                "",                 "",                 "",           "",      0},
        {"a question mark",           "?",                                 "",                 "",                 "",           "",      0},
        {"a number",                  "#12",                               "",                 "",                 "",           "",      0},
        {"a clone only",              "'Club'",                            "",                 "",                 "",           "Club",  0},
        {"a sign only",               "×",                                "",                 "",                 "",           "",      1},
        {"brackets only",             "(((",                               "",                 "",                 "",           "",      0},
        {"another script",            "Гудайера ползучая", "Гудайера", "ползучая", "",           "",      0},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_taxon t;
        pb_taxon_parse(rows[i].text, &t);
        const struct pb_taxon_name *n = &t.names[0];
        CLAIM(t.name_n == 1 && !t.formula, "%s: one name", rows[i].claim);
        CLAIM(is(n->genus, rows[i].genus), "%s: genus %.*s", rows[i].claim,
              (int)n->genus.n, n->genus.p);
        CLAIM(is(n->species, rows[i].species), "%s: species %.*s", rows[i].claim,
              (int)n->species.n, n->species.p);
        CLAIM(is(n->grex, rows[i].grex), "%s: grex %.*s", rows[i].claim, (int)n->grex.n,
              n->grex.p);
        CLAIM(is(n->clone, rows[i].clone), "%s: clone %.*s", rows[i].claim,
              (int)n->clone.n, n->clone.p);
        CLAIM(n->hybrid_genus == rows[i].hybrid, "%s: hybrid", rows[i].claim);
    }
}

static void formula_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text;
        size_t n;
        const char *genus[3], *species[3];
        bool one_genus;
    } rows[] = {
        {"two genera",
         "Ludisia discolor × Macodes petola",                         2,
         {"Ludisia", "Macodes", ""},
         {"discolor", "petola", ""},
         false                                                                                                   },
        {"with x",
         "Ludisia discolor x Macodes petola",                          2,
         {"Ludisia", "Macodes", ""},
         {"discolor", "petola", ""},
         false                                                                                                   },
        {"with X",
         "Ludisia discolor X Macodes petola",                          2,
         {"Ludisia", "Macodes", ""},
         {"discolor", "petola", ""},
         false                                                                                                   },
        {"without blanks",
         "Ludisia discolor×Macodes petola",                           2,
         {"Ludisia", "Macodes", ""},
         {"discolor", "petola", ""},
         false                                                                                                   },
        {"small letters",
         "ludisia discolor x macodes petola",                          2,
         {"ludisia", "macodes", ""},
         {"discolor", "petola", ""},
         false                                                                                                   },
        {"two genera only",
         "Ludisia × Macodes",                                         2,
         {"Ludisia", "Macodes", ""},
         {"", "", ""},
         false                                                                                                   },
        {"genus understood",
         "Macodes petola × sanderiana",                               2,
         {"Macodes", "Macodes", ""},
         {"petola", "sanderiana", ""},
         true                                                                                                    },
        {"genus by its letter",
         "Macodes petola × M. sanderiana",                            2,
         {"Macodes", "Macodes", ""},
         {"petola", "sanderiana", ""},
         true                                                                                                    },
        {"another letter",
         "Macodes petola × L. discolor",                              2,
         {"Macodes", "L.", ""},
         {"petola", "discolor", ""},
         false                                                                                                   },
        {"one genus, cases",
         "Macodes petola × MACODES sanderiana",                       2,
         {"Macodes", "MACODES", ""},
         {"petola", "sanderiana", ""},
         true                                                                                                    },
        {"clones",
         "Ludisia discolor 'Alba' × Macodes petola 'Gold'",           2,
         {"Ludisia", "Macodes", ""},
         {"discolor", "petola", ""},
         false                                                                                                   },
        {"brackets",
         "(Ludisia discolor × Macodes petola) × Dossinia marmorata", 3,
         {"Ludisia", "Macodes", "Dossinia"},
         {"discolor", "petola", "marmorata"},
         false                                                                                                   },
        {"brackets behind",
         "Dossinia marmorata x (Ludisia discolor x Macodes petola)",   3,
         {"Dossinia", "Ludisia", "Macodes"},
         {"marmorata", "discolor", "petola"},
         false                                                                                                   },
        {"old label",
         "Ludisia discolor x Macodes petola xx Dossinia marmorata",    3,
         {"Ludisia", "Macodes", "Dossinia"},
         {"discolor", "petola", "marmorata"},
         false                                                                                                   },
        {"authors in a formula",
         "Ludisia discolor (Ker Gawl.) Bl. × Macodes petola",         2,
         {"Ludisia", "Macodes", ""},
         {"discolor", "petola", ""},
         false                                                                                                   },
        {"selfed",
         "Ludisia discolor x self",                                    1,
         {"Ludisia", "", ""},
         {"discolor", "", ""},
         true                                                                                                    },
        {"genus selfed",              "Ludisia x self",                1, {"Ludisia", "", ""}, {"", "", ""}, true},
        {"sib",
         "Ludisia discolor × sib",                                    1,
         {"Ludisia", "", ""},
         {"discolor", "", ""},
         true                                                                                                    },
        {"seed parent not known",
         "? × Macodes petola",                                        2,
         {"", "Macodes", ""},
         {"", "petola", ""},
         false                                                                                                   },
        {"pollen parent not written",
         "Macodes petola ×",                                          2,
         {"Macodes", "", ""},
         {"petola", "", ""},
         false                                                                                                   },
        {"of hybrid genera",
         "× Ludochilus × × Macodisia",                              2,
         {"Ludochilus", "Macodisia", ""},
         {"", "", ""},
         false                                                                                                   },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_taxon t;
        pb_taxon_parse(rows[i].text, &t);
        CLAIM(t.formula && t.name_n == rows[i].n, "%s: %zu names", rows[i].claim,
              t.name_n);
        CLAIM(pb_taxon_is_one_genus(&t) == rows[i].one_genus, "%s: one genus",
              rows[i].claim);
        for (size_t k = 0; k < rows[i].n; k++) {
            CLAIM(is(t.names[k].genus, rows[i].genus[k]), "%s: genus %zu is %.*s",
                  rows[i].claim, k, (int)t.names[k].genus.n, t.names[k].genus.p);
            CLAIM(is(t.names[k].species, rows[i].species[k]), "%s: species %zu is %.*s",
                  rows[i].claim, k, (int)t.names[k].species.n, t.names[k].species.p);
        }
    }
}

/* More names than are kept are counted, and nobody knows their genus. */
static void many_names(void **state)
{
    (void)state;
    struct pb_taxon t;
    pb_taxon_parse("A b x A c x A d x A e x A f x A g x A h x A i x A j", &t);
    assert_int_equal(t.name_n, 9);
    assert_true(is(t.names[7].species, "i"));
    assert_false(pb_taxon_is_one_genus(&t));
}

/* Any bytes end in a reading whose slices lie in the text (exact-size copies, so that a
 * sanitizer sees a step outside). */
static void any_bytes(void **state)
{
    (void)state;
    static const char *const pieces[] = {
        "x", "X", "\xC3", "\x97", "×",   "'",        "‘",    "’",    "(", ")", " ",
        "A", "b", "Ab",   "sp",   "cf.", "\xE2\x80", "\xFF", "self", ".", "\""};
    uint32_t seed = 20240229;
    for (int round = 0; round < 50000; round++) {
        char text[64] = "";
        size_t len = 0;
        for (int k = 0; k < 9; k++) {
            seed = (uint32_t)((uint64_t)seed * 48271U % 2147483647U);
            const char *piece = pieces[seed % PB_ARRAY_LEN(pieces)];
            memcpy(text + len, piece, strlen(piece));
            len += strlen(piece);
        }
        char *copy = malloc(len + 1);
        assert_non_null(copy);
        memcpy(copy, text, len + 1);
        struct pb_taxon t;
        pb_taxon_parse(copy, &t);
        for (size_t i = 0; i < t.name_n && i < PB_TAXON_NAMES; i++) {
            const struct pb_slice parts[] = {t.names[i].genus, t.names[i].species,
                                             t.names[i].grex, t.names[i].clone};
            for (size_t k = 0; k < PB_ARRAY_LEN(parts); k++)
                if (parts[k].n > 0 &&
                    (parts[k].p < copy || parts[k].p + parts[k].n > copy + len))
                    fail_msg("slice outside of \"%s\"", text);
        }
        free(copy);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(name_rows),
        cmocka_unit_test(formula_rows),
        cmocka_unit_test(many_names),
        cmocka_unit_test(any_bytes),
    };
    return UNIT_MAIN("taxon", tests);
}
