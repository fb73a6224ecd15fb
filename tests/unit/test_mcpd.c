/* Accessions as a passport table: column names, names of taxa, escapes. */
#include "unit.h"

#include "exchange/mcpd.h"
#include "exchange/table.h"

#include <stdio.h>
#include <string.h>

/* FAO/Bioversity Multi-Crop Passport Descriptors V.2.1 with their numbers, typed a second
 * time; 6 to 9, 25 and 26 from memory. */
static const struct {
    const char *number, *name;
} published[] = {
    {"0",     "PUID"           },
    {"1",     "INSTCODE"       },
    {"2",     "ACCENUMB"       },
    {"3",     "COLLNUMB"       },
    {"4",     "COLLCODE"       },
    {"4.1",   "COLLNAME"       },
    {"4.1.1", "COLLINSTADDRESS"},
    {"4.2",   "COLLMISSID"     },
    {"5",     "GENUS"          },
    {"6",     "SPECIES"        },
    {"7",     "SPAUTHOR"       },
    {"8",     "SUBTAXA"        },
    {"9",     "SUBTAUTHOR"     },
    {"10",    "CROPNAME"       },
    {"11",    "ACCENAME"       },
    {"12",    "ACQDATE"        },
    {"13",    "ORIGCTY"        },
    {"14",    "COLLSITE"       },
    {"15.1",  "DECLATITUDE"    },
    {"15.2",  "LATITUDE"       },
    {"15.3",  "DECLONGITUDE"   },
    {"15.4",  "LONGITUDE"      },
    {"15.5",  "COORDUNCERT"    },
    {"15.6",  "COORDDATUM"     },
    {"15.7",  "GEOREFMETH"     },
    {"16",    "ELEVATION"      },
    {"17",    "COLLDATE"       },
    {"18",    "BREDCODE"       },
    {"18.1",  "BREDNAME"       },
    {"19",    "SAMPSTAT"       },
    {"20",    "ANCEST"         },
    {"21",    "COLLSRC"        },
    {"22",    "DONORCODE"      },
    {"22.1",  "DONORNAME"      },
    {"23",    "DONORNUMB"      },
    {"24",    "OTHERNUMB"      },
    {"25",    "DUPLSITE"       },
    {"25.1",  "DUPLINSTNAME"   },
    {"26",    "STORAGE"        },
    {"27",    "MLSSTAT"        },
    {"28",    "REMARKS"        },
};

/* What a text says as a table with its header. */
static void read_back(const struct pb_buf *text, struct pb_table *t)
{
    struct pb_err err = {0};
    FILE *f = tmpfile();
    assert_non_null(f);
    assert_int_equal(fwrite(pb_buf_peek(text), 1, text->len, f), text->len);
    rewind(f);
    enum pb_rc rc = pb_table_read(f, "made", ',', t, &err);
    (void)fclose(f);
    CLAIM(rc == PB_OK, "%s", err.text);
}

/* The table of one accession; pb_table_clear. */
static void table_of(const struct pb_accession *acc, struct pb_table *t)
{
    struct pb_buf text;
    pb_buf_init(&text, 1 << 20);
    assert_int_equal(pb_mcpd_header(&text, NULL), PB_OK);
    pb_buf_addc(&text, '\n');
    assert_int_equal(pb_mcpd_write(acc, &text, NULL), PB_OK);
    read_back(&text, t);
    pb_buf_clear(&text);
}

/* The cell of a column; a name that is no column fails. */
static const char *cell(const struct pb_table *t, const char *name)
{
    for (size_t i = 0; i < PB_ARRAY_LEN(published); i++)
        if (strcmp(published[i].name, name) == 0)
            return pb_table_cell(t, 1, i);
    fail_msg("%s is no column", name);
    return "";
}

static void has(const struct pb_table *t, const char *claim, const char *name,
                const char *wanted)
{
    const char *got = cell(t, name);
    CLAIM(strcmp(got, wanted) == 0, "%s: %s is \"%s\"", claim, name, got);
}

