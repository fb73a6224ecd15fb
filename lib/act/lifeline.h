/*
 * A record's life as a list of what happened, in the order of the days, and of one day in the
 * order of a life: of a plant from the pollination that it was raised from to the day that it
 * left; of a cross or a batch what came of it.
 */
#ifndef PB_ACT_LIFELINE_H
#define PB_ACT_LIFELINE_H

#include "act/act.h"
#include "core/batch.h"

struct pb_happening {
    pb_day on;   /* PB_DAY_NONE: nobody said when; listed last */
    int stage;   /* among those of one day: which comes first in a life */
    size_t rank; /* among those of one stage: as it was found */
    char code[PB_MAX_CODE + 24]; /* the other record that it is about, a range of them
                                    (F26-001..012), or empty */
    char *text;                  /* what happened; the list's own */
};

struct pb_lifeline {
    struct pb_happening *v; /* the list's own: pb_lifeline_clear */
    size_t n, cap;
};

/*
 * A plant's whole life: where it came from (cross, seed lot, flasks, compot,
 * cutting), the day it
 * was got, its flowerings and the looks after them, pollen and cuttings taken, the crosses
 * in either role with their harvests, its pups and divisions, the day it left.
 *   list  in: zeroed; out: pb_lifeline_clear, also after an error
 */
enum pb_rc pb_lifeline_plant(struct pb_act *a, const struct pb_plant *p,
                             struct pb_lifeline *list, struct pb_err *err);

/* What came of a cross: the seed lots are its harvests, so here are flasks and plants. */
enum pb_rc pb_lifeline_cross(struct pb_act *a, const struct pb_cross *x,
                             struct pb_lifeline *list, struct pb_err *err);

/* What came of a batch: flasks that were sown or replated from it, crosses made with the
 * pollen, plants that came out of it. */
enum pb_rc pb_lifeline_batch(struct pb_act *a, const struct pb_batch *b,
                             struct pb_lifeline *list, struct pb_err *err);

void pb_lifeline_clear(struct pb_lifeline *list);

#endif
