/* The replay's finer rules: what a later word of the same day holds for, what later records
 * leave of "all that are still open", what an amended event contradicts, how many set. */
#include "unit.h"

#include "core/life.h"

#include <stdlib.h>
#include <string.h>

enum { START = 20000, H = 100, LOOKS = 6 }; /* H + as: a harvest */

struct step {
    int day, what, count; /* from the pollination; count 0: all */
};

struct steps {
    struct step v[LOOKS];
    size_t n;
};

#define STEP(day, what, count) \
    {                          \
        day, what, count       \
    }
#define STEPS(...)                                                        \
    {                                                                     \
        {__VA_ARGS__}, PB_ARRAY_LEN(((const struct step[]){__VA_ARGS__})) \
    }

/* To the formatter, which would make columns of it, a row is no list. */
#define ROW(...)    \
    {               \
        __VA_ARGS__ \
    }

/* A cross with the first n steps booked one after the other; its lists are in the arrays. */
static void make(struct pb_cross *x, int flowers, const struct steps *s, size_t n,
                 struct pb_look looks[LOOKS], struct pb_harvest harvests[LOOKS])
{
    pb_cross_init(x);
    x->pollinated = START;
    x->flowers = flowers;
    x->looks = looks;
    x->harvests = harvests;
    for (size_t i = 0; i < n; i++) {
        const struct step *step = &s->v[i];
        if (step->what >= H) {
            struct pb_harvest *h = &harvests[x->harvest_n++];
            *h = (struct pb_harvest){.number = (int)x->harvest_n,
                                     .on = START + step->day,
                                     .count = step->count};
            h->as = (enum pb_as)(step->what - H);
        } else {
            struct pb_look *l = &looks[x->look_n++];
            pb_look_init(l);
            l->number = (int)x->look_n;
            l->on = START + step->day;
            l->found = step->what;
            l->count = step->count;
        }
    }
}

/* ---- what one day holds ------------------------------------------------------------------ */

static const struct day_row {
    const char *claim;
    struct steps
        steps; /* of three flowers, the last of them entered after the others */
    bool refused;
    int by_stand[PB_STAND_N];
} day_rows[] = {
    ROW("the later word holds for all where it says all",
        STEPS(STEP(4, PB_SWOLLEN, 3), STEP(4, PB_YELLOWING, 0)), false,
        {[PB_STAND_YELLOWING] = 3}),
    ROW("and where it says how many",
        STEPS(STEP(4, PB_SWOLLEN, 3), STEP(4, PB_YELLOWING, 3)), false,
        {[PB_STAND_YELLOWING] = 3}),
    ROW("also of one that nothing was found of yet",
        STEPS(STEP(4, PB_SWOLLEN, 2), STEP(4, PB_YELLOWING, 3)), false,
        {[PB_STAND_YELLOWING] = 3}),
    ROW("but not of some and one of those",
        STEPS(STEP(4, PB_SWOLLEN, 2), STEP(4, PB_YELLOWING, 2)), true, {0}),
    ROW("what was taken before leaves no more of them",
        STEPS(STEP(3, H + PB_AS_CLOSED, 1), STEP(4, PB_SWOLLEN, 2),
              STEP(4, PB_YELLOWING, 1)),
        false,
        {[PB_STAND_SWOLLEN] = 1, [PB_STAND_YELLOWING] = 1, [PB_STAND_HARVESTED] = 1}),
    ROW("what is taken that day was there",
        STEPS(STEP(4, PB_SWOLLEN, 2), STEP(4, PB_UNSURE, 1),
              STEP(4, H + PB_AS_CLOSED, 1), STEP(3, PB_DROPPED, 1)),
        true, {0}),
    ROW("what another day found is of that day",
        STEPS(STEP(2, PB_HOLDING, 2), STEP(4, PB_SWOLLEN, 2), STEP(4, PB_UNSURE, 1),
              STEP(3, PB_DROPPED, 1)),
        true, {0}),
    ROW("a word that held once holds still",
        STEPS(STEP(4, PB_SWOLLEN, 3), STEP(4, PB_YELLOWING, 1), STEP(9, PB_DROPPED, 1)),
        false,
        {[PB_STAND_SWOLLEN] = 1, [PB_STAND_YELLOWING] = 1, [PB_STAND_DROPPED] = 1}),
};

