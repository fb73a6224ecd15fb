/* Text: what is UTF-8, what must not reach a terminal, columns, strict numbers, the word
 * that was meant. */
#include "unit.h"

#include "base/limits.h"

#include <string.h>

/* The bounds of RFC 3629, section 4. */
static void bytes_are_characters_or_are_not(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *bytes;
        uint32_t cp; /* 0: they are none */
    } rows[] = {
        {"ASCII",                          "A",                0x41    },
        {"the first of two bytes",         "\xC2\x80",         0x80    },
        {"two bytes are not overlong",     "\xC1\xBF",         0       },
        {"the first of three",             "\xE0\xA0\x80",     0x800   },
        {"three are not overlong",         "\xE0\x9F\xBF",     0       },
        {"the last before the surrogates", "\xED\x9F\xBF",     0xD7FF  },
        {"a surrogate is none",            "\xED\xA0\x80",     0       },
        {"nor the last of them",           "\xED\xBF\xBF",     0       },
        {"the first behind them",          "\xEE\x80\x80",     0xE000  },
        {"the first of four",              "\xF0\x90\x80\x80", 0x10000 },
        {"four are not overlong",          "\xF0\x8F\xBF\xBF", 0       },
        {"the last there is",              "\xF4\x8F\xBF\xBF", 0x10FFFF},
        {"nothing is beyond it",           "\xF4\x90\x80\x80", 0       },
        {"no character begins so",         "\xF5\x80\x80\x80", 0       },
        {"nor in the middle",              "\x80",             0       },
        {"a tail that is none",            "\xE2\x82\x41",     0       },
        {"one that is cut short",          "\xE2\x82",         0       },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        uint32_t cp = 0;
        size_t n = strlen(rows[i].bytes), len = pb_text_decode(rows[i].bytes, n, &cp);
        CLAIM(cp == rows[i].cp, "%s: U+%04X", rows[i].claim, (unsigned)cp);
        CLAIM(len == (rows[i].cp != 0 ? n : 0), "%s: %zu bytes", rows[i].claim, len);
    }
}

static void controls_end_where_they_end(void **state)
{
    (void)state;
    static const struct {
        uint32_t first, last;
    } rows[] = {
        {0,      0x1F  },
        {0x7F,   0x9F  },
        {0x61C,  0x61C },
        {0x200E, 0x200F},
        {0x2028, 0x202E},
        {0x2066, 0x2069},
        {0xFEFF, 0xFEFF},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        CLAIM(i == 0 || !pb_text_is_control(rows[i].first - 1), "before U+%04X",
              (unsigned)rows[i].first);
        CLAIM(pb_text_is_control(rows[i].first) && pb_text_is_control(rows[i].last),
              "U+%04X", (unsigned)rows[i].first);
        CLAIM(!pb_text_is_control(rows[i].last + 1), "after U+%04X",
              (unsigned)rows[i].last);
    }
}

static void what_is_shown_is_cut_and_escaped(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text;
        size_t cols, clip;
        const char *clipped, *escaped;
    } rows[] = {
        {"what fits is whole",        "Ludisia",   7, 7, "Ludisia",    "Ludisia"    },
        {"what does not ends in …", "Ludisia",   7, 6, "Ludis…",   "Ludisia"    },
        {"nothing in no columns",     "Ludisia",   7, 0, "",           "Ludisia"    },
        {"a wide one takes two",      "\u862dab",  4, 3, "\u862d…",  "\u862dab"   },
        {"and is not cut in two",     "\u862dab",  4, 2, "…",        "\u862dab"   },
        {"a combining one none",      "e\u0301ab", 3, 2, "e\u0301…", "e\u0301ab"  },
        {"a bad byte takes one",      "a\xFFz",    3, 3, "a\xFFz",     "a\\xFFz"    },
        {"controls are written out",  "a\x1B[2J",  5, 5, "a\x1B[2J",   "a\\u{1B}[2J"},
        {"those of direction too",    "a\u202Eb",  3, 9, "a\u202Eb",   "a\\u{202E}b"},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_buf clipped, escaped;
        pb_buf_init(&clipped, 100);
        pb_buf_init(&escaped, 100);
        pb_text_clip(&clipped, rows[i].text, rows[i].clip);
        pb_text_escape(&escaped, rows[i].text);
        CLAIM(strcmp(pb_buf_peek(&clipped), rows[i].clipped) == 0, "%s: %s",
              rows[i].claim, pb_buf_peek(&clipped));
        CLAIM(strcmp(pb_buf_peek(&escaped), rows[i].escaped) == 0, "%s: %s",
              rows[i].claim, pb_buf_peek(&escaped));
        pb_buf_clear(&clipped);
        pb_buf_clear(&escaped);
    }
    assert_int_equal(pb_text_cols("\u862dab"), 4);
    assert_int_equal(pb_text_cols("a\xFFz"), 3);
}

