/* Reading profiles: what is refused and where; the grower's own file wins. */
#include "unit.h"

#include "base/limits.h"
#include "exchange/profile_file.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static enum pb_rc parse(const char *text, struct pb_profile_table **table,
                        struct pb_err *err)
{
    return pb_profile_table_parse("p.json", text, strlen(text), table, err);
}

/* ---- what is refused ----------------------------------------------------------------- */

/* A file with one good row, then the row of the test. */
#define FILE_WITH(row)                                                               \
    "{\"profiles\":[{\"name\":\"good\",\"taxa\":[\"Macodes\",\"Ludisia discolor\"]," \
    "\"group_of\":[\"Macodisia\"],\"stages\":{}}," row                               \
    "],\"sources\":{\"P2\":\"a paper\",\"practice\":\"common practice\"}}"
#define ROW_WITH(rest)     FILE_WITH("{\"name\":\"r\",\"taxa\":[]," rest "}")
#define STAGE_WITH(stage)  ROW_WITH("\"stages\":{" stage "}")
#define SAID               "\"source\":\"P2\",\"confidence\":\"H\""
#define HARVEST_WITH(rest) STAGE_WITH("\"harvest\":{" rest "," SAID "}")
#define SPLIT_WITH(weight) \
    STAGE_WITH("\"split\":{\"from\":1,\"to\":2,\"weight\":" weight "," SAID "}")
#define TAXA_WITH(list) FILE_WITH("{\"name\":\"r\"," list ",\"stages\":{}}")

