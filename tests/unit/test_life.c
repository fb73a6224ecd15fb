/* The life of a cross: what may follow what, who is taken first, and a replay of random
 * stories against a plain model that follows every flower by itself. */
#include "unit.h"

#include "core/life.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { START = 20000, H = 100 }; /* H + as: a harvest in the rows below */

struct step {
    int day; /* from the pollination */
    int what;
    int count;
};

/* A cross of one flower or more with the steps booked one after the other. */
static enum pb_rc replay(int flowers, const struct step *steps, size_t n,
                         struct pb_life *life, struct pb_cross *x, struct pb_err *err)
{
    pb_cross_init(x);
    x->pollinated = START;
    x->flowers = flowers;
    x->looks = calloc(n + 1, sizeof(*x->looks));
    x->harvests = calloc(n + 1, sizeof(*x->harvests));
    for (size_t i = 0; i < n; i++) {
        pb_day on = START + steps[i].day;
        if (steps[i].what >= H) {
            struct pb_harvest *h = &x->harvests[x->harvest_n++];
            h->number = (int)x->harvest_n;
            h->on = on;
            h->as = (enum pb_as)(steps[i].what - H);
            h->count = steps[i].count;
        } else {
            struct pb_look *l = &x->looks[x->look_n++];
            l->number = (int)x->look_n;
            l->on = on;
            l->found = steps[i].what;
            l->count = steps[i].count;
        }
    }
    memset(life, 0, sizeof(*life));
    return pb_cross_replay(x, life, err);
}

#define END      \
    {            \
        0, -1, 0 \
    }

