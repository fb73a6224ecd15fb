/* Civil days: forms, edges, and known dates. */
#include "unit.h"

#include "core/civil.h"

#include <string.h>

static void iso_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text;
        enum pb_rc rc;
        pb_day day;
    } rows[] = {
        {"the epoch is day 0",           "1970-01-01",  PB_OK,     0         },
        {"leap day exists in 2024",      "2024-02-29",  PB_OK,     19782     },
        {"and does not in 2025",         "2025-02-29",  PB_EPARSE, 0         },
        {"nor in 1900",                  "1900-02-29",  PB_EPARSE, 0         },
        {"but in 2000",                  "2000-02-29",  PB_OK,     11016     },
        {"30 February never",            "2024-02-30",  PB_EPARSE, 0         },
        {"month 13 is refused",          "2024-13-01",  PB_EPARSE, 0         },
        {"month 0 is refused",           "2024-00-10",  PB_EPARSE, 0         },
        {"31 April is refused",          "2024-04-31",  PB_EPARSE, 0         },
        {"one-digit fields are refused", "2024-2-9",    PB_EPARSE, 0         },
        {"trailing text is refused",     "2024-02-09x", PB_EPARSE, 0         },
        {"the first supported day",      "1583-01-01",  PB_OK,     PB_DAY_MIN},
        {"the year before is refused",   "1582-12-31",  PB_EPARSE, 0         },
        {"the last supported day",       "9999-12-31",  PB_OK,     PB_DAY_MAX},
        {"signs are refused",            "+024-02-09",  PB_EPARSE, 0         },
        {"empty is refused",             "",            PB_EPARSE, 0         },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        pb_day d = PB_DAY_NONE;
        char text[PB_DAY_TEXT];
        CLAIM(pb_day_parse_iso("on", rows[i].text, &d, NULL) == rows[i].rc, "%s",
              rows[i].claim);
        CLAIM(rows[i].rc != PB_OK || d == rows[i].day, "%s: day %d", rows[i].claim,
              (int)d);
        CLAIM(rows[i].rc != PB_OK || strcmp(pb_day_format(d, text), rows[i].text) == 0,
              "%s: printed again", rows[i].claim);
    }
}

static void typed_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text;
        enum pb_rc rc;
        pb_day day;
    } rows[] = {
        {"today",                           "today",      PB_OK,     20000},
        {"yesterday",                       "yesterday",  PB_OK,     19999},
        {"tomorrow",                        "tomorrow",   PB_OK,     20001},
        {"days back",                       "-3d",        PB_OK,     19997},
        {"weeks on",                        "+2w",        PB_OK,     20014},
        {"zero days",                       "+0d",        PB_OK,     20000},
        {"a unit is needed",                "-3",         PB_EPARSE, 0    },
        {"months are not a unit",           "+1m",        PB_EPARSE, 0    },
        {"a number is needed",              "+d",         PB_EPARSE, 0    },
        {"two signs",                       "--3d",       PB_EPARSE, 0    },
        {"further than the calendar",       "+999999w",   PB_EPARSE, 0    },
        {"more digits than any distance",   "+1234567d",  PB_EPARSE, 0    },
        {"30 February is refused here too", "2026-02-30", PB_EPARSE, 0    },
        {"words of other programs",         "tmrw",       PB_EPARSE, 0    },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        pb_day d = 0;
        CLAIM(pb_day_parse("--on", rows[i].text, 20000, &d, NULL) == rows[i].rc, "%s",
              rows[i].claim);
        CLAIM(d == rows[i].day, "%s: got %d (untouched on error)", rows[i].claim,
              (int)d);
    }
}

/* Every day of the supported years, against a plain count with the month table. */
static void counted(void **state)
{
    (void)state;
    static const int length[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    pb_day d = PB_DAY_MIN;
    for (int y = 1583; y <= 9999; y++)
        for (int m = 1; m <= 12; m++) {
            bool leap = (y % 4 == 0 && y % 100 != 0) || y % 400 == 0;
            for (int k = 1; k <= length[m - 1] + (m == 2 && leap); k++, d++) {
                int yy = 0, mm = 0, kk = 0;
                pb_day_to_ymd(d, &yy, &mm, &kk);
                if (pb_day_from_ymd(y, m, k) != d || yy != y || mm != m || kk != k)
                    fail_msg("%d-%d-%d", y, m, k);
            }
        }
    assert_int_equal(d - 1, PB_DAY_MAX);
}

static void weekdays(void **state)
{
    (void)state;
    assert_string_equal(pb_day_weekday_name(0), "Thu");
    assert_string_equal(pb_day_weekday_name(pb_day_from_ymd(2000, 1, 1)), "Sat");
    assert_string_equal(pb_day_weekday_name(PB_DAY_MIN), "Sat");
    assert_string_equal(pb_day_weekday_name(PB_DAY_MAX), "Fri");
}

static void held_inside(void **state)
{
    (void)state;
    assert_int_equal(pb_day_add(PB_DAY_MAX, 5), PB_DAY_MAX);
    assert_int_equal(pb_day_add(PB_DAY_MIN, -5), PB_DAY_MIN);
    assert_int_equal(pb_day_add(PB_DAY_NONE, 5), PB_DAY_NONE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(iso_rows),    cmocka_unit_test(typed_rows),
        cmocka_unit_test(counted),     cmocka_unit_test(weekdays),
        cmocka_unit_test(held_inside),
    };
    return UNIT_MAIN("civil", tests);
}