static const struct bad {
    const char *claim, *text;
    enum pb_rc rc;
    const char *says;
} bad_rows[] = {
    {"not JSON",                     "{",                                                                  PB_EPARSE,   "not good JSON"                                                            },
    {"no object",                    "[]",                                                                 PB_EPARSE,   "expected an object, got an array"                                         },
    {"no profiles",                  "{}",                                                                 PB_EPARSE,   "\"profiles\" is missing"                                                  },
    {"an unknown key",               "{\"profiles\":[],\"source\":{}}",                                    PB_EPARSE,
     "unknown key \"source\"; did you mean \"sources\""                                                                                                                                            },
    {"a row that is none",           FILE_WITH("7"),                                                       PB_EPARSE,
     "profiles[1]: expected an object, got a whole number"                                                                                                                                         },
    {"a row without a name",         FILE_WITH("{\"taxa\":[],\"stages\":{}}"),                             PB_EPARSE,
     "profiles[1]: \"name\" is missing"                                                                                                                                                            },
    {"a row without taxa",           FILE_WITH("{\"name\":\"r\",\"stages\":{}}"),                          PB_EPARSE,
     "profiles[1]: \"taxa\" is missing"                                                                                                                                                            },
    {"a row without stages",         FILE_WITH("{\"name\":\"r\",\"taxa\":[]}"),                            PB_EPARSE,
     "profiles[1]: \"stages\" is missing"                                                                                                                                                          },
    {"an unknown key of a row",      ROW_WITH("\"stages\":{},\"taxon\":[]"),                               PB_EPARSE,
     "profiles[1]: unknown key \"taxon\"; did you mean \"taxa\""                                                                                                                                   },
    {"an unknown stage",             STAGE_WITH("\"harvets\":{}"),                                         PB_EPARSE,
     "profiles[1].stages: unknown key \"harvets\"; did you mean \"harvest\""                                                                                                                       },
    {"an unknown key of a stage",    HARVEST_WITH("\"from\":1,\"to\":2,\"till\":3"),
     PB_EPARSE,                                                                                                         "profiles[1].stages.harvest: unknown key \"till\""                         },
    {"a weight of no split",         HARVEST_WITH("\"from\":1,\"to\":2,\"weight\":3"),
     PB_EPARSE,                                                                                                         "profiles[1].stages.harvest: unknown key \"weight\""                       },
    {"a key twice",                  HARVEST_WITH("\"from\":1,\"from\":2,\"to\":3"),                       PB_EPARSE,
     "duplicate"                                                                                                                                                                                   },
    {"from after to",                HARVEST_WITH("\"from\":25,\"to\":21"),                                PB_EINVALID,
     "profiles[1].stages.harvest: from 25 comes after to 21"                                                                                                                                       },
    {"from missing",                 HARVEST_WITH("\"to\":21"),                                            PB_EPARSE,
     "profiles[1].stages.harvest: \"from\" is missing"                                                                                                                                             },
    {"to missing",                   HARVEST_WITH("\"from\":21"),                                          PB_EPARSE,   "\"to\" is missing"                                                        },
    {"negative",                     HARVEST_WITH("\"from\":-1,\"to\":21"),                                PB_ELIMIT,
     "profiles[1].stages.harvest.from: expected a whole number from 0 to 3650, got -1"                                                                                                             },
    {"beyond ten years",             HARVEST_WITH("\"from\":1,\"to\":3651"),                               PB_ELIMIT,
     "profiles[1].stages.harvest.to: expected a whole number from 0 to 3650, got 3651"                                                                                                             },
    {"half a day",                   HARVEST_WITH("\"from\":1.5,\"to\":2"),                                PB_EPARSE,
     "profiles[1].stages.harvest.from: expected a whole number"                                                                                                                                    },
    {"a whole number with a point",  HARVEST_WITH("\"from\":1.0,\"to\":2"),                                PB_EPARSE,
     "profiles[1].stages.harvest.from: expected a whole number"                                                                                                                                    },
    {"days as a text",               HARVEST_WITH("\"from\":\"1\",\"to\":2"),                              PB_EPARSE,
     "got a text"                                                                                                                                                                                  },
    {"days as null",                 HARVEST_WITH("\"from\":null,\"to\":2"),                               PB_EPARSE,   "got null"                                                                 },
    {"no source",                    STAGE_WITH("\"harvest\":{\"from\":1,\"to\":2,\"confidence\":\"H\"}"),
     PB_EPARSE,                                                                                                         "profiles[1].stages.harvest: \"source\" is missing"                        },
    {"a source not listed",
     STAGE_WITH(
         "\"harvest\":{\"from\":1,\"to\":2,\"source\":\"P3\",\"confidence\":\"H\"}"),
     PB_EINVALID,                                                                                                       "profiles[1].stages.harvest.source: \"P3\" is not listed under \"sources\""},
    {"one of several not listed",
     STAGE_WITH("\"harvest\":{\"from\":1,\"to\":2,\"source\":\"P2+P3\","
                "\"confidence\":\"H\"}"),
     PB_EINVALID,                                                                                                       "\"P3\" is not listed"                                                     },
    {"a join too many",
     STAGE_WITH("\"harvest\":{\"from\":1,\"to\":2,\"source\":\"P2+\","
                "\"confidence\":\"H\"}"),
     PB_EINVALID,                                                                                                       "\"\" is not listed"                                                       },
    {"no confidence",                STAGE_WITH("\"harvest\":{\"from\":1,\"to\":2,\"source\":\"P2\"}"),
     PB_EPARSE,                                                                                                         "\"confidence\" is missing"                                                },
    {"one of another letter",
     STAGE_WITH(
         "\"harvest\":{\"from\":1,\"to\":2,\"source\":\"P2\",\"confidence\":\"Z\"}"),
     PB_EPARSE,                                                                                                         "unknown word \"Z\"; expected one of: L M H"                               },
    {"a confidence of another word",
     STAGE_WITH("\"harvest\":{\"from\":1,\"to\":2,\"source\":\"P2\","
                "\"confidence\":\"high\"}"),
     PB_EPARSE,                                                                                                         "profiles[1].stages.harvest.confidence: unknown word \"high\""             },
    {"a weight below 2",             SPLIT_WITH("1.99"),                                                   PB_ELIMIT,
     "profiles[1].stages.split.weight: expected a number from 2 to 100000, got 1.99"                                                                                                               },
    {"a negative weight",            SPLIT_WITH("-4"),                                                     PB_ELIMIT,   "got -4"                                                                   },
    {"a weight that is no number",   SPLIT_WITH("NaN"),                                                    PB_EPARSE,   "not good JSON"                                                            },
    {"nor in quotes",                SPLIT_WITH("\"NaN\""),                                                PB_EPARSE,
     "profiles[1].stages.split.weight: expected a number, got a text"                                                                                                                              },
    {"nor beyond all",               SPLIT_WITH("1e999"),                                                  PB_EPARSE,   "not good JSON"                                                            },
    {"another sign",                 STAGE_WITH("\"swelling\":{\"sign\":\"slight\"," SAID "}"),
     PB_EPARSE,                                                                                                         "profiles[1].stages.swelling.sign: unknown word \"slight\""                },
    {"half a window without a sign",
     STAGE_WITH("\"swelling\":{\"sign\":\"none\",\"from\":3," SAID "}"),                                   PB_EPARSE,
     "profiles[1].stages.swelling: \"to\" is missing"                                                                                                                                              },
    {"no days with a sign",          STAGE_WITH("\"swelling\":{" SAID "}"),                                PB_EPARSE,
     "\"from\" is missing"                                                                                                                                                                         },
    {"a sign of another stage",      HARVEST_WITH("\"from\":1,\"to\":2,\"sign\":\"none\""),
     PB_EPARSE,                                                                                                         "unknown key \"sign\""                                                     },
    {"a best day outside",
     STAGE_WITH("\"receptive\":{\"from\":1,\"to\":3,\"best\":4," SAID "}"),                                PB_EINVALID,
     "profiles[1].stages.receptive.best: 4 is not in 1 to 3"                                                                                                                                       },
    {"a share over 1",               ROW_WITH("\"stages\":{},\"set_rate\":{\"share\":86.7," SAID "}"),
     PB_ELIMIT,                                                                                                         "profiles[1].set_rate.share: expected a number from 0 to 1, got 86.7"      },
    {"a set rate without a share",   ROW_WITH("\"stages\":{},\"set_rate\":{" SAID "}"),
     PB_EPARSE,                                                                                                         "profiles[1].set_rate: \"share\" is missing"                               },
    {"a name twice",                 FILE_WITH("{\"name\":\"Good\",\"taxa\":[],\"stages\":{}}"),
     PB_EINVALID,                                                                                                       "profiles[1]: profiles[0] is called \"Good\" already"                      },
    {"a taxon twice",                TAXA_WITH("\"taxa\":[\"Vanda\",\"Macodes\"]"),                        PB_EINVALID,
     "profiles[1].taxa[1]: \"Macodes\" is served already by the row \"good\""                                                                                                                      },
    {"a species twice",              TAXA_WITH("\"taxa\":[\"Ludisia discolor\"]"),                         PB_EINVALID,
     "profiles[1].taxa[0]: \"Ludisia discolor\" is served already"                                                                                                                                 },
    {"a taxon twice in a row",       TAXA_WITH("\"taxa\":[\"Vanda\",\"Vanda\"]"),                          PB_EINVALID,
     "profiles[1].taxa[1]: \"Vanda\" is served already by the row \"r\""                                                                                                                           },
    {"a group twice",                TAXA_WITH("\"taxa\":[],\"group_of\":[\"Macodisia\"]"),
     PB_EINVALID,                                                                                                       "profiles[1].group_of[0]: \"Macodisia\" is served already"                 },
    {"a genus whole and in parts",   TAXA_WITH("\"taxa\":[],\"part_of\":[\"Macodes\"]"),
     PB_EINVALID,                                                                                                       "profiles[1].part_of[0]: \"Macodes\" is served whole by the row \"good\""  },
    {"a part twice",                 TAXA_WITH("\"taxa\":[],\"part_of\":[\"Vanda\",\"Vanda\"]"),
     PB_EINVALID,                                                                                                       "profiles[1].part_of[1]: \"Vanda\" is served already"                      },
    {"a part that is a species",
     TAXA_WITH("\"taxa\":[],\"part_of\":[\"Vanda falcata\"]"),                                             PB_EPARSE,
     "profiles[1].part_of[0]: expected a genus, got \"Vanda falcata\""                                                                                                                             },
    {"a taxon of small letters",     TAXA_WITH("\"taxa\":[\"macodes petola\"]"),                           PB_EPARSE,
     "profiles[1].taxa[0]: expected \"Genus\""                                                                                                                                                     },
    {"a taxon with more",            TAXA_WITH("\"taxa\":[\"Vanda falcata var. alba\"]"),
     PB_EPARSE,                                                                                                         "profiles[1].taxa[0]: expected"                                            },
    {"a digit in a genus",           TAXA_WITH("\"taxa\":[\"Vanda2 falcata\"]"),                           PB_EPARSE,
     "profiles[1].taxa[0]: expected \"Genus\""                                                                                                                                                     },
    {"a dot in a genus",             TAXA_WITH("\"taxa\":[],\"group_of\":[\"V.\"]"),                       PB_EPARSE,
     "profiles[1].group_of[0]: expected a genus, got \"V.\""                                                                                                                                       },
    {"sp.",                          TAXA_WITH("\"taxa\":[\"Vanda sp.\"]"),                                PB_EPARSE,   "expected \"Genus\""                                                       },
    {"a formula",                    TAXA_WITH("\"taxa\":[\"Vanda a × Vanda b\"]"),                       PB_EPARSE,
     "expected \"Genus\""                                                                                                                                                                          },
    {"two blanks",                   TAXA_WITH("\"taxa\":[\"Vanda  falcata\"]"),                           PB_EPARSE,
     "expected \"Genus\""                                                                                                                                                                          },
    {"taxa that are no list",        TAXA_WITH("\"taxa\":\"Vanda\""),                                      PB_EPARSE,
     "profiles[1].taxa: expected an array, got a text"                                                                                                                                             },
    {"an empty name",                FILE_WITH("{\"name\":\"\",\"taxa\":[],\"stages\":{}}"),               PB_EPARSE,
     "profiles[1].name: is empty"                                                                                                                                                                  },
    {"an escape sequence in a name",
     FILE_WITH("{\"name\":\"a\\u001b[31m\",\"taxa\":[],\"stages\":{}}"),                                   PB_EPARSE,
     "profiles[1].name: holds the control character U+001B"                                                                                                                                        },
    {"a line end in a note",         ROW_WITH("\"stages\":{},\"note\":\"a\\nb\""),                         PB_EPARSE,
     "profiles[1].note: holds the control character U+000A"                                                                                                                                        },
    {"text turned round",            ROW_WITH("\"stages\":{},\"note\":\"a\\u202eb\""),                     PB_EPARSE,
     "profiles[1].note: holds the control character U+202E"                                                                                                                                        },
    {"a source without a text",      "{\"profiles\":[],\"sources\":{\"a\":7}}",                            PB_EPARSE,
     "sources.a: expected a text"                                                                                                                                                                  },
    {"a source with a join",         "{\"profiles\":[],\"sources\":{\"a+b\":\"c\"}}",                      PB_EPARSE,
     "sources[\"a+b\"]: a key of a source holds no +"                                                                                                                                              },
    {"a source of no name",          "{\"profiles\":[],\"sources\":{\"\":\"c\"}}",                         PB_EPARSE,
     "sources[\"\"]: is empty"                                                                                                                                                                     },
    {"a synonym that is a species",
     "{\"profiles\":[],\"synonyms\":{\"Haemaria discolor\":\"Ludisia\"}}",                                 PB_EPARSE,
     "synonyms[\"Haemaria discolor\"]: expected a genus for a genus"                                                                                                                               },
    {"a synonym of a synonym",
     "{\"profiles\":[],\"synonyms\":{\"A\":\"B\",\"B\":\"C\"}}",                                           PB_EINVALID,
     "synonyms.A: \"B\" is a synonym itself"                                                                                                                                                       },
    {"a synonym of itself",          "{\"profiles\":[],\"synonyms\":{\"Abc\":\"Abc\"}}",
     PB_EINVALID,                                                                                                       "synonyms.Abc: \"Abc\" is a synonym itself"                                },
    {"no object of synonyms",        "{\"profiles\":[],\"synonyms\":[]}",                                  PB_EPARSE,
     "synonyms: expected an object"                                                                                                                                                                },
};