static void story_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        int flowers;
        struct step steps[6];
        enum pb_rc rc;
        int open;
        const char *state, *says; /* says: part of the refusal */
    } rows[] = {
        {"no look yet",                                                3, {END},                                                                        PB_OK, 3, "pollinated", NULL                               },
        {"a first look may find holding",
         1,                                                               {{30, PB_HOLDING, 0}, END},
         PB_OK,                                                                                                                                                1,
         "holding",                                                                                                                                                             NULL                               },
        {"or a split",                                                 1, {{30, PB_SPLIT, 0}, END},                                                     PB_OK, 0, "split",      NULL                               },
        {"a harvest needs no look",
         2,                                                               {{21, H + PB_AS_CLOSED, 0}, END},
         PB_OK,                                                                                                                                                0,
         "harvested",                                                                                                                                                           NULL                               },
        {"unsure is a finding",                                        1, {{4, PB_UNSURE, 0}, END},                                                     PB_OK, 1, "unsure",     NULL                               },
        {"unchanged closes nothing",
         1,                                                               {{9, PB_UNCHANGED, 0}, END},
         PB_OK,                                                                                                                                                1,
         "unchanged",                                                                                                                                                           NULL                               },
        {"all dropped closes it",
         2,                                                               {{9, PB_DROPPED, 0}, END},
         PB_OK,                                                                                                                                                0,
         "dropped",                                                                                                                                                             NULL                               },
        {"drops add up",
         3,                                                               {{5, PB_DROPPED, 1}, {6, PB_DROPPED, 1}, END},
         PB_OK,                                                                                                                                                1,
         "pollinated",                                                                                                                                                          NULL                               },
        {"intact counts do not",
         3,                                                               {{5, PB_SWOLLEN, 2}, {6, PB_SWOLLEN, 2}, END},
         PB_OK,                                                                                                                                                3,
         "swollen",                                                                                                                                                             NULL                               },
        {"a split one is still harvested, once",
         1,                                                               {{20, PB_SPLIT, 0}, {21, H + PB_AS_SPLIT, 1}, END},
         PB_OK,                                                                                                                                                0,
         "harvested",                                                                                                                                                           NULL                               },
        {"but not as closed",
         1,                                                               {{20, PB_SPLIT, 1}, {21, H + PB_AS_CLOSED, 1}, END},
         PB_EINVALID,                                                                                                                                          0,
         NULL,                                                                                                                                                                  "1 split"                          },
        {"nor twice",
         1,                                                               {{20, PB_SPLIT, 0}, {21, H + PB_AS_SPLIT, 1}, {22, H + PB_AS_SPLIT, 1}, END},
         PB_EINVALID,                                                                                                                                          0,
         NULL,                                                                                                                                                                  "harvest 2"                        },
        {"a dropped one does not swell",
         1,                                                               {{5, PB_DROPPED, 0}, {6, PB_SWOLLEN, 1}, END},
         PB_EINVALID,                                                                                                                                          0,
         NULL,                                                                                                                                                                  "1 dropped"                        },
        {"more than flowers",
         2,                                                               {{5, PB_SWOLLEN, 3}, END},
         PB_EINVALID,                                                                                                                                          0,
         NULL,                                                                                                                                                                  "of 2 flowers 2 are"               },
        {"more than are left",
         3,                                                               {{5, PB_LOST, 2}, {6, PB_HOLDING, 2}, END},
         PB_EINVALID,                                                                                                                                          0,
         NULL,                                                                                                                                                                  "1 is still open (2 lost)"         },
        {"split, then intact",
         1,                                                               {{20, PB_SPLIT, 0}, {21, PB_HOLDING, 0}, END},
         PB_EINVALID,                                                                                                                                          0,
         NULL,                                                                                                                                                                  "1 split"                          },
        {"swollen, then unchanged",
         1,                                                               {{4, PB_SWOLLEN, 0}, {5, PB_UNCHANGED, 0}, END},
         PB_EINVALID,                                                                                                                                          0,
         NULL,                                                                                                                                                                  "say holding"                      },
        {"unchanged of the others is fine",
         2,                                                               {{4, PB_SWOLLEN, 1}, {5, PB_UNCHANGED, 1}, END},
         PB_OK,                                                                                                                                                2,
         "swollen",                                                                                                                                                             NULL                               },
        {"and no more of them",
         2,                                                               {{4, PB_SWOLLEN, 1}, {5, PB_UNCHANGED, 2}, END},
         PB_EINVALID,                                                                                                                                          0,
         NULL,                                                                                                                                                                  "say holding"                      },
        {"yellowing may hold again",
         1,                                                               {{40, PB_YELLOWING, 0}, {44, PB_HOLDING, 0}, END},
         PB_OK,                                                                                                                                                1,
         "holding",                                                                                                                                                             NULL                               },
        {"before the pollination",
         1,                                                               {{-1, PB_SWOLLEN, 0}, END},
         PB_EINVALID,                                                                                                                                          0,
         NULL,                                                                                                                                                                  "before the pollination"           },
        {"harvest before it",
         1,                                                               {{-1, H + PB_AS_CLOSED, 0}, END},
         PB_EINVALID,                                                                                                                                          0,
         NULL,                                                                                                                                                                  "before the pollination"           },
        {"on the day itself",
         1,                                                               {{0, PB_UNCHANGED, 0}, END},
         PB_OK,                                                                                                                                                1,
         "unchanged",                                                                                                                                                           NULL                               },
        {"a look comes before a harvest of its day",
         2,                                                               {{21, H + PB_AS_CLOSED, 1}, {21, PB_HOLDING, 2}, END},
         PB_OK,                                                                                                                                                1,
         "holding",                                                                                                                                                             NULL                               },
        {"a look booked late counts on its day",
         1,                                                               {{22, H + PB_AS_CLOSED, 1}, {8, PB_SWOLLEN, 1}, END},
         PB_OK,                                                                                                                                                0,
         "harvested",                                                                                                                                                           NULL                               },
        {"the others dropped, on the day of a harvest",
         3,                                                               {{21, H + PB_AS_CLOSED, 1}, {21, PB_DROPPED, 0}, END},
         PB_OK,                                                                                                                                                0,
         "harvested",                                                                                                                                                           NULL                               },
        {"or before it",
         3,                                                               {{21, H + PB_AS_CLOSED, 1}, {9, PB_LOST, 0}, END},
         PB_OK,                                                                                                                                                0,
         "harvested",                                                                                                                                                           NULL                               },
        {"of which none is left",
         1,                                                               {{21, H + PB_AS_CLOSED, 1}, {21, PB_DROPPED, 0}, END},
         PB_EINVALID,                                                                                                                                          0,
         NULL,                                                                                                                                                                  "none can be dropped"              },
        {"what was taken as split may have been found so before",
         2,                                                               {{21, H + PB_AS_SPLIT, 1}, {20, PB_SPLIT, 0}, END},
         PB_OK,                                                                                                                                                0,
         "harvested",                                                                                                                                                           NULL                               },
        {"a capsule taken as split was the one found so, not another",
         3,                                                               {{20, PB_SPLIT, 1}, {25, H + PB_AS_SPLIT, 1}, {22, PB_DROPPED, 0}, END},
         PB_OK,                                                                                                                                                0,
         "harvested",                                                                                                                                                           NULL                               },
        {"what was found split is to be taken as split",
         1,                                                               {{20, PB_SPLIT, 1}, {21, H + PB_AS_CLOSED, 0}, END},
         PB_EINVALID,                                                                                                                                          0,
         NULL,                                                                                                                                                                  "--as split"                       },
        {"of one day no more are found than are open",
         3,                                                               {{3, PB_DROPPED, 1}, {4, PB_SWOLLEN, 2}, {4, PB_UNSURE, 1}, END},
         PB_OK,                                                                                                                                                2,
         "swollen",                                                                                                                                                             NULL                               },
        {"a drop booked later does not make one of two findings",
         3,                                                               {{4, PB_SWOLLEN, 2}, {4, PB_UNSURE, 1}, {3, PB_DROPPED, 1}, END},
         PB_EINVALID,                                                                                                                                          0,
         NULL,                                                                                                                                                                  "look 2"                           },
        {"nor where it leaves some that nothing was found of",
         5,                                                               {{4, PB_UNCHANGED, 2}, {4, PB_SWOLLEN, 3}, {3, PB_DROPPED, 1}, END},
         PB_EINVALID,                                                                                                                                          0,
         NULL,                                                                                                                                                                  "found otherwise that day (look 1)"},
        {"a drop of the day itself comes after what was seen",
         3,                                                               {{4, PB_SWOLLEN, 2}, {4, PB_UNSURE, 1}, {4, PB_DROPPED, 1}, END},
         PB_OK,                                                                                                                                                2,
         "swollen",                                                                                                                                                             NULL                               },
        {"the furthest stand names the cross",
         3,                                                               {{9, PB_HOLDING, 1}, {9, PB_UNCHANGED, 1}, END},
         PB_OK,                                                                                                                                                3,
         "holding",                                                                                                                                                             NULL                               },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        size_t n = 0;
        while (rows[i].steps[n].what >= 0)
            n++;
        struct pb_life life;
        struct pb_cross x;
        struct pb_err err = {0};
        char all[800];
        enum pb_rc rc = replay(rows[i].flowers, rows[i].steps, n, &life, &x, &err);
        (void)snprintf(all, sizeof(all), "%s %s", err.where, err.text);
        CLAIM(rc == rows[i].rc, "%s: %s", rows[i].claim, all);
        CLAIM(rc != PB_OK || life.open == rows[i].open, "%s: %d open", rows[i].claim,
              life.open);
        CLAIM(rc != PB_OK || strcmp(pb_life_state(&life), rows[i].state) == 0, "%s: %s",
              rows[i].claim, pb_life_state(&life));
        CLAIM(rows[i].says == NULL || strstr(all, rows[i].says) != NULL, "%s: \"%s\"",
              rows[i].claim, all);
        pb_life_clear(&life);
        pb_cross_clear(&x);
    }
}

