/* Being away.  See absence.h. */
#include "act/absence.h"

#include <stdlib.h>

static enum pb_rc check_span(const struct pb_act *a, struct pb_span span,
                             struct pb_err *err)
{
    char first[PB_DAY_TEXT], last[PB_DAY_TEXT], today[PB_DAY_TEXT];
    if (span.last < span.first)
        return pb_fail(err, PB_EINVALID, "the absence ends (%s) before it begins (%s)",
                       pb_day_format(span.last, last),
                       pb_day_format(span.first, first));
    if (span.last - span.first >= PB_MAX_ABSENCE)
        return pb_fail(err, PB_ELIMIT, "an absence is at most %d days long",
                       PB_MAX_ABSENCE);
    if (span.last < a->today)
        return pb_fail(err, PB_EINVALID,
                       "%s to %s is over (today is %s); only absences to come matter",
                       pb_day_format(span.first, first), pb_day_format(span.last, last),
                       pb_day_format(a->today, today));
    return PB_OK;
}

/* What the book has on these days. */
static enum pb_rc look_up(struct pb_act *a, struct pb_span span,
                          struct pb_absence_met *met, struct pb_err *err)
{
    struct pb_absence *list = NULL;
    size_t n = 0;
    *met = (struct pb_absence_met){0};
    enum pb_rc rc = pb_absences_from(a->book, span.first, &list, &n, err);
    for (size_t i = 0; i < n && rc == PB_OK; i++) {
        struct pb_span other = list[i].span;
        if (other.first == span.first && other.last == span.last) {
            met->same = true;
        } else if (!met->overlaps && pb_span_meets(other, span)) {
            met->overlaps = true;
            met->overlaps_with = other;
        }
    }
    free(list);
    return rc;
}

enum pb_rc pb_act_away(struct pb_act *a, struct pb_span span,
                       struct pb_absence_met *met, struct pb_err *err)
{
    struct pb_absence absence = {0, "", span};
    enum pb_rc rc = check_span(a, span, err);
    if (rc == PB_OK)
        rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = look_up(a, span, met, err);
    if (rc == PB_OK && met->same) {
        pb_book_drop(a->book);
        return PB_OK;
    }
    pb_ids_next(a, absence.id);
    if (rc == PB_OK)
        rc = pb_absence_insert(a->book, &absence, err);
    return pb_book_end(a->book, rc, err);
}

enum pb_rc pb_act_away_cancel(struct pb_act *a, struct pb_span span, struct pb_err *err)
{
    bool gone = false;
    char first[PB_DAY_TEXT], last[PB_DAY_TEXT];
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = pb_absence_remove(a->book, span, &gone, err);
    if (rc == PB_OK && !gone)
        rc = pb_fail(err, PB_ENOTFOUND,
                     "no absence from %s to %s; podbook away lists them",
                     pb_day_format(span.first, first), pb_day_format(span.last, last));
    return pb_book_end(a->book, rc, err);
}

enum pb_rc pb_away_meets(struct pb_act *a, struct pb_span span, struct pb_absence **v,
                         size_t *n, struct pb_err *err)
{
    struct pb_absence *list = NULL;
    size_t list_n = 0, met = 0;
    *v = NULL;
    *n = 0;
    if (span.first == PB_DAY_NONE)
        return PB_OK;
    enum pb_rc rc = pb_absences_from(a->book, a->today, &list, &list_n, err);
    for (size_t i = 0; rc == PB_OK && i < list_n; i++)
        if (pb_span_meets(list[i].span, span))
            list[met++] = list[i];
    if (met == 0) {
        free(list);
        return rc;
    }
    *v = list;
    *n = met;
    return rc;
}
