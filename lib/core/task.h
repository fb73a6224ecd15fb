/*
 * Tasks: what a record asks of the grower, and when.
 *
 * Derived from the profile's windows and the looks so far, never stored.  Pure.  Which
 * kinds of record ask for what is a table (course.h); of a cross:
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

#include "core/profile.h"
#include "core/span.h"

#include <stdbool.h>
#include <stddef.h>

/* ORDER TASK: pb_task_names */
enum pb_task_kind {
    PB_TASK_SWELLING, /* the looks of a cross come first */
    PB_TASK_HOLDING,
    PB_TASK_RIPENESS,
    PB_TASK_HARVEST,
    PB_TASK_SOW,
    PB_TASK_GERMINATION,
    PB_TASK_REPLATE,
    PB_TASK_DEFLASK,
    PB_TASK_CALLUS,
    PB_TASK_WATER,
    PB_TASK_ROOTS,
    PB_TASK_POT,
    PB_TASK_SETTLED,
    PB_TASK_PUPS,
    PB_TASK_USE_POLLEN,
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
    pb_day start; /* day 0 of the stages */
    struct pb_stage_days stages[PB_STAGE_N];
    struct pb_look_rule rule; /* of a cross */
    bool next_only; /* plan no ripeness look after the first that is still to be done */
};

/* No stage has days. */
void pb_timing_init(struct pb_timing *t, pb_day start);

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

void pb_tasks_clear(struct pb_tasks *tasks);

enum { PB_SHOWN_MAX = 8 }; /* tasks that one record shows at a time */

/*
 * What of it to show.  Of a cross at most one look (the earliest unanswered; it gives way
 * to ripeness on that one's first day) and, from its first day, the harvest; of the others
 * each task that waits, but that replating gives way to deflasking in the same way.
 *   today, by  what begins after by is not shown
 *   shown      out: borrowed from tasks
 * Returns how many.
 */
size_t pb_tasks_due(const struct pb_tasks *tasks, pb_day today, pb_day by,
                    const struct pb_task *shown[PB_SHOWN_MAX]);

/* Its harvest where that begins after today and until a day; NULL: none does. */
const struct pb_task *pb_tasks_harvest_ahead(const struct pb_tasks *tasks, pb_day today,
                                             pb_day until);

enum pb_task_state pb_task_state_on(const struct pb_task *task, pb_day today);

#endif
