/* The iCalendar writer: exact text, order, alarms, a library that is missing. */
#include "unit.h"

#include "base/limits.h"
#include "exchange/calendar.h"
#include "exchange/ical_calls.h"

#include <locale.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define UID_A "01902d4e-7a10-5cc1-9b6e-3f0c5a7b8d2a"
#define UID_B "01902d4e-7a10-5cc1-9b6e-3f0c5a7b8d2b"

static struct pb_reminder sample(void)
{
    return (struct pb_reminder){
        .uid = UID_A,
        .summary = "Harvest: X26-001 Goodyera hispida × Anoectochilus roxburghii",
        .description = "Take the capsule closed; common practice, no source\n"
                       "Judge the capsule, not the date",
        .category = "harvest",
        .span = {20539, 20543}, /* 2026-03-27 .. 2026-03-31 */
        .status = PB_REMINDER_PLANNED,
        .done_on = PB_DAY_NONE,
        .guess = true,
        .alarm_first = true,
        .alarm_last = true,
        .created = 1772755200, /* 2026-03-06 00:00:00 UTC */
        .stamp = 1772841599, /* 2026-03-06 23:59:59 UTC */
        .sequence = 2,
    };
}

/* A file of n reminders as text; yours. */
static char *written(enum pb_calendar_form form, const struct pb_reminder *r, size_t n)
{
    struct pb_calendar *cal = NULL;
    struct pb_err err = {0};
    struct pb_buf out;
    char *text = NULL;
    pb_buf_init(&out, 64 * (size_t)PB_CALENDAR_CHUNK);
    enum pb_rc rc = pb_calendar_open(&cal, &err);
    if (rc == PB_OK)
        rc = pb_calendar_begin(cal, form, &out, &err);
    for (size_t i = 0; rc == PB_OK && i < n; i++)
        rc = pb_calendar_add(cal, &r[i], &out, &err);
    if (rc == PB_OK)
        rc = pb_calendar_end(cal, &out, &err);
    if (rc == PB_OK)
        rc = pb_buf_take(&out, &text, &err);
    pb_calendar_close(cal);
    pb_buf_clear(&out);
    CLAIM(rc == PB_OK, "%s: %s %s", pb_rc_name(rc), err.where, err.text);
    return text;
}

static void has(const char *text, const char *claim, const char *part, int times)
{
    int found = 0;
    for (const char *p = text; (p = strstr(p, part)) != NULL; p++)
        found++;
    CLAIM(found == times, "%s: \"%s\" %d times in\n%s", claim, part, found, text);
}

#define HEAD                             \
    "BEGIN:VCALENDAR\r\n"                \
    "VERSION:2.0\r\n"                    \
    "PRODID:-//podbook//podbook//EN\r\n" \
    "CALSCALE:GREGORIAN\r\n"             \
    "NAME:podbook\r\n"

static void event_text(void **state)
{
    (void)state;
    static const char want[] = HEAD
        "BEGIN:VEVENT\r\n"
        "UID:" UID_A "\r\n"
        "DTSTAMP:20260306T235959Z\r\n"
        "LAST-MODIFIED:20260306T235959Z\r\n"
        "CREATED:20260306T000000Z\r\n"
        "SEQUENCE:2\r\n"
        "DTSTART;VALUE=DATE:20260327\r\n"
        "DTEND;VALUE=DATE:20260401\r\n"
        "STATUS:TENTATIVE\r\n"
        "TRANSP:TRANSPARENT\r\n"
        "SUMMARY:Harvest: X26-001 Goodyera hispida × Anoectochilus roxburghii\r\n"
        "DESCRIPTION:Take the capsule closed\\; common practice\\, no "
        "source\\nJudge th\r\n"
        " e capsule\\, not the date\r\n"
        "CATEGORIES:harvest\r\n"
        "BEGIN:VALARM\r\n"
        "TRIGGER:PT9H\r\n"
        "ACTION:DISPLAY\r\n"
        "DESCRIPTION:Harvest: X26-001 Goodyera hispida × Anoectochilus roxburghii\r\n"
        "END:VALARM\r\n"
        "BEGIN:VALARM\r\n"
        "TRIGGER:P4DT9H\r\n"
        "ACTION:DISPLAY\r\n"
        "DESCRIPTION:Harvest: X26-001 Goodyera hispida × Anoectochilus roxburghii\r\n"
        "END:VALARM\r\n"
        "END:VEVENT\r\n"
        "END:VCALENDAR\r\n";
    struct pb_reminder r = sample();
    char *text = written(PB_CALENDAR_EVENTS, &r, 1);
    assert_string_equal(text, want);
    free(text);
}

