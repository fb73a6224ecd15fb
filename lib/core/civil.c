/* Civil days: conversions and the forms in which a date is typed.  See civil.h. */
#include "core/civil.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

enum { ERA_DAYS = 146097, EPOCH_SHIFT = 719468 }; /* 0000-03-01 to 1970-01-01 */
enum { YEAR_MIN = 1583, YEAR_MAX = 9999 }; /* whole years of the calendar of 1582 */

/* Days from 1970-01-01; months outside 1..12 and days outside the month roll over. */
static int32_t days_from_civil(int year, int month, int day)
{
    int y = year - (month <= 2);
    int era = y / 400; /* years are positive here */
    int yoe = y - era * 400;
    int doy = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    int doe = yoe * 365 + yoe / 4 - yoe / 100 + doy;
    return era * ERA_DAYS + doe - EPOCH_SHIFT;
}

void pb_day_to_ymd(pb_day d, int *year, int *month, int *day)
{
    int z = d + EPOCH_SHIFT;
    int era = z / ERA_DAYS;
    int doe = z - era * ERA_DAYS;
    int yoe = (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365;
    int doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    int mp = (5 * doy + 2) / 153;
    *day = doy - (153 * mp + 2) / 5 + 1;
    *month = mp + (mp < 10 ? 3 : -9);
    *year = yoe + era * 400 + (*month <= 2);
}

pb_day pb_day_from_ymd(int year, int month, int day)
{
    if (year < YEAR_MIN || year > YEAR_MAX || month < 1 || month > 12 || day < 1 ||
        day > 31)
        return PB_DAY_NONE;
    pb_day d = days_from_civil(year, month, day);
    int y = 0, m = 0, dd = 0;
    pb_day_to_ymd(d, &y, &m, &dd);
    return m == month ? d : PB_DAY_NONE;
}

int pb_day_weekday(pb_day d)
{
    return (d + 3 + 7 * 30000) % 7; /* 1970-01-01 was a Thursday; kept positive */
}

const char *pb_day_weekday_name(pb_day d)
{
    static const char *const names[] = {"Mon", "Tue", "Wed", "Thu",
                                        "Fri", "Sat", "Sun"};
    return names[pb_day_weekday(d)];
}

const char *pb_day_month_name(int month)
{
    static const char *const names[] = {
        "January", "February", "March",     "April",   "May",      "June",
        "July",    "August",   "September", "October", "November", "December",
    };
    return month >= 1 && month <= 12 ? names[month - 1] : "";
}

char *pb_day_format(pb_day d, char text[PB_DAY_TEXT])
{
    int y = 0, m = 0, dd = 0;
    pb_day_to_ymd(d, &y, &m, &dd);
    text[0] = (char)('0' + y / 1000 % 10);
    text[1] = (char)('0' + y / 100 % 10);
    text[2] = (char)('0' + y / 10 % 10);
    text[3] = (char)('0' + y % 10);
    text[4] = text[7] = '-';
    text[5] = (char)('0' + m / 10 % 10);
    text[6] = (char)('0' + m % 10);
    text[8] = (char)('0' + dd / 10 % 10);
    text[9] = (char)('0' + dd % 10);
    text[10] = '\0';
    return text;
}

pb_day pb_day_add(pb_day d, int32_t n)
{
    if (d == PB_DAY_NONE)
        return d;
    int64_t sum = (int64_t)d + n;
    if (sum < PB_DAY_MIN)
        return PB_DAY_MIN;
    return sum > PB_DAY_MAX ? PB_DAY_MAX : (pb_day)sum;
}

/* Exactly n digits at text as a number, or -1. */
static int digits(const char *text, int n)
{
    int v = 0;
    for (int i = 0; i < n; i++) {
        if (text[i] < '0' || text[i] > '9')
            return -1;
        v = v * 10 + (text[i] - '0');
    }
    return v;
}

static bool is_iso_form(const char *t)
{
    return strlen(t) == PB_DAY_TEXT - 1 && t[4] == '-' && t[7] == '-' &&
           digits(t, 4) >= 0 && digits(t + 5, 2) >= 0 && digits(t + 8, 2) >= 0;
}

enum pb_rc pb_day_parse_iso(const char *what, const char *text, pb_day *day,
                            struct pb_err *err)
{
    if (!is_iso_form(text))
        return pb_fail_at(err, PB_EPARSE, what, 0,
                          "expected a date as YYYY-MM-DD, got \"%s\"", text);
    int year = digits(text, 4);
    pb_day d = pb_day_from_ymd(year, digits(text + 5, 2), digits(text + 8, 2));
    if (d == PB_DAY_NONE && year < YEAR_MIN)
        return pb_fail_at(err, PB_EPARSE, what, 0, "%s lies outside the years %d to %d",
                          text, YEAR_MIN, YEAR_MAX);
    if (d == PB_DAY_NONE)
        return pb_fail_at(err, PB_EPARSE, what, 0, "the date %s does not exist", text);
    *day = d;
    return PB_OK;
}

enum pb_rc pb_day_parse(const char *what, const char *text, pb_day today, pb_day *day,
                        struct pb_err *err)
{
    static const struct {
        const char *word;
        int days;
    } words[] = {
        {"today",     0 },
        {"yesterday", -1},
        {"tomorrow",  1 }
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(words); i++)
        if (strcmp(text, words[i].word) == 0) {
            *day = pb_day_add(today, words[i].days);
            return PB_OK;
        }
    size_t n = strlen(text);
    bool relative = (text[0] == '+' || text[0] == '-') && n >= 3 &&
                    (text[n - 1] == 'd' || text[n - 1] == 'w');
    if (!relative) {
        if (!is_iso_form(text))
            return pb_fail_at(
                err, PB_EPARSE, what, 0,
                "expected a date (YYYY-MM-DD, today, yesterday, -3d, +2w), "
                "got \"%s\"",
                text);
        return pb_day_parse_iso(what, text, day, err);
    }
    int count = n - 2 <= 6 ? digits(text + 1, (int)(n - 2)) : -1;
    if (count < 0)
        return pb_fail_at(err, PB_EPARSE, what, 0,
                          "expected a distance such as -3d or +2w, got \"%s\"", text);
    int64_t d = (int64_t)today + (int64_t)(text[0] == '-' ? -1 : 1) * count *
                                     (text[n - 1] == 'w' ? 7 : 1);
    if (d < PB_DAY_MIN || d > PB_DAY_MAX)
        return pb_fail_at(err, PB_EPARSE, what, 0, "%s leaves the years %d to %d", text,
                          YEAR_MIN, YEAR_MAX);
    *day = (pb_day)d;
    return PB_OK;
}
