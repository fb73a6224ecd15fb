/* The courses of all kinds: the tables hold together, and each kind asks for the right work
 * at the right time.  Days are those of lib/data/profiles.json for the jewel orchids. */
#include "steps.h"

#include <stdlib.h>
#include <string.h>

/* ---- the tables ------------------------------------------------------------------------- */

static void tables_hold_together(void **state)
{
    (void)state;
    for (int k = 0; k < PB_KIND_N; k++) {
        const struct pb_course *c = &pb_courses[k];
        uint32_t all = PB_BIT(c->stand_n) - 1;
        CLAIM(pb_kind_names[k] != NULL && c->noun != NULL, "kind %d has no name", k);
        CLAIM((int)c->kind == k && c->stand_n <= PB_STANDS_MAX, "%s", c->noun);
        CLAIM(c->finding_n <= PB_FINDINGS_MAX && c->open != 0, "%s", c->noun);
        CLAIM((c->open & ~all) == 0 && (c->open & PB_BIT(0)) != 0, "%s: open", c->noun);
        for (int i = 0; i < c->finding_n; i++) {
            const struct pb_finding *f = &c->findings[i];
            CLAIM(f->from != 0 && (f->from & ~all) == 0, "%s: %s", c->noun, f->word);
            CLAIM(f->to >= PB_STAYS && f->to < c->stand_n, "%s: %s", c->noun, f->word);
            CLAIM(c->many || (f->tally == PB_TALLY_SEEN || f->to != 0), "%s: %s",
                  c->noun, f->word);
            for (int j = 0; j < i && f->command == NULL; j++)
                CLAIM(strcmp(f->word, c->findings[j].word) != 0, "%s: %s twice",
                      c->noun, f->word);
        }
        for (int i = 0; i < c->plan_n; i++) {
            const struct pb_plan *p = &c->plans[i];
            CLAIM(p->wanted != 0 && (p->wanted & ~c->open) == 0, "%s: task %s", c->noun,
                  pb_task_names[p->task]);
            CLAIM((p->since & ~all) == 0, "%s: task %s", c->noun,
                  pb_task_names[p->task]);
        }
    }
}

/* What has ended is not found again, but for what the table of its kind says: a capsule
 * that split can still be taken. */
static void what_ended_stays_so(void **state)
{
    (void)state;
    for (int k = 0; k < PB_KIND_N; k++) {
        const struct pb_course *c = &pb_courses[k];
        for (int i = 0; i < c->finding_n; i++)
            CLAIM((c->findings[i].from & ~c->open) == 0 ||
                      (k == PB_CROSS && i == PB_FOUND_N + PB_AS_SPLIT),
                  "%s: %s", c->noun, c->findings[i].word);
    }
}

/* ---- what they ask for ------------------------------------------------------------------ */

struct asked {
    enum pb_task_kind task;
    int ordinal, from, to;
};

/* What waits after these looks, in the order of the plans. */
static void check_asked(const char *claim, struct pb_batch *b, const struct step *steps,
                        const struct asked *asked, size_t n)
{
    struct pb_look looks[8];
    struct pb_events room = {NULL, 0};
    struct pb_story story;
    struct pb_life life = {0};
    struct pb_timing t;
    struct pb_profile_match m;
    struct pb_tasks tasks = {0};
    struct pb_err err = {0};
    const struct pb_profiles profiles = {NULL, &pb_profiles_builtin};
    size_t k = 0;
    make(b, looks, steps);
    pb_profile_find(&profiles, "Anoectochilus formosanus", NULL, &m);
    CLAIM(pb_batch_story(b, &room, &story, &err) == PB_OK, "%s", claim);
    CLAIM(pb_course_replay(&story, &life, &err) == PB_OK, "%s: %s", claim, err.text);
    pb_batch_timing(b, &m, &t);
    CLAIM(pb_course_tasks(&t, &story, &life, life.open > 0, &tasks, &err) == PB_OK,
          "%s", claim);
    for (size_t i = 0; i < tasks.n; i++) {
        const struct pb_task *task = &tasks.v[i];
        if (task->done)
            continue;
        CLAIM(k < n, "%s: %s/%d too", claim, pb_task_names[task->kind], task->ordinal);
        CLAIM(task->kind == asked[k].task && task->ordinal == asked[k].ordinal &&
                  task->span.first == START + asked[k].from &&
                  task->span.last == START + asked[k].to,
              "%s: %s/%d %d-%d", claim, pb_task_names[task->kind], task->ordinal,
              (int)(task->span.first - START), (int)(task->span.last - START));
        k++;
    }
    CLAIM(k == n, "%s: %d asked", claim, (int)k);
    pb_tasks_clear(&tasks);
    pb_life_clear(&life);
    free(room.v);
    b->looks = NULL;
    b->look_n = 0;
}

