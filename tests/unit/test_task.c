/* Tasks: planned days of jewel orchids, Phalaenopsis and short profiles, what answers
 * them, and what is shown. */
#include "unit.h"

#include "core/course.h"

#include <string.h>

enum { START = 20000, NONE = -1 };

/* Days from pollination; common practice for jewel orchids, a laboratory's table (T1) for
 * Phalaenopsis, as in lib/data/profiles.json. */
#define STAGES(swelling, harvest, split)                              \
    {                                                                 \
        [PB_STAGE_SWELLING] = swelling, [PB_STAGE_HARVEST] = harvest, \
        [PB_STAGE_SPLIT] = split                                      \
    }
#define TO(from, to) \
    {                \
        from, to     \
    }
static const struct pb_timing jewel = {
    .start = START, .stages = STAGES(TO(4, 7), TO(21, 25), TO(21, 30))};
static const struct pb_timing phal = {
    .start = START, .stages = STAGES(TO(7, 18), TO(120, 152), TO(150, 240))};
static const struct pb_timing no_sign = {
    .start = START, .stages = STAGES(TO(-1, -1), TO(30, 50), TO(35, 60))};

struct plan {
    enum pb_task_kind kind;
    int ordinal, from, to; /* days from pollination */
    bool done;
};

struct looks {
    const int *days;
    size_t n;
    bool open; /* is the cross, after them */
};

/* The tasks of a cross that was looked at on these days: what was found does not count. */
static enum pb_rc plan_cross(const struct pb_timing *t, const pb_day *on, size_t n,
                             bool open, struct pb_tasks *tasks)
{
    struct pb_event events[16];
    struct pb_life_group all = {.count = 1, .by = -1};
    const struct pb_life life = {.groups = &all, .group_n = 1, .units = 1};
    const struct pb_story story = {
        &pb_courses[PB_CROSS], 1, 0, t->start, events, n, ""};
    for (size_t i = 0; i < n; i++)
        events[i] = (struct pb_event){.on = on[i]};
    return pb_course_tasks(t, &story, &life, open, tasks, NULL);
}

static void check(const char *claim, const struct pb_timing *t, struct looks looks,
                  const struct plan *plan, size_t plan_n)
{
    pb_day on[16] = {0};
    struct pb_tasks tasks = {NULL, 0, 0};
    for (size_t i = 0; i < looks.n; i++)
        on[i] = START + looks.days[i];
    assert_int_equal(plan_cross(t, on, looks.n, looks.open, &tasks), PB_OK);
    for (size_t i = 0; i < tasks.n && i < plan_n; i++) {
        const struct pb_task *k = &tasks.v[i];
        const struct plan *p = &plan[i];
        CLAIM(k->kind == p->kind && k->ordinal == p->ordinal &&
                  k->span.first == START + p->from && k->span.last == START + p->to &&
                  k->done == p->done,
              "%s: task %d is %s/%d %d-%d %s", claim, (int)i, pb_task_names[k->kind],
              k->ordinal, (int)(k->span.first - START), (int)(k->span.last - START),
              k->done ? "done" : "open");
    }
    CLAIM(tasks.n == plan_n, "%s: %d tasks", claim, (int)tasks.n);
    pb_tasks_clear(&tasks);
}

#define CHECK(claim, t, days, open, ...)                       \
    do {                                                       \
        static const int d[] = days;                           \
        static const struct plan p[] = __VA_ARGS__;            \
        const struct looks l = {d, PB_ARRAY_LEN(d) - 1, open}; \
        check(claim, t, l, p, PB_ARRAY_LEN(p));                \
    } while (0)
/* A list of days; the last element only keeps the array from being empty. */
#define DAYS(...)     \
    {                 \
        __VA_ARGS__ 0 \
    }