static void to_do_text(void **state)
{
    (void)state;
    static const char want[] = HEAD "BEGIN:VTODO\r\n"
                                    "UID:" UID_A "\r\n"
                                    "DTSTAMP:20260306T235959Z\r\n"
                                    "LAST-MODIFIED:20260306T235959Z\r\n"
                                    "CREATED:20260306T000000Z\r\n"
                                    "SEQUENCE:2\r\n"
                                    "DTSTART;VALUE=DATE:20260327\r\n"
                                    "DUE;VALUE=DATE:20260331\r\n"
                                    "STATUS:NEEDS-ACTION\r\n"
                                    "SUMMARY:Look: X26-001\r\n"
                                    "BEGIN:VALARM\r\n"
                                    "TRIGGER:PT9H\r\n"
                                    "ACTION:DISPLAY\r\n"
                                    "DESCRIPTION:Look: X26-001\r\n"
                                    "END:VALARM\r\n"
                                    "BEGIN:VALARM\r\n"
                                    "TRIGGER;RELATED=END:PT9H\r\n"
                                    "ACTION:DISPLAY\r\n"
                                    "DESCRIPTION:Look: X26-001\r\n"
                                    "END:VALARM\r\n"
                                    "END:VTODO\r\n"
                                    "BEGIN:VTODO\r\n"
                                    "UID:" UID_B "\r\n"
                                    "DTSTAMP:20260306T235959Z\r\n"
                                    "LAST-MODIFIED:20260306T235959Z\r\n"
                                    "CREATED:20260306T000000Z\r\n"
                                    "SEQUENCE:2\r\n"
                                    "DUE;VALUE=DATE:20260327\r\n"
                                    "STATUS:COMPLETED\r\n"
                                    "COMPLETED:20260328T120000Z\r\n"
                                    "PERCENT-COMPLETE:100\r\n"
                                    "SUMMARY:Look: X26-001\r\n"
                                    "END:VTODO\r\n"
                                    "END:VCALENDAR\r\n";
    struct pb_reminder r[2];
    r[0] = sample();
    r[0].summary = "Look: X26-001";
    r[0].description = r[0].category = NULL;
    r[1] = r[0];
    memcpy(r[1].uid, UID_B, sizeof(r[1].uid));
    r[1].span.last = r[1].span.first;
    r[1].status = PB_REMINDER_DONE;
    r[1].done_on = r[1].span.first + 1;
    char *text = written(PB_CALENDAR_TO_DOS, r, 2);
    assert_string_equal(text, want);
    free(text);
}