/* The group of one stand; fails where there is not exactly one. */
static struct pb_life_group only(const struct pb_life *life, enum pb_stand stand)
{
    const struct pb_life_group *found = NULL;
    for (size_t i = 0; i < life->group_n; i++)
        if (life->groups[i].stand == (int)stand) {
            assert_null(found);
            found = &life->groups[i];
        }
    assert_non_null(found);
    return found != NULL ? *found : (struct pb_life_group){0};
}

static void ends_take_the_longest_unseen(void **state)
{
    (void)state;
    static const struct step steps[] = {
        {10, PB_HOLDING, 3},
        {20, PB_HOLDING, 2},
        {22, PB_SPLIT,   1}
    };
    struct pb_life life;
    struct pb_cross x;
    assert_int_equal(replay(3, steps, 3, &life, &x, NULL), PB_OK);
    assert_int_equal(only(&life, PB_STAND_SPLIT).last_intact, START + 10);
    assert_int_equal(only(&life, PB_STAND_SPLIT).on[PB_STAND_SPLIT], START + 22);
    assert_int_equal(only(&life, PB_STAND_HOLDING).last_intact, START + 20);
    assert_int_equal(only(&life, PB_STAND_HOLDING).count, 2);
    pb_life_clear(&life);
    pb_cross_clear(&x);
}

