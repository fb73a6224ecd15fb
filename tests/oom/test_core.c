/* Base and core when memory runs out. */
#include "oom.h"

#include "base/buf.h"
#include "core/life.h"
#include "core/task.h"

#include <stdlib.h>
#include <string.h>

static enum pb_rc grow_and_take(struct pb_err *err)
{
    struct pb_buf b;
    pb_buf_init(&b, 100000);
    for (int i = 0; i < 2000; i++)
        pb_buf_printf(&b, "line %d\n", i);
    char *text = NULL;
    enum pb_rc rc = pb_buf_take(&b, &text, err);
    pb_buf_clear(&b);
    free(text);
    return rc;
}

static enum pb_rc copy_text(struct pb_err *err)
{
    char *copy = pb_text_copy("Goodyera hispida");
    if (copy == NULL)
        return pb_fail_memory(err);
    free(copy);
    return PB_OK;
}

/* A cross whose capsules part ways, so that the replay makes groups. */
static enum pb_rc replay(struct pb_err *err)
{
    struct pb_look looks[] = {
        {.number = 1, .on = 20005, .found = PB_SWOLLEN,   .count = 5},
        {.number = 2, .on = 20009, .found = PB_DROPPED,   .count = 1},
        {.number = 3, .on = 20015, .found = PB_HOLDING,   .count = 4},
        {.number = 4, .on = 20020, .found = PB_YELLOWING, .count = 2},
        {.number = 5, .on = 20022, .found = PB_SPLIT,     .count = 1},
    };
    struct pb_harvest harvests[] = {
        {.number = 1, .on = 20023, .count = 1}
    };
    struct pb_cross x;
    pb_cross_init(&x);
    x.pollinated = 20000;
    x.flowers = 6;
    x.looks = looks;
    x.look_n = PB_ARRAY_LEN(looks);
    x.harvests = harvests;
    x.harvest_n = PB_ARRAY_LEN(harvests);
    struct pb_life life;
    enum pb_rc rc = pb_cross_replay(&x, &life, err);
    if (rc == PB_OK)
        pb_life_clear(&life);
    return rc;
}

static enum pb_rc plan(struct pb_err *err)
{
    const struct pb_timing timing = {
        .start = 20000,
        .stages = {[PB_STAGE_SWELLING] = {10, 20},
                   [PB_STAGE_HARVEST] = {150, 210},
                   [PB_STAGE_SPLIT] = {180, 240}},
    };
    struct pb_event looked[] = {{.on = 20012}, {.on = 20031}};
    struct pb_life_group all = {.count = 1, .by = -1};
    const struct pb_life life = {.groups = &all, .group_n = 1, .units = 1};
    const struct pb_story story = {&pb_courses[PB_CROSS], 1, 0, 20000, looked,
                                   PB_ARRAY_LEN(looked),  ""};
    struct pb_tasks tasks = {0};
    enum pb_rc rc = pb_course_tasks(&timing, &story, &life, true, &tasks, err);
    pb_tasks_clear(&tasks);
    return rc;
}

static void core(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        oom_scenario *run;
    } rows[] = {
        {"a buffer grows and is taken", grow_and_take},
        {"a text is copied",            copy_text    },
        {"a cross is replayed",         replay       },
        {"a season is planned",         plan         },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        oom_each(rows[i].claim, rows[i].run);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(core)};
    return UNIT_MAIN("oom", tests);
}
