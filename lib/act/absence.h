/* Being away: kept in the book, and held against what will be due. */
#ifndef PB_ACT_ABSENCE_H
#define PB_ACT_ABSENCE_H

#include "act/act.h"
#include "book/absences.h"

enum { PB_MAX_ABSENCE = 366 }; /* days of one absence */

/* What stood in the book when an absence was to be kept. */
struct pb_absence_met {
    bool same;                    /* these days exactly: nothing was kept anew */
    bool overlaps;                /* another one shares days with it, and stays */
    struct pb_span overlaps_with; /* the first such */
};

/*
 * Keep an absence, or take it away again.
 *   met  out
 * PB_EINVALID  it ends before it begins, or is over    PB_ELIMIT  it is too long
 * PB_ENOTFOUND  cancel, and there is none of exactly these days
 */
enum pb_rc pb_act_away(struct pb_act *a, struct pb_span span,
                       struct pb_absence_met *met, struct pb_err *err);
enum pb_rc pb_act_away_cancel(struct pb_act *a, struct pb_span span,
                              struct pb_err *err);

/*
 * The absences, not over yet, that meet a span, the first first; none where the span has no
 * days (first is PB_DAY_NONE).
 *   v, n  out: yours (free); NULL and 0: there are none
 */
enum pb_rc pb_away_meets(struct pb_act *a, struct pb_span span, struct pb_absence **v,
                         size_t *n, struct pb_err *err);

#endif