static void findings_of_one_day_are_of_different_ones(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        struct step steps[3];
        int by_stand[PB_STAND_N]; /* of three flowers */
    } rows[] = {
        {"two swollen and one unsure are three",
         {{4, PB_SWOLLEN, 2}, {4, PB_UNSURE, 1}},
         {[PB_STAND_SWOLLEN] = 2, [PB_STAND_UNSURE] = 1}                            },
        {"the same finding said again is of the same ones",
         {{4, PB_SWOLLEN, 2}, {4, PB_SWOLLEN, 2}},
         {[PB_STAND_SWOLLEN] = 2, [PB_STAND_POLLINATED] = 1}                        },
        {"or of one more",
         {{4, PB_SWOLLEN, 2}, {4, PB_SWOLLEN, 3}},
         {[PB_STAND_SWOLLEN] = 3}                                                   },
        {"where all were seen that day the later word holds",
         {{4, PB_SWOLLEN, 3}, {4, PB_YELLOWING, 1}},
         {[PB_STAND_SWOLLEN] = 2, [PB_STAND_YELLOWING] = 1}                         },
        {"another day begins with the ones seen last",
         {{4, PB_SWOLLEN, 2}, {5, PB_HOLDING, 1}},
         {[PB_STAND_POLLINATED] = 1, [PB_STAND_SWOLLEN] = 1, [PB_STAND_HOLDING] = 1}},
        {"of those seen one day the least far has dropped",
         {{4, PB_SWOLLEN, 2}, {4, PB_UNSURE, 1}, {9, PB_DROPPED, 1}},
         {[PB_STAND_SWOLLEN] = 2, [PB_STAND_DROPPED] = 1}                           },
        {"and the furthest is taken",
         {{20, PB_HOLDING, 2}, {20, PB_YELLOWING, 1}, {21, H + PB_AS_CLOSED, 1}},
         {[PB_STAND_HOLDING] = 2, [PB_STAND_HARVESTED] = 1}                         },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_life life;
        struct pb_cross x;
        size_t n = rows[i].steps[2].count > 0 ? 3 : 2;
        CLAIM(replay(3, rows[i].steps, n, &life, &x, NULL) == PB_OK, "%s",
              rows[i].claim);
        CLAIM(memcmp(life.by_stand, rows[i].by_stand, sizeof(rows[i].by_stand)) == 0,
              "%s", rows[i].claim);
        pb_life_clear(&life);
        pb_cross_clear(&x);
    }
}

static void a_harvest_as_split_keeps_the_day_of_the_split(void **state)
{
    (void)state;
    static const struct step steps[] = {
        {20, PB_SPLIT,        1},
        {25, H + PB_AS_SPLIT, 2}
    };
    struct pb_life life;
    struct pb_cross x;
    assert_int_equal(replay(2, steps, 2, &life, &x, NULL), PB_OK);
    int found_split = 0, split_at_harvest = 0;
    for (size_t i = 0; i < life.group_n; i++) {
        found_split +=
            pb_group_split_on(&life.groups[i]) == START + 20 ? life.groups[i].count : 0;
        split_at_harvest +=
            pb_group_split_on(&life.groups[i]) == START + 25 ? life.groups[i].count : 0;
        assert_true(pb_group_is_capsule(&life.groups[i]));
    }
    assert_int_equal(found_split, 1);
    assert_int_equal(split_at_harvest, 1);
    pb_life_clear(&life);
    pb_cross_clear(&x);
}

static void only_ovaries_that_were_capsules_are_marked(void **state)
{
    (void)state;
    static const struct step steps[] = {
        {5, PB_UNCHANGED, 3},
        {6, PB_SWOLLEN,   1},
        {9, PB_DROPPED,   2}
    };
    struct pb_life life;
    struct pb_cross x;
    assert_int_equal(replay(3, steps, 3, &life, &x, NULL), PB_OK);
    const struct pb_life_group dropped = only(&life, PB_STAND_DROPPED);
    const struct pb_life_group swollen = only(&life, PB_STAND_SWOLLEN);
    assert_false(pb_group_is_capsule(&dropped));
    assert_true(pb_group_is_capsule(&swollen));
    pb_life_clear(&life);
    pb_cross_clear(&x);
}

/* ---- random stories against a plain model ------------------------------------------- */

struct flower {
    enum pb_stand stand;
    int intact, ended;
};

static unsigned next(unsigned *s)
{
    *s = unit_next(*s);
    return *s >> 8;
}

