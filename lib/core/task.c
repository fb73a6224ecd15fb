/* Tasks of a cross, derived from windows and looks.  See task.h for the rules. */
#include "core/task_plan.h"

#include "base/text.h"

#include <stdlib.h>

/* ORDER TASK */
const char *const pb_task_names[PB_TASK_N] = {
    "swelling",    "holding", "ripeness", "harvest", "sow",
    "germination", "replate", "deflask",  "callus",  "water",
    "roots",       "pot",     "settled",  "pups",    "use-pollen",
};
/* ORDER STATE */
const char *const pb_task_state_names[PB_TASK_STATE_N] = {"overdue", "due", "coming"};

enum {
    HOLDING_GAP = 14,     /* days without a planned look that call for holding looks */
    HOLDING_STEP_MIN = 7, /* days */
    RIPENESS_STEP_MIN = 2,
    RIPENESS_STEP_MAX = 14,
    RIPENESS_DAYS = 3 /* days in which a ripeness look may be done */
};

static bool present(struct pb_stage_days s)
{
    return s.from >= 0;
}

void pb_timing_init(struct pb_timing *t, pb_day start)
{
    *t = (struct pb_timing){.start = start};
    for (int i = 0; i < PB_STAGE_N; i++)
        t->stages[i] = (struct pb_stage_days){-1, -1};
}

static int rounded_div(int a, int b)
{
    return (a + b / 2) / b;
}

static int max_int(int a, int b)
{
    return a > b ? a : b;
}

static int min_int(int a, int b)
{
    return a < b ? a : b;
}

/* The first event of the answers on or after the day; PB_DAY_NONE: none so far. */
static pb_day answer_from(const struct pb_answers *l, uint32_t answers, pb_day day)
{
    for (size_t i = 0; i < l->n; i++)
        if (l->events[i].on >= day && (answers & PB_BIT(l->events[i].found)) != 0)
            return l->events[i].on;
    return PB_DAY_NONE;
}

enum pb_rc pb_task_push(struct pb_tasks *tasks, struct pb_task task, uint32_t answers,
                        const struct pb_answers *l, struct pb_err *err)
{
    if (tasks->n == tasks->cap) {
        size_t cap = tasks->cap > 0 ? tasks->cap * 2 : 16;
        struct pb_task *v = realloc(tasks->v, cap * sizeof(*v));
        if (v == NULL)
            return pb_fail_memory(err);
        tasks->v = v;
        tasks->cap = cap;
    }
    struct pb_task *t = &tasks->v[tasks->n++];
    *t = task;
    t->done_on = answer_from(l, answers, task.span.first);
    t->done = !l->wanted || t->done_on != PB_DAY_NONE;
    if (t->done && t->done_on == PB_DAY_NONE)
        t->done_on = l->left_on;
    return PB_OK;
}

/* First day of the ripeness looks, in days from pollination. */
static int ripeness_from(const struct pb_timing *t)
{
    return t->stages[PB_STAGE_HARVEST].from -
           rounded_div(t->stages[PB_STAGE_HARVEST].from, 10);
}

enum pb_rc pb_plan_holding(const struct pb_timing *t, const struct pb_answers *l,
                           struct pb_tasks *tasks, struct pb_err *err)
{
    if (!present(t->stages[PB_STAGE_SWELLING]) || !present(t->stages[PB_STAGE_HARVEST]))
        return PB_OK;
    int end = ripeness_from(t);
    if (end - t->stages[PB_STAGE_SWELLING].to <= HOLDING_GAP)
        return PB_OK;
    int step =
        max_int(HOLDING_STEP_MIN, rounded_div(t->stages[PB_STAGE_HARVEST].from, 8));
    enum pb_rc rc = PB_OK;
    int ordinal = 1;
    for (int d = t->stages[PB_STAGE_SWELLING].to + step; d < end && rc == PB_OK;
         d += step, ordinal++)
        rc = pb_task_push(
            tasks,
            (struct pb_task){
                .kind = PB_TASK_HOLDING,
                .ordinal = ordinal,
                .span = pb_span_after(t->start, d, min_int(d + step / 3, end - 1))},
            UINT32_MAX, l, err);
    return rc;
}

/* Day of the look after one on `from`. */
static pb_day look_after(const struct pb_timing *t, int step, pb_day from)
{
    pb_day next = pb_day_add(from, step);
    if (t->rule.next == NULL)
        return next;
    return t->rule.next(t->rule.ctx, from, next);
}

