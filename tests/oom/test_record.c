/* Records as JSON when memory runs out. */
#include "oom.h"

#include "exchange/lines.h"
#include "json_any.h"

#include <jansson.h>
#include <stdlib.h>
#include <string.h>

#define FOLDER PB_SOURCE_DIR "/tests/checks/json/kept/"

static char cross[8192], plant[8192], seed[16384], flowered[8192];

static void load(const char *path, char *text, size_t max)
{
    FILE *f = fopen(path, "rb");
    assert_non_null(f);
    size_t n = fread(text, 1, max - 1, f);
    (void)fclose(f);
    text[n - 1] = '\0'; /* the line's end */
}

static enum pb_rc read_good(const char *text, struct pb_record *rec, struct pb_err *err)
{
    pb_record_init(rec);
    return pb_record_read("in", 1, text, strlen(text), rec, err);
}

static enum pb_rc read_cross(struct pb_err *err)
{
    struct pb_record rec;
    enum pb_rc rc = read_good(cross, &rec, err);
    pb_record_clear(&rec);
    return rc;
}

static enum pb_rc read_plant(struct pb_err *err)
{
    struct pb_record rec;
    enum pb_rc rc = read_good(plant, &rec, err);
    pb_record_clear(&rec);
    return rc;
}

static enum pb_rc read_seed(struct pb_err *err)
{
    struct pb_record rec;
    enum pb_rc rc = read_good(seed, &rec, err);
    pb_record_clear(&rec);
    return rc;
}

static enum pb_rc read_flowered(struct pb_err *err)
{
    struct pb_record rec;
    enum pb_rc rc = read_good(flowered, &rec, err);
    pb_record_clear(&rec);
    return rc;
}

static struct pb_record a_cross, a_plant, a_seed;

static enum pb_rc write_seed(struct pb_err *err)
{
    struct pb_buf out;
    pb_buf_init(&out, PB_MAX_RECORD);
    enum pb_rc rc =
        any_write(&a_seed, (struct any_view){NULL, NULL, NULL}, true, &out, err);
    CLAIM(rc != PB_OK || strcmp(pb_buf_peek(&out), seed) == 0, "half a record");
    pb_buf_clear(&out);
    return rc;
}

static enum pb_rc compare_seed(struct pb_err *err)
{
    bool same = false;
    enum pb_rc rc = any_same(&a_seed, &a_seed, &same, err);
    CLAIM(rc != PB_OK || same, "a record is not the same as itself");
    return rc;
}

static enum pb_rc write_cross(struct pb_err *err)
{
    struct pb_buf out;
    pb_buf_init(&out, PB_MAX_RECORD);
    enum pb_rc rc = pb_cross_write(&a_cross.cross, NULL, true, &out, err);
    CLAIM(rc != PB_OK || strcmp(pb_buf_peek(&out), cross) == 0, "half a record");
    pb_buf_clear(&out);
    return rc;
}

static enum pb_rc write_plant(struct pb_err *err)
{
    struct pb_buf out;
    pb_buf_init(&out, PB_MAX_RECORD);
    enum pb_rc rc =
        any_write(&a_plant, (struct any_view){NULL, NULL, NULL}, true, &out, err);
    CLAIM(rc != PB_OK || strcmp(pb_buf_peek(&out), plant) == 0, "half a record");
    pb_buf_clear(&out);
    return rc;
}

static enum pb_rc compare(struct pb_err *err)
{
    bool same = false;
    enum pb_rc rc = pb_cross_same(&a_cross.cross, &a_cross.cross, true, &same, err);
    CLAIM(rc != PB_OK || same, "a record is not the same as itself");
    return rc;
}

static enum pb_rc keep_private(struct pb_err *err)
{
    struct pb_plant theirs;
    pb_plant_init(&theirs);
    enum pb_rc rc = pb_plant_keep_private(&theirs, &a_plant.plant, false, err);
    pb_plant_clear(&theirs);
    return rc;
}

static enum pb_rc take_lines(struct pb_err *err)
{
    struct pb_lines lines;
    bool got = true;
    FILE *f = fopen(FOLDER "a-selfing.json", "rb");
    if (f == NULL)
        return pb_fail_memory(err);
    enum pb_rc rc = pb_lines_init(&lines, f, NULL, PB_MAX_JSON_LINE, err);
    while (rc == PB_OK && got)
        rc = pb_lines_next(&lines, &got, err);
    pb_lines_clear(&lines);
    (void)fclose(f);
    return rc;
}

static void records(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        oom_scenario *run;
    } rows[] = {
        {"a cross is read",                 read_cross   },
        {"a plant is read",                 read_plant   },
        {"a seed lot is read",              read_seed    },
        {"a plant with flowerings is read", read_flowered},
        {"a seed lot is written",           write_seed   },
        {"a seed lot is compared",          compare_seed },
        {"a cross is written",              write_cross  },
        {"a plant is written",              write_plant  },
        {"a cross is compared",             compare      },
        {"private texts are kept",          keep_private },
        {"lines are taken from a file",     take_lines   },
    };
    json_set_alloc_funcs(malloc, free);
    load(FOLDER "a-cross-with-every-key.json", cross, sizeof(cross));
    load(FOLDER "a-plant-with-every-key-of-a-pup.json", plant, sizeof(plant));
    assert_int_equal(read_good(cross, &a_cross, NULL), PB_OK);
    assert_int_equal(read_good(plant, &a_plant, NULL), PB_OK);
    load(FOLDER "a-seed-lot-with-every-key.json", seed, sizeof(seed));
    load(FOLDER "a-plant-that-flowered.json", flowered, sizeof(flowered));
    assert_int_equal(read_good(seed, &a_seed, NULL), PB_OK);
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        oom_each(rows[i].claim, rows[i].run);
    pb_record_clear(&a_cross);
    pb_record_clear(&a_plant);
    pb_record_clear(&a_seed);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(records)};
    return UNIT_MAIN("oom-record", tests);
}
