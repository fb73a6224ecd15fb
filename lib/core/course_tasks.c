/* What a record asks for, planned from the table of its course.  See course.h. */
#include "core/task_plan.h"

enum {
    STEP_MIN = 7, /* days between the looks of PB_HOW_STEPS */
    STEP_MAX = 28
};

static bool in(uint32_t set, int i)
{
    return (set & PB_BIT(i)) != 0;
}

/* The day a group came to the latest of these stands; PB_DAY_NONE: to none. */
static pb_day came_on(const struct pb_life_group *g, uint32_t since)
{
    pb_day day = PB_DAY_NONE;
    for (int s = 0; s < PB_STANDS_MAX; s++)
        if (in(since, s) && g->on[s] != PB_DAY_NONE &&
            (day == PB_DAY_NONE || g->on[s] > day))
            day = g->on[s];
    return day;
}

/*
 * From which day a plan counts: where it is wanted, from when the first of those units
 * came so far; where nothing wants it any more, from when the last one had.  Looks again
 * and again count from the first unit of all, so that no number of theirs ever moves.
 */
static pb_day base_of(const struct pb_plan *plan, const struct pb_timing *t,
                      const struct pb_life *life, bool wanted)
{
    bool again = plan->how == PB_HOW_STEPS || plan->how == PB_HOW_WEEKLY;
    pb_day base = PB_DAY_NONE;
    if (plan->since == 0)
        return t->start;
    for (size_t i = 0; i < life->group_n; i++) {
        pb_day day = came_on(&life->groups[i], plan->since);
        bool wants = in(plan->wanted, life->groups[i].stand);
        if (day == PB_DAY_NONE || (wanted && !again && !wants))
            continue;
        if (base == PB_DAY_NONE || (wanted || again ? day < base : day > base))
            base = day;
    }
    return base;
}

/* The day on which the last unit that had wanted it did no longer; PB_DAY_NONE: none ever
 * did.  Of a unit: its first day at a stand that does not, after one that does. */
static pb_day left_on(const struct pb_plan *plan, const struct pb_life *life)
{
    pb_day last = PB_DAY_NONE;
    for (size_t i = 0; i < life->group_n; i++) {
        const struct pb_life_group *g = &life->groups[i];
        pb_day from = PB_DAY_NONE, left = PB_DAY_NONE;
        for (int s = 0; s < PB_STANDS_MAX; s++)
            if (in(plan->wanted, s) && g->on[s] != PB_DAY_NONE &&
                (from == PB_DAY_NONE || g->on[s] < from))
                from = g->on[s];
        for (int s = 0; s < PB_STANDS_MAX && from != PB_DAY_NONE; s++)
            if (!in(plan->wanted, s) && g->on[s] != PB_DAY_NONE && g->on[s] >= from &&
                (left == PB_DAY_NONE || g->on[s] < left))
                left = g->on[s];
        if (left != PB_DAY_NONE && left > last)
            last = left;
    }
    return last;
}

static bool is_wanted(const struct pb_plan *plan, const struct pb_life *life)
{
    for (size_t i = 0; i < life->group_n; i++)
        if (in(plan->wanted, life->groups[i].stand))
            return true;
    return false;
}

static int half(struct pb_stage_days d)
{
    int step = (d.to - d.from) / 2;
    return step < STEP_MIN ? STEP_MIN : step > STEP_MAX ? STEP_MAX : step;
}

/* The last of the looks from a day on that are each less than a step after the one before
 * it, the first within a step of that day. */
static pb_day last_look_in_step(const struct pb_plan *plan, pb_day from, int step,
                                const struct pb_answers *l)
{
    for (size_t i = 0; i < l->n; i++)
        if (l->events[i].on > from && l->events[i].on < pb_day_add(from, step) &&
            in(plan->answers, l->events[i].found))
            from = l->events[i].on;
    return from;
}

/* Again and again, each a full step after the look that answered the one before, or after
 * those that came inside that step; up to the first that waits. */
static enum pb_rc plan_steps(const struct pb_plan *plan, pb_day first, int step,
                             const struct pb_answers *l, struct pb_tasks *tasks,
                             struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (int ordinal = 1; rc == PB_OK; ordinal++) {
        const struct pb_task t = {
            plan->task,
            ordinal,
            {first, pb_day_add(first, step / 2)},
            false,
            PB_DAY_NONE
        };
        if (!l->wanted && (l->left_on == PB_DAY_NONE || first > l->left_on))
            return PB_OK; /* it never came to this look */
        rc = pb_task_push(tasks, t, plan->answers, l, err);
        if (rc != PB_OK || !tasks->v[tasks->n - 1].done)
            return rc;
        pb_day look = last_look_in_step(plan, tasks->v[tasks->n - 1].done_on, step, l);
        pb_day next = pb_day_add(look, step);
        if (next <= look) /* the calendar ends */
            return PB_OK;
        first = next;
    }
    return rc;
}

static enum pb_rc plan_one(const struct pb_plan *plan, const struct pb_timing *t,
                           pb_day base, const struct pb_answers *l,
                           struct pb_tasks *tasks, struct pb_err *err)
{
    struct pb_stage_days d = {-1, -1};
    if (plan->stage != PB_STAGE_N)
        d = t->stages[plan->stage];
    if (d.from < 0)
        d = (struct pb_stage_days){plan->from, plan->to};
    if (d.from < 0)
        return PB_OK;
    switch (plan->how) {
    case PB_HOW_STEPS:
        return plan_steps(plan, pb_day_add(base, d.from), half(d), l, tasks, err);
    case PB_HOW_WEEKLY:
        return plan_steps(plan, pb_day_add(base, d.from),
                          d.from > 0 ? d.from : STEP_MIN, l, tasks, err);
    case PB_HOW_WINDOW:
    case PB_HOW_HOLDING:
    case PB_HOW_RIPENESS:
    case PB_HOW_N:
        break;
    }
    const struct pb_task task = {plan->task, 1, pb_span_after(base, d.from, d.to),
                                 false, PB_DAY_NONE};
    return pb_task_push(tasks, task, plan->answers, l, err);
}

/* How many plans of the same task come before this one: two windows of one task are two
 * reminders (a flask to deflask, and at once because it is contaminated). */
static int same_before(const struct pb_course *course, const struct pb_plan *plan)
{
    int n = 0;
    for (const struct pb_plan *p = course->plans; p < plan; p++)
        n += p->task == plan->task;
    return n;
}

enum pb_rc pb_course_tasks(const struct pb_timing *t, const struct pb_story *story,
                           const struct pb_life *life, bool open,
                           struct pb_tasks *tasks, struct pb_err *err)
{
    const struct pb_course *course = story->course;
    enum pb_rc rc = PB_OK;
    tasks->n = 0;
    for (int i = 0; i < course->plan_n && rc == PB_OK; i++) {
        const struct pb_plan *plan = &course->plans[i];
        bool wanted = open && is_wanted(plan, life);
        const struct pb_answers l = {story->events, story->n, wanted,
                                     left_on(plan, life)};
        pb_day base = base_of(plan, t, life, wanted);
        size_t at = tasks->n;
        if (plan->how == PB_HOW_HOLDING)
            rc = pb_plan_holding(t, &l, tasks, err);
        else if (plan->how == PB_HOW_RIPENESS)
            rc = pb_plan_ripeness(t, &l, tasks, err);
        else if (base != PB_DAY_NONE)
            rc = plan_one(plan, t, base, &l, tasks, err);
        if (rc == PB_OK && plan->how == PB_HOW_WINDOW && tasks->n > at)
            tasks->v[at].ordinal += same_before(course, plan);
    }
    return rc;
}