static void columns_are_the_published_ones(void **state)
{
    const struct pb_accession acc = {.id = "i", .code = "c", .acquired = PB_DAY_NONE};
    struct pb_table t;
    (void)state;
    table_of(&acc, &t);
    assert_int_equal(t.row[0].n, PB_ARRAY_LEN(published));
    assert_int_equal(t.row[1].n, PB_ARRAY_LEN(published));
    for (size_t i = 0; i < PB_ARRAY_LEN(published); i++)
        CLAIM(strcmp(pb_table_cell(&t, 0, i), published[i].name) == 0,
              "descriptor %s is %s", published[i].number, pb_table_cell(&t, 0, i));
    pb_table_clear(&t);
}

/* One taxon, or those of two parents where there is a second. */
static const struct {
    const char *claim, *taxon, *other;
    const char *genus, *species, *subtaxa, *name, *remarks;
} names[] = {
    {"a species",                                 "Goodyera hispida",                            NULL,               "Goodyera",           "hispida", "",                     "",                    ""                                                        },
    {"a genus alone is an unknown species of it", "Goodyera",                                    NULL,               "Goodyera",           "sp.",
     "",                                                                                                                                                                      "",                    ""                                                        },
    {"so is sp.",                                 "Goodyera sp.",                                NULL,               "Goodyera",           "sp.",     "",                     "",                    ""                                                        },
    {"the case of a genus is put right",          "goodyera hispida",                            NULL,               "Goodyera",
     "hispida",                                                                                                                                       "",                     "",                    "SPECIES:written goodyera hispida"                        },
    {"a variety",                                 "Macodes petola var. javanica",                NULL,               "Macodes",            "petola",
     "var. javanica",                                                                                                                                                         "",                    ""                                                        },
    {"two ranks, with authors",                   "Macodes petola Bl. ssp. alta Auth. f. rosea", NULL,
     "Macodes",                                                                                                                            "petola",  "subsp. alta f. rosea", "",
     "SPECIES:written Macodes petola Bl. ssp. alta Auth. f. rosea"                                                                                                                                                                                             },
    {"an author's son is no form",                "Macodes petola L. f. ex Bl.",                 NULL,               "Macodes",
     "petola",                                                                                                                                        "",                     "",                    "SPECIES:written Macodes petola L. f. ex Bl."             },
    {"nor at the end",                            "Macodes petola L. f.",                        NULL,               "Macodes",            "petola",  "",                     "",
     "SPECIES:written Macodes petola L. f."                                                                                                                                                                                                                    },
    {"a grex and a clone are designations",       "Macodes Evening 'First; Best'",               NULL,
     "Macodes",                                                                                                                            "",        "",                     "Evening;First, Best",
     "SPECIES:written Macodes Evening 'First, Best'"                                                                                                                                                                                                           },
    {"a hybrid genus keeps its sign",             "xLudochilus",                                 NULL,               "\xC3\x97Ludochilus", "",        "",
     "",                                                                                                                                                                                             "SPECIES:written xLudochilus"                             },
    {"so does a hybrid's species name",           "Goodyera x intermedia",                       NULL,               "Goodyera",
     "\xC3\x97intermedia",                                                                                                                            "",                     "",                    "SPECIES:written Goodyera x intermedia"                   },
    {"a formula has no species",                  "Goodyera hispida \xC3\x97 Goodyera alba",     NULL,
     "Goodyera",                                                                                                                           "",        "",                     "",                    "SPECIES:written Goodyera hispida \xC3\x97 Goodyera alba" },
    {"nor a genus where there are two",           "Ludisia discolor \xC3\x97 Macodes petola",
     NULL,                                                                                                           "",                   "",        "",                     "",                    "SPECIES:written Ludisia discolor \xC3\x97 Macodes petola"},
    {"what is no name is told as it is",          "+42",                                         NULL,               "",                   "",        "",                     "",
     "SPECIES:written +42"                                                                                                                                                                                                                                     },
    {"parents of one species",                    "Goodyera hispida",                            "goodyera hispida", "Goodyera",
     "hispida",                                                                                                                                       "",                     "",                    ""                                                        },
    {"of one genus",                              "Goodyera hispida",                            "Goodyera alba",    "Goodyera",           "",        "",                     "",                    ""                                                        },
    {"of two genera with one epithet",            "Ludisia alba",                                "Goodyera alba",    "",                   "",        "",                     "",
     ""                                                                                                                                                                                                                                                        },
    {"of one species, one a variety",             "Goodyera alba var. rosea",                    "Goodyera alba",
     "Goodyera",                                                                                                                           "alba",    "",                     "",                    ""                                                        },
};

