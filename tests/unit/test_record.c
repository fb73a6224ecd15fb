/* Records as JSON: what is kept, left out, compared; faults that no file of the tree holds. */
#include "json_files.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Bytes that no file of the tree may hold. */
static void bytes_refused(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *grex;
    } rows[] = {
        {"Latin-1",                     "caf\xe9"          },
        {"a slash in two bytes",        "a\xc0\xaf"        },
        {"a surrogate as three bytes",  "a\xed\xa0\x80"    },
        {"above the last character",    "a\xf4\x90\x80\x80"},
        {"a character that is cut off", "a\xe2\x82"        },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_record rec;
        struct pb_err err = {0};
        char text[100];
        int n =
            snprintf(text, sizeof(text),
                     "{\"format\":\"podbook-cross\",\"grex\":\"%s\"}", rows[i].grex);
        CLAIM(read_text(text, (size_t)n, &rec, &err) == PB_EPARSE, "%s", rows[i].claim);
        CLAIM(strstr(err.text, "unable to decode") != NULL, "%s: %s", rows[i].claim,
              err.text);
    }
}

/* ---- texts that the rows below build on ---------------------------------------------- */

#define ID(n) "0195a1b2-c3d4-7e5f-8a9b-00000000000" n
#define SEED \
    "\"seed_parent\":{\"code\":\"AR-1\",\"id\":\"" ID("2") "\",\"taxon\":\"A\"}"
#define POLLEN "\"pollen_parents\":[]"
#define TAIL   "\"revision\":1," SEED ",\"version\":1}"

/* What stands first in sorted order, at the sorted place; the keys between are the same. */
#define CROSS(first, between)                                                    \
    "{" first "\"code\":\"X26-001\",\"flowers\":3,\"format\":\"podbook-cross\"," \
    "\"harvests\":[],\"id\":\"" ID(                                              \
        "1") "\"," between                                                       \
             "\"looks\":[],\"modified\":\"2026-03-02T12:00:00Z\"," POLLEN        \
             ",\"pollinated\":\"2026-03-02\"," TAIL

/* ---- accepted, and written in podbook's own way --------------------------------------- */

static void normalised_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text, *written;
    } rows[] = {
        {"keys in any order, blanks between",
         " { \"version\" : 1 ,\t\"modified\":\"2026-03-02T12:00:00Z\", \"revision\":1,"
         "\"id\":\"" ID("1") "\",\r\n\"code\":\"P\",\"format\":\"podbook-plant\","
                             "\"taxon\":\"\\u00d7A \\u00e9\\/\"}",             "{\"code\":\"P\",\"format\":\"podbook-plant\",\"id\":\"" ID(
             "1") "\","
                  "\"modified\":\"2026-03-02T12:00:00Z\",\"revision\":1,"
                  "\"taxon\":\"\u00d7A \u00e9/\",\"version\":1}"            },
        {"what is computed is passed over",
         CROSS("\"capsules\":{\"open\":3},",                                   "\"kind\":\"self\","),                                           CROSS("", "")},
        {"whatever it holds",
         CROSS("\"capsules\":null,\"state\":[{\"a\":7}],\"windows\":\"soon\",",
         "\"kind\":\"tomorrow\","),
         CROSS("", "")},
        {"not withdrawn, said or not",           CROSS("\"withdrawn\":false,",                                                             ""),
         CROSS("", "")},
        {"origin unknown, said or not",
         "{\"code\":\"P\",\"format\":\"podbook-plant\",\"id\":\"" ID(
             "1") "\","
                  "\"modified\":\"2026-03-02T12:00:00Z\",\"origin\":\"unknown\","
                  "\"revision\":1,"
                  "\"taxon\":\"A\",\"version\":1}", "{\"code\":\"P\",\"format\":\"podbook-plant\",\"id\":\"" ID(
             "1") "\","
                  "\"modified\":\"2026-03-02T12:00:00Z\",\"revision\":1,"
                  "\"taxon\":\"A\",\"version\":1}"},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_record rec;
        struct pb_err err = {0};
        struct pb_buf out;
        CLAIM(read_text(rows[i].text, strlen(rows[i].text), &rec, &err) == PB_OK,
              "%s: %s", rows[i].claim, err.text);
        write_full(&rec, true, &out);
        CLAIM(strcmp(pb_buf_peek(&out), rows[i].written) == 0, "%s: %s", rows[i].claim,
              pb_buf_peek(&out));
        pb_buf_clear(&out);
        pb_record_clear(&rec);
    }
}