static void whole_numbers_are_strict(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text;
        int64_t low, high;
        enum pb_rc rc;
        int64_t value;
    } rows[] = {
        {"the lowest",                "1",                    1,         9,         PB_OK,     1        },
        {"the highest",               "9",                    1,         9,         PB_OK,     9        },
        {"below it",                  "0",                    1,         9,         PB_ELIMIT, 0        },
        {"above it",                  "10",                   1,         9,         PB_ELIMIT, 0        },
        {"a sign",                    "+7",                   1,         9,         PB_OK,     7        },
        {"a negative one",            "-7",                   -9,        9,         PB_OK,     -7       },
        {"the largest there is",      "9223372036854775807",  0,         INT64_MAX, PB_OK,     INT64_MAX},
        {"one more does not wrap",    "9223372036854775808",  INT64_MIN, INT64_MAX,
         PB_ELIMIT,                                                                            0        },
        {"nor do many digits",        "99999999999999999999", INT64_MIN, INT64_MAX, PB_ELIMIT,
         0                                                                                              },
        {"a sign alone is no number", "-",                    -9,        9,         PB_EPARSE, 0        },
        {"nor is nothing",            "",                     0,         9,         PB_EPARSE, 0        },
        {"nor what a letter ends",    "7a",                   0,         9,         PB_EPARSE, 0        },
        {"nor what a blank leads",    " 7",                   0,         9,         PB_EPARSE, 0        },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        int64_t v = -1;
        CLAIM(pb_parse_int("count", rows[i].text, rows[i].low, rows[i].high, &v,
                           NULL) == rows[i].rc,
              "%s", rows[i].claim);
        CLAIM(v == (rows[i].rc == PB_OK ? rows[i].value : -1), "%s: %lld",
              rows[i].claim, (long long)v);
    }
}

static void decimals_are_strict(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text;
        enum pb_rc rc;
        double value;
    } rows[] = {
        {"below zero",                     "-0.5",              PB_OK,     -0.5            },
        {"the lowest",                     "-1",                PB_OK,     -1              },
        {"below it",                       "-1.01",             PB_ELIMIT, 0               },
        {"fifteen digits",                 "0.12345678901234",  PB_OK,     0.12345678901234},
        {"sixteen are more than it keeps", "0.123456789012345", PB_EPARSE, 0               },
        {"before the point too",           "1234567890123456",  PB_EPARSE, 0               },
        {"a point needs a digit before",   ".5",                PB_EPARSE, 0               },
        {"and nothing is no number",       "",                  PB_EPARSE, 0               },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        double v = -9;
        CLAIM(pb_parse_decimal("share", rows[i].text, -1, 1, &v, NULL) == rows[i].rc,
              "%s", rows[i].claim);
        double off = v - (rows[i].rc == PB_OK ? rows[i].value : -9);
        CLAIM(off < 1e-15 && off > -1e-15, "%s: %g", rows[i].claim, v);
    }
}

static void the_word_that_was_meant(void **state)
{
    (void)state;
    static const char *const words[] = {"share", NULL, "show", "setting", "sow"};
    static const struct {
        const char *claim, *typed, *meant; /* NULL: nothing is near */
    } rows[] = {
        {"a letter left out",          "shar",    "share"  },
        {"two swapped",                "hsow",    "show"   },
        {"in capitals",                "SHOW",    "show"   },
        {"two slips in a long word",   "setinng", "setting"},
        {"two in a short one are far", "shwa",    NULL     },
        {"a letter is near none",      "s",       NULL     },
        {"nor is another word",        "pollen",  NULL     },
    };
    char longer[80];
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        const char *meant = pb_text_nearest(rows[i].typed, words, PB_ARRAY_LEN(words));
        CLAIM(pb_text_equal(meant, rows[i].meant), "%s: %s", rows[i].claim,
              meant != NULL ? meant : "none");
    }
    memset(longer, 'a', sizeof(longer) - 1);
    longer[sizeof(longer) - 1] = '\0';
    assert_int_equal(pb_text_distance(longer, longer, 2), 0);
    assert_int_equal(pb_text_distance(longer, "a", 2), 3);
    assert_int_equal(pb_text_distance("a", longer, 2), 3);
    assert_false(pb_text_equal("a", NULL));
    assert_false(pb_text_equal(NULL, "a"));
    assert_true(pb_text_equal(NULL, NULL));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bytes_are_characters_or_are_not),
        cmocka_unit_test(controls_end_where_they_end),
        cmocka_unit_test(what_is_shown_is_cut_and_escaped),
        cmocka_unit_test(whole_numbers_are_strict),
        cmocka_unit_test(decimals_are_strict),
        cmocka_unit_test(the_word_that_was_meant),
    };
    return UNIT_MAIN("text", tests);
}