/* The same whether the replay is told of the life before and of what is entered, or not. */
static void a_day_is_told_once_and_the_last_word_holds(void **state)
{
    (void)state;
    for (size_t i = 0; i < PB_ARRAY_LEN(day_rows); i++)
        for (int told = 0; told < 2; told++) {
            const struct day_row *r = &day_rows[i];
            struct pb_look looks[LOOKS];
            struct pb_harvest harvests[LOOKS];
            struct pb_cross x;
            struct pb_life before = {0}, life = {0};
            make(&x, 3, &r->steps, r->steps.n - 1, looks, harvests);
            CLAIM(pb_cross_replay(&x, &before, NULL) == PB_OK, "%s: before", r->claim);
            make(&x, 3, &r->steps, r->steps.n, looks, harvests);
            const struct pb_life_event last = {false, (int)x.look_n, true};
            enum pb_rc rc =
                told ? pb_cross_replay_entered(&x, &before, &last, &life, NULL)
                     : pb_cross_replay(&x, &life, NULL);
            CLAIM(rc == (r->refused ? PB_EINVALID : PB_OK), "%s", r->claim);
            CLAIM(r->refused ||
                      memcmp(life.by_stand, r->by_stand, sizeof(r->by_stand)) == 0,
                  "%s", r->claim);
            pb_life_clear(&before);
            pb_life_clear(&life);
        }
}

/* Looks that were of different ones stay so, whatever else is entered. */
static void no_other_record_makes_a_word_the_later_one(void **state)
{
    (void)state;
    static const struct steps steps =
        STEPS(STEP(4, PB_SWOLLEN, 2), STEP(4, PB_UNSURE, 1), STEP(9, PB_HOLDING, 1));
    struct pb_look looks[LOOKS];
    struct pb_harvest harvests[LOOKS];
    struct pb_cross x;
    struct pb_life before = {0}, life = {0};
    struct pb_err err = {0};
    make(&x, 3, &steps, 3, looks, harvests);
    assert_int_equal(pb_cross_replay(&x, &before, NULL), PB_OK);
    assert_int_equal(before.restated_n, 0);
    looks[0].count = 3;
    const struct pb_life_event first = {false, 1, false}, second = {false, 2, false};
    assert_int_equal(pb_cross_replay_entered(&x, &before, &first, &life, &err),
                     PB_EINVALID);
    assert_string_equal(err.where, "look 1");
    assert_non_null(strstr(err.text, "3 swollen on 2024-10-08 contradicts look 2 of "
                                     "2024-10-08: 1 cannot be unsure"));
    assert_int_equal(pb_cross_replay_entered(&x, &before, &second, &life, NULL), PB_OK);
    assert_int_equal(life.restated_n, 1);
    assert_int_equal(life.restated[0], 2);
    pb_life_clear(&life);
    pb_life_clear(&before);
}

static void the_one_that_was_entered_is_named(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        struct steps steps;
        struct pb_life_event entered;
        const char *where, *says;
    } rows[] = {
        ROW("a look", STEPS(STEP(6, PB_SWOLLEN, 2), STEP(5, PB_DROPPED, 2)),
            {false, 2, false}, "look 2",
            "2 dropped on 2024-10-09 contradicts look 1 of 2024-10-10: "),
        ROW("a harvest, and not the look of its number",
            STEPS(STEP(6, PB_SWOLLEN, 2), STEP(5, H + PB_AS_CLOSED, 2)),
            {true, 1, false}, "harvest 1",
            "2 harvested on 2024-10-09 contradicts look 1 of 2024-10-10: "),
        ROW("a look, and not the harvest of its number",
            STEPS(STEP(6, PB_SWOLLEN, 2), STEP(5, H + PB_AS_CLOSED, 2)),
            {false, 1, false}, "look 1",
            "2024-10-10: 2 cannot be swollen, of 3 flowers 1 is still open"),
        ROW("more than there are is said as many as there are",
            STEPS(STEP(4, PB_SWOLLEN, 3), STEP(4, PB_YELLOWING, 4)), {false, 2, false},
            "look 2",
            "2024-10-08: 4 cannot be yellowing, of 3 flowers 3 are still open"),
        ROW("a new look has no name yet",
            STEPS(STEP(6, PB_SWOLLEN, 2), STEP(5, PB_DROPPED, 2)), {false, 2, true}, "",
            "2 dropped on 2024-10-09 contradicts look 1 of 2024-10-10: "),
        ROW("nor has a new harvest",
            STEPS(STEP(6, PB_SWOLLEN, 2), STEP(7, H + PB_AS_CLOSED, 4)),
            {true, 1, true}, "",
            "2024-10-11: 4 cannot be harvested, of 3 flowers 3 are still open"),
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_look looks[LOOKS];
        struct pb_harvest harvests[LOOKS];
        struct pb_cross x;
        struct pb_life life = {0};
        struct pb_err err = {0};
        make(&x, 3, &rows[i].steps, rows[i].steps.n, looks, harvests);
        CLAIM(pb_cross_replay_entered(&x, NULL, &rows[i].entered, &life, &err) ==
                  PB_EINVALID,
              "%s", rows[i].claim);
        CLAIM(strcmp(err.where, rows[i].where) == 0 &&
                  strncmp(err.text, rows[i].says, strlen(rows[i].says)) == 0,
              "%s: %s: %s", rows[i].claim, err.where, err.text);
    }
}

