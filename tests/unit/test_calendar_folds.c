/* How the lines of a calendar are folded: RFC 5545, 3.1. */
#include "unit.h"

#include "base/limits.h"
#include "exchange/calendar.h"

#include <stdlib.h>
#include <string.h>

/* A file of one reminder with that summary; yours. */
static char *written(struct pb_calendar *cal, const char *summary)
{
    const struct pb_reminder r = {
        .uid = "01902d4e-7a10-5cc1-9b6e-3f0c5a7b8d2a",
        .summary = summary,
        .span = {20539, 20543},
        .status = PB_REMINDER_PLANNED,
        .done_on = PB_DAY_NONE,
    };
    struct pb_err err = {0};
    struct pb_buf out;
    char *text = NULL;
    pb_buf_init(&out, 64 * (size_t)PB_CALENDAR_CHUNK);
    enum pb_rc rc = pb_calendar_begin(cal, PB_CALENDAR_EVENTS, &out, &err);
    if (rc == PB_OK)
        rc = pb_calendar_add(cal, &r, &out, &err);
    if (rc == PB_OK)
        rc = pb_calendar_end(cal, &out, &err);
    if (rc == PB_OK)
        rc = pb_buf_take(&out, &text, &err);
    pb_buf_clear(&out);
    CLAIM(rc == PB_OK, "%s: %s %s", pb_rc_name(rc), err.where, err.text);
    return text;
}

#define BLANKS_36 "                                    "

/* What fold_at promises, on texts that have no good place to break. */
static void folds(void **state)
{
    struct pb_calendar *cal = NULL;
    (void)state;
    assert_int_equal(pb_calendar_open(&cal, NULL), PB_OK);
    static const struct {
        const char *claim, *unit;
        size_t times;
        bool blank_ends; /* a line may have to end in a blank */
    } rows[] = {
        {"one long word",                    "x",                               900, false},
        {"words",                            "leaf ",                           300, false},
        {"two-octet characters",             "×",                              500, false},
        {"three-octet characters",           "兰",                             400, false},
        {"four-octet characters",            "🌸",                            300, false},
        {"a letter and combining marks",     "e\xCC\x81\xCC\xA3",               300, false},
        {"escapes",                          ";,",                              400, false},
        {"backslashes only",                 "\\",                              400, false},
        {"places the library likes",         "a;b:c \"d\" ^e ",                 100, false},
        {"more blanks than a line can take", "a" BLANKS_36 BLANKS_36 BLANKS_36, 20,
         true                                                                             },
        {"and characters among them",        "🌸" BLANKS_36 BLANKS_36,        40,  true },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_buf unit;
        pb_buf_init(&unit, PB_MAX_TEXT);
        for (size_t k = 0; k < rows[i].times; k++)
            pb_buf_adds(&unit, rows[i].unit);
        pb_buf_addc(&unit, '.');
        char *text = written(cal, pb_buf_peek(&unit));
        for (char *p = text, *end; *p != '\0'; p = end + 2) {
            uint32_t cp = 0;
            end = strstr(p, "\r\n");
            CLAIM(end != NULL, "%s: every line ends in CR LF", rows[i].claim);
            size_t n = (size_t)(end - p);
            CLAIM(n > 0 && n <= 75, "%s: a line of %zu octets", rows[i].claim, n);
            CLAIM(rows[i].blank_ends || end[-1] != ' ', "%s: a line ends in a blank",
                  rows[i].claim);
            for (size_t at = 0, step; at < n; at += step) {
                step = pb_text_decode(p + at, n - at, &cp);
                CLAIM(step > 0 && cp >= ' ', "%s: a cut character", rows[i].claim);
            }
        }
        free(text);
        pb_buf_clear(&unit);
    }
    pb_calendar_close(cal);
}

/* The summary's line without its folds, as it stands in the file. */
static void unfolded(const char *text, struct pb_buf *out)
{
    const char *p = strstr(text, "\r\nSUMMARY:");
    assert_non_null(p);
    pb_buf_reset(out);
    for (p += 2; *p != '\0'; p++) {
        if (strncmp(p, "\r\n ", 3) == 0) {
            p += 2;
            continue;
        }
        if (strncmp(p, "\r\n", 2) == 0)
            break;
        pb_buf_addc(out, *p);
    }
    CLAIM(strncmp(p, "\r\nEND:VEVENT\r\n", 14) == 0, "%s", text);
}

/* The library folds a line without a good place anywhere, within its end too.  What is within
 * the line stays the same wherever that falls. */
static void folds_at_every_length(void **state)
{
    enum { LONGEST = 160 };
    struct pb_calendar *cal = NULL;
    struct pb_buf summary, wanted, got;
    (void)state;
    assert_int_equal(pb_calendar_open(&cal, NULL), PB_OK);
    pb_buf_init(&summary, PB_MAX_TEXT);
    pb_buf_init(&wanted, PB_MAX_TEXT);
    pb_buf_init(&got, PB_MAX_TEXT);
    for (int before = 0; before < LONGEST; before++)
        for (int behind = 0; before + behind < LONGEST; behind++) {
            pb_buf_reset(&summary);
            pb_buf_reset(&wanted);
            pb_buf_adds(&wanted, "SUMMARY:");
            for (int i = 0; i <= before + behind; i++) {
                pb_buf_addc(&summary, i == before ? 'x' : '\\');
                pb_buf_adds(&wanted, i == before ? "x" : "\\\\");
            }
            char *text = written(cal, pb_buf_peek(&summary));
            unfolded(text, &got);
            CLAIM(strcmp(pb_buf_peek(&got), pb_buf_peek(&wanted)) == 0,
                  "%d backslashes, x, %d: %s", before, behind, pb_buf_peek(&got));
            free(text);
        }
    pb_buf_clear(&got);
    pb_buf_clear(&wanted);
    pb_buf_clear(&summary);
    pb_calendar_close(cal);
}

int main(void)
{
    static const struct CMUnitTest tests[] = {
        cmocka_unit_test(folds),
        cmocka_unit_test(folds_at_every_length),
    };
    return UNIT_MAIN("calendar_folds", tests);
}
