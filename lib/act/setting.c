/* Settings.  See setting.h. */
#include "act/setting.h"

#include "base/buf.h"
#include "base/limits.h"
#include "base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const struct pb_setting pb_settings[] = {
    {"risk",          "chance of a split that you accept between two looks",      0, 0.5, 0.10,
     false                                                                                           },
    {"kin-limit",     "F of the progeny from which a cross is called close",      0, 1,   0.125,
     false                                                                                           },
    {"capsule-limit", "open flowers that a seed parent may carry; 0: any number", 0,
     PB_MAX_FLOWERS,                                                                      0,     true},
};
const size_t pb_settings_n = PB_ARRAY_LEN(pb_settings);

static enum pb_rc find_setting(const char *name, const struct pb_setting **s,
                               struct pb_err *err)
{
    for (size_t i = 0; i < pb_settings_n; i++)
        if (strcmp(pb_settings[i].name, name) == 0) {
            *s = &pb_settings[i];
            return PB_OK;
        }
    struct pb_buf b;
    pb_buf_init(&b, 200);
    for (size_t i = 0; i < pb_settings_n; i++)
        pb_buf_printf(&b, "%s%s", i > 0 ? ", " : "", pb_settings[i].name);
    enum pb_rc rc = pb_fail_at(err, PB_ENOTFOUND, name, 0,
                               "no such setting; there are %s", pb_buf_peek(&b));
    pb_buf_clear(&b);
    return rc;
}

/* A number of the setting's range, which is named in one form whatever is wrong. */
static enum pb_rc parse(const struct pb_setting *s, const char *text, double *value,
                        struct pb_err *err)
{
    double v = 0;
    char low[PB_NUMBER_TEXT], high[PB_NUMBER_TEXT];
    enum pb_rc rc = pb_parse_decimal(s->name, text, s->low, s->high, &v, NULL);
    if (rc == PB_OK && (s->whole ? v > floor(v) : !(v > s->low)))
        rc = PB_ELIMIT;
    if (rc != PB_OK)
        return pb_fail_at(err, rc, s->name, 0, "expected a %s %s %s %s, got \"%s\"",
                          s->whole ? "whole number from" : "number above",
                          pb_text_number(s->low, low), s->whole ? "to" : "and at most",
                          pb_text_number(s->high, high), text);
    *value = v;
    return PB_OK;
}

enum pb_rc pb_act_setting(struct pb_act *a, const char *name, double *value,
                          struct pb_err *err)
{
    const struct pb_setting *s = NULL;
    char *text = NULL;
    enum pb_rc rc = find_setting(name, &s, err);
    if (rc == PB_OK)
        rc = pb_book_setting(a->book, name, &text, err);
    if (rc == PB_OK && text == NULL)
        *value = s->preset;
    else if (rc == PB_OK)
        rc = parse(s, text, value, err);
    free(text);
    return rc;
}

enum pb_rc pb_act_setting_keep(struct pb_act *a, const char *name, const char *text,
                               struct pb_err *err)
{
    const struct pb_setting *s = NULL;
    double value = 0;
    enum pb_rc rc = find_setting(name, &s, err);
    if (rc == PB_OK && text[0] != '\0')
        rc = parse(s, text, &value, err);
    if (rc == PB_OK)
        rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = pb_book_setting_keep(a->book, name, text[0] != '\0' ? text : NULL, err);
    return pb_book_end(a->book, rc, err);
}