/* ---- what later records leave of "all" ------------------------------------------------- */

enum { OPEN, GONE, AWAY, LOST, TAKEN, STAND_N };
enum { GOES, LEAVES, IS_LOST, TAKE };

/* A course in which two kinds of ended units can be taken all the same. */
static void all_are_those_that_nothing_later_ends(void **state)
{
    (void)state;
    static const uint32_t open = PB_BIT(OPEN);
    static const struct pb_finding findings[] = {
        {"goes",    PB_BIT(OPEN),                               GONE,  PB_TALLY_NEW, 0, NULL, NULL, NULL},
        {"leaves",  PB_BIT(OPEN),                               AWAY,  PB_TALLY_NEW, 0, NULL, NULL, NULL},
        {"is lost", PB_BIT(OPEN),                               LOST,  PB_TALLY_NEW, 0, NULL, NULL, NULL},
        {"take",    PB_BIT(OPEN) | PB_BIT(GONE) | PB_BIT(AWAY), TAKEN, PB_TALLY_NEW, 0,
         NULL,                                                                                NULL, NULL},
    };
    static const char *const stands[STAND_N] = {"open", "gone", "away", "lost",
                                                "taken"};
    const struct pb_course course = {.noun = "thing",
                                     .unit = "thing",
                                     .start = "start",
                                     .many = true,
                                     .stands = stands,
                                     .stand_n = STAND_N,
                                     .open = open,
                                     .findings = findings,
                                     .finding_n = PB_ARRAY_LEN(findings)};
    static const struct {
        const char *claim;
        struct steps steps; /* of five */
        int lost;           /* so many are all */
    } rows[] = {
        ROW("all but none", STEPS(STEP(2, IS_LOST, 0)), 5),
        ROW("all but what is gone", STEPS(STEP(1, GOES, 2), STEP(2, IS_LOST, 0)), 3),
        ROW("what is taken later is first what had ended",
            STEPS(STEP(1, GOES, 1), STEP(1, LEAVES, 1), STEP(2, IS_LOST, 0),
                  STEP(5, TAKE, 3)),
            2),
        ROW("each of those is taken once",
            STEPS(STEP(1, GOES, 1), STEP(1, LEAVES, 1), STEP(2, IS_LOST, 0),
                  STEP(5, TAKE, 2), STEP(6, TAKE, 1)),
            2),
        ROW("and no more of a kind than there are",
            STEPS(STEP(1, GOES, 2), STEP(1, LEAVES, 1), STEP(2, IS_LOST, 0),
                  STEP(5, TAKE, 1), STEP(6, TAKE, 2)),
            2),
        ROW("nor of them all than are taken",
            STEPS(STEP(1, GOES, 2), STEP(1, LEAVES, 2), STEP(2, IS_LOST, 0),
                  STEP(5, TAKE, 3)),
            1),
        ROW("what ends later can be taken later",
            STEPS(STEP(2, IS_LOST, 0), STEP(3, GOES, 2), STEP(5, TAKE, 2)), 3),
        ROW("and is taken once, too",
            STEPS(STEP(2, IS_LOST, 0), STEP(3, GOES, 2), STEP(5, TAKE, 2),
                  STEP(6, TAKE, 1)),
            2),
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_event events[LOOKS];
        int counts[LOOKS];
        struct pb_life life = {0};
        for (size_t k = 0; k < rows[i].steps.n; k++) {
            const struct step *s = &rows[i].steps.v[k];
            counts[k] = s->count;
            events[k] = (struct pb_event){START + s->day, s->what,    (int)k + 1,
                                          false,          &counts[k], false};
        }
        struct pb_story story = {&course,         5,   OPEN, START, events,
                                 rows[i].steps.n, "T1"};
        CLAIM(pb_course_replay(&story, &life, NULL) == PB_OK, "%s", rows[i].claim);
        CLAIM(life.by_stand[LOST] == rows[i].lost, "%s: %d", rows[i].claim,
              life.by_stand[LOST]);
        pb_life_clear(&life);
    }
}

