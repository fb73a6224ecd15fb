/* From looks to intervals: each rule a row, and counts shared out over capsules. */
#include "unit.h"

#include "core/intervals.h"

#include <stdlib.h>
#include <string.h>

enum { START = 20000, H = 100, NEVER = PB_RIPENING_NEVER, NOTHING = -9 };

struct step {
    int day, what, count; /* what: enum pb_found, or H + enum pb_as */
};

#define END      \
    {            \
        0, -1, 0 \
    }

static void list_of(int flowers, const struct step *steps, struct pb_intervals *list)
{
    struct pb_cross x;
    struct pb_life life = {0};
    pb_cross_init(&x);
    x.pollinated = START;
    x.flowers = flowers;
    x.looks = calloc(8, sizeof(*x.looks));
    x.harvests = calloc(8, sizeof(*x.harvests));
    for (; steps->what >= 0; steps++) {
        if (steps->what >= H) {
            struct pb_harvest *h = &x.harvests[x.harvest_n++];
            h->number = (int)x.harvest_n;
            h->on = START + steps->day;
            h->as = (enum pb_as)(steps->what - H);
            h->count = steps->count;
        } else {
            struct pb_look *l = &x.looks[x.look_n++];
            l->number = (int)x.look_n;
            l->on = START + steps->day;
            l->found = (int)steps->what;
            l->count = steps->count;
        }
    }
    assert_int_equal(pb_cross_replay(&x, &life, NULL), PB_OK);
    assert_int_equal(pb_life_intervals(&life, START, 5, list, NULL), PB_OK);
    pb_life_clear(&life);
    pb_cross_clear(&x);
}

static void one_capsule_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        struct step steps[4];
        int after, by; /* after NOTHING: no interval */
    } rows[] = {
        {"intact, then split",                             {{20, PB_HOLDING, 1}, {23, PB_SPLIT, 1}, END}, 20,      23   },
        {"split without a look before",                    {{23, PB_SPLIT, 1}, END},                      0,       23   },
        {"intact and split on one day",
         {{23, PB_HOLDING, 1}, {23, PB_SPLIT, 1}, END},
         22,                                                                                                       23   },
        {"split on the day of the pollination",            {{0, PB_SPLIT, 1}, END},                       0,       1    },
        {"still hanging",                                  {{20, PB_HOLDING, 1}, END},                    20,      NEVER},
        {"taken closed",
         {{12, PB_SWOLLEN, 1}, {22, H + PB_AS_CLOSED, 1}, END},
         22,                                                                                                       NEVER},
        {"taken yellowing",                                {{22, H + PB_AS_YELLOWING, 1}, END},           22,      NEVER},
        {"taken about to split",                           {{22, H + PB_AS_ABOUT_TO_SPLIT, 1}, END},      22,      24   },
        {"taken split, intact before",
         {{20, PB_HOLDING, 1}, {24, H + PB_AS_SPLIT, 1}, END},
         20,                                                                                                       24   },
        {"found split, taken later: the day it was found",
         {{20, PB_HOLDING, 1}, {23, PB_SPLIT, 1}, {29, H + PB_AS_SPLIT, 1}, END},
         20,                                                                                                       23   },
        {"dropped after it had swollen",
         {{8, PB_SWOLLEN, 1}, {15, PB_DROPPED, 1}, END},
         8,                                                                                                        NEVER},
        {"lost after it had held",
         {{18, PB_HOLDING, 1}, {20, PB_LOST, 1}, END},
         18,                                                                                                       NEVER},
        {"never a capsule",
         {{8, PB_UNCHANGED, 1}, {15, PB_DROPPED, 1}, END},
         NOTHING,                                                                                                  0    },
        {"unsure is no capsule",                           {{8, PB_UNSURE, 1}, END},                      NOTHING, 0    },
        {"no look at all",                                 {END},                                         NOTHING, 0    },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_intervals list = {NULL, 0, 0};
        list_of(1, rows[i].steps, &list);
        CLAIM(list.n == (rows[i].after != NOTHING), "%s: %d intervals", rows[i].claim,
              (int)list.n);
        CLAIM(list.n == 0 ||
                  (list.v[0].after == rows[i].after && list.v[0].by == rows[i].by &&
                   list.v[0].count == 1 && list.v[0].clone == 5),
              "%s: (%d, %d]", rows[i].claim, list.n ? (int)list.v[0].after : 0,
              list.n ? (int)list.v[0].by : 0);
        free(list.v);
    }
}

/* Four capsules: all hold on day 18, three on day 20, one is found split on day 21 - the
 * one that was not seen on day 20 - and two are taken closed on day 22. */
static void counts_are_shared_out(void **state)
{
    (void)state;
    static const struct step steps[] = {
        {18, PB_HOLDING,       4},
        {20, PB_HOLDING,       3},
        {21, PB_SPLIT,         1},
        {22, H + PB_AS_CLOSED, 2},
        END
    };
    struct pb_intervals list = {NULL, 0, 0};
    list_of(4, steps, &list);
    assert_int_equal(list.n, 3);
    int split = 0, taken = 0, hanging = 0;
    for (size_t i = 0; i < list.n; i++) {
        const struct pb_ripening_obs *o = &list.v[i];
        split += o->after == 18 && o->by == 21 ? (int)o->count : 0;
        taken += o->after == 22 && o->by == NEVER ? (int)o->count : 0;
        hanging += o->after == 20 && o->by == NEVER ? (int)o->count : 0;
    }
    assert_int_equal(split, 1);
    assert_int_equal(taken, 2);
    assert_int_equal(hanging, 1);
    free(list.v);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_capsule_rows),
        cmocka_unit_test(counts_are_shared_out),
    };
    return UNIT_MAIN("intervals", tests);
}