static void cuttings_ask_step_by_step(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        int units;
        struct step steps[6];
        struct asked asked[4];
        size_t n;
    } rows[] = {
        {"the cut dries for a day",                        1, {END},                                                                        {{PB_TASK_CALLUS, 1, 1, 1}}, 1},
        {"then into water",
         1,                                                   {{1, "callused", 0, -1}, END},
         {{PB_TASK_WATER, 1, 1, 2}},
         1                                                                                                                                                                },
        {"a weekly look for roots",
         1,                                                   {{1, "callused", 0, -1}, {1, "in-water", 0, -1}, END},
         {{PB_TASK_ROOTS, 1, 8, 11}},
         1                                                                                                                                                                },
        {"the callus need not be said",
         1,                                                   {{2, "in-water", 0, -1}, END},
         {{PB_TASK_ROOTS, 1, 9, 12}},
         1                                                                                                                                                                },
        {"no roots yet: a week later again",
         1,                                                   {{1, "in-water", 0, -1}, {9, "unchanged", 0, -1}, END},
         {{PB_TASK_ROOTS, 2, 16, 19}},
         1                                                                                                                                                                },
        {"a late look answers the ones before it",
         1,                                                   {{1, "in-water", 0, -1}, {23, "unchanged", 0, -1}, END},
         {{PB_TASK_ROOTS, 2, 30, 33}},
         1                                                                                                                                                                },
        {"roots: pot it",
         1,                                                   {{1, "in-water", 0, -1}, {16, "rooted", 0, -1}, END},
         {{PB_TASK_POT, 1, 16, 23}},
         1                                                                                                                                                                },
        {"potted: settled after a month",
         1,                                                   {{1, "in-water", 0, -1}, {16, "rooted", 0, -1}, {18, "potted", 0, -1}, END},
         {{PB_TASK_SETTLED, 1, 48, 78}},
         1                                                                                                                                                                },
        {"settled: nothing more",
         1,                                                   {{18, "potted", 0, -1}, {50, "settled", 0, -1}, END},
         {{0}},
         0                                                                                                                                                                },
        {"rotted: nothing more",                           1, {{9, "rotted", 0, -1}, END},                                                  {{0}},                       0},
        {"three part ways, each asks for its own",
         3,                                                   {{1, "in-water", 3, -1}, {16, "rooted", 1, -1}, {17, "rotted", 1, -1}, END},
         {{PB_TASK_ROOTS, 2, 24, 27}, {PB_TASK_POT, 1, 16, 23}},
         2                                                                                                                                                                },
        {"a look within the week moves the next one too",
         1,                                                   {{1, "in-water", 0, -1},
          {9, "unchanged", 0, -1},
          {12, "unchanged", 0, -1},
          END},
         {{PB_TASK_ROOTS, 2, 19, 22}},
         1                                                                                                                                                                },
        {"to give one away is no look at the others",
         2,                                                   {{1, "in-water", 0, -1}, {9, "unchanged", 0, -1}, {12, "given", 1, -1}, END},
         {{PB_TASK_ROOTS, 2, 16, 19}},
         1                                                                                                                                                                },
        {"one before the first does not",
         1,                                                   {{1, "in-water", 0, -1}, {5, "unchanged", 0, -1}, END},
         {{PB_TASK_ROOTS, 1, 8, 11}},
         1                                                                                                                                                                },
        {"looks again and again count from the first one",
         2,                                                   {{1, "in-water", 1, -1}, {5, "in-water", 1, -1}, {16, "rotted", 1, -1}, END},
         {{PB_TASK_ROOTS, 2, 23, 26}},
         1                                                                                                                                                                },
        {"the second one potted is another one",
         2,                                                   {{10, "potted", 1, -1}, {20, "potted", 1, -1}, {45, "settled", 1, -1}, END},
         {{PB_TASK_SETTLED, 1, 50, 80}},
         1                                                                                                                                                                },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_batch b;
        pb_batch_init(&b, PB_CUTTING);
        b.units = rows[i].units;
        check_asked(rows[i].claim, &b, rows[i].steps, rows[i].asked, rows[i].n);
    }
}

