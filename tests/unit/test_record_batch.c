/* Seed lots, flasks, cuttings, pollen, and plants that flowered as JSON. */
#include "json_files.h"

#include "core/life.h"
#include "core/task.h"

#include <stdlib.h>
#include <string.h>

#define ID(n) "0195a1b2-c3d4-7e5f-8a9b-00000000000" n

static void in_memory_batches(void **state)
{
    (void)state;
    struct pb_record rec;
    const struct pb_batch *b = &rec.batch;
    read_file("a-seed-lot-with-every-key", &rec);
    assert_int_equal(rec.kind, PB_SEED);
    assert_int_equal(b->kind, PB_SEED);
    assert_int_equal(b->on, pb_day_from_ymd(2026, 4, 12));
    assert_int_equal(b->capsules, 2);
    assert_int_equal(b->amount, 5000);
    assert_int_equal(b->form, PB_FORM_DRY);
    assert_true(b->celsius > 4.49 && b->celsius < 4.51);
    assert_true(b->constants.moisture > 4.99 && b->constants.moisture < 5.01);
    assert_true(b->constants.viability > 92.4 && b->constants.viability < 92.6);
    assert_true(b->constants.below > 49.9 && b->constants.below < 50.1);
    assert_true(b->constants.ke > 6.49 && b->constants.ke < 6.51);
    assert_true(b->constants.cw > 3.09 && b->constants.cw < 3.11);
    assert_true(b->constants.ch > 0.0328 && b->constants.ch < 0.033);
    assert_true(b->constants.cq > 0.00047 && b->constants.cq < 0.00048);
    assert_string_equal(b->constants.source, "their own trials");
    assert_int_equal(b->look_n, 4);
    assert_int_equal(b->looks[0].amount, 4900);
    assert_int_equal(b->looks[0].count, 1);
    assert_int_equal(b->looks[1].amount, 63);
    assert_int_equal(b->looks[1].sample, 100);
    assert_string_equal(b->looks[1].method, "filled, under the microscope");
    assert_int_equal(b->looks[3].amount, -1);
    assert_string_equal(b->cross.code, "X26-001");
    assert_string_equal(rec.cross.head.id, b->cross.id);
    assert_int_equal(rec.cross.pollen_n, 2);
    assert_non_null(rec.cross.head.extra); /* its own, not the lot's */
    assert_null(strstr(b->head.extra, "x-weather"));
    pb_record_clear(&rec);
    read_file("a-flask-with-every-key", &rec);
    assert_int_equal(b->source_kind, PB_FLASK);
    assert_string_equal(b->source.code, "F26-001");
    assert_int_equal(b->began, pb_day_from_ymd(2026, 5, 1));
    assert_string_equal(b->medium, "half strength, charcoal");
    assert_string_equal(b->agent, "bleach");
    assert_true(b->chlorine > 0.524 && b->chlorine < 0.526);
    assert_int_equal(b->minutes, 10);
    assert_int_equal(b->light, PB_DARK);
    assert_int_equal(b->looks[0].found, PB_FLASK_STAGE_3);
    assert_string_equal(b->looks[0].scale, "Arditti 1967");
    pb_record_clear(&rec);
    read_file("cuttings-with-every-key", &rec);
    assert_int_equal(b->units, 3);
    assert_int_equal(b->nodes, 2);
    assert_int_equal(b->looks[1].count, 2);
    assert_int_equal(b->looks[1].amount, -1);
    assert_string_equal(b->plant.code, "AR-1");
    assert_string_equal(rec.parent.clone_name, "Old Bench");
    pb_record_clear(&rec);
    read_file("pollen-with-every-key", &rec);
    assert_int_equal(b->kept, PB_KEPT_FREEZER);
    assert_true(b->dried && b->cap_removed);
    assert_true(b->celsius < -17.9 && b->celsius > -18.1);
    pb_record_clear(&rec);
    read_file("a-plant-that-flowered", &rec);
    assert_string_equal(rec.plant.out_of.code, "F26-003");
    assert_int_equal(rec.more.flowering_n, 2);
    assert_int_equal(rec.more.flowerings[0].on[PB_BLOOM_DYING],
                     pb_day_from_ymd(2028, 2, 20));
    assert_int_equal(rec.more.flowerings[1].on[PB_BLOOM_SPIKE], PB_DAY_NONE);
    assert_int_equal(rec.more.flowerings[1].number, 2);
    assert_int_equal(rec.more.looks[0].found, PB_SHOOT_HAS_PUPS);
    assert_int_equal(rec.more.looks[0].amount, 2);
    pb_record_clear(&rec);
}

