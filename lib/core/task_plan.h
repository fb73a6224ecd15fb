/* Parts of planning tasks.  Internal to task.c and course_tasks.c. */
#ifndef PB_CORE_TASK_PLAN_H
#define PB_CORE_TASK_PLAN_H

#include "core/course.h"

/* What may have answered a task. */
struct pb_answers {
    const struct pb_event *events; /* by day */
    size_t n;
    bool wanted;    /* false: nothing wants it any more, it is done */
    pb_day left_on; /* day on which the last that had wanted it did no longer */
};

/* Append a task; whether and when it was done follows from the answers (bits of findings)
 * on or after its first day. */
enum pb_rc pb_task_push(struct pb_tasks *tasks, struct pb_task task, uint32_t answers,
                        const struct pb_answers *l, struct pb_err *err);

/* The looks of a cross that have rules of their own: task.h. */
enum pb_rc pb_plan_holding(const struct pb_timing *t, const struct pb_answers *l,
                           struct pb_tasks *tasks, struct pb_err *err);
enum pb_rc pb_plan_ripeness(const struct pb_timing *t, const struct pb_answers *l,
                            struct pb_tasks *tasks, struct pb_err *err);

#endif
