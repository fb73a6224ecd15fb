/* Days, instants, codes and ranges of codes as somebody types them; a line each. */
#include "fuzz.h"

#include "core/civil.h"
#include "core/instant.h"
#include "core/record.h"

#include <string.h>

static void day(const char *text)
{
    char iso[PB_DAY_TEXT];
    pb_day d = PB_DAY_NONE, back = PB_DAY_NONE;
    if (pb_day_parse("on", text, FUZZ_TODAY, &d, NULL) == PB_OK) {
        MUST(d >= PB_DAY_MIN && d <= PB_DAY_MAX, "day %d was accepted", d);
        MUST(pb_day_parse_iso("on", pb_day_format(d, iso), &back, NULL) == PB_OK &&
                 back == d,
             "%s does not come back", iso);
        int y = 0, m = 0, of_month = 0;
        pb_day_to_ymd(d, &y, &m, &of_month);
        MUST(pb_day_from_ymd(y, m, of_month) == d, "%s by year, month, day", iso);
        MUST(pb_day_weekday(d) >= 0 && pb_day_weekday(d) < 7, "weekday of %s", iso);
    }
    if (pb_day_parse_iso("on", text, &d, NULL) == PB_OK)
        MUST(strcmp(pb_day_format(d, iso), text) == 0, "%s is read as %s", text, iso);
}

static void instant(const char *text)
{
    char back[PB_INSTANT_TEXT];
    int64_t i = 0;
    if (pb_instant_parse("modified", text, &i, NULL) == PB_OK)
        MUST(strcmp(pb_instant_format(i, back), text) == 0, "%s is read as %s", text,
             back);
}

static void code(const char *text)
{
    struct pb_own_code own;
    struct pb_code_range range;
    char buf[PB_MAX_CODE + 1];
    bool is_own = pb_own_code_parse(text, &own);
    MUST(!is_own || pb_code_check("code", text, NULL) != PB_OK,
         "%s is a grower's code and podbook's", text);
    if (pb_code_range_parse("codes", text, &range, NULL) != PB_OK)
        return;
    MUST(range.n >= 1 && range.n <= PB_MAX_RANGE, "%s has %lld codes", text,
         (long long)range.n);
    for (int64_t i = 0; i<range.n; i += range.n> 1 ? range.n - 1 : 1) {
        const char *at = pb_code_range_at(&range, i, buf);
        MUST(!range.is_range || pb_own_code_parse(at, &own), "%s gives %s", text, at);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = fuzz_text(data, size), *rest = text;
    for (char *line; (line = fuzz_line(&rest)) != NULL;) {
        day(line);
        instant(line);
        code(line);
        (void)pb_id_is_valid(line);
    }
    free(text);
    return 0;
}
