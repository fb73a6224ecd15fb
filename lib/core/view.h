/*
 * What is computed of a record for a reader, and never stored: kind, windows, counts, state.
 *
 * Filled by whoever knows profiles and pedigree, written by the JSON adapter and the
 * screens.  A receiver ignores all of it.
 */
#ifndef PB_CORE_VIEW_H
#define PB_CORE_VIEW_H

#include "core/doubt.h"
#include "core/life.h"
#include "core/span.h"

/* How the parents are related.  ORDER CROSS_KIND: pb_cross_kind_names */
enum pb_cross_kind {
    PB_CROSS_UNKNOWN, /* a parent, or what is needed of the pedigree, is not known */
    PB_CROSS_OUTCROSS,
    PB_CROSS_SELF, /* both parents are of one clone */
    PB_CROSS_SIB,
    PB_CROSS_BACKCROSS,
    PB_CROSS_KIND_N
};
extern const char *const pb_cross_kind_names[PB_CROSS_KIND_N];

struct pb_cross_view {
    enum pb_cross_kind kind;
    struct pb_span swelling, harvest, split; /* first is PB_DAY_NONE: no such window */
    pb_day risk_day; /* the risk of splitting passes the tolerance; PB_DAY_NONE: none */
    int by_stand[PB_STAND_N]; /* flowers of each stand; sums to all */
    int open;                 /* of them neither split, dropped, lost nor harvested */
    const char *state;        /* pb_life_state, or "withdrawn"; static */
    const struct pb_doubts *doubts; /* marks that it stands under; NULL: not computed */
    const char
        *warnings; /* said of the pair when it is made, a line each; NULL: not told */
};

struct pb_batch_view {
    const char *state;   /* of several units the furthest open one's; static */
    int64_t left;        /* of what was counted, -1: nobody counted, or it has ended */
    const int *by_stand; /* units of each stand of its course */
    int open;            /* of them still followed */
    const struct pb_tasks *tasks;
    const struct pb_doubts *doubts; /* NULL: not computed */
};

/* Nothing known: kind unknown, no windows, no counts, no state. */
void pb_cross_view_init(struct pb_cross_view *view);

#endif
