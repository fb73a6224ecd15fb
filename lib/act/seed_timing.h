/*
 * What times the capsules of a seed parent: its profile, and what the book has learnt.
 *
 * A plant carries many crosses, and a list asks of each.  What was found is remembered by
 * plant, as long as the book stays what it was.
 */
#ifndef PB_ACT_SEED_TIMING_H
#define PB_ACT_SEED_TIMING_H

#include "act/learn.h"

struct pb_seed_timing {
    struct pb_profile_match match;
    struct pb_lesson lesson; /* good as long as that of pb_learn */
};

struct pb_seed_timings; /* what is remembered */

/*
 * Find it.
 *   memory  in: NULL, or from a call before; out: the caller's (pb_seed_timings_free).
 *           NULL: nothing is remembered
 *   chosen  name of a row chosen by the grower, NULL: by the taxon
 * PB_ENOMEM, PB_EIO
 */
enum pb_rc pb_seed_timing_find(struct pb_seed_timings **memory, struct pb_act *a,
                               const struct pb_parent *seed, const char *chosen,
                               struct pb_seed_timing *timing, struct pb_err *err);
void pb_seed_timings_free(struct pb_seed_timings *memory);

/* Only the profile: which row times the crosses of this seed parent?  chosen: as above. */
enum pb_rc pb_timing_find(struct pb_act *a, const struct pb_parent *seed,
                          const char *chosen, struct pb_profile_match *match,
                          struct pb_err *err);

#endif