static void status_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        enum pb_calendar_form form;
        enum pb_reminder_status status;
        bool guess;
        const char *status_line, *summary_line;
        int alarms;
    } rows[] = {
        {"a firm event",          PB_CALENDAR_EVENTS, PB_REMINDER_PLANNED,   false,
         "STATUS:CONFIRMED",    "\nSUMMARY:Look\r",            2},
        {"an event on a guess",   PB_CALENDAR_EVENTS, PB_REMINDER_PLANNED,   true,
         "STATUS:TENTATIVE",    "\nSUMMARY:Look\r",            2},
        {"an event that is done", PB_CALENDAR_EVENTS, PB_REMINDER_DONE,      true,
         "STATUS:CONFIRMED",    "\nSUMMARY:Done: Look\r",      0},
        {"a withdrawn event",     PB_CALENDAR_EVENTS, PB_REMINDER_WITHDRAWN, true,
         "STATUS:CANCELLED",    "\nSUMMARY:Withdrawn: Look\r", 0},
        {"a to-do",               PB_CALENDAR_TO_DOS, PB_REMINDER_PLANNED,   true,
         "STATUS:NEEDS-ACTION", "\nSUMMARY:Look\r",            2},
        {"a to-do that is done",  PB_CALENDAR_TO_DOS, PB_REMINDER_DONE,      false,
         "STATUS:COMPLETED",    "\nSUMMARY:Look\r",            0},
        {"a withdrawn to-do",     PB_CALENDAR_TO_DOS, PB_REMINDER_WITHDRAWN, false,
         "STATUS:CANCELLED",    "\nSUMMARY:Withdrawn: Look\r", 0},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_reminder r = sample();
        r.summary = "Look";
        r.status = rows[i].status;
        r.guess = rows[i].guess;
        r.done_on = r.status == PB_REMINDER_DONE ? r.span.first : PB_DAY_NONE;
        char *text = written(rows[i].form, &r, 1);
        has(text, rows[i].claim, "STATUS:", 1);
        has(text, rows[i].claim, rows[i].status_line, 1);
        has(text, rows[i].claim, rows[i].summary_line, 1);
        has(text, rows[i].claim, "BEGIN:VALARM", rows[i].alarms);
        has(text, rows[i].claim, "TRANSP:TRANSPARENT",
            rows[i].form == PB_CALENDAR_EVENTS);
        has(text, rows[i].claim, "METHOD", 0);
        has(text, rows[i].claim, "ORGANIZER", 0);
        has(text, rows[i].claim, "TZID", 0);
        free(text);
    }
}

static void alarm_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        enum pb_calendar_form form;
        bool first, last;
        int days;
        const char *trigger; /* of the only alarm; NULL: none */
    } rows[] = {
        {"no alarm asked for",                    PB_CALENDAR_EVENTS, false, false, 3,  NULL             },
        {"the first day of several",              PB_CALENDAR_EVENTS, true,  false, 3,
         "TRIGGER:PT9H"                                                                                  },
        {"the last day of several",               PB_CALENDAR_EVENTS, false, true,  3,
         "TRIGGER:P3DT9H"                                                                                },
        {"one day rings once",                    PB_CALENDAR_EVENTS, true,  true,  0,  "TRIGGER:PT9H"   },
        {"weeks stay days",                       PB_CALENDAR_EVENTS, false, true,  14, "TRIGGER:P14DT9H"},
        {"a to-do of several days has a start",   PB_CALENDAR_TO_DOS, true,  false, 3,
         "TRIGGER:PT9H"                                                                                  },
        {"its last day is the day it is due",     PB_CALENDAR_TO_DOS, false, true,  3,
         "TRIGGER;RELATED=END:PT9H"                                                                      },
        {"a to-do of one day has no start",       PB_CALENDAR_TO_DOS, true,  false, 0,
         "TRIGGER;RELATED=END:PT9H"                                                                      },
        {"and rings once",                        PB_CALENDAR_TO_DOS, true,  true,  0,
         "TRIGGER;RELATED=END:PT9H"                                                                      },
        {"also where only the last is asked for", PB_CALENDAR_TO_DOS, false, true,  0,
         "TRIGGER;RELATED=END:PT9H"                                                                      },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_reminder r = sample();
        r.alarm_first = rows[i].first;
        r.alarm_last = rows[i].last;
        r.span.last = r.span.first + rows[i].days;
        char *text = written(rows[i].form, &r, 1);
        has(text, rows[i].claim, "BEGIN:VALARM", rows[i].trigger != NULL);
        if (rows[i].trigger != NULL)
            has(text, rows[i].claim, rows[i].trigger, 1);
        has(text, rows[i].claim, "DTSTART",
            rows[i].form == PB_CALENDAR_EVENTS || rows[i].days > 0);
        free(text);
    }
}