static void names_have_their_columns(void **state)
{
    (void)state;
    for (size_t i = 0; i < PB_ARRAY_LEN(names); i++) {
        const char *taxa[2] = {names[i].taxon, names[i].other};
        const struct pb_accession acc = {.id = "i",
                                         .code = "c",
                                         .taxa = taxa,
                                         .taxon_n = names[i].other != NULL ? 2 : 1,
                                         .acquired = PB_DAY_NONE};
        struct pb_table t;
        table_of(&acc, &t);
        has(&t, names[i].claim, "GENUS", names[i].genus);
        has(&t, names[i].claim, "SPECIES", names[i].species);
        has(&t, names[i].claim, "SUBTAXA", names[i].subtaxa);
        has(&t, names[i].claim, "ACCENAME", names[i].name);
        has(&t, names[i].claim, "REMARKS", names[i].remarks);
        pb_table_clear(&t);
    }
}

static void an_unknown_parent_leaves_no_name(void **state)
{
    const char *const taxa[] = {"Goodyera hispida", NULL};
    const struct pb_accession acc = {.id = "i",
                                     .code = "c",
                                     .taxa = taxa,
                                     .taxon_n = 2,
                                     .seed_parent = "GH-1 (Goodyera hispida)",
                                     .acquired = PB_DAY_NONE};
    struct pb_table t;
    (void)state;
    table_of(&acc, &t);
    has(&t, "pollen unknown", "GENUS", "");
    has(&t, "pollen unknown", "ANCEST", "GH-1 (Goodyera hispida)/UNKNOWN");
    has(&t, "pollen unknown", "REMARKS", "");
    pb_table_clear(&t);
}

static void every_value_has_its_form(void **state)
{
    const char *const taxa[] = {"Goodyera hispida"};
    const struct pb_accession acc = {.id = "019cae6b-6600-79ac-9b83-77f89ace0dc8",
                                     .code = "GH-2",
                                     .origin_code = "A7",
                                     .taxa = taxa,
                                     .taxon_n = 1,
                                     .grex = "Evening",
                                     .clone_name = "Late",
                                     .acquired = pb_day_from_ymd(2024, 2, 29),
                                     .status = PB_SAMPLE_SEGREGATING,
                                     .seed_parent = "a/b;c",
                                     .pollen_parent = "d+e",
                                     .donor = "-1; the \"school\", bench 2",
                                     .others = ":S26-001;:F26-001",
                                     .storage = PB_STORAGE_SEED | PB_STORAGE_PLANT |
                                                PB_STORAGE_IN_VITRO,
                                     .doubtful = "leaf; flower",
                                     .gone = "given",
                                     .note = "=A1;b"};
    struct pb_table t;
    (void)state;
    table_of(&acc, &t);
    has(&t, "a URN", "PUID", "urn:uuid:019cae6b-6600-79ac-9b83-77f89ace0dc8");
    has(&t, "the code", "ACCENUMB", "GH-2");
    has(&t, "both names", "ACCENAME", "Evening;Late");
    has(&t, "no hyphens", "ACQDATE", "20240229");
    has(&t, "a published code", "SAMPSTAT", "415");
    has(&t, "one slash alone parts the two", "ANCEST", "a|b,c/d+e");
    has(&t, "no formula, no second value", "DONORNAME", "'-1, the \"school\", bench 2");
    has(&t, "its code in the book it came from", "DONORNUMB", "A7");
    has(&t, "codes of no institute", "OTHERNUMB", ":S26-001;:F26-001");
    has(&t, "all that hold", "STORAGE", "10;20;30");
    has(&t, "each with its column", "REMARKS",
        "ANCEST:leaf, flower;STORAGE:given;=A1,b");
    pb_table_clear(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(columns_are_the_published_ones),
        cmocka_unit_test(names_have_their_columns),
        cmocka_unit_test(an_unknown_parent_leaves_no_name),
        cmocka_unit_test(every_value_has_its_form),
    };
    return UNIT_MAIN("mcpd", tests);
}
