/* Batches - seed lots, flasks, cuttings, pollen lots: the rules, looks, changes. */
#ifndef PB_ACT_BATCH_H
#define PB_ACT_BATCH_H

#include "act/act.h"
#include "base/buf.h"
#include "book/batches.h"
#include "core/task.h"

/* What is computed of a batch: which profile times it, where it stands, its tasks. */
struct pb_batch_outlook {
    struct pb_profile_match match;
    struct pb_timing timing;
    struct pb_life life;
    struct pb_tasks tasks;
    struct pb_events room;
    struct pb_story story; /* its events are in room */
    bool conflict;         /* its looks contradict each other (a received record) */
};

/* Zeroed memory is empty; reuse one for many, then pb_batch_outlook_clear. */
void pb_batch_outlook_clear(struct pb_batch_outlook *o);

/* Work out a batch.  Looks that contradict each other are no error: conflict is set. */
enum pb_rc pb_batch_outlook_make(struct pb_act *a, const struct pb_batch *b,
                                 struct pb_batch_outlook *o, struct pb_err *err);

/* The word for where it stands: of several units the furthest open one. */
const char *pb_batch_state(const struct pb_batch *b, const struct pb_life *life);

/* Bytes of the codes of all plants that can come out of one batch. */
enum { PB_BATCH_PLANTS_TEXT = PB_MAX_FLOWERS * (PB_MAX_CODE + 2) };

/*
 * Plants out of cuttings that are in the book as living, where they are more than stand in
 * their pots: some of them must be gone as their cutting is.
 *   codes  appended: all of the living, joined by ", "; nothing where there are not more
 */
enum pb_rc pb_batch_outlived(struct pb_act *a, const struct pb_batch *b,
                             struct pb_buf *codes, struct pb_err *err);

/* ---- inside an act that is running already ------------------------------------------- */

/*
 * Enter what was taken from a plant: a pollen lot, cuttings.
 *   b  in: its kind, plant.code, its day and what else is known.  Out: complete, with its
 *      new code
 * PB_EINVALID  a day in the future, before the plant was there or after it left
 */
enum pb_rc pb_act_take(struct pb_act *a, struct pb_batch *b, struct pb_err *err);

/*
 * A look on a batch.
 *   look  in: day, finding, and what goes with it; count 0: all it can be said of.  Out:
 *         complete, but for its texts: they move to the batch
 * PB_EINVALID  it cannot be: the reason is named; a day in the future; a sample without
 *              its method, a stage without its scale
 */
enum pb_rc pb_batch_look(struct pb_act *a, struct pb_batch *b, struct pb_look *look,
                         struct pb_err *err);

/* Hold a batch against the rules that its looks do not tell: its day lies neither in the
 * future nor before what it was taken from or is of. */
enum pb_rc pb_batch_settle(struct pb_act *a, const struct pb_batch *b,
                           struct pb_err *err);

/* The same of what is of a cross, seen from there: no seed lot or flask of it began before
 * its pollination, and no plant raised from it came.  PB_EINVALID  names the first that did */
enum pb_rc pb_batch_check_cross(struct pb_act *a, const struct pb_cross *x,
                                struct pb_err *err);

/* Of one that is in the book already, from wherever: its day does not lie before what it was
 * taken from or is of.  PB_EINVALID */
enum pb_rc pb_batch_check_day(struct pb_act *a, const struct pb_batch *b,
                              struct pb_err *err);

/* Enter a new one: settled, its code and id given. */
enum pb_rc pb_batch_enter(struct pb_act *a, struct pb_batch *b, struct pb_err *err);

/* Replay and write a changed one: revision, instant, whether it is open.  Its looks are
 * written by whoever changed them.
 *   entered  the look that was entered or amended (course.h), NULL: none */
enum pb_rc pb_batch_keep(struct pb_act *a, struct pb_batch *b,
                         const struct pb_life_event *entered, struct pb_err *err);

/* As many plants came out of cuttings as were potted, at most.  PB_EINVALID */
enum pb_rc pb_batch_check_out(struct pb_act *a, const struct pb_batch *b,
                              struct pb_err *err);

/* The crosses made with a pollen lot were made while there was some of it.  PB_EINVALID */
enum pb_rc pb_batch_check_uses(struct pb_act *a, const struct pb_batch *b,
                               struct pb_err *err);

/* Does a look say what its finding must, and nothing that it cannot? */
enum pb_rc pb_look_check(const struct pb_course *course, const struct pb_look *look,
                         struct pb_err *err);

#endif