static void date_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        pb_day first, last;
        int64_t stamp;
        const char *start, *end, *stamped;
    } rows[] = {
        {"the end of February in a leap year", 19782,      19782,      0,
         "DTSTART;VALUE=DATE:20240229",                                                                                     "DTEND;VALUE=DATE:20240301",
         "DTSTAMP:19700101T000000Z"                                                                                                                                                },
        {"and in another",                     20512,      20512,      951782400,            "DTSTART;VALUE=DATE:20260228",
         "DTEND;VALUE=DATE:20260301",                                                                                                                    "DTSTAMP:20000229T000000Z"},
        {"the turn of a year",                 20818,      20819,      -1,                   "DTSTART;VALUE=DATE:20261231",
         "DTEND;VALUE=DATE:20270102",                                                                                                                    "DTSTAMP:19691231T235959Z"},
        {"the first supported day",            PB_DAY_MIN, PB_DAY_MIN, -86400,
         "DTSTART;VALUE=DATE:15830101",                                                                                     "DTEND;VALUE=DATE:15830102",
         "DTSTAMP:19691231T000000Z"                                                                                                                                                },
        {"the last one",                       376199,     376199,     INT64_C(32503679999),
         "DTSTART;VALUE=DATE:29991231",                                                                                     "DTEND;VALUE=DATE:30000101",
         "DTSTAMP:29991231T235959Z"                                                                                                                                                },
        {"beyond 32 bits of seconds",          49312,      49312,      INT64_C(4260556800),
         "DTSTART;VALUE=DATE:21050105",                                                                                     "DTEND;VALUE=DATE:21050106",
         "DTSTAMP:21050105T000000Z"                                                                                                                                                },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_reminder r = sample();
        r.span = (struct pb_span){rows[i].first, rows[i].last};
        r.created = r.stamp = rows[i].stamp;
        char *text = written(PB_CALENDAR_EVENTS, &r, 1);
        has(text, rows[i].claim, rows[i].start, 1);
        has(text, rows[i].claim, rows[i].end, 1);
        has(text, rows[i].claim, rows[i].stamped, 1);
        free(text);
    }
}

static void largest_fits(void **state)
{
    (void)state;
    char summary[PB_MAX_TEXT + 1], description[PB_MAX_TEXT + 1];
    memset(summary, ';', PB_MAX_TEXT);
    memset(description, '\\', PB_MAX_TEXT);
    summary[PB_MAX_TEXT] = description[PB_MAX_TEXT] = '\0';
    struct pb_reminder r = sample();
    r.summary = summary;
    r.description = description;
    char *text = written(PB_CALENDAR_EVENTS, &r, 1);
    assert_true(strlen(text) < PB_CALENDAR_CHUNK);
    free(text);
}