static void batch_view_written(void **state)
{
    (void)state;
    static char why[] = "the tag fell off";
    struct pb_record rec;
    struct pb_buf out;
    struct pb_task tasks[] = {
        {.kind = PB_TASK_WATER, .span = pb_span_after(20516, 0,                  1),                             .done = true},
        {.kind = PB_TASK_POT,                     .span = pb_span_after(20516,                              0, 7)},
    };
    const struct pb_tasks list = {.v = tasks, .n = 2};
    struct pb_doubt mark = {"AR-1", why, false};
    const struct pb_doubts doubts = {&mark, 1};
    const int stands[PB_CUTTING_STAND_N] = {
        [PB_CUTTING_IN_WATER] = 1, [PB_CUTTING_ROOTED] = 2};
    const struct pb_batch_view view = {"rooted", -1, stands, 3, &list, &doubts};
    read_file("cuttings-with-every-key", &rec);
    pb_buf_init(&out, PB_MAX_RECORD);
    const struct any_view what = {NULL, &view, NULL};
    assert_int_equal(any_write(&rec, what, false, &out, NULL), PB_OK);
    const char *text = pb_buf_peek(&out);
    assert_non_null(strstr(text, "\"cuttings\":{\"callused\":0,\"cut\":0,\"died\":0,"
                                 "\"given\":0,\"in_water\":1,\"lost\":0,\"open\":3,"
                                 "\"potted\":0,\"rooted\":2,\"rotted\":0,"
                                 "\"settled\":0},\"doubts\":[{\"code\":\"AR-1\","
                                 "\"why\":\"the tag fell off\"}]"));
    assert_non_null(strstr(text, "\"state\":\"rooted\",\"tasks\":[{\"from\":"
                                 "\"2026-03-04\",\"task\":\"pot\",\"to\":"
                                 "\"2026-03-11\"}]"));
    assert_null(strstr(text, "\"left\""));
    pb_buf_clear(&out);
    pb_record_clear(&rec);
}

/* A finding, a stand or a task that a schema does not know would make records that no
 * validator takes. */
static void words_are_in_the_schemas(void **state)
{
    (void)state;
    static char text[FILE_MAX];
    struct pb_buf path, quoted;
    pb_buf_init(&path, PATH_BYTES);
    pb_buf_init(&quoted, PATH_BYTES);
    for (int kind = PB_SEED; kind < PB_KIND_N; kind++) {
        const struct pb_course *c = &pb_courses[kind];
        pb_buf_reset(&path);
        pb_buf_printf(&path, "../../../lib/schema/podbook-%s.schema.json",
                      pb_kind_names[kind]);
        (void)slurp(pb_buf_peek(&path), text, sizeof(text));
        for (int i = 0; i < c->finding_n + c->stand_n + PB_TASK_N; i++) {
            const char *word = i < c->finding_n ? c->findings[i].word
                               : i < c->finding_n + c->stand_n
                                   ? c->stands[i - c->finding_n]
                                   : pb_task_names[i - c->finding_n - c->stand_n];
            pb_buf_reset(&quoted);
            pb_buf_printf(&quoted, "\"%s\"", word);
            CLAIM(strstr(text, pb_buf_peek(&quoted)) != NULL, "%s: no %s",
                  pb_buf_peek(&path), word);
        }
    }
    pb_buf_clear(&path);
    pb_buf_clear(&quoted);
}

/* A file of the tree, and what it is where one text in it is another. */
static void read_changed(const char *name, const char *from, const char *to,
                         struct pb_record *rec)
{
    static char text[FILE_MAX];
    struct pb_err err = {0};
    struct pb_buf file, other;
    pb_buf_init(&file, PATH_BYTES);
    pb_buf_init(&other, FILE_MAX);
    pb_buf_printf(&file, "kept/%s.json", name);
    (void)slurp(pb_buf_peek(&file), text, sizeof(text));
    const char *at = strstr(text, from);
    CLAIM(at != NULL, "%s: no %s to change", name, from);
    pb_buf_add(&other, text, (size_t)(at - text));
    pb_buf_adds(&other, to);
    pb_buf_adds(&other, at + strlen(from));
    CLAIM(read_text(pb_buf_peek(&other), other.len, rec, &err) == PB_OK, "%s: %s", from,
          err.text);
    pb_buf_clear(&file);
    pb_buf_clear(&other);
}