static void jewel_plans(void **state)
{
    (void)state;
    CHECK("first ripeness look on day 19, then every second day to day 30", &jewel,
          DAYS(), true,
          {
              {PB_TASK_SWELLING, 1, 4,  7,  false},
              {PB_TASK_RIPENESS, 1, 19, 20, false},
              {PB_TASK_RIPENESS, 2, 21, 22, false},
              {PB_TASK_RIPENESS, 3, 23, 24, false},
              {PB_TASK_RIPENESS, 4, 25, 26, false},
              {PB_TASK_RIPENESS, 5, 27, 28, false},
              {PB_TASK_RIPENESS, 6, 29, 30, false},
              {PB_TASK_HARVEST,  1, 21, 25, false}
    });
    CHECK("a look moves the next one; done ones keep their number", &jewel,
          DAYS(5, 20, ), true,
          {
              {PB_TASK_SWELLING, 1, 4,  7,  true },
              {PB_TASK_RIPENESS, 1, 19, 20, true },
              {PB_TASK_RIPENESS, 2, 22, 23, false},
              {PB_TASK_RIPENESS, 3, 24, 25, false},
              {PB_TASK_RIPENESS, 4, 26, 27, false},
              {PB_TASK_RIPENESS, 5, 28, 29, false},
              {PB_TASK_RIPENESS, 6, 30, 31, false},
              {PB_TASK_HARVEST,  1, 21, 25, false}
    });
    CHECK("a look inside the step only moves it", &jewel, DAYS(20, 21, 29, ), true,
          {
              {PB_TASK_SWELLING, 1, 4,  7,  true },
              {PB_TASK_RIPENESS, 1, 19, 20, true },
              {PB_TASK_RIPENESS, 2, 23, 24, true },
              {PB_TASK_RIPENESS, 3, 31, 32, false},
              {PB_TASK_HARVEST,  1, 21, 25, false}
    });
    CHECK("a look before day 4 answers nothing", &jewel, DAYS(3, ), false,
          {
              {PB_TASK_SWELLING, 1, 4,  7,  true},
              {PB_TASK_RIPENESS, 1, 19, 20, true},
              {PB_TASK_HARVEST,  1, 21, 25, true}
    });
    CHECK("a closed cross has nothing open", &jewel, DAYS(22, ), false,
          {
              {PB_TASK_SWELLING, 1, 4,  7,  true},
              {PB_TASK_RIPENESS, 1, 19, 20, true},
              {PB_TASK_HARVEST,  1, 21, 25, true}
    });
}

static void long_plans(void **state)
{
    (void)state;
    /* step max(7, 120/8) = 15 from day 18; ripeness from 120 - 12 = 108, step 14 */
    CHECK("holding looks fill the months; ripeness every 14 days, 3 days each", &phal,
          DAYS(), true,
          {
              {PB_TASK_SWELLING, 1,  7,   18,  false},
              {PB_TASK_HOLDING,  1,  33,  38,  false},
              {PB_TASK_HOLDING,  2,  48,  53,  false},
              {PB_TASK_HOLDING,  3,  63,  68,  false},
              {PB_TASK_HOLDING,  4,  78,  83,  false},
              {PB_TASK_HOLDING,  5,  93,  98,  false},
              {PB_TASK_RIPENESS, 1,  108, 110, false},
              {PB_TASK_RIPENESS, 2,  122, 124, false},
              {PB_TASK_RIPENESS, 3,  136, 138, false},
              {PB_TASK_RIPENESS, 4,  150, 152, false},
              {PB_TASK_RIPENESS, 5,  164, 166, false},
              {PB_TASK_RIPENESS, 6,  178, 180, false},
              {PB_TASK_RIPENESS, 7,  192, 194, false},
              {PB_TASK_RIPENESS, 8,  206, 208, false},
              {PB_TASK_RIPENESS, 9,  220, 222, false},
              {PB_TASK_RIPENESS, 10, 234, 236, false},
              {PB_TASK_HARVEST,  1,  120, 152, false}
    });
    CHECK("no swelling stage: no swelling look, no holding looks", &no_sign, DAYS(),
          true,
          {
              {PB_TASK_RIPENESS, 1, 27, 29, false},
              {PB_TASK_RIPENESS, 2, 37, 39, false},
              {PB_TASK_RIPENESS, 3, 47, 49, false},
              {PB_TASK_RIPENESS, 4, 57, 59, false},
              {PB_TASK_HARVEST,  1, 30, 50, false}
    });
}

