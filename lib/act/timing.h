/*
 * What is computed of a cross: which profile times it, its windows, its tasks, its kind.
 *
 * One struct holds all of it, so that `cross`, `show`, `due`, the calendar and JSON tell
 * the same story from the same numbers.
 */
#ifndef PB_ACT_TIMING_H
#define PB_ACT_TIMING_H

#include "act/act.h"
#include "act/seed_timing.h"
#include "book/crosses.h"
#include "core/task.h"
#include "core/view.h"

struct pb_outlook {
    bool brief; /* in: the state and the next work are enough; no kind, no risk_day */
    struct pb_profile_match match; /* the row that times it, and why */
    struct pb_lesson lesson;       /* what the book has learnt, as far as it goes */
    struct pb_timing timing;       /* the profile's stages, moved by what was learnt */
    int moved_days;                /* of the first harvest day; negative: sooner */
    bool beyond; /* the harvest window lies beyond all that was seen (ripening_law.h) */
    bool is_hanging;           /* something is open */
    struct pb_hanging hanging; /* of it, what is most likely to have split */
    struct pb_life life;
    struct pb_cross_view view;
    struct pb_tasks tasks;
    struct pb_events room;
    struct pb_story story; /* looks and harvests by day; its events are in room */
    bool again;            /* it is not the first cross */
    struct pb_seed_timings *seeds; /* remembered from cross to cross */
    bool conflict; /* its looks contradict each other (a received record) */
};

/* Empty; reuse one for many crosses, then pb_outlook_clear. */
void pb_outlook_init(struct pb_outlook *o);
void pb_outlook_clear(struct pb_outlook *o);

/*
 * Work out a cross.
 *   x  complete; borrowed
 *   o  in: initialised or used before, brief as wanted; out: replaced
 * Looks that contradict each other are no error: conflict is set, the life stands as far
 * as it could be followed and the tasks are planned from the looks' days alone.
 */
enum pb_rc pb_outlook_make(struct pb_act *a, const struct pb_cross *x,
                           struct pb_outlook *o, struct pb_err *err);

/*
 * Append what the book's own capsules did to the windows: "11 of your capsules, 4 of this
 * seed parent, moved the harvest window 3 days later", and what pb_timing_beyond says;
 * nothing while there are none.
 */
void pb_outlook_learnt(const struct pb_outlook *o, struct pb_buf *out);

/*
 * The harvest days of a profile, moved by what was learnt; from is -1 where it has none.
 *   beyond  out: they lie beyond all that was seen (pb_ripening_is_beyond)
 */
struct pb_stage_days pb_timing_harvest(const struct pb_profile_match *match,
                                       const struct pb_lesson *lesson, bool *beyond);

/* Append that those days are reckoned beyond what was seen, and what to go by instead;
 * nothing where they are not. */
void pb_timing_beyond(const struct pb_profile_match *match,
                      const struct pb_lesson *lesson, struct pb_buf *out);

/* Chance that a capsule which a look finds whole on that day has split by the end of the
 * next; 0 where nothing is known of splitting. */
double pb_outlook_a_day(const struct pb_outlook *o, pb_day look);

/*
 * The day by which the risk of what hangs has passed the tolerance although its harvest
 * window has not opened yet.
 *   latest  look no further
 *   day     out, where true
 * Cheap where it is not so.
 */
bool pb_outlook_early(const struct pb_outlook *o, pb_day latest, pb_day *day);

/* How two clones are related as the parents of a cross.
 *   seed, pollen  rows of their first plants; 0: of one that is not entered yet */
enum pb_rc pb_pair_kind(struct pb_act *a, int64_t seed, int64_t pollen,
                        enum pb_cross_kind *kind, struct pb_err *err);

/* How the parents are related. */
enum pb_rc pb_cross_kind_of(struct pb_act *a, const struct pb_cross *x,
                            enum pb_cross_kind *kind, struct pb_err *err);

/* The open capsule of a cross that is most likely to have split; false: none is open. */
bool pb_life_hanging(const struct pb_life *life, pb_day start,
                     struct pb_hanging *capsule);

#endif