/* The members that a swap of two keys in one of the tables would not show above. */
static void in_memory(void **state)
{
    (void)state;
    struct pb_record rec;
    read_file("a-cross-with-every-key", &rec);
    const struct pb_cross *x = &rec.cross;
    assert_int_equal(rec.kind, PB_CROSS);
    assert_string_equal(x->head.code, "X26-001");
    assert_string_equal(x->head.origin_code, "X26-014");
    assert_int_equal(x->head.revision, 7);
    assert_int_equal(x->head.modified, 1772452800);
    assert_true(x->head.withdrawn);
    assert_int_equal(x->flowers, 3);
    assert_int_equal(x->flower_age, 4);
    assert_string_equal(x->at, "third from below");
    assert_string_equal(x->grex, "Schoolhouse");
    assert_string_equal(x->doubtful, "the tag fell off");
    assert_string_equal(x->profile, "jewel");
    assert_int_equal(x->own_pollen, PB_OWN_REMOVED);
    assert_int_equal(x->pollinated, pb_day_from_ymd(2026, 3, 2));
    assert_int_equal(x->bagged, pb_day_from_ymd(2026, 3, 20));
    assert_int_equal(x->seed.ploidy, 2);
    assert_string_equal(x->seed.genet.code, "AR-0");
    assert_string_equal(x->seed.clone_name, "Old Bench");
    assert_string_equal(x->seed.raised_from.code, "X24-003");
    assert_int_equal(x->pollen_n, 2);
    assert_string_equal(x->pollen[0].lot, "P26-001");
    assert_int_equal(x->pollen[0].age_days, 0);
    assert_int_equal(x->pollen[1].age_days, -1);
    assert_string_equal(x->pollen[1].parent.plant.code, "dossinia.b");
    assert_int_equal(x->look_n, 2);
    assert_int_equal(x->looks[1].number, 2);
    assert_int_equal(x->looks[1].found, PB_DROPPED);
    assert_int_equal(x->looks[0].count, 3);
    assert_int_equal(x->harvest_n, 2);
    assert_int_equal(x->harvests[1].number, 2);
    assert_int_equal(x->harvests[0].as, PB_AS_ABOUT_TO_SPLIT);
    assert_true(x->harvests[0].held_cold);
    assert_false(x->harvests[1].held_cold);
    pb_record_clear(&rec);
    read_file("a-plant-with-stated-parents", &rec);
    assert_int_equal(rec.plant.origin, PB_ORIGIN_PARENTS);
    assert_string_equal(rec.plant.seed_parent.code, "S1");
    assert_string_equal(rec.plant.pollen_parent.code, "S2");
    assert_string_equal(rec.more.pollen_taxon, "Anoectochilus formosanus");
    pb_record_clear(&rec);
    read_file("a-plant-with-every-key-of-a-pup", &rec);
    assert_int_equal(rec.plant.origin, PB_ORIGIN_PUP);
    assert_int_equal(rec.plant.gone, PB_GIVEN);
    assert_int_equal(rec.plant.gone_on, PB_DAY_MAX);
    assert_int_equal(rec.plant.got, PB_DAY_MIN);
    assert_string_equal(rec.plant.source.code, "AR-0");
    assert_string_equal(rec.plant.source_text, "a friend\u2019s bench");
    pb_record_clear(&rec);
}

/* ---- privacy ------------------------------------------------------------------------- */

static void private_by_default(void **state)
{
    (void)state;
    static const char *const names[] = {
        "a-cross-with-every-key",    "a-plant-with-every-key-of-a-pup",
        "a-seed-lot-with-every-key", "a-flask-with-every-key",
        "cuttings-with-every-key",   "pollen-with-every-key",
        "a-plant-that-flowered"};
    static const char *const keys[] = {"\"note\":", "\"source\":\"",
                                       "\"papers\":", "\"place\":"};
    for (size_t i = 0; i < PB_ARRAY_LEN(names); i++) {
        struct pb_record rec;
        struct pb_buf out;
        read_file(names[i], &rec);
        write_full(&rec, false, &out);
        for (size_t k = 0; k < PB_ARRAY_LEN(keys); k++)
            CLAIM(strstr(pb_buf_peek(&out), keys[k]) == NULL, "%s tells its %s",
                  names[i], keys[k]);
        CLAIM(strstr(pb_buf_peek(&out), "\"taxon\":") != NULL, "%s: the rest stays",
              names[i]);
        pb_buf_clear(&out);
        pb_record_clear(&rec);
    }
}

/* ---- what is computed ----------------------------------------------------------------- */