/* What may be a plant is said by the findings of the course, not by what lies behind. */
static void plants_are_taken_last(void **state)
{
    (void)state;
    enum { NEAR, FAR, GIVEN };
    enum { GO, GIVE, ENTER };
    static const struct pb_finding findings[] = {
        {"go",    PB_BIT(NEAR),               FAR,   PB_TALLY_SEEN, 0,              NULL, NULL, NULL},
        {"give",  PB_BIT(NEAR) | PB_BIT(FAR), GIVEN, PB_TALLY_NEW,  PB_PLANTS_LAST, NULL,
         NULL,                                                                                  NULL},
        {"enter", PB_BIT(NEAR),               FAR,   PB_TALLY_NEW,  PB_ENTERS,      NULL, NULL, NULL},
    };
    static const char *const stands[] = {"near", "far", "given"};
    for (int n = ENTER; n <= ENTER + 1; n++) {
        const struct pb_course course = {.noun = "thing",
                                         .unit = "thing",
                                         .start = "start",
                                         .many = true,
                                         .staged = true,
                                         .stands = stands,
                                         .stand_n = PB_ARRAY_LEN(stands),
                                         .open = PB_BIT(NEAR) | PB_BIT(FAR),
                                         .findings = findings,
                                         .finding_n = n};
        int counts[] = {1, 1};
        struct pb_event events[] = {
            {START + 1, GO,   1, false, &counts[0], false},
            {START + 2, GIVE, 2, false, &counts[1], false},
        };
        struct pb_story story = {&course, 2, NEAR, START, events, 2, "T1"};
        struct pb_life life = {0};
        assert_int_equal(pb_course_replay(&story, &life, NULL), PB_OK);
        assert_int_equal(life.by_stand[FAR], n == ENTER ? 0 : 1);
        assert_int_equal(life.by_stand[GIVEN], 1);
        pb_life_clear(&life);
    }
}

/* ---- the rest ---------------------------------------------------------------------------- */

static void events_are_in_the_order_of_their_day(void **state)
{
    (void)state;
    static const struct pb_event sorted[] = {
        {START,     0, 9, false, NULL, false},
        {START + 1, 0, 1, false, NULL, false},
        {START + 1, 0, 2, false, NULL, false},
        {START + 1, 0, 3, false, NULL, false},
        {START + 1, 0, 1, true,  NULL, false},
        {START + 1, 0, 2, true,  NULL, false},
        {START + 2, 0, 1, false, NULL, false},
    };
    enum { N = PB_ARRAY_LEN(sorted) };
    for (size_t shift = 1; shift < N; shift++) {
        struct pb_event events[N];
        struct pb_story story = {.events = events, .n = N};
        for (size_t i = 0; i < N; i++) /* 7 is prime: every order of steps is one */
            events[i] = sorted[(N - 1 - i) * shift % N];
        pb_story_sort(&story);
        for (size_t i = 0; i < N; i++)
            assert_true(events[i].on == sorted[i].on &&
                        events[i].number == sorted[i].number &&
                        events[i].late == sorted[i].late);
    }
}

/* On lists without a byte to spare, which the address sanitizer watches. */
static void no_more_is_read_than_there_is(void **state)
{
    (void)state;
    struct pb_cross x;
    struct pb_life life = {0};
    pb_cross_init(&x);
    x.pollinated = START;
    x.flowers = 2;
    x.looks = malloc(sizeof(*x.looks));
    x.harvests = malloc(sizeof(*x.harvests));
    assert_true(x.looks != NULL && x.harvests != NULL);
    x.look_n = x.harvest_n = 1;
    pb_look_init(&x.looks[0]);
    x.looks[0].number = 1;
    x.looks[0].on = START + 9;
    x.looks[0].found = PB_HOLDING;
    x.harvests[0] =
        (struct pb_harvest){.number = 1, .on = START + 21, .as = PB_AS_CLOSED};
    assert_int_equal(pb_cross_replay(&x, &life, NULL), PB_OK);
    assert_int_equal(life.by_stand[PB_STAND_HARVESTED], 2);
    pb_life_clear(&life);
    free(x.looks);
    free(x.harvests);
}