/* The rows for other judges: a claim, a tab, the document, a line each. */
static int print_rows(void)
{
    for (size_t i = 0; i < PB_ARRAY_LEN(bad_rows); i++)
        (void)printf("%s\t%s\n", bad_rows[i].claim, bad_rows[i].text);
    return 0;
}

static void refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < PB_ARRAY_LEN(bad_rows); i++) {
        const struct bad *b = &bad_rows[i];
        struct pb_profile_table *table = NULL;
        struct pb_err err = {0};
        CLAIM(parse(b->text, &table, &err) == b->rc, "%s: %s \"%s\"", b->claim,
              pb_rc_name(err.rc), err.text);
        CLAIM(table == NULL, "%s: out is untouched", b->claim);
        CLAIM(strstr(err.text, b->says) != NULL, "%s: says \"%s\"", b->claim, err.text);
        CLAIM(strcmp(err.where, "p.json") == 0, "%s: where %s", b->claim, err.where);
    }
}

/* ---- ceilings ------------------------------------------------------------------------ */

/* A file of n rows that each say the same, with a number for their name. */
static char *many_rows(int n, const char *format)
{
    struct pb_buf b;
    pb_buf_init(&b, 2 * (size_t)PB_MAX_PROFILE_FILE);
    pb_buf_adds(&b, "{\"profiles\":[");
    for (int i = 0; i < n; i++)
        pb_buf_printf(&b, "%s{\"name\":\"%d\",\"taxa\":[]%s,\"stages\":{}}",
                      i > 0 ? "," : "", i, format);
    pb_buf_adds(&b, "]}");
    char *text = NULL;
    assert_int_equal(pb_buf_take(&b, &text, NULL), PB_OK);
    return text;
}

