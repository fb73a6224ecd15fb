/* Tasks of a cross, derived from windows and looks.  See task.h for the rules. */
#include "core/task.h"

#include "base/text.h"

#include <stdlib.h>

/* ORDER TASK */
const char *const pb_task_names[PB_TASK_N] = {
    "swelling",
    "holding",
    "ripeness",
    "harvest",
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

/* Looks so far, in order of the day. */
struct looks {
    const pb_day *on;
    size_t n;
    bool open;
};

static bool present(struct pb_stage_days s)
{
    return s.from >= 0;
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

/* The first look on or after the day; PB_DAY_NONE: none so far. */
static pb_day look_from(const struct looks *l, pb_day day)
{
    for (size_t i = 0; i < l->n; i++)
        if (l->on[i] >= day)
            return l->on[i];
    return PB_DAY_NONE;
}

static enum pb_rc push(struct pb_tasks *tasks, enum pb_task_kind kind, int ordinal,
                       struct pb_span span, const struct looks *l, struct pb_err *err)
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
    *t = (struct pb_task){kind, ordinal, span, !l->open, PB_DAY_NONE};
    if (kind != PB_TASK_HARVEST) {
        pb_day on = look_from(l, span.first);
        t->done = t->done || on != PB_DAY_NONE;
        t->done_on = on;
    }
    if (t->done && t->done_on == PB_DAY_NONE && l->n > 0)
        t->done_on = l->on[l->n - 1];
    return PB_OK;
}

/* First day of the ripeness looks, in days from pollination. */
static int ripeness_from(const struct pb_timing *t)
{
    return t->harvest.from - rounded_div(t->harvest.from, 10);
}

static enum pb_rc plan_holding(const struct pb_timing *t, const struct looks *l,
                               struct pb_tasks *tasks, struct pb_err *err)
{
    if (!present(t->swelling) || !present(t->harvest))
        return PB_OK;
    int end = ripeness_from(t);
    if (end - t->swelling.to <= HOLDING_GAP)
        return PB_OK;
    int step = max_int(HOLDING_STEP_MIN, rounded_div(t->harvest.from, 8));
    enum pb_rc rc = PB_OK;
    int ordinal = 1;
    for (int d = t->swelling.to + step; d < end && rc == PB_OK; d += step, ordinal++)
        rc = push(tasks, PB_TASK_HOLDING, ordinal,
                  pb_span_after(t->start, d, min_int(d + step / 3, end - 1)), l, err);
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
static enum pb_rc plan_ripeness(const struct pb_timing *t, const struct looks *l,
                                struct pb_tasks *tasks, struct pb_err *err)
{
    if (!present(t->harvest))
        return PB_OK;
    int step = (t->harvest.to - t->harvest.from) / 2;
    step = min_int(max_int(step, RIPENESS_STEP_MIN), RIPENESS_STEP_MAX);
    pb_day end = pb_day_add(t->start, max_int(t->harvest.to, t->split.to));
    pb_day next = pb_day_add(t->start, ripeness_from(t));
    size_t i = 0; /* the first look that has not been used yet */
    while (i < l->n && l->on[i] < next)
        i++;
    enum pb_rc rc = PB_OK;
    for (int ordinal = 1; rc == PB_OK; ordinal++) {
        pb_day after = look_after(t, step, next);
        bool calendar_ends = after <= next; /* days are held at the last one there is */
        struct pb_span span = {next, min_int(after, next + RIPENESS_DAYS) - 1};
        if (calendar_ends)
            span.last = next;
        rc = push(tasks, PB_TASK_RIPENESS, ordinal, span, l, err);
        if (i == l->n && (!l->open || after > end || t->next_only || calendar_ends))
            break;
        /* The look that answered this one starts the next step; looks inside the step
         * move its end. */
        pb_day from = i < l->n ? l->on[i++] : next;
        while (i < l->n && l->on[i] < pb_day_add(from, step))
            from = l->on[i++];
        if (i == l->n && !l->open)
            break;
        next = i == l->n ? look_after(t, step, from) : pb_day_add(from, step);
    }
    return rc;
}

enum pb_rc pb_cross_tasks(const struct pb_timing *t, const pb_day *look_on,
                          size_t look_n, bool open, struct pb_tasks *tasks,
                          struct pb_err *err)
{
    const struct looks l = {look_on, look_n, open};
    tasks->n = 0;
    enum pb_rc rc = PB_OK;
    if (present(t->swelling))
        rc = push(tasks, PB_TASK_SWELLING, 1,
                  pb_span_after(t->start, t->swelling.from, t->swelling.to), &l, err);
    if (rc == PB_OK)
        rc = plan_holding(t, &l, tasks, err);
    if (rc == PB_OK)
        rc = plan_ripeness(t, &l, tasks, err);
    if (rc == PB_OK && present(t->harvest))
        rc = push(tasks, PB_TASK_HARVEST, 1,
                  pb_span_after(t->start, t->harvest.from, t->harvest.to), &l, err);
    return rc;
}

void pb_tasks_clear(struct pb_tasks *tasks)
{
    free(tasks->v);
    *tasks = (struct pb_tasks){NULL, 0, 0};
}

size_t pb_tasks_due(const struct pb_tasks *tasks, pb_day today, pb_day by,
                    const struct pb_task *shown[2])
{
    const struct pb_task *look = NULL, *harvest = NULL;
    for (size_t i = 0; i < tasks->n; i++) {
        const struct pb_task *t = &tasks->v[i];
        if (t->done)
            continue;
        if (t->kind == PB_TASK_HARVEST)
            harvest = t;
        else if (look == NULL ||
                 (t->kind == PB_TASK_RIPENESS && look->kind != PB_TASK_RIPENESS &&
                  t->span.first <= today))
            look = t;
    }
    size_t n = 0;
    if (harvest != NULL && harvest->span.first <= today)
        shown[n++] = harvest;
    if (look != NULL && look->span.first <= by)
        shown[n++] = look;
    return n;
}

enum pb_task_state pb_task_state_on(const struct pb_task *task, pb_day today)
{
    if (today > task->span.last)
        return PB_OVERDUE;
    return today >= task->span.first ? PB_DUE : PB_COMING;
}
