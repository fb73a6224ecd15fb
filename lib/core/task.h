/*
 * Tasks: what a cross asks of the grower, and when.
 *
 * Derived from the profile's windows and the looks so far, never stored.  Pure.
 *   swelling   the stage's window
 *   holding    where more than 14 days lie between the end of "swelling" and the first
 *              ripeness look: every max(7, harvest.from / 8 rounded) days, to be done until
 *              a third of the step later
 *   ripeness   from a tenth of harvest.from before the harvest window; then after each look
 *              a step (half the harvest window, 2 to 14 days) or what the risk allows,
 *              whichever is sooner; to be done until the next is planned, three days at
 *              most.  Which look answered which is counted by the step alone, so that what
 *              is learnt later never renumbers looks that were done
 *   harvest    the harvest window
 * A look or a harvest on or after a look task's first day answers it and all before it.
 */
#ifndef PB_CORE_TASK_H
#define PB_CORE_TASK_H

#include "core/span.h"

#include <stdbool.h>
#include <stddef.h>

/* ORDER TASK: pb_task_names.  Those of later records stand here too, in one list. */
enum pb_task_kind {
    PB_TASK_SWELLING,
    PB_TASK_HOLDING,
    PB_TASK_RIPENESS,
    PB_TASK_HARVEST,
    PB_TASK_N
};
extern const char *const pb_task_names[PB_TASK_N];

/* ORDER STATE: pb_task_state_names */
enum pb_task_state { PB_OVERDUE, PB_DUE, PB_COMING, PB_TASK_STATE_N };
extern const char *const pb_task_state_names[PB_TASK_STATE_N];

/* Days from the start to a stage; absent: from < 0. */
struct pb_stage_days {
    int from, to;
};

/*
 * When to look again at a capsule that was intact on a day: what the risk of splitting
 * asks for, after that day and no later than latest.  next NULL: the step of the profile
 * alone.
 */
struct pb_look_rule {
    pb_day (*next)(void *ctx, pb_day intact, pb_day latest);
    void *ctx;
};

struct pb_timing {
    pb_day start; /* pollination */
    struct pb_stage_days swelling, harvest, split;
    struct pb_look_rule rule;
    bool next_only; /* plan no ripeness look after the first that is still to be done */
};

struct pb_task {
    enum pb_task_kind kind;
    int ordinal; /* counts the planned looks of its kind, from 1 */
    struct pb_span span;
    bool done;
    pb_day done_on; /* day of the look that answered it */
};

struct pb_tasks {
    struct pb_task *v; /* the list's own; by kind, then ordinal */
    size_t n, cap;
};

/*
 * All planned tasks of a cross, done ones too.
 *   t        timing; a stage that is absent plans nothing
 *   look_on  days of looks and harvests, ascending; borrowed
 *   open     false: everything is done (on the last of look_on)
 *   tasks    in: initialised or from an earlier call (memory is reused); out: replaced.
 *            Release with pb_tasks_clear.
 * PB_ENOMEM
 */
enum pb_rc pb_cross_tasks(const struct pb_timing *t, const pb_day *look_on,
                          size_t look_n, bool open, struct pb_tasks *tasks,
                          struct pb_err *err);
void pb_tasks_clear(struct pb_tasks *tasks);

/*
 * What of it to show: at most one look (the earliest unanswered; it gives way to ripeness
 * on that one's first day) and, from its first day, the harvest.
 *   today, by  a look that begins after by is not shown
 *   shown      out: up to 2 tasks, borrowed from tasks
 * Returns how many.
 */
size_t pb_tasks_due(const struct pb_tasks *tasks, pb_day today, pb_day by,
                    const struct pb_task *shown[2]);

enum pb_task_state pb_task_state_on(const struct pb_task *task, pb_day today);

#endif