static void at_the_ceiling(const char *claim, int n, const char *format, bool fits,
                           const char *says)
{
    char *text = many_rows(n, format);
    struct pb_profile_table *table = NULL;
    struct pb_err err = {0};
    enum pb_rc rc = parse(text, &table, &err);
    CLAIM((rc == PB_OK) == fits, "%s: %s", claim, err.text);
    CLAIM(fits || strstr(err.text, says) != NULL, "%s: %s", claim, err.text);
    pb_profile_table_free(table);
    free(text);
}

static void ceilings(void **state)
{
    (void)state;
    at_the_ceiling("all the rows there may be", PB_MAX_PROFILES, "", true, "");
    at_the_ceiling("one more", PB_MAX_PROFILES + 1, "", false,
                   "profiles: expected at most 2000, got 2001");
    at_the_ceiling("parts of a genus", PB_PROFILE_PARTS / 2, ",\"part_of\":[\"Vanda\"]",
                   true, "");
    at_the_ceiling("one part more", PB_PROFILE_PARTS / 2 + 1,
                   ",\"part_of\":[\"Vanda\"]", false, "too many parts");
}

static void too_long(void **state)
{
    (void)state;
    size_t n = (size_t)PB_MAX_PROFILE_FILE + 1;
    char *text = malloc(n);
    assert_non_null(text);
    memset(text, ' ', n);
    struct pb_profile_table *table = NULL;
    struct pb_err err = {0};
    assert_int_equal(pb_profile_table_parse("p.json", text, n, &table, &err),
                     PB_ELIMIT);
    free(text);

    pb_err_clear(&err);
    struct pb_buf b;
    pb_buf_init(&b, 10000);
    pb_buf_adds(&b, "{\"profiles\":[{\"taxa\":[],\"stages\":{},\"name\":\"");
    for (int i = 0; i <= PB_MAX_NAME; i++)
        pb_buf_addc(&b, 'n');
    pb_buf_adds(&b, "\"}]}");
    assert_int_equal(parse(pb_buf_peek(&b), &table, &err), PB_ELIMIT);
    assert_non_null(strstr(err.text, "profiles[0].name: is 201 bytes long"));
    pb_buf_clear(&b);
}

