/* When the plans of a course ask, on courses made up here: four stands, one plan, groups of
 * units that came to a stand on a day.  Behind what is counted stands what must not be
 * read. */
#include "unit.h"

#include "core/course.h"

#include <string.h>

enum { START = 20000, NONE = -1000 };
enum { A, B, C, D, STAND_N };
enum { LOOKED, OTHER, FOUND_N }; /* findings */

struct group {
    int stand;
    int on[STAND_N]; /* days from the start; NONE: never there */
};

struct look {
    int on, found;
};

struct asked {
    int first, last, done_on; /* NONE: it waits */
};

struct row {
    const char *claim;
    struct pb_plan plan;
    bool open;
    struct group groups[3];
    size_t group_n;
    struct look looks[4];
    size_t look_n;
    struct asked asked[4];
    size_t n;
};

#define WINDOW(wanted, since)                                          \
    {                                                                  \
        PB_TASK_POT, PB_HOW_WINDOW, PB_STAGE_N, 2, 4, wanted, since, 0 \
    }
#define STEPS(wanted)                                                     \
    {                                                                     \
        PB_TASK_GERMINATION, PB_HOW_STEPS, PB_STAGE_N, 10, 24, wanted, 0, \
            PB_BIT(LOOKED)                                                \
    }
#define WEEKLY(from, wanted, since)                                       \
    {                                                                     \
        PB_TASK_ROOTS, PB_HOW_WEEKLY, PB_STAGE_N, from, 7, wanted, since, \
            PB_BIT(LOOKED)                                                \
    }
#define AT(stand) PB_BIT(stand)

static pb_day day_of(int day)
{
    return day == NONE ? PB_DAY_NONE : START + day;
}

static void check_row(const struct row *r)
{
    static const struct pb_finding findings[FOUND_N] = {
        {"looked", AT(A) | AT(B), PB_STAYS, PB_TALLY_SEEN, 0, NULL, NULL, NULL},
        {"other",  AT(A) | AT(B), PB_STAYS, PB_TALLY_SEEN, 0, NULL, NULL, NULL},
    };
    static const char *const stands[STAND_N] = {"a", "b", "c", "d"};
    const struct pb_course course = {.noun = "thing",
                                     .stands = stands,
                                     .stand_n = STAND_N,
                                     .open = AT(A) | AT(B),
                                     .findings = findings,
                                     .finding_n = FOUND_N,
                                     .plans = &r->plan,
                                     .plan_n = 1};
    struct pb_life_group groups[3];
    struct pb_event events[4];
    struct pb_timing t;
    struct pb_tasks tasks = {NULL, 0, 0};
    for (size_t i = 0; i < PB_ARRAY_LEN(groups); i++) {
        groups[i] = (struct pb_life_group){.count = 1, .stand = r->groups[i].stand};
        for (int s = 0; s < PB_STANDS_MAX; s++)
            groups[i].on[s] = s < STAND_N ? day_of(r->groups[i].on[s]) : PB_DAY_NONE;
    }
    for (size_t i = 0; i < PB_ARRAY_LEN(events); i++)
        events[i] =
            (struct pb_event){.on = START + r->looks[i].on, .found = r->looks[i].found};
    const struct pb_life life = {.groups = groups, .group_n = r->group_n};
    const struct pb_story story = {&course, 1, A, START, events, r->look_n, "T1"};
    pb_timing_init(&t, START);
    CLAIM(pb_course_tasks(&t, &story, &life, r->open, &tasks, NULL) == PB_OK, "%s",
          r->claim);
    CLAIM(tasks.n == r->n, "%s: %d tasks", r->claim, (int)tasks.n);
    for (size_t i = 0; i < tasks.n && i < r->n; i++) {
        const struct pb_task *k = &tasks.v[i];
        const struct asked *a = &r->asked[i];
        CLAIM(k->ordinal == (int)i + 1 && k->span.first == START + a->first &&
                  k->span.last == START + a->last && k->done == (a->done_on != NONE) &&
                  k->done_on == day_of(a->done_on),
              "%s: %d days %d to %d, on %d", r->claim, k->ordinal,
              (int)(k->span.first - START), (int)(k->span.last - START),
              (int)(k->done_on - START));
    }
    pb_tasks_clear(&tasks);
}

/* To the formatter, which would make columns of it, a row is no list.  Its parts, each with
 * how many they are. */
#define ROW(...)    \
    {               \
        __VA_ARGS__ \
    }