static void holding_only_over_a_long_gap(void **state)
{
    (void)state;
    /* first ripeness look 23 - 2 = 21: exactly 14 days after day 7, and one more */
    static const struct pb_timing at14 = {
        .start = START, .stages = STAGES(TO(4, 7), TO(23, 27), TO(NONE, NONE))};
    static const struct pb_timing at15 = {
        .start = START, .stages = STAGES(TO(4, 7), TO(24, 28), TO(NONE, NONE))};
    struct pb_tasks tasks = {NULL, 0, 0};
    assert_int_equal(plan_cross(&at14, NULL, 0, true, &tasks), PB_OK);
    assert_int_equal(tasks.v[1].kind, PB_TASK_RIPENESS);
    assert_int_equal(plan_cross(&at15, NULL, 0, true, &tasks), PB_OK);
    assert_int_equal(tasks.v[1].kind, PB_TASK_HOLDING);
    assert_int_equal(tasks.v[1].span.first, START + 14);
    pb_tasks_clear(&tasks);
}

/* Day 0 is a day; the last holding look ends the day before ripeness begins. */
static void a_stage_may_begin_on_day_0(void **state)
{
    (void)state;
    static const struct pb_timing slow = {
        .start = START, .stages = STAGES(TO(0, 9), TO(80, 82), TO(NONE, NONE))};
    static const struct pb_timing at_once = {
        .start = START, .stages = STAGES(TO(NONE, NONE), TO(0, 1), TO(NONE, NONE))};
    struct pb_timing none;
    CHECK("looks from day 0 on", &slow, DAYS(), true,
          {
              {PB_TASK_SWELLING, 1, 0,  9,  false},
              {PB_TASK_HOLDING,  1, 19, 22, false},
              {PB_TASK_HOLDING,  2, 29, 32, false},
              {PB_TASK_HOLDING,  3, 39, 42, false},
              {PB_TASK_HOLDING,  4, 49, 52, false},
              {PB_TASK_HOLDING,  5, 59, 62, false},
              {PB_TASK_HOLDING,  6, 69, 71, false},
              {PB_TASK_RIPENESS, 1, 72, 73, false},
              {PB_TASK_RIPENESS, 2, 74, 75, false},
              {PB_TASK_RIPENESS, 3, 76, 77, false},
              {PB_TASK_RIPENESS, 4, 78, 79, false},
              {PB_TASK_RIPENESS, 5, 80, 81, false},
              {PB_TASK_RIPENESS, 6, 82, 83, false},
              {PB_TASK_HARVEST,  1, 80, 82, false}
    });
    CHECK("ripe on day 0", &at_once, DAYS(), true,
          {
              {PB_TASK_RIPENESS, 1, 0, 1, false},
              {PB_TASK_HARVEST,  1, 0, 1, false}
    });
    pb_timing_init(&none, START);
    for (int i = 0; i < PB_STAGE_N; i++)
        assert_true(none.stages[i].from == -1 && none.stages[i].to == -1);
}

/* A rule that wants a look every day from day 21 on, and is in no hurry before. */
static pb_day daily(void *ctx, pb_day intact, pb_day latest)
{
    (void)ctx;
    return intact >= START + 21 ? intact + 1 : latest;
}