/* ---- what is read ---------------------------------------------------------------------- */

static void what_is_read(void **state)
{
    (void)state;
    struct pb_profile_table *table = NULL;
    struct pb_err err = {0};
    enum pb_rc rc = parse(
        "{\"profiles\":[{\"name\":\"zeta\",\"taxa\":[\"Vanda\"],\"stages\":{}},"
        "{\"name\":\"Alpha\",\"note\":\"seen here\",\"taxa\":[\"Macodes petola\"],"
        "\"part_of\":[\"Goodyera\"],\"measured\":[\"Macodes petola\"],\"stages\":{"
        "\"swelling\":{\"sign\":\"none\",\"source\":\"me\",\"confidence\":\"M\"},"
        "\"split\":{\"from\":0,\"to\":3650,\"weight\":2,\"source\":\"me+you\","
        "\"confidence\":\"H\"}},"
        "\"set_rate\":{\"share\":1,\"source\":\"me\",\"confidence\":\"L\"}}],"
        "\"sources\":{\"you\":\"b\",\"me\":\"a\"},\"synonyms\":{\"Haemaria\":"
        "\"Ludisia\"}}",
        &table, &err);
    CLAIM(rc == PB_OK, "%s", err.text);
    assert_int_equal(table->row_n, 2);
    const struct pb_profile *p = &table->rows[0];
    assert_string_equal(p->name, "Alpha");
    assert_string_equal(p->note, "seen here");
    assert_null(table->rows[1].note);
    assert_int_equal(p->lists[PB_LIST_PART_OF].n, 1);
    assert_string_equal(p->lists[PB_LIST_PART_OF].v[0], "Goodyera");
    assert_string_equal(p->lists[PB_LIST_MEASURED].v[0], "Macodes petola");
    assert_true(p->stages[PB_STAGE_SWELLING].no_sign);
    assert_int_equal(p->stages[PB_STAGE_SWELLING].from, -1);
    assert_int_equal(p->stages[PB_STAGE_SPLIT].to, 3650);
    assert_string_equal(p->stages[PB_STAGE_SPLIT].source, "me+you");
    assert_null(p->stages[PB_STAGE_HARVEST].source);
    assert_true(p->set_rate.share > 0.999);
    assert_string_equal(table->sources[0].key, "me");
    assert_string_equal(table->synonyms[0].to, "Ludisia");
    assert_int_equal(table->entry_n, 3);
    pb_profile_table_free(table);
    pb_profile_table_free(NULL);
}

