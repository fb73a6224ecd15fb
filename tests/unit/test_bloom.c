/* Flowerings, stored pollen: what may follow what, and how long. */
#include "unit.h"

#include "core/bloom.h"

#include <string.h>

enum { NO = PB_DAY_NONE };

static const struct {
    const char *claim;
    int number; /* of the newest flowering, 0: none */
    pb_day on[PB_BLOOM_N];
    enum pb_bloom what;
    pb_day day;
    enum pb_rc rc;
    int number_after;
    pb_day on_after[PB_BLOOM_N];
} rows[] = {
    {"a spike begins the first",
     0,                                         {NO, NO, NO, NO},
     PB_BLOOM_SPIKE,                                                             10,
     PB_OK,                                                                                       1,
     {10, NO, NO, NO}                                                                                            },
    {"open flowers begin one too",
     0,                                         {NO, NO, NO, NO},
     PB_BLOOM_OPEN,                                                              10,
     PB_OK,                                                                                       1,
     {NO, 10, NO, NO}                                                                                            },
    {"open belongs to the spike",
     1,                                         {10, NO, NO, NO},
     PB_BLOOM_OPEN,                                                              20,
     PB_OK,                                                                                       1,
     {10, 20, NO, NO}                                                                                            },
    {"on the spike's own day",
     1,                                         {10, NO, NO, NO},
     PB_BLOOM_OPEN,                                                              10,
     PB_OK,                                                                                       1,
     {10, 10, NO, NO}                                                                                            },
    {"not before it",
     1,                                         {10, NO, NO, NO},
     PB_BLOOM_OPEN,                                                              9,
     PB_EINVALID,                                                                                 0,
     {0, 0, 0, 0}                                                                                                },
    {"not twice",                            1, {10, 20, NO, NO}, PB_BLOOM_OPEN, 21, PB_EINVALID, 0, {0, 0, 0, 0}},
    {"over ends it",
     1,                                         {10, 20, NO, NO},
     PB_BLOOM_OVER,                                                              30,
     PB_OK,                                                                                       1,
     {10, 20, 30, NO}                                                                                            },
    {"not before it opened",
     1,                                         {10, 20, NO, NO},
     PB_BLOOM_OVER,                                                              19,
     PB_EINVALID,                                                                                 0,
     {0, 0, 0, 0}                                                                                                },
    {"flowers after the end are new",
     1,                                         {10, 20, 30, NO},
     PB_BLOOM_OPEN,                                                              31,
     PB_OK,                                                                                       2,
     {NO, 31, NO, NO}                                                                                            },
    {"but not before the end",
     1,                                         {10, 20, 30, NO},
     PB_BLOOM_OPEN,                                                              29,
     PB_EINVALID,                                                                                 0,
     {0, 0, 0, 0}                                                                                                },
    {"a spike is new while another flowers",
     1,                                         {10, 20, NO, NO},
     PB_BLOOM_SPIKE,                                                             25,
     PB_OK,                                                                                       2,
     {25, NO, NO, NO}                                                                                            },
    {"the same spike twice is none",
     1,                                         {10, NO, NO, NO},
     PB_BLOOM_SPIKE,                                                             10,
     PB_EINVALID,                                                                                 0,
     {0, 0, 0, 0}                                                                                                },
    {"a shoot dies back in flower",
     1,                                         {10, 20, NO, NO},
     PB_BLOOM_DYING,                                                             25,
     PB_OK,                                                                                       1,
     {10, 20, NO, 25}                                                                                            },
    {"and the flowers end later",
     1,                                         {10, 20, NO, 25},
     PB_BLOOM_OVER,                                                              28,
     PB_OK,                                                                                       1,
     {10, 20, 28, 25}                                                                                            },
    {"or died back after the end",
     1,                                         {10, 20, 30, NO},
     PB_BLOOM_DYING,                                                             29,
     PB_OK,                                                                                       1,
     {10, 20, 30, 29}                                                                                            },
    {"a spike found too late is no new one",
     1,                                         {10, 20, NO, NO},
     PB_BLOOM_SPIKE,                                                             15,
     PB_EINVALID,                                                                                 0,
     {0, 0, 0, 0}                                                                                                },
};

static void flowering_follows(void **state)
{
    (void)state;
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_flowering f, before;
        pb_flowering_init(&f);
        f.n = rows[i].number;
        f.number = rows[i].number;
        f.plant = 7;
        memcpy(f.on, rows[i].on, sizeof(f.on));
        before = f;
        enum pb_rc rc = pb_flowering_enter(&f, rows[i].what, rows[i].day, NULL);
        if (rc != rows[i].rc)
            fail_msg("%s: %s", rows[i].claim, pb_rc_name(rc));
        bool same = rc != PB_OK
                        ? memcmp(&f, &before, sizeof(f)) == 0
                        : f.number == rows[i].number_after && f.plant == 7 &&
                              memcmp(f.on, rows[i].on_after, sizeof(f.on)) == 0 &&
                              (f.n == 0) == (f.number != before.number);
        if (!same)
            fail_msg("%s", rows[i].claim);
    }
}

static void open_between_open_and_over(void **state)
{
    (void)state;
    struct pb_flowering f;
    pb_flowering_init(&f);
    assert_false(pb_flowering_is_open(&f, 10));
    assert_int_equal(pb_flowering_last(&f), PB_BLOOM_N);
    f.on[PB_BLOOM_OPEN] = 10;
    assert_false(pb_flowering_is_open(&f, 9));
    assert_true(pb_flowering_is_open(&f, 10));
    f.on[PB_BLOOM_OVER] = 12;
    assert_true(pb_flowering_is_open(&f, 11));
    assert_false(pb_flowering_is_open(&f, 12));
    assert_int_equal(pb_flowering_last(&f), PB_BLOOM_OVER);
}

static void pollen_keeps_longer_dry_and_cold(void **state)
{
    (void)state;
    assert_int_equal(pb_pollen_good_days(PB_KEPT_NOT_SAID, true),
                     pb_pollen_good_days(PB_KEPT_ROOM, true));
    assert_true(pb_pollen_good_days(PB_KEPT_FRIDGE, false) >
                pb_pollen_good_days(PB_KEPT_ROOM, false));
    assert_true(pb_pollen_good_days(PB_KEPT_FRIDGE, true) >
                pb_pollen_good_days(PB_KEPT_FRIDGE, false));
    assert_int_equal(pb_pollen_good_days(PB_KEPT_FREEZER, false), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(flowering_follows),
        cmocka_unit_test(open_between_open_and_over),
        cmocka_unit_test(pollen_keeps_longer_dry_and_cold),
    };
    return UNIT_MAIN("bloom", tests);
}