#define COUNTED(type, ...)       {__VA_ARGS__}, PB_ARRAY_LEN(((const type[]){__VA_ARGS__}))
#define AT_STAND(stand, ...)     ROW(stand, ROW(__VA_ARGS__))
#define GROUPS(...)              COUNTED(struct group, __VA_ARGS__)
#define GROUPS_BUT_THE_LAST(...) COUNTED(struct group, __VA_ARGS__) - 1
#define LOOKS(...)               COUNTED(struct look, __VA_ARGS__)
#define LOOKS_BUT_THE_LAST(...)  COUNTED(struct look, __VA_ARGS__) - 1
#define NO_LOOKS                 ROW(ROW(0, 0)), 0
#define ON(day, found)           ROW(day, found)
#define ASKED(...)               COUNTED(struct asked, __VA_ARGS__)
#define WAITS(first, last)       ROW(first, last, NONE)
#define DONE(first, last, on)    ROW(first, last, on)
#define NOTHING                  ROW(ROW(0, 0, 0)), 0

static void a_window_counts_from_who_wants_it(void **state)
{
    (void)state;
    static const struct row rows[] = {
        ROW("from the latest of its stands", WINDOW(AT(C), AT(A) | AT(B)), true,
            GROUPS(AT_STAND(C, 5, 3, 6, NONE)), NO_LOOKS, ASKED(WAITS(7, 9))),
        ROW("whichever of them comes first", WINDOW(AT(C), AT(A) | AT(B)), true,
            GROUPS(AT_STAND(C, 3, 5, 6, NONE)), NO_LOOKS, ASKED(WAITS(7, 9))),
        ROW("from the first that wants it", WINDOW(AT(B), AT(B)), true,
            GROUPS(AT_STAND(B, 0, 1, NONE, NONE), AT_STAND(B, 0, 5, NONE, NONE)),
            NO_LOOKS, ASKED(WAITS(3, 5))),
        ROW("in whatever order they stand", WINDOW(AT(B), AT(B)), true,
            GROUPS(AT_STAND(B, 0, 5, NONE, NONE), AT_STAND(B, 0, 1, NONE, NONE)),
            NO_LOOKS, ASKED(WAITS(3, 5))),
        ROW("not from one that wants it no more", WINDOW(AT(B), AT(B)), true,
            GROUPS(AT_STAND(C, 0, 1, 2, NONE), AT_STAND(B, 0, 5, NONE, NONE)), NO_LOOKS,
            ASKED(WAITS(7, 9))),
        ROW("where none does, from the last that did", WINDOW(AT(B), AT(B)), true,
            GROUPS(AT_STAND(C, 0, 1, 6, NONE), AT_STAND(C, 0, 5, 6, NONE)), NO_LOOKS,
            ASKED(DONE(7, 9, 6))),
        ROW("in whatever order", WINDOW(AT(B), AT(B)), true,
            GROUPS(AT_STAND(C, 0, 5, 6, NONE), AT_STAND(C, 0, 1, 6, NONE)), NO_LOOKS,
            ASKED(DONE(7, 9, 6))),
        ROW("it is done when the last one has left", WINDOW(AT(B), AT(B)), true,
            GROUPS(AT_STAND(C, 0, 1, 9, NONE), AT_STAND(C, 0, 1, 8, NONE)), NO_LOOKS,
            ASKED(DONE(3, 5, 9))),
        ROW("whichever that is", WINDOW(AT(B), AT(B)), true,
            GROUPS(AT_STAND(C, 0, 1, 8, NONE), AT_STAND(C, 0, 1, 9, NONE)), NO_LOOKS,
            ASKED(DONE(3, 5, 9))),
        ROW("the first stand behind counts", WINDOW(AT(B), AT(B)), true,
            GROUPS(AT_STAND(D, 0, 1, 9, 4)), NO_LOOKS, ASKED(DONE(3, 5, 4))),
        ROW("it may be left on the day it was come to", WINDOW(AT(B), AT(B)), true,
            GROUPS(AT_STAND(C, 0, 3, 3, NONE)), NO_LOOKS, ASKED(DONE(5, 7, 3))),
        ROW("the first of the stands that want it", WINDOW(AT(A) | AT(B), 0), true,
            GROUPS(AT_STAND(C, 5, 3, 4, NONE)), NO_LOOKS, ASKED(DONE(2, 4, 4))),
        ROW("nobody is behind the last group", WINDOW(AT(B), AT(B)), true,
            GROUPS_BUT_THE_LAST(AT_STAND(C, 0, 1, 2, NONE), AT_STAND(C, 0, 7, 8, NONE)),
            NO_LOOKS, ASKED(DONE(3, 5, 2))),
        ROW("who never came asks for nothing", WINDOW(AT(B), AT(B)), true,
            GROUPS(AT_STAND(A, NONE, NONE, NONE, NONE)), NO_LOOKS, NOTHING),
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        check_row(&rows[i]);
}

static void looks_again_and_again_follow_the_last_one(void **state)
{
    (void)state;
    static const struct row rows[] = {
        ROW("half of its days later", STEPS(AT(A)), true,
            GROUPS(AT_STAND(A, 0, NONE, NONE, NONE)), LOOKS(ON(10, LOOKED)),
            ASKED(DONE(10, 13, 10), WAITS(17, 20))),
        ROW("not after what answers nothing", STEPS(AT(A)), true,
            GROUPS(AT_STAND(A, 0, NONE, NONE, NONE)), LOOKS(ON(11, OTHER)),
            ASKED(WAITS(10, 13))),
        ROW("a look inside the step moves the next one", STEPS(AT(A)), true,
            GROUPS(AT_STAND(A, 0, NONE, NONE, NONE)),
            LOOKS(ON(10, LOOKED), ON(16, LOOKED)),
            ASKED(DONE(10, 13, 10), WAITS(23, 26))),
        ROW("what answers nothing does not", STEPS(AT(A)), true,
            GROUPS(AT_STAND(A, 0, NONE, NONE, NONE)),
            LOOKS(ON(10, LOOKED), ON(16, OTHER)),
            ASKED(DONE(10, 13, 10), WAITS(17, 20))),
        ROW("a look a step later is the next one", STEPS(AT(A)), true,
            GROUPS(AT_STAND(A, 0, NONE, NONE, NONE)),
            LOOKS(ON(10, LOOKED), ON(17, LOOKED)),
            ASKED(DONE(10, 13, 10), DONE(17, 20, 17), WAITS(24, 27))),
        ROW("no look is behind the last", STEPS(AT(A)), true,
            GROUPS(AT_STAND(A, 0, NONE, NONE, NONE)),
            LOOKS_BUT_THE_LAST(ON(10, LOOKED), ON(12, LOOKED)),
            ASKED(DONE(10, 13, 10), WAITS(17, 20))),
        ROW("it came to a look of the day on which it was left", STEPS(AT(A)), true,
            GROUPS(AT_STAND(C, 0, NONE, 10, NONE)), NO_LOOKS, ASKED(DONE(10, 13, 10))),
        ROW("it did not come to one of the day after", STEPS(AT(A)), true,
            GROUPS(AT_STAND(C, 0, NONE, 9, NONE)), NO_LOOKS, NOTHING),
        ROW("nor did what never wanted one", STEPS(AT(B)), true,
            GROUPS(AT_STAND(C, 0, NONE, 30, NONE)), NO_LOOKS, NOTHING),
        ROW("weekly means each so many days", WEEKLY(5, AT(B), AT(B)), true,
            GROUPS(AT_STAND(B, 0, 1, NONE, NONE)), LOOKS(ON(6, LOOKED)),
            ASKED(DONE(6, 8, 6), WAITS(11, 13))),
        ROW("from day 0: seven", WEEKLY(0, AT(B), AT(B)), true,
            GROUPS(AT_STAND(B, 0, 1, NONE, NONE)), LOOKS(ON(1, LOOKED)),
            ASKED(DONE(1, 4, 1), WAITS(8, 11))),
        ROW("from the first unit, though it wants no more", WEEKLY(7, AT(B), AT(B)),
            true, GROUPS(AT_STAND(C, 0, 1, 2, NONE), AT_STAND(B, 0, 5, NONE, NONE)),
            NO_LOOKS, ASKED(WAITS(8, 11))),
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        check_row(&rows[i]);
}

/* Steps are held between 7 and 28 days, and the last look at the end of the calendar. */
static void steps_have_bounds(void **state)
{
    (void)state;
    static const struct {
        int days, step; /* of the stage; until the look after the first */
    } rows[] = {
        {0,  7 },
        {15, 7 },
        {16, 8 },
        {55, 27},
        {56, 28},
        {90, 28},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct row r = {"held",
                        STEPS(AT(A)),
                        true,
                        GROUPS(AT_STAND(A, 0, NONE, NONE, NONE)),
                        LOOKS(ON(10, LOOKED)),
                        ASKED(WAITS(0, 0), WAITS(0, 0))};
        r.plan.to = r.plan.from + rows[i].days;
        r.asked[0] = (struct asked){10, 10 + rows[i].step / 2, 10};
        r.asked[1] = (struct asked){10 + rows[i].step,
                                    10 + rows[i].step + rows[i].step / 2, NONE};
        check_row(&r);
    }
    struct row end = {"the calendar ends",
                      STEPS(AT(A)),
                      true,
                      GROUPS(AT_STAND(A, 0, NONE, NONE, NONE)),
                      LOOKS(ON(PB_DAY_MAX - START, LOOKED)),
                      ASKED(WAITS(0, 0))};
    end.plan.from = end.plan.to = PB_DAY_MAX - START;
    end.asked[0] =
        (struct asked){PB_DAY_MAX - START, PB_DAY_MAX - START, PB_DAY_MAX - START};
    check_row(&end);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_window_counts_from_who_wants_it),
        cmocka_unit_test(looks_again_and_again_follow_the_last_one),
        cmocka_unit_test(steps_have_bounds),
    };
    return UNIT_MAIN("plan", tests);
}