/* The day on which work was done must not move with what is found later: calendars would
 * be told so each time. */
static void done_stays_done_on_its_day(void **state)
{
    (void)state;
    static const struct step steps[] = {
        {2,  "in-water",  0, -1},
        {9,  "unchanged", 0, -1},
        {20, "rooted",    0, -1},
        {21, "potted",    0, -1},
        {40, "unchanged", 0, -1},
        END
    };
    static const struct {
        enum pb_task_kind task;
        int ordinal, on;
    } rows[] = {
        {PB_TASK_CALLUS, 1, 2 },
        {PB_TASK_ROOTS,  1, 9 },
        {PB_TASK_ROOTS,  2, 20},
        {PB_TASK_POT,    1, 21},
    };
    struct pb_look looks[8];
    struct pb_events room = {NULL, 0};
    struct pb_story story;
    struct pb_life life = {0};
    struct pb_tasks tasks = {0};
    struct pb_timing t;
    struct pb_profile_match m;
    struct pb_batch b;
    const struct pb_profiles profiles = {NULL, &pb_profiles_builtin};
    size_t k = 0;
    pb_batch_init(&b, PB_CUTTING);
    make(&b, looks, steps);
    pb_profile_find(&profiles, "Ludisia discolor", NULL, &m);
    assert_int_equal(pb_batch_story(&b, &room, &story, NULL), PB_OK);
    assert_int_equal(pb_course_replay(&story, &life, NULL), PB_OK);
    pb_batch_timing(&b, &m, &t);
    assert_int_equal(pb_course_tasks(&t, &story, &life, true, &tasks, NULL), PB_OK);
    for (size_t i = 0; i < tasks.n; i++) {
        if (!tasks.v[i].done)
            continue;
        assert_true(k < PB_ARRAY_LEN(rows));
        CLAIM(tasks.v[i].kind == rows[k].task &&
                  tasks.v[i].ordinal == rows[k].ordinal &&
                  tasks.v[i].done_on == START + rows[k].on,
              "%s/%d on %d", pb_task_names[tasks.v[i].kind], tasks.v[i].ordinal,
              (int)(tasks.v[i].done_on - START));
        k++;
    }
    assert_int_equal(k, PB_ARRAY_LEN(rows));
    pb_tasks_clear(&tasks);
    pb_life_clear(&life);
    free(room.v);
}

static void flasks_ask_step_by_step(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        bool daughter;
        struct step steps[6];
        struct asked asked[4];
        size_t n;
    } rows[] = {
        {"germination from day 14",
         false, {END},
         {{PB_TASK_GERMINATION, 1, 14, 23}},
         1},
        {"nothing yet: half of 14 to 50 later again",
         false, {{15, "unchanged", 0, -1}, END},
         {{PB_TASK_GERMINATION, 2, 33, 42}},
         1},
        {"germinated: replate and deflask in their time",
         false, {{40, "germinated", 0, 30}, END},
         {{PB_TASK_REPLATE, 1, 120, 182}, {PB_TASK_DEFLASK, 1, 243, 365}},
         2},
        {"stage 1 is no germination on every scale",
         false, {{20, "stage-1", 0, 30}, END},
         {{PB_TASK_GERMINATION, 2, 38, 47}},
         1},
        {"a daughter flask is only deflasked",
         true,  {END},
         {{PB_TASK_DEFLASK, 1, 243, 365}},
         1},
        {"contaminated: at once",
         false, {{30, "contaminated", 0, -1}, END},
         {{PB_TASK_DEFLASK, 2, 30, 31}},
         1},
        {"discarded: nothing more",
         false, {{30, "contaminated", 0, -1}, {31, "discarded", 0, -1}, END},
         {{0}},
         0},
        {"in a compot: settled after one to two months",
         false, {{40, "germinated", 0, 30}, {250, "compotted", 0, 12}, END},
         {{PB_TASK_SETTLED, 1, 280, 310}},
         1},
        {"deflasked: nothing more",
         false, {{40, "germinated", 0, 30}, {250, "deflasked", 0, 12}, END},
         {{0}},
         0},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_batch b;
        pb_batch_init(&b, PB_FLASK);
        b.source_kind = rows[i].daughter ? PB_FLASK : PB_SEED;
        check_asked(rows[i].claim, &b, rows[i].steps, rows[i].asked, rows[i].n);
    }
}