/* Looks are planned to the end of the windows, and after it one at a time while the
 * capsule still hangs. */
enum pb_rc pb_plan_ripeness(const struct pb_timing *t, const struct pb_answers *l,
                            struct pb_tasks *tasks, struct pb_err *err)
{
    if (!present(t->stages[PB_STAGE_HARVEST]))
        return PB_OK;
    int step = (t->stages[PB_STAGE_HARVEST].to - t->stages[PB_STAGE_HARVEST].from) / 2;
    step = min_int(max_int(step, RIPENESS_STEP_MIN), RIPENESS_STEP_MAX);
    pb_day end = pb_day_add(t->start, max_int(t->stages[PB_STAGE_HARVEST].to,
                                              t->stages[PB_STAGE_SPLIT].to));
    pb_day next = pb_day_add(t->start, ripeness_from(t));
    size_t i = 0; /* the first look that has not been used yet */
    while (i < l->n && l->events[i].on < next)
        i++;
    enum pb_rc rc = PB_OK;
    for (int ordinal = 1; rc == PB_OK; ordinal++) {
        pb_day after = look_after(t, step, next);
        bool calendar_ends = after <= next; /* days are held at the last one there is */
        struct pb_span span = {next, min_int(after, next + RIPENESS_DAYS) - 1};
        if (calendar_ends)
            span.last = next;
        rc =
            pb_task_push(tasks, (struct pb_task){PB_TASK_RIPENESS, ordinal, span, 0, 0},
                         UINT32_MAX, l, err);
        if (i == l->n && (!l->wanted || after > end || t->next_only || calendar_ends))
            break;
        /* The look that answered this one starts the next step; looks inside the step
         * move its end. */
        pb_day from = i < l->n ? l->events[i++].on : next;
        while (i < l->n && l->events[i].on < pb_day_add(from, step))
            from = l->events[i++].on;
        if (i == l->n && !l->wanted)
            break;
        next = i == l->n ? look_after(t, step, from) : pb_day_add(from, step);
    }
    return rc;
}

void pb_tasks_clear(struct pb_tasks *tasks)
{
    free(tasks->v);
    *tasks = (struct pb_tasks){NULL, 0, 0};
}

/* A flask whose seedlings can come out is replated no more. */
static bool gives_way(const struct pb_tasks *tasks, const struct pb_task *t,
                      pb_day today)
{
    for (size_t i = 0; i < tasks->n && t->kind == PB_TASK_REPLATE; i++) {
        const struct pb_task *other = &tasks->v[i];
        if (other->kind == PB_TASK_DEFLASK && !other->done &&
            other->span.first <= today)
            return true;
    }
    return false;
}

size_t pb_tasks_due(const struct pb_tasks *tasks, pb_day today, pb_day by,
                    const struct pb_task *shown[PB_SHOWN_MAX])
{
    const struct pb_task *look = NULL; /* of a cross */
    size_t n = 0;
    for (size_t i = 0; i < tasks->n; i++) {
        const struct pb_task *t = &tasks->v[i];
        if (t->done || gives_way(tasks, t, today))
            continue;
        if (t->kind >= PB_TASK_HARVEST) {
            pb_day until = t->kind == PB_TASK_HARVEST ? today : by;
            if (t->span.first <= until && n + 1 < PB_SHOWN_MAX)
                shown[n++] = t;
        } else if (look == NULL ||
                   (t->kind == PB_TASK_RIPENESS && look->kind != PB_TASK_RIPENESS &&
                    t->span.first <= today))
            look = t;
    }
    if (look != NULL && look->span.first <= by)
        shown[n++] = look;
    return n;
}

const struct pb_task *pb_tasks_harvest_ahead(const struct pb_tasks *tasks, pb_day today,
                                             pb_day until)
{
    for (size_t i = 0; i < tasks->n; i++) {
        const struct pb_task *t = &tasks->v[i];
        if (t->kind == PB_TASK_HARVEST && !t->done && t->span.first > today &&
            t->span.first <= until)
            return t;
    }
    return NULL;
}

enum pb_task_state pb_task_state_on(const struct pb_task *task, pb_day today)
{
    if (today > task->span.last)
        return PB_OVERDUE;
    return today >= task->span.first ? PB_DUE : PB_COMING;
}