static void view_written(void **state)
{
    (void)state;
    struct pb_record rec;
    struct pb_buf out;
    struct pb_cross_view view;
    pb_cross_view_init(&view);
    view.kind = PB_CROSS_SIB;
    view.swelling = pb_span_after(pb_day_from_ymd(2026, 3, 2), 4, 7);
    view.harvest = pb_span_after(pb_day_from_ymd(2026, 3, 2), 21, 25);
    view.risk_day = pb_day_from_ymd(2026, 3, 28);
    view.by_stand[PB_STAND_HOLDING] = 2;
    view.by_stand[PB_STAND_DROPPED] = 1;
    view.open = 2;
    view.state = "holding";
    read_file("a-cross-with-no-more-than-it-needs", &rec);
    pb_buf_init(&out, PB_MAX_RECORD);
    assert_int_equal(pb_cross_write(&rec.cross, &view, false, &out, NULL), PB_OK);
    const char *text = pb_buf_peek(&out);
    assert_non_null(strstr(text, "{\"capsules\":{\"dropped\":1,\"harvested\":0,"
                                 "\"holding\":2,\"lost\":0,\"open\":2,\"pollinated\":0,"
                                 "\"split\":0,\"swollen\":0,\"unchanged\":0,"
                                 "\"unsure\":0,\"yellowing\":0},\"code\""));
    assert_non_null(strstr(text, "\"kind\":\"sib\""));
    assert_non_null(strstr(text, "\"state\":\"holding\""));
    assert_non_null(strstr(text, "\"windows\":{\"harvest\":{\"from\":\"2026-03-23\","
                                 "\"to\":\"2026-03-27\"},\"risk_day\":\"2026-03-28\","
                                 "\"swelling\":{\"from\":\"2026-03-06\","
                                 "\"to\":\"2026-03-09\"}}}"));
    pb_buf_clear(&out);
    pb_record_clear(&rec);
}

/* ---- comparing ------------------------------------------------------------------------ */

static void same_rows(void **state)
{
    (void)state;
    /* a member of the cross with every key, and what it is changed to */
    static const struct {
        const char *claim, *from, *to;
        bool same;
    } rows[] = {
        {"itself",                      "",                              "",                              true },
        {"modified is no content",      "2026-03-02T12:00:00Z",          "2027-01-01T00:00:00Z",
         true                                                                                                  },
        {"nor is the code here",        "\"code\":\"X26-001\"",          "\"code\":\"X26-099\"",          true },
        {"nor the one it came with",    "\"origin_code\":\"X26-014\",",  "",                              true },
        {"nor what is computed",        "{\"at\"",                       "{\"kind\":\"self\",\"at\"",     true },
        {"nor a parent's code",         "\"code\":\"AR-1\"",             "\"code\":\"AR-1-2\"",           true },
        {"nor its taxon",               "Anoectochilus roxburghii",      "A. roxburghii",                 true },
        {"nor its clone",               "Old Bench",                     "New Bench",                     true },
        {"nor its ploidy",              "\"ploidy\":2",                  "\"ploidy\":4",                  true },
        {"nor where it was raised",     "X24-003",                       "X24-004",                       true },
        {"a parent's id is",            "\"id\":\"" ID("2") "\"",        "\"id\":\"" ID("9") "\"",        false},
        {"so is the pollen lot",        "P26-001",                       "P26-002",                       false},
        {"and its age",                 "\"pollen_age_days\":0",         "\"pollen_age_days\":1",         false},
        {"the day",                     "\"pollinated\":\"2026-03-02\"", "\"pollinated\":\"2026-03-01\"",
         false                                                                                                 },
        {"the flowers",                 "\"flowers\":3",                 "\"flowers\":4",                 false},
        {"a count",                     "\"count\":3",                   "\"count\":2",                   false},
        {"a finding",                   "\"found\":\"dropped\"",         "\"found\":\"lost\"",            false},
        {"how it was harvested",        "\"held_cold\":true,",           "",                              false},
        {"the grex",                    "Schoolhouse",                   "Greenhouse",                    false},
        {"withdrawn",                   "\"withdrawn\":true,",           "",                              false},
        {"a note, where both have one", "dull day",                      "bright day",                    false},
        {"a look's note",               "one small",                     "one tiny",                      false},
        {"an x- key of the record",     "\"sky\":\"grey\"",              "\"sky\":\"blue\"",              false},
        {"an x- key of a look",         "a.jpg",                         "b.jpg",                         false},
        {"an x- key of a parent",       "7 cm",                          "9 cm",                          false},
    };
    static char text[FILE_MAX];
    struct pb_buf other;
    size_t n = slurp("kept/a-cross-with-every-key.json", text, sizeof(text));
    pb_buf_init(&other, FILE_MAX);
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_record a, b;
        struct pb_err err = {0};
        bool same = !rows[i].same;
        const char *at = strstr(text, rows[i].from);
        CLAIM(at != NULL, "%s: nothing to change", rows[i].claim);
        pb_buf_reset(&other);
        pb_buf_add(&other, text, (size_t)(at - text));
        pb_buf_adds(&other, rows[i].to);
        pb_buf_adds(&other, at + strlen(rows[i].from));
        assert_int_equal(read_text(text, n, &a, &err), PB_OK);
        CLAIM(read_text(pb_buf_peek(&other), other.len, &b, &err) == PB_OK, "%s: %s",
              rows[i].claim, err.text);
        assert_int_equal(pb_cross_same(&a.cross, &b.cross, true, &same, &err), PB_OK);
        CLAIM(same == rows[i].same, "%s", rows[i].claim);
        pb_record_clear(&a);
        pb_record_clear(&b);
    }
    pb_buf_clear(&other);
}