static void seed_and_pollen_ask_to_be_used(void **state)
{
    (void)state;
    struct pb_batch b;
    static const struct step none[] = {END};
    static const struct step sown[] = {
        {3, "sown", 0, -1},
        END
    };
    static const struct step used[] = {
        {3, "used-up", 0, -1},
        END
    };
    static const struct asked week[] = {
        {PB_TASK_SOW, 1, 0, 7}
    };
    static const struct asked pollen[] = {
        {PB_TASK_USE_POLLEN, 1, 76, 90}
    };
    pb_batch_init(&b, PB_SEED);
    b.form = PB_FORM_CLOSED;
    check_asked("a closed capsule within a week", &b, none, week, 1);
    check_asked("sown: what is left still is to be", &b, sown, week, 1);
    check_asked("used up: nothing more", &b, used, NULL, 0);
    b.form = PB_FORM_DRY;
    check_asked("of dry seed no day is known", &b, none, NULL, 0);
    pb_batch_init(&b, PB_POLLEN);
    check_asked("pollen in its last two weeks", &b, none, pollen, 1);
    check_asked("used up: nothing more", &b, used, NULL, 0);
}

static void replating_gives_way_to_deflasking(void **state)
{
    (void)state;
    struct pb_task v[] = {
        {.kind = PB_TASK_REPLATE, .ordinal = 1, .span = {START + 120, START + 182}},
        {.kind = PB_TASK_DEFLASK, .ordinal = 1, .span = {START + 243, START + 365}},
    };
    const struct pb_tasks tasks = {v, PB_ARRAY_LEN(v), PB_ARRAY_LEN(v)};
    const struct pb_task *shown[PB_SHOWN_MAX];
    assert_int_equal(pb_tasks_due(&tasks, START + 242, START + 249, shown), 2);
    assert_int_equal(pb_tasks_due(&tasks, START + 243, START + 250, shown), 1);
    assert_ptr_equal(shown[0], &v[1]);
    const struct pb_tasks first = {v, 1,
                                   PB_ARRAY_LEN(v)}; /* what is behind does not count */
    assert_int_equal(pb_tasks_due(&first, START + 243, START + 250, shown), 1);
    v[1].done = true;
    assert_int_equal(pb_tasks_due(&tasks, START + 243, START + 250, shown), 1);
    assert_ptr_equal(shown[0], &v[0]);
}

/* However much waits, a look has its place among what is shown. */
static void no_more_is_shown_than_there_is_room_for(void **state)
{
    (void)state;
    struct pb_task v[2 * PB_SHOWN_MAX];
    const struct pb_tasks tasks = {v, PB_ARRAY_LEN(v), PB_ARRAY_LEN(v)};
    const struct pb_task *shown[PB_SHOWN_MAX + 1] = {NULL};
    for (size_t i = 0; i < PB_ARRAY_LEN(v); i++)
        v[i] = (struct pb_task){
            .kind = PB_TASK_SETTLED, .span = {START, START + 9}
        };
    v[0].kind = PB_TASK_SWELLING;
    assert_int_equal(pb_tasks_due(&tasks, START, START + 7, shown), PB_SHOWN_MAX);
    assert_ptr_equal(shown[PB_SHOWN_MAX - 1], &v[0]);
    assert_ptr_equal(shown[0], &v[1]);
    assert_null(shown[PB_SHOWN_MAX]);
}

static void the_harvest_ahead_is_the_one_that_waits(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        enum pb_task_kind kind;
        bool done;
        int from, until; /* days from today */
        bool ahead;
    } rows[] = {
        {"from tomorrow",            PB_TASK_HARVEST,  false, 1,  7, true },
        {"not from today",           PB_TASK_HARVEST,  false, 0,  7, false},
        {"nor from before",          PB_TASK_HARVEST,  false, -3, 7, false},
        {"up to that day",           PB_TASK_HARVEST,  false, 7,  7, true },
        {"not after it",             PB_TASK_HARVEST,  false, 8,  7, false},
        {"not what is done",         PB_TASK_HARVEST,  true,  3,  7, false},
        {"nor another task",         PB_TASK_RIPENESS, false, 3,  7, false},
        {"nor that, when it is due", PB_TASK_SETTLED,  false, 0,  7, false},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        const struct pb_task v[] = {
            {.kind = rows[i].kind,
             .done = rows[i].done,
             .span = {START + rows[i].from, START + 20}},
            {.kind = PB_TASK_HARVEST,                    .span = {START + 2, START + 20}},
        };
        struct pb_task copy[PB_ARRAY_LEN(v)];
        memcpy(copy, v, sizeof(v));
        /* what is behind the list is none of it */
        const struct pb_tasks tasks = {copy, 1, PB_ARRAY_LEN(v)};
        const struct pb_task *t =
            pb_tasks_harvest_ahead(&tasks, START, START + rows[i].until);
        CLAIM(t == (rows[i].ahead ? &copy[0] : NULL), "%s", rows[i].claim);
    }
}

