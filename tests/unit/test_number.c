/* Numbers in messages: one form, whatever the locale of the program. */
#include "unit.h"

#include <string.h>

static void number_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        double value;
        const char *text;
    } rows[] = {
        {"a point, never a comma",            0.867,         "0.867"        },
        {"a whole number has no point",       3650,          "3650"         },
        {"zero",                              0,             "0"            },
        {"below zero",                        -2.5,          "-2.5"         },
        {"a large one has its exponent",      1.5e300,       "1.5e+300"     },
        {"a small one too",                   -1.25e-9,      "-1.25e-09"    },
        {"six digits and no more",            2.0 / 3,       "0.666667"     },
        {"the longest form fits, and points", -1.23456e-308, "-1.23456e-308"},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        char text[PB_NUMBER_TEXT];
        CLAIM(strcmp(pb_text_number(rows[i].value, text), rows[i].text) == 0,
              "%s: got %s", rows[i].claim, text);
    }
}

static void decimal_range(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text;
        enum pb_rc rc;
        const char *says;
    } rows[] = {
        {"over the range",         "1.5",  PB_ELIMIT,
         "expected a number from 0.125 to 0.5, got 1.5"     },
        {"a comma is not a point", "0,3",  PB_EPARSE,
         "expected a number from 0.125 to 0.5, got \"0,3\"" },
        {"a point is",             "0.3",  PB_OK,     ""    },
        {"no digit after it",      "0.",   PB_EPARSE,
         "expected a number from 0.125 to 0.5, got \"0.\""  },
        {"an exponent is refused", "3e-1", PB_EPARSE,
         "expected a number from 0.125 to 0.5, got \"3e-1\""},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_err err = {0};
        double v = -1;
        CLAIM(pb_parse_decimal("risk", rows[i].text, 0.125, 0.5, &v, &err) ==
                  rows[i].rc,
              "%s", rows[i].claim);
        CLAIM(strcmp(err.text, rows[i].says) == 0, "%s: says %s", rows[i].claim,
              err.text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(number_rows),
        cmocka_unit_test(decimal_range),
    };
    return UNIT_MAIN("number", tests);
}