static void refusals(void **state)
{
    (void)state;
    struct pb_calendar *cal = NULL;
    struct pb_buf out, tiny;
    struct pb_err err = {0};
    struct pb_reminder r = sample(), bad = sample();
    pb_buf_init(&out, 4 * (size_t)PB_CALENDAR_CHUNK);
    pb_buf_init(&tiny, 300);
    assert_int_equal(pb_calendar_open(&cal, NULL), PB_OK);
    assert_int_equal(pb_calendar_begin(cal, PB_CALENDAR_EVENTS, &out, NULL), PB_OK);
    bad.summary = "bell\a";
    size_t before = out.len;
    assert_int_equal(pb_calendar_add(cal, &bad, &out, &err), PB_EPARSE);
    assert_string_equal(err.where, "summary");
    assert_int_equal(out.len, before);
    assert_int_equal(pb_calendar_add(cal, &r, &out, NULL), PB_OK);
    before = out.len;
    pb_err_clear(&err);
    assert_int_equal(pb_calendar_add(cal, &r, &out, &err), PB_EINVALID);
    assert_string_equal(err.where, "uid");
    assert_int_equal(out.len, before);
    memcpy(r.uid, "00000000", 8);
    assert_int_equal(pb_calendar_add(cal, &r, &out, NULL), PB_EINVALID);
    memcpy(r.uid, UID_B, sizeof(r.uid));
    assert_int_equal(pb_calendar_add(cal, &r, &tiny, NULL), PB_ELIMIT);
    assert_int_equal(pb_calendar_add(cal, &r, &out, NULL), PB_OK);
    assert_int_equal(pb_calendar_end(cal, &tiny, NULL), PB_ELIMIT);
    pb_calendar_close(cal);
    pb_calendar_close(NULL);
    pb_buf_clear(&out);
    pb_buf_clear(&tiny);
}

static void same_bytes(void **state)
{
    (void)state;
    struct pb_reminder r = sample();
    char *first = written(PB_CALENDAR_EVENTS, &r, 1);
    assert_int_equal(setenv("TZ", "Asia/Kathmandu", 1), 0);
    tzset();
    (void)setlocale(LC_ALL, "");
    char *again = written(PB_CALENDAR_EVENTS, &r, 1);
    assert_string_equal(first, again);
    free(first);
    free(again);
}

static void file_after_file(void **state)
{
    (void)state;
    struct pb_calendar *cal = NULL;
    struct pb_buf out;
    struct pb_reminder r = sample();
    char *alone = written(PB_CALENDAR_EVENTS, &r, 1);
    pb_buf_init(&out, 4 * (size_t)PB_CALENDAR_CHUNK);
    assert_int_equal(pb_calendar_open(&cal, NULL), PB_OK);
    for (int i = 0; i < 2; i++) {
        pb_buf_reset(&out);
        assert_int_equal(pb_calendar_begin(cal, PB_CALENDAR_EVENTS, &out, NULL), PB_OK);
        assert_int_equal(pb_calendar_add(cal, &r, &out, NULL), PB_OK);
        assert_int_equal(pb_calendar_end(cal, &out, NULL), PB_OK);
        assert_string_equal(pb_buf_peek(&out), alone);
    }
    pb_calendar_close(cal);
    pb_buf_clear(&out);
    free(alone);
}

static void nothing_is_a_file(void **state)
{
    (void)state;
    char *text = written(PB_CALENDAR_EVENTS, NULL, 0);
    assert_string_equal(text, HEAD "END:VCALENDAR\r\n");
    free(text);
}

static void missing_library(void **state)
{
    (void)state;
    struct pb_ical_calls calls = {.icalcomponent_free = NULL};
    struct pb_err err = {0};
    assert_int_equal(pb_ical_load("libical.so.none", &calls, &err), PB_EIO);
    assert_non_null(strstr(err.text, "libical.so.none"));
    assert_non_null(strstr(err.text, "apt install libical3"));
    pb_err_clear(&err);
    assert_int_equal(pb_ical_load("libm.so.6", &calls, &err), PB_EIO);
    assert_non_null(strstr(err.text, "has no icalcomponent_"));
    assert_null(calls.icalcomponent_free);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(event_text),        cmocka_unit_test(to_do_text),
        cmocka_unit_test(status_rows),       cmocka_unit_test(alarm_rows),
        cmocka_unit_test(date_rows),         cmocka_unit_test(largest_fits),
        cmocka_unit_test(refusals),          cmocka_unit_test(same_bytes),
        cmocka_unit_test(nothing_is_a_file), cmocka_unit_test(missing_library),
        cmocka_unit_test(file_after_file),
    };
    return UNIT_MAIN("calendar", tests);
}