/* ---- refusals -------------------------------------------------------------------------- */

static void moves_that_cannot_be(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        enum pb_kind kind;
        struct step steps[4];
        const char *said;
    } rows[] = {
        {"a rotted cutting is not potted",
         PB_CUTTING, {{3, "rotted", 0, -1}, {9, "potted", 0, -1}, END},
         "1 rotted"                               },
        {"nothing before the cut",
         PB_CUTTING, {{-1, "callused", 0, -1}, END},
         "before the cut"                         },
        {"a discarded flask is not used",
         PB_FLASK,   {{3, "discarded", 0, -1}, {9, "deflasked", 0, 3}, END},
         "a flask that is discarded"              },
        {"nothing is replated where nothing germinated",
         PB_FLASK,   {{9, "replated", 0, 3}, END},
         "a flask that is sown cannot be replated"},
        {"a contaminated flask only with a rescue",
         PB_FLASK,   {{3, "contaminated", 0, -1}, {9, "compotted", 0, 3}, END},
         "--rescue"                               },
        {"given seed is not sown",
         PB_SEED,    {{3, "given", 0, -1}, {4, "sown", 0, -1}, END},
         "a seed lot that is given"               },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_batch b;
        struct pb_look looks[4];
        struct pb_life life = {0};
        struct pb_err err = {0};
        pb_batch_init(&b, rows[i].kind);
        make(&b, looks, rows[i].steps);
        CLAIM(pb_batch_replay(&b, &life, &err) == PB_EINVALID, "%s", rows[i].claim);
        CLAIM(strstr(err.text, rows[i].said) != NULL, "%s: %s", rows[i].claim,
              err.text);
        pb_err_clear(&err);
    }
}

/* A flask that is kept although what is said of it cannot be. */
static void what_contradicts_itself_is_followed_without_its_looks(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        struct step steps[3];
        bool conflict;
        int stand;
    } rows[] = {
        {"germinated, then given",
         {{40, "germinated", 0, -1}, {50, "given", 0, -1}, END},
         false, PB_FLASK_GIVEN},
        {"given, then germinated",
         {{40, "given", 0, -1}, {50, "germinated", 0, -1}, END},
         true,  PB_FLASK_SOWN },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_look looks[8];
        struct pb_events room = {NULL, 0};
        struct pb_story story;
        struct pb_life life = {0};
        struct pb_err err = {0};
        struct pb_batch b;
        bool conflict = !rows[i].conflict;
        pb_batch_init(&b, PB_FLASK);
        make(&b, looks, rows[i].steps);
        CLAIM(pb_batch_story(&b, &room, &story, &err) == PB_OK &&
                  pb_course_follow(&story, &life, &conflict, &err) == PB_OK,
              "%s: %s", rows[i].claim, err.text);
        CLAIM(conflict == rows[i].conflict && err.rc == PB_OK, "%s", rows[i].claim);
        CLAIM(life.units == 1 && life.by_stand[rows[i].stand] == 1, "%s: where it is",
              rows[i].claim);
        pb_life_clear(&life);
        free(room.v);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tables_hold_together),
        cmocka_unit_test(what_ended_stays_so),
        cmocka_unit_test(cuttings_ask_step_by_step),
        cmocka_unit_test(done_stays_done_on_its_day),
        cmocka_unit_test(flasks_ask_step_by_step),
        cmocka_unit_test(seed_and_pollen_ask_to_be_used),
        cmocka_unit_test(replating_gives_way_to_deflasking),
        cmocka_unit_test(no_more_is_shown_than_there_is_room_for),
        cmocka_unit_test(the_harvest_ahead_is_the_one_that_waits),
        cmocka_unit_test(moves_that_cannot_be),
        cmocka_unit_test(what_contradicts_itself_is_followed_without_its_looks),
    };
    return UNIT_MAIN("course", tests);
}