/* One event on the plain model: take `count` flowers one by one.  False: refused. */
static bool model_event(struct flower *f, int n, int day, int what, int count)
{
    for (int k = 0; k < count; k++) {
        int best = -1;
        for (int i = 0; i < n; i++) {
            bool open = f[i].stand < PB_STAND_SPLIT, intact = what <= PB_YELLOWING;
            bool fit =
                what == H + PB_AS_SPLIT ? open || f[i].stand == PB_STAND_SPLIT : open;
            if (what == PB_UNCHANGED && f[i].stand >= PB_STAND_SWOLLEN)
                fit = false;
            if (!fit || (f[i].ended == -2 - day))
                continue;
            if (best < 0) {
                best = i;
                continue;
            }
            bool split_first =
                (f[best].stand != PB_STAND_SPLIT) && (f[i].stand == PB_STAND_SPLIT);
            bool same_openness =
                (f[best].stand == PB_STAND_SPLIT) == (f[i].stand == PB_STAND_SPLIT);
            bool better =
                intact ? f[i].intact > f[best].intact : f[i].intact < f[best].intact;
            bool tie = f[i].intact == f[best].intact &&
                       (what == PB_DROPPED ? f[i].stand < f[best].stand
                                           : f[i].stand > f[best].stand);
            if (split_first || (same_openness && (better || tie)))
                best = i;
        }
        if (best < 0)
            return false;
        f[best].stand = what >= H ? PB_STAND_HARVESTED : (enum pb_stand)(what + 1);
        if (what <= PB_YELLOWING)
            f[best].intact = day;
        f[best].ended = -2 - day; /* taken by this event */
    }
    for (int i = 0; i < n; i++)
        if (f[i].ended < -1)
            f[i].ended = -1;
    return true;
}

static void random_stories(void **state)
{
    (void)state;
    unsigned seed = 7;
    int refused = 0;
    for (int round = 0; round < 4000; round++) {
        struct step steps[8];
        struct flower f[6];
        int n = 1 + (int)(next(&seed) % 6), day = 0;
        size_t m = next(&seed) % 8;
        bool legal = true;
        for (int i = 0; i < n; i++)
            f[i] = (struct flower){PB_STAND_POLLINATED, -1000, -1};
        for (size_t i = 0; i < m; i++) {
            day += 1 + (int)(next(&seed) % 4); /* no two on one day: order is plain */
            int what = (int)(next(&seed) % (PB_FOUND_N + 2));
            if (what >= PB_FOUND_N)
                what = H + (what == PB_FOUND_N ? PB_AS_CLOSED : PB_AS_SPLIT);
            steps[i] = (struct step){day, what, 1 + (int)(next(&seed) % 3)};
            if (legal)
                legal = model_event(f, n, day, what, steps[i].count);
        }
        struct pb_life life;
        struct pb_cross x;
        enum pb_rc rc = replay(n, steps, m, &life, &x, NULL);
        CLAIM(rc == (legal ? PB_OK : PB_EINVALID), "round %d: legal", round);
        refused += !legal;
        int by_stand[PB_STAND_N] = {0}, by_intact = 0, groups_intact = 0;
        for (int i = 0; i < n && legal; i++) {
            by_stand[f[i].stand]++;
            by_intact += f[i].intact > 0 ? f[i].intact : 0;
        }
        for (size_t i = 0; i < life.group_n; i++)
            if (life.groups[i].last_intact != PB_DAY_NONE)
                groups_intact +=
                    (life.groups[i].last_intact - START) * life.groups[i].count;
        CLAIM(!legal || memcmp(by_stand, life.by_stand, sizeof(by_stand)) == 0,
              "round %d: stands", round);
        CLAIM(!legal || by_intact == groups_intact, "round %d: last intact days",
              round);
        pb_life_clear(&life);
        pb_cross_clear(&x);
    }
    assert_in_range(refused, 500, 3500); /* both kinds of story came up */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(story_rows),
        cmocka_unit_test(ends_take_the_longest_unseen),
        cmocka_unit_test(findings_of_one_day_are_of_different_ones),
        cmocka_unit_test(a_harvest_as_split_keeps_the_day_of_the_split),
        cmocka_unit_test(only_ovaries_that_were_capsules_are_marked),
        cmocka_unit_test(random_stories),
    };
    return UNIT_MAIN("life", tests);
}