static void before_anything_is_found_nothing_brought_it_there(void **state)
{
    (void)state;
    static const struct steps none = {.n = 0};
    struct pb_look looks[LOOKS];
    struct pb_harvest harvests[LOOKS];
    struct pb_cross x;
    struct pb_life life = {0};
    make(&x, 3, &none, 0, looks, harvests);
    assert_int_equal(pb_cross_replay(&x, &life, NULL), PB_OK);
    assert_int_equal(life.group_n, 1);
    assert_int_equal(life.groups[0].by, -1);
    assert_int_equal(life.groups[0].last_intact, PB_DAY_NONE);
    assert_int_equal(life.last_on, PB_DAY_NONE);
    pb_life_clear(&life);
}

static void room_is_kept_while_it_serves(void **state)
{
    (void)state;
    static const struct {
        size_t n, cap;
    } rows[] = {
        {0, 1},
        {1, 1},
        {2, 3},
        {1, 3},
        {3, 3},
        {4, 5},
    };
    struct pb_events room = {NULL, 0};
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        assert_int_equal(pb_events_reserve(&room, rows[i].n, NULL), PB_OK);
        assert_non_null(room.v);
        assert_int_equal(room.cap, rows[i].cap);
    }
    free(room.v);
}

static void a_word_is_found_or_is_none(void **state)
{
    (void)state;
    struct pb_course cross = pb_courses[PB_CROSS];
    assert_int_equal(pb_finding_find(&cross, "unsure"), PB_UNSURE);
    assert_int_equal(pb_finding_find(&cross, "unsur"), -1);
    cross.finding_n = PB_UNSURE; /* what is behind is of none */
    assert_int_equal(pb_finding_find(&cross, "unsure"), -1);
}

/* The lost by accident and those without a sign do not count. */
static void what_held_has_set(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        struct steps steps; /* of three flowers */
        uint32_t flowers, set;
    } rows[] = {
        ROW("nothing seen yet", STEPS(STEP(4, PB_UNCHANGED, 3)), 0, 0),
        ROW("swollen says nothing yet", STEPS(STEP(4, PB_SWOLLEN, 3)), 0, 0),
        ROW("holding has set", STEPS(STEP(9, PB_HOLDING, 2)), 2, 2),
        ROW("yellowing has", STEPS(STEP(9, PB_YELLOWING, 2)), 2, 2),
        ROW("what split has", STEPS(STEP(9, PB_SPLIT, 1)), 1, 1),
        ROW("what was harvested has", STEPS(STEP(9, H + PB_AS_CLOSED, 3)), 3, 3),
        ROW("what dropped has not", STEPS(STEP(9, PB_DROPPED, 2)), 2, 0),
        ROW("but where it held before",
            STEPS(STEP(9, PB_HOLDING, 3), STEP(12, PB_DROPPED, 1)), 3, 3),
        ROW("what was lost does not count", STEPS(STEP(9, PB_LOST, 2)), 0, 0),
        ROW("though it held", STEPS(STEP(9, PB_HOLDING, 3), STEP(12, PB_LOST, 1)), 2,
            2),
        ROW("each by itself",
            STEPS(STEP(9, PB_HOLDING, 1), STEP(12, PB_DROPPED, 1),
                  STEP(13, PB_LOST, 1)),
            2, 1),
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_look looks[LOOKS];
        struct pb_harvest harvests[LOOKS];
        struct pb_cross x;
        struct pb_life life = {0};
        uint32_t flowers = 10, set = 5; /* added to */
        make(&x, 3, &rows[i].steps, rows[i].steps.n, looks, harvests);
        CLAIM(pb_cross_replay(&x, &life, NULL) == PB_OK, "%s", rows[i].claim);
        pb_life_set(&life, &flowers, &set);
        CLAIM(flowers == 10 + rows[i].flowers && set == 5 + rows[i].set, "%s: %d of %d",
              rows[i].claim, (int)set, (int)flowers);
        pb_life_clear(&life);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_day_is_told_once_and_the_last_word_holds),
        cmocka_unit_test(no_other_record_makes_a_word_the_later_one),
        cmocka_unit_test(the_one_that_was_entered_is_named),
        cmocka_unit_test(all_are_those_that_nothing_later_ends),
        cmocka_unit_test(plants_are_taken_last),
        cmocka_unit_test(events_are_in_the_order_of_their_day),
        cmocka_unit_test(no_more_is_read_than_there_is),
        cmocka_unit_test(before_anything_is_found_nothing_brought_it_there),
        cmocka_unit_test(room_is_kept_while_it_serves),
        cmocka_unit_test(a_word_is_found_or_is_none),
        cmocka_unit_test(what_held_has_set),
    };
    return UNIT_MAIN("replay", tests);
}