static void the_sooner_of_rule_and_step(void **state)
{
    (void)state;
    const struct pb_timing t = {
        .start = START,
        .stages = STAGES(TO(4, 7), TO(21, 25), TO(21, 30)),
        .rule = {daily, NULL}
    };
    CHECK("two days to day 21, then every day", &t, DAYS(), true,
          {
              {PB_TASK_SWELLING, 1,  4,  7,  false},
              {PB_TASK_RIPENESS, 1,  19, 20, false},
              {PB_TASK_RIPENESS, 2,  21, 21, false},
              {PB_TASK_RIPENESS, 3,  22, 22, false},
              {PB_TASK_RIPENESS, 4,  23, 23, false},
              {PB_TASK_RIPENESS, 5,  24, 24, false},
              {PB_TASK_RIPENESS, 6,  25, 25, false},
              {PB_TASK_RIPENESS, 7,  26, 26, false},
              {PB_TASK_RIPENESS, 8,  27, 27, false},
              {PB_TASK_RIPENESS, 9,  28, 28, false},
              {PB_TASK_RIPENESS, 10, 29, 29, false},
              {PB_TASK_RIPENESS, 11, 30, 30, false},
              {PB_TASK_HARVEST,  1,  21, 25, false}
    });
    CHECK("looks that were done keep the numbers of the step", &t,
          DAYS(19, 21, 22, 29, ), true,
          {
              {PB_TASK_SWELLING, 1, 4,  7,  true },
              {PB_TASK_RIPENESS, 1, 19, 20, true },
              {PB_TASK_RIPENESS, 2, 21, 21, true },
              {PB_TASK_RIPENESS, 3, 24, 24, true },
              {PB_TASK_RIPENESS, 4, 30, 30, false},
              {PB_TASK_HARVEST,  1, 21, 25, false}
    });
}

/* Days are held at the last one of the calendar: the plan must end there too. */
static void a_plan_ends_with_the_calendar(void **state)
{
    (void)state;
    for (int before = 0; before < 400; before++) {
        struct pb_tasks tasks = {NULL, 0, 0};
        struct pb_timing t = before % 2 ? phal : jewel;
        t.start = PB_DAY_MAX - before;
        assert_int_equal(plan_cross(&t, NULL, 0, true, &tasks), PB_OK);
        assert_in_range(tasks.n, 1, 40);
        for (size_t i = 0; i < tasks.n; i++)
            assert_true(tasks.v[i].span.first <= tasks.v[i].span.last &&
                        tasks.v[i].span.last <= PB_DAY_MAX);
        pb_tasks_clear(&tasks);
    }
}

static void the_next_alone_where_no_more_is_asked(void **state)
{
    (void)state;
    struct pb_timing t = jewel;
    t.next_only = true;
    CHECK("one look ahead", &t, DAYS(19, ), true,
          {
              {PB_TASK_SWELLING, 1, 4,  7,  true },
              {PB_TASK_RIPENESS, 1, 19, 20, true },
              {PB_TASK_RIPENESS, 2, 21, 22, false},
              {PB_TASK_HARVEST,  1, 21, 25, false}
    });
}

