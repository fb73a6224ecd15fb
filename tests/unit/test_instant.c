/* Instants as text: forms, edges, and known values. */
#include "unit.h"

#include "core/instant.h"

#include <string.h>

static void rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text;
        enum pb_rc rc;
        int64_t instant;
    } rows[] = {
        {"the epoch is 0",                     "1970-01-01T00:00:00Z",      PB_OK,     0             },
        {"the second before it",               "1969-12-31T23:59:59Z",      PB_OK,     -1            },
        {"a day and a time of it",             "2026-03-02T12:34:56Z",      PB_OK,     1772454896    },
        {"the first instant",                  "1583-01-01T00:00:00Z",      PB_OK,     PB_INSTANT_MIN},
        {"the last instant",                   "9999-12-31T23:59:59Z",      PB_OK,     PB_INSTANT_MAX},
        {"30 February never",                  "2026-02-30T00:00:00Z",      PB_EPARSE, 0             },
        {"29 February not in 2025",            "2025-02-29T00:00:00Z",      PB_EPARSE, 0             },
        {"the year before the first",          "1582-12-31T23:59:59Z",      PB_EPARSE, 0             },
        {"hour 24",                            "2026-03-02T24:00:00Z",      PB_EPARSE, 0             },
        {"minute 60",                          "2026-03-02T12:60:00Z",      PB_EPARSE, 0             },
        {"a leap second",                      "2016-12-31T23:59:60Z",      PB_EPARSE, 0             },
        {"no zone",                            "2026-03-02T12:00:00",       PB_EPARSE, 0             },
        {"another zone",                       "2026-03-02T12:00:00+01:00", PB_EPARSE, 0             },
        {"a fraction",                         "2026-03-02T12:00:00.0Z",    PB_EPARSE, 0             },
        {"lower case",                         "2026-03-02t12:00:00z",      PB_EPARSE, 0             },
        {"a blank for the T",                  "2026-03-02 12:00:00Z",      PB_EPARSE, 0             },
        {"a day alone",                        "2026-03-02",                PB_EPARSE, 0             },
        {"a sign in the hour",                 "2026-03-02T-1:00:00Z",      PB_EPARSE, 0             },
        {"as long as one, but something else", "aaaaaaaaaaaaaaaaaaaa",      PB_EPARSE, 0             },
        {"empty",                              "",                          PB_EPARSE, 0             },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        int64_t instant = 0;
        char text[PB_INSTANT_TEXT];
        CLAIM(pb_instant_parse("at", rows[i].text, &instant, NULL) == rows[i].rc, "%s",
              rows[i].claim);
        CLAIM(instant == rows[i].instant, "%s: got %lld (untouched on error)",
              rows[i].claim, (long long)instant);
        CLAIM(rows[i].rc != PB_OK ||
                  strcmp(pb_instant_format(instant, text), rows[i].text) == 0,
              "%s: printed again", rows[i].claim);
    }
}

/* A step that is no divisor of anything walks through all fields of both signs. */
static void printed_and_read(void **state)
{
    (void)state;
    const int64_t step = 86400LL * 97 + 12345;
    for (int64_t t = PB_INSTANT_MIN; t <= PB_INSTANT_MAX; t += step) {
        int64_t back = t + 1;
        char text[PB_INSTANT_TEXT];
        CLAIM(pb_instant_parse(NULL, pb_instant_format(t, text), &back, NULL) == PB_OK,
              "%s", text);
        CLAIM(back == t, "%s: %lld read back as %lld", text, (long long)t,
              (long long)back);
    }
}

static void held_inside(void **state)
{
    (void)state;
    char text[PB_INSTANT_TEXT];
    assert_string_equal(pb_instant_format(INT64_MAX, text), "9999-12-31T23:59:59Z");
    assert_string_equal(pb_instant_format(INT64_MIN, text), "1583-01-01T00:00:00Z");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows),
        cmocka_unit_test(printed_and_read),
        cmocka_unit_test(held_inside),
    };
    return UNIT_MAIN("instant", tests);
}