/* An empty file of profiles is one too. */
static void nothing_in_it(void **state)
{
    (void)state;
    struct pb_profile_table *table = NULL;
    assert_int_equal(parse("{\"profiles\":[]}", &table, NULL), PB_OK);
    const struct pb_profiles ps = {table, &pb_profiles_builtin};
    struct pb_profile_match m;
    pb_profile_find(&ps, "Macodes", NULL, &m);
    assert_string_equal(m.row->name, "macodes");
    pb_profile_table_free(table);
}

/* ---- the grower's own ------------------------------------------------------------------ */

static void own_file_wins(void **state)
{
    (void)state;
    static const char text[] =
        "{\"profiles\":["
        "{\"name\":\"macodes\",\"taxa\":[],\"stages\":{\"harvest\":{\"from\":38,\"to\":"
        "42,"
        "\"source\":\"book\",\"confidence\":\"M\"}}},"
        "{\"name\":\"mine\",\"taxa\":[\"Goodyera\",\"Zeuxine\",\"Dossinia marmorata\"],"
        "\"stages\":{}},"
        "{\"name\":\"my-dendrobium\",\"taxa\":[],\"part_of\":[\"Dendrobium\"],"
        "\"stages\":{}},"
        "{\"name\":\"my-group\",\"taxa\":[],\"group_of\":[\"Ludochilus\"],\"stages\":{}"
        "},"
        "{\"name\":\"dendrobium-ant\",\"taxa\":[],\"part_of\":[\"Dendrobium\"],"
        "\"stages\":{}}],"
        "\"synonyms\":{\"Goodiera\":\"Goodyera\"},"
        "\"sources\":{\"book\":\"eleven capsules here\"}}";
    static const struct {
        const char *claim, *taxon;
        enum pb_basis basis;
        const char *row;
        bool own;
    } rows[] = {
        {"a row of the same name stands in its place", "Macodes petola",           PB_BASIS_GENUS,
         "macodes",                                                                                              true },
        {"own genus before the built-in species",      "Goodyera hispida",         PB_BASIS_GENUS,
         "mine",                                                                                                 true },
        {"a genus that nobody had",                    "Zeuxine sp.",              PB_BASIS_GENUS,   "mine",     true },
        {"own species",                                "Dossinia marmorata",       PB_BASIS_SPECIES, "mine",     true },
        {"another of its genus",                       "Dossinia sp.",             PB_BASIS_GENUS,   "dossinia", false},
        {"own synonym",                                "Goodiera repens",          PB_BASIS_GENUS,   "mine",     true },
        {"own group first",                            "Ludochilus Green Lamp",    PB_BASIS_GROUP,   "my-group", true },
        {"the built-in group stays",                   "Macodisia Green Lamp",     PB_BASIS_GROUP,
         "jewel-orchid",                                                                                         false},
        {"what it does not name",                      "Anoectochilus roxburghii", PB_BASIS_SPECIES,
         "anoectochilus-roxburghii",                                                                             false},
    };
    struct pb_profile_table *own = NULL;
    struct pb_err err = {0};
    CLAIM(parse(text, &own, &err) == PB_OK, "%s", err.text);
    const struct pb_profiles ps = {own, &pb_profiles_builtin};
    struct pb_profile_match m;
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        pb_profile_find(&ps, rows[i].taxon, NULL, &m);
        CLAIM(m.basis == rows[i].basis && m.own == rows[i].own, "%s: %s", rows[i].claim,
              pb_basis_names[m.basis]);
        CLAIM(strcmp(m.row->name, rows[i].row) == 0, "%s: %s", rows[i].claim,
              m.row->name);
        CLAIM(m.table == (rows[i].own ? own : &pb_profiles_builtin), "%s: table",
              rows[i].claim);
    }
    pb_profile_find(&ps, "Dendrobium sp.", NULL,
                    &m); /* own part, and one in its place */
    assert_int_equal(m.part_n, 5);
    assert_string_equal(m.parts[0]->name, "dendrobium-ant");
    assert_ptr_equal(m.parts[0], &own->rows[0]);
    assert_string_equal(m.parts[1]->name, "my-dendrobium");
    assert_true(pb_profile_choose(&ps, "MACODES", "Macodes petola", &m) && m.own);
    assert_int_equal(pb_profile_stage(&m, PB_STAGE_HARVEST)->from, 38);
    assert_string_equal(pb_profile_source(m.table, "book", 0)->text,
                        "eleven capsules here");
    pb_profile_table_free(own);
}

