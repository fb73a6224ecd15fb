/* Instants as text.  See instant.h. */
#include "core/instant.h"

#include "base/text.h"

#include <string.h>

char *pb_instant_format(int64_t instant, char text[PB_INSTANT_TEXT])
{
    int64_t s = instant < PB_INSTANT_MIN   ? PB_INSTANT_MIN
                : instant > PB_INSTANT_MAX ? PB_INSTANT_MAX
                                           : instant;
    int64_t of_day = (s % 86400 + 86400) % 86400;
    (void)pb_day_format((pb_day)((s - of_day) / 86400), text);
    const int parts[] = {(int)(of_day / 3600), (int)(of_day / 60 % 60),
                         (int)(of_day % 60)};
    char *p = text + PB_DAY_TEXT - 1;
    for (size_t i = 0; i < PB_ARRAY_LEN(parts); i++) {
        *p++ = i == 0 ? 'T' : ':';
        *p++ = (char)('0' + parts[i] / 10);
        *p++ = (char)('0' + parts[i] % 10);
    }
    *p++ = 'Z';
    *p = '\0';
    return text;
}

/* The number that two digits make, -1 where they are none or over max. */
static int two_digits(const char *p, int max)
{
    if (p[0] < '0' || p[0] > '9' || p[1] < '0' || p[1] > '9')
        return -1;
    int value = (p[0] - '0') * 10 + (p[1] - '0');
    return value <= max ? value : -1;
}

enum pb_rc pb_instant_parse(const char *what, const char *text, int64_t *instant,
                            struct pb_err *err)
{
    enum { DAY_LEN = PB_DAY_TEXT - 1 };
    char day_text[PB_DAY_TEXT] = "";
    pb_day day = PB_DAY_NONE;
    int h = -1, m = -1, s = -1;
    if (strlen(text) == PB_INSTANT_TEXT - 1 && text[DAY_LEN] == 'T' &&
        text[DAY_LEN + 3] == ':' && text[DAY_LEN + 6] == ':' &&
        text[DAY_LEN + 9] == 'Z') {
        memcpy(day_text, text, DAY_LEN);
        h = two_digits(text + DAY_LEN + 1, 23);
        m = two_digits(text + DAY_LEN + 4, 59);
        s = two_digits(text + DAY_LEN + 7, 59);
    }
    if (h < 0 || m < 0 || s < 0)
        return pb_fail_at(err, PB_EPARSE, what, 0,
                          "expected an instant in UTC, YYYY-MM-DDTHH:MM:SSZ");
    enum pb_rc rc = pb_day_parse_iso(what, day_text, &day, err);
    if (rc == PB_OK)
        *instant = (int64_t)day * 86400 + (h * INT64_C(3600) + m * INT64_C(60) + s);
    return rc;
}
