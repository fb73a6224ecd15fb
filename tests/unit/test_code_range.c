/* Ranges of podbook's own codes. */
#include "unit.h"

#include "core/record.h"

#include <string.h>

static void range_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text;
        enum pb_rc rc;
        bool is_range;
        int64_t n;
        const char *first, *last;
    } rows[] = {
        {"a code is one record",    "X26-003",                           PB_OK,     false, 1,    "X26-003", "X26-003" },
        {"of whatever form",        "LD..2",                             PB_OK,     false, 1,    "LD..2",   "LD..2"   },
        {"a last number",           "F26-001..004",                      PB_OK,     true,  4,    "F26-001", "F26-004" },
        {"a last code",             "F26-001..F26-004",                  PB_OK,     true,  4,    "F26-001", "F26-004" },
        {"in any case",             "f26-001..F26-002",                  PB_OK,     true,  2,    "F26-001", "F26-002" },
        {"without leading zeros",   "F26-9..11",                         PB_OK,     true,  3,    "F26-009", "F26-011" },
        {"past three digits",       "F26-998..1001",                     PB_OK,     true,  4,    "F26-998", "F26-1001"},
        {"of one",                  "F26-007..007",                      PB_OK,     true,  1,    "F26-007", "F26-007" },
        {"a thousand at once",      "F26-001..1000",                     PB_OK,     true,  1000, "F26-001",
         "F26-1000"                                                                                                   },
        {"and no more",             "F26-001..1001",                     PB_ELIMIT, false, 0,    NULL,      NULL      },
        {"numbers without end",     "F26-001..999999999999999999999999", PB_EPARSE, false,
         0,                                                                                      NULL,      NULL      },
        {"not backwards",           "F26-004..001",                      PB_EPARSE, false, 0,    NULL,      NULL      },
        {"of one kind",             "F26-001..S26-004",                  PB_EPARSE, false, 0,    NULL,      NULL      },
        {"of one year",             "F26-001..F27-004",                  PB_EPARSE, false, 0,    NULL,      NULL      },
        {"a look is no record",     "F26-001..F26-004/2",                PB_EPARSE, false, 0,    NULL,      NULL      },
        {"nothing behind the dots", "F26-001..",                         PB_EPARSE, false, 0,    NULL,      NULL      },
        {"nor a number below zero", "F26-001..-4",                       PB_EPARSE, false, 0,    NULL,      NULL      },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_code_range r = {.n = -1};
        char code[PB_MAX_CODE + 1];
        CLAIM(pb_code_range_parse("CODE", rows[i].text, &r, NULL) == rows[i].rc, "%s",
              rows[i].claim);
        if (rows[i].rc != PB_OK) {
            CLAIM(r.n == -1, "%s", rows[i].claim); /* untouched */
            continue;
        }
        CLAIM(r.is_range == rows[i].is_range, "%s", rows[i].claim);
        CLAIM(r.n == rows[i].n, "%s", rows[i].claim);
        CLAIM(strcmp(pb_code_range_at(&r, 0, code), rows[i].first) == 0, "%s",
              rows[i].claim);
        CLAIM(strcmp(pb_code_range_at(&r, r.n - 1, code), rows[i].last) == 0, "%s",
              rows[i].claim);
    }
}

/* What reads as a range is no plant's code. */
static void a_range_is_no_plant(void **state)
{
    (void)state;
    assert_int_equal(pb_code_check("code", "F26-001..004", NULL), PB_EPARSE);
    assert_int_equal(pb_code_check("code", "F26-001..x", NULL), PB_EPARSE);
    assert_int_equal(pb_code_check("code", "LD..2", NULL), PB_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(range_rows),
        cmocka_unit_test(a_range_is_no_plant),
    };
    return UNIT_MAIN("code_range", tests);
}