static void same_batches(void **state)
{
    (void)state;
    static const char seed[] = "a-seed-lot-with-every-key",
                      flask[] = "a-flask-with-every-key",
                      cutting[] = "cuttings-with-every-key",
                      pollen[] = "pollen-with-every-key",
                      plant[] = "a-plant-that-flowered";
    static const struct {
        const char *claim, *name, *from, *to;
        bool same;
    } rows[] = {
        {"its code",                  seed,    "\"code\":\"S26-001\"",         "\"code\":\"S26-009\"",   true },
        {"all of its cross",          seed,    "\"grex\":\"Schoolhouse\",",    "",                       true },
        {"but its cross's id",        seed,    "\"id\":\"" ID("1") "\"",       "\"id\":\"" ID("9") "\"",
         false                                                                                                },
        {"the seeds",                 seed,    "\"seeds\":5000",               "\"seeds\":5001",         false},
        {"no seeds and none counted", seed,    "\"seeds\":5000,",              "",                       false},
        {"a constant",                seed,    "\"ke\":6.5",                   "\"ke\":6.25",            false},
        {"a temperature",             seed,    "\"celsius\":4.5",              "\"celsius\":4",          false},
        {"a place",                   seed,    "fridge, door",                 "fridge, top",            false},
        {"a sample",                  seed,    "\"of\":100",                   "\"of\":101",             false},
        {"a look's x- key",           seed,    "04-13\",\"x-by\":\"club\"",
         "04-13\",\"x-by\":\"me\"",                                                                      false},
        {"withdrawn",                 seed,    "\"withdrawn\":true,\"x-lab\"", "\"x-lab\"",              false},
        {"first sown",                flask,   "2026-05-01",                   "2026-04-30",             true },
        {"the code of its source",    flask,   "\"code\":\"F26-001\"",
         "\"code\":\"F26-002\"",                                                                         true },
        {"but the source",            flask,   "000000000104",                 "000000000109",           false},
        {"the scale",                 flask,   "Arditti 1967",                 "another",                false},
        {"the light",                 flask,   "dark",                         "light",                  false},
        {"the plant's code",          cutting, "\"code\":\"AR-1\"",            "\"code\":\"AR-2\"",      true },
        {"but the plant",             cutting, "\"id\":\"" ID("2") "\"",       "\"id\":\"" ID("9") "\"",
         false                                                                                                },
        {"the number",                cutting, "\"count\":3,\"format\"",       "\"count\":4,\"format\"",
         false                                                                                                },
        {"dried",                     pollen,  "\"dried\":true,",              "",                       false},
        {"the cap",                   pollen,  "\"cap_removed\":true,",        "",                       false},
        {"a flowering",               plant,   "2029-01-01",                   "2029-01-02",             false},
        {"a look",                    plant,   "\"count\":2",                  "\"count\":3",            false},
        {"what it came out of",       plant,   "000000000103",                 "000000000109",           false},
        {"the code of that",          plant,   "\"code\":\"F26-003\"",         "\"code\":\"F26-009\"",
         true                                                                                                 },
        {"why it is doubtful",        plant,   "too dark",                     "too pale",               false},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_record a, b;
        bool same = !rows[i].same;
        read_file(rows[i].name, &a);
        read_changed(rows[i].name, rows[i].from, rows[i].to, &b);
        assert_int_equal(any_same(&a, &b, &same, NULL), PB_OK);
        CLAIM(same == rows[i].same, "%s of %s", rows[i].claim, rows[i].name);
        pb_record_clear(&a);
        pb_record_clear(&b);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(in_memory_batches),
        cmocka_unit_test(batch_view_written),
        cmocka_unit_test(words_are_in_the_schemas),
        cmocka_unit_test(same_batches),
    };
    return UNIT_MAIN("record_batch", tests);
}