static void shown_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        const struct pb_timing *t;
        int days[4], today, by; /* days end in 0 */
        const char *shown;      /* kind/ordinal, state */
    } rows[] = {
        {"nothing before its horizon",                       &jewel, {0}, 0, 3,  ""                  },
        {"coming on its last day",                           &jewel, {0}, 0, 4,  "swelling/1 coming" },
        {"coming inside the horizon",                        &jewel, {0}, 0, 7,  "swelling/1 coming" },
        {"due on its first day",                             &jewel, {0}, 4, 11, "swelling/1 due"    },
        {"and on its last",                                  &jewel, {0}, 7, 14, "swelling/1 due"    },
        {"overdue after it",                                 &jewel, {0}, 8, 15, "swelling/1 overdue"},
        {"and so the day before ripeness begins",
         &jewel,
         {0},
         18,                                                                 25,
         "swelling/1 overdue"                                                                        },
        {"it gives way to ripeness on that one's first day",
         &jewel,
         {0},
         19,                                                                 26,
         "ripeness/1 due"                                                                            },
        {"the harvest from its window on, beside one look",
         &jewel,
         {0},
         21,                                                                 28,
         "harvest/1 due ripeness/1 overdue"                                                          },
        {"a look answers all before it",
         &jewel,
         {20, 0},
         21,                                                                 28,
         "harvest/1 due ripeness/2 coming"                                                           },
        {"late: each work once",
         &jewel,
         {0},
         40,                                                                 47,
         "harvest/1 overdue ripeness/1 overdue"                                                      },
        {"after the windows a look asks for the next",
         &jewel,
         {40, 0},
         41,                                                                 48,
         "harvest/1 overdue ripeness/2 coming"                                                       },
        {"months: the earliest unanswered holding look",
         &phal,
         {20, 0},
         70,                                                                 77,
         "holding/1 overdue"                                                                         },
        {"a look answers the holding looks before it",
         &phal,
         {64, 0},
         70,                                                                 80,
         "holding/4 coming"                                                                          },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        pb_day on[4];
        size_t n = 0;
        struct pb_tasks tasks = {NULL, 0, 0};
        const struct pb_task *shown[PB_SHOWN_MAX];
        struct pb_buf text;
        pb_buf_init(&text, 200);
        for (; rows[i].days[n] != 0; n++)
            on[n] = START + rows[i].days[n];
        assert_int_equal(plan_cross(rows[i].t, on, n, true, &tasks), PB_OK);
        pb_day today = START + rows[i].today;
        size_t k = pb_tasks_due(&tasks, today, START + rows[i].by, shown);
        for (size_t j = 0; j < k; j++)
            pb_buf_printf(&text, "%s%s/%d %s", j > 0 ? " " : "",
                          pb_task_names[shown[j]->kind], shown[j]->ordinal,
                          pb_task_state_names[pb_task_state_on(shown[j], today)]);
        CLAIM(strcmp(pb_buf_peek(&text), rows[i].shown) == 0, "%s: \"%s\"",
              rows[i].claim, pb_buf_peek(&text));
        pb_buf_clear(&text);
        pb_tasks_clear(&tasks);
    }
}

/* Whatever the looks: no two open tasks of a kind share a day, ordinals count up, spans
 * run forward, and an open cross always has a look still to come or to do. */
static void random_looks(void **state)
{
    (void)state;
    unsigned s = 11;
    struct pb_tasks tasks = {NULL, 0, 0};
    for (int round = 0; round < 3000; round++) {
        pb_day on[12];
        int day = 0;
        size_t n = (s = unit_next(s)) >> 28;
        n = n > 12 ? 12 : n;
        for (size_t i = 0; i < n; i++) {
            s = unit_next(s);
            day += (int)(s >> 27) % 13;
            on[i] = START + day;
        }
        assert_int_equal(plan_cross(round % 2 ? &phal : &jewel, on, n, true, &tasks),
                         PB_OK);
        bool waits = false;
        for (size_t i = 0; i < tasks.n; i++) {
            const struct pb_task *t = &tasks.v[i];
            CLAIM(t->span.first <= t->span.last, "round %d: span", round);
            CLAIM(!t->done || (t->done_on >= t->span.first && n > 0), "round %d: done",
                  round);
            waits = waits || (!t->done && t->kind == PB_TASK_RIPENESS);
            if (i == 0 || tasks.v[i - 1].kind != t->kind)
                CLAIM(t->ordinal == 1, "round %d: ordinals begin at 1", round);
            else
                CLAIM(t->ordinal == t[-1].ordinal + 1 &&
                          t->span.first > t[-1].span.last,
                      "round %d: order", round);
        }
        CLAIM(waits, "round %d: somebody must look", round);
    }
    pb_tasks_clear(&tasks);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(jewel_plans),
        cmocka_unit_test(long_plans),
        cmocka_unit_test(holding_only_over_a_long_gap),
        cmocka_unit_test(a_stage_may_begin_on_day_0),
        cmocka_unit_test(the_sooner_of_rule_and_step),
        cmocka_unit_test(a_plan_ends_with_the_calendar),
        cmocka_unit_test(the_next_alone_where_no_more_is_asked),
        cmocka_unit_test(shown_rows),
        cmocka_unit_test(random_looks),
    };
    return UNIT_MAIN("task", tests);
}