/* ---- files ------------------------------------------------------------------------------ */

static void files(void **state)
{
    (void)state;
    struct pb_profile_table *table = NULL;
    struct pb_err err = {0};
    CLAIM(pb_profile_table_load(PB_SOURCE_DIR "/lib/data/profiles.json", &table,
                                &err) == PB_OK,
          "%s", err.text);
    assert_int_equal(table->row_n, pb_profiles_builtin.row_n);
    pb_profile_table_free(table);

    CLAIM(pb_profile_table_load(PB_SOURCE_DIR "/no/such.json", &table, &err) == PB_OK,
          "a file that is not there is no error: %s", err.text);
    assert_null(table);
    assert_int_equal(pb_profile_table_load(PB_SOURCE_DIR, &table, &err), PB_EIO);
    assert_string_equal(err.text, "is no plain file; put one there, or nothing");

    char path[] = "/tmp/XXXXXX";
    int fd = mkstemp(path);
    assert_true(fd >= 0);
    FILE *out = fdopen(fd, "w");
    assert_non_null(out);
    for (int i = 0; i <= PB_MAX_PROFILE_FILE; i++)
        (void)fputc(' ', out);
    (void)fclose(out);
    pb_err_clear(&err);
    enum pb_rc rc = pb_profile_table_load(path, &table, &err);
    (void)remove(path);
    assert_int_equal(rc, PB_ELIMIT);
    assert_string_equal(err.text, "is larger than 4194304 bytes");
}

int main(int argc, char **argv)
{
    if (argc == 2 && strcmp(argv[1], "--rows") == 0)
        return print_rows();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(refused),       cmocka_unit_test(ceilings),
        cmocka_unit_test(too_long),      cmocka_unit_test(what_is_read),
        cmocka_unit_test(nothing_in_it), cmocka_unit_test(own_file_wins),

        cmocka_unit_test(files),
    };
    return UNIT_MAIN("profile_file", tests);
}
