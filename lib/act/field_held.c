/* What a record holds, against what its fields would take.  See field_rows.h. */
#include "act/field_rows.h"

static enum pb_rc check_text(const struct pb_field_row *r, const char *held,
                             struct pb_err *why)
{
    return held == NULL ? PB_OK : pb_text_check(r->name, held, (size_t)r->high, why);
}

static enum pb_rc check_integer(const struct pb_field_row *r, int64_t held,
                                struct pb_err *why)
{
    bool absent = r->absent != MUST && held == r->absent;
    if (absent || (held >= r->low && held <= r->high))
        return PB_OK;
    return pb_fail(why, PB_ELIMIT, "is %lld, and can be from %lld to %lld",
                   (long long)held, (long long)r->low, (long long)r->high);
}

static enum pb_rc check_real(const struct pb_field_row *r, double held,
                             struct pb_err *why)
{
    double low = (double)r->low / 1000, high = (double)r->high / 1000;
    char is[PB_NUMBER_TEXT], from[PB_NUMBER_TEXT], to[PB_NUMBER_TEXT];
    if (held == PB_REAL_NONE || (held >= low && held <= high))
        return PB_OK;
    return pb_fail(why, PB_ELIMIT, "is %s, and can be from %s to %s",
                   pb_text_number(held, is), pb_text_number(low, from),
                   pb_text_number(high, to));
}

/* Words, days and codes are read from the book by rules of their own. */
static enum pb_rc check_row(const struct pb_field_row *r, const void *at,
                            struct pb_err *why)
{
    switch (r->form) {
    case FORM_TEXT:
        return check_text(r, *(char *const *)at, why);
    case FORM_INT:
        return check_integer(r, *(const int *)at, why);
    case FORM_NUMBER:
        return check_integer(r, *(const int64_t *)at, why);
    case FORM_REAL:
        return check_real(r, *(const double *)at, why);
    case FORM_DAY:
    case FORM_WORD:
    case FORM_FOUND:
    case FORM_YES:
    case FORM_CODE:
    case FORM_ORIGIN:
    case FORM_SEED:
    case FORM_POLLEN:
        break;
    }
    return PB_OK;
}

enum pb_rc pb_field_faults(const void *record, struct pb_field_rows table,
                           pb_field_fault_each *each, void *ctx, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < table.n && rc == PB_OK; i++) {
        const struct pb_field_row *r = &table.v[i];
        struct pb_err why = {0};
        if (check_row(r, (const char *)record + r->at, &why) == PB_OK)
            continue;
        const struct pb_field_fault f = {r->name, why.text, r->form != FORM_TEXT};
        rc = each(ctx, &f, err);
    }
    return rc;
}