static void same_plants(void **state)
{
    (void)state;
    struct pb_record a, b;
    bool same = false;
    read_file("a-plant-with-every-key-of-a-pup", &a);
    read_file("a-plant-with-every-key-of-a-pup", &b);
    b.plant.head.modified++;
    (void)strcpy(b.plant.head.code, "other");
    (void)strcpy(b.plant.source.code, "other");
    b.plant.genet.id[0] = 'f'; /* follows from the source */
    assert_int_equal(any_same(&a, &b, &same, NULL), PB_OK);
    assert_true(same);
    b.plant.source.id[0] = 'f';
    assert_int_equal(any_same(&a, &b, &same, NULL), PB_OK);
    assert_false(same);
    b.plant.source.id[0] = a.plant.source.id[0];
    b.plant.clone_name[0] = 'o';
    assert_int_equal(any_same(&a, &b, &same, NULL), PB_OK);
    assert_false(same);
    pb_record_clear(&a);
    pb_record_clear(&b);
}

/* ---- a book that something else wrote into --------------------------------------------- */

static void mangled_book(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *grex, *extra, *says;
    } rows[] = {
        {"a text that is not UTF-8",   "caf\xe9", NULL,
         "its grex is not UTF-8 at byte 4; save it as UTF-8"                            },
        {"a control character",        "a\x1b[m", NULL,
         "its grex holds the control character U+001B at byte 2; "
         "take it out"                                                                  },
        {"x- keys that are no JSON",   NULL,      "{",   "its x- keys are not good JSON"},
        {"x- keys that are no object", NULL,      "[1]", "its x- keys are not good JSON"},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_record rec;
        struct pb_err err = {0};
        struct pb_buf out;
        read_file("a-cross-with-no-more-than-it-needs", &rec);
        rec.cross.grex = pb_text_copy(rows[i].grex);
        rec.cross.head.extra = pb_text_copy(rows[i].extra);
        pb_buf_init(&out, PB_MAX_RECORD);
        CLAIM(pb_cross_write(&rec.cross, NULL, false, &out, &err) == PB_EPARSE, "%s",
              rows[i].claim);
        CLAIM(strcmp(err.text, rows[i].says) == 0, "%s: %s", rows[i].claim, err.text);
        assert_string_equal(err.where, "X26-001");
        assert_int_equal(out.len, 0);
        pb_buf_clear(&out);
        pb_record_clear(&rec);
    }
}

/* The ceiling of the caller's buffer is a limit error, not half a record in a file. */
static void ceiling(void **state)
{
    (void)state;
    struct pb_record rec;
    struct pb_buf out;
    struct pb_err err = {0};
    read_file("a-cross-with-every-key", &rec);
    pb_buf_init(&out, 200);
    assert_int_equal(pb_cross_write(&rec.cross, NULL, true, &out, &err), PB_ELIMIT);
    assert_string_equal(err.text, "text is longer than 200 bytes");
    pb_buf_clear(&out);
    pb_record_clear(&rec);
    static char text[PB_MAX_JSON_LINE + 1];
    memset(text, ' ', sizeof(text));
    pb_err_clear(&err);
    assert_int_equal(read_text(text, sizeof(text), &rec, &err), PB_ELIMIT);
    assert_string_equal(err.text, "is longer than 1048576 bytes");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(in_memory),     cmocka_unit_test(normalised_rows),
        cmocka_unit_test(view_written),  cmocka_unit_test(private_by_default),
        cmocka_unit_test(same_rows),     cmocka_unit_test(same_plants),
        cmocka_unit_test(mangled_book),  cmocka_unit_test(ceiling),
        cmocka_unit_test(bytes_refused),
    };
    return UNIT_MAIN("record", tests);
}
