/* What is due.  See due.h. */
#include "act/due.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

const char *pb_task_words(enum pb_task_kind task, bool no_sign)
{
    switch (task) {
    case PB_TASK_SWELLING:
        return no_sign ? "look at the ovary (it hardly swells here)"
                       : "look whether the ovary swells";
    case PB_TASK_HOLDING:
        return "look whether the capsule still holds";
    case PB_TASK_RIPENESS:
        return "look: yellowing, ribs lifting, near split?";
    case PB_TASK_HARVEST:
        return "take the capsule before it splits";
    case PB_TASK_N:
        break;
    }
    return "";
}

void pb_cross_parents(const struct pb_cross *x, struct pb_buf *out)
{
    pb_buf_printf(out, "%s × ", x->seed.plant.code);
    if (x->pollen_n == 0)
        pb_buf_adds(out, "unknown");
    if (x->pollen_n > 1)
        pb_buf_addc(out, '(');
    for (size_t i = 0; i < x->pollen_n; i++)
        pb_buf_printf(out, "%s%s", i > 0 ? " + " : "", x->pollen[i].parent.plant.code);
    if (x->pollen_n > 1)
        pb_buf_addc(out, ')');
}

struct due_run {
    struct pb_act *a;
    pb_day by;
    struct pb_due_list *list;
    struct pb_outlook outlook;
};

static enum pb_rc push(struct due_run *run, const struct pb_cross *x,
                       const struct pb_task *t, struct pb_err *err)
{
    struct pb_due_list *list = run->list;
    if (list->n == list->cap) {
        size_t cap = list->cap > 0 ? list->cap * 2 : 64;
        struct pb_due *more = realloc(list->v, cap * sizeof(*more));
        if (more == NULL)
            return pb_fail_memory(err);
        list->v = more;
        list->cap = cap;
    }
    const struct pb_profile_stage *swelling =
        pb_profile_stage(&run->outlook.match, PB_STAGE_SWELLING);
    struct pb_due *d = &list->v[list->n++];
    memset(d, 0, sizeof(*d));
    memcpy(d->code, x->head.code, sizeof(d->code));
    d->kind = PB_CROSS;
    d->task = t->kind;
    d->span = t->span;
    d->state = pb_task_state_on(t, run->a->today);
    d->days_over = pb_span_days_over(t->span, run->a->today);
    d->bagged = x->bagged != PB_DAY_NONE;
    d->what = pb_task_words(t->kind, swelling != NULL && swelling->no_sign);
    memcpy(d->pot, x->seed.plant.code, sizeof(d->pot));
    return PB_OK;
}

static enum pb_rc add_cross(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct due_run *run = ctx;
    const struct pb_task *shown[2];
    enum pb_rc rc = pb_outlook_make(run->a, x, &run->outlook, err);
    if (rc != PB_OK)
        return rc;
    size_t n = pb_tasks_due(&run->outlook.tasks, run->a->today, run->by, shown);
    for (size_t i = 0; i < n && rc == PB_OK; i++)
        rc = push(run, x, shown[i], err);
    return rc;
}

static int by_urgency(const void *pa, const void *pb)
{
    const struct pb_due *a = pa, *b = pb;
    if (a->state != b->state)
        return a->state < b->state ? -1 : 1;
    if (a->has_risk != b->has_risk)
        return a->has_risk ? -1 : 1;
    if (a->has_risk && (a->risk > b->risk || a->risk < b->risk))
        return a->risk > b->risk ? -1 : 1;
    if (a->span.last != b->span.last)
        return a->span.last < b->span.last ? -1 : 1;
    int code = strcmp(a->code, b->code);
    return code != 0 ? code : (int)a->task - (int)b->task;
}

enum pb_rc pb_act_due(struct pb_act *a, pb_day by, struct pb_due_list *list,
                      struct pb_err *err)
{
    struct due_run run = {.a = a, .by = by, .list = list};
    pb_outlook_init(&run.outlook);
    enum pb_rc rc = pb_crosses_each(a->book, PB_CROSSES_DUE, 0, add_cross, &run, err);
    pb_outlook_clear(&run.outlook);
    if (rc != PB_OK)
        pb_due_clear(list);
    else if (list->n > 1)
        qsort(list->v, list->n, sizeof(*list->v), by_urgency);
    return rc;
}

void pb_due_clear(struct pb_due_list *list)
{
    free(list->v);
    memset(list, 0, sizeof(*list));
}
