/* What is due.  See due.h. */
#include "act/due.h"

#include "act/absence.h"
#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ORDER TASK */
static const char *const task_words[] = {
    "look whether the ovary swells",
    "look whether the capsule still holds",
    "look: yellowing, ribs lifting, near split?",
    "take the capsule before it splits",
    "sow the seed",
    "look: germinated? clean?",
    "replate what has grown",
    "deflask into pots",
    "is the cut dry? then into water",
    "put it into water",
    "look for roots, change the water",
    "pot it: half sphagnum, half perlite",
    "look whether it has settled",
    "look for pups at the nodes",
    "use the pollen or book it as used up",
};
_Static_assert(PB_ARRAY_LEN(task_words) == PB_TASK_N, "ORDER TASK");

const char *pb_task_words(enum pb_task_kind task, bool no_sign)
{
    if (task == PB_TASK_SWELLING && no_sign)
        return "look at the ovary (it hardly swells here)";
    return task_words[task];
}

void pb_task_words_for(const struct pb_cross *x, const struct pb_outlook *o,
                       const struct pb_task *t, char text[64])
{
    const struct pb_profile_stage *s =
        o->match.row != NULL ? pb_profile_stage(&o->match, PB_STAGE_SWELLING) : NULL;
    bool bagged = x->bagged != PB_DAY_NONE;
    double a_day = 0; /* chance of a split from the look to the next day */
    pb_day early = PB_DAY_NONE;
    if (t->kind == PB_TASK_RIPENESS && o->lesson.law != NULL) {
        const struct pb_hanging c = {t->span.first - x->pollinated, false};
        a_day = pb_lesson_risk(&o->lesson, c, c.intact + 1);
    }
    if (bagged && t->kind == PB_TASK_RIPENESS)
        (void)snprintf(text, 64, "look; bagged, so a split is caught");
    else if (bagged && t->kind == PB_TASK_HARVEST)
        (void)snprintf(text, 64, "take the capsule; bagged, no great hurry");
    else if (t->kind != PB_TASK_HARVEST && pb_outlook_early(o, t->span.first, &early))
        (void)snprintf(text, 64, "look or bag: %d%% split before the window",
                       (int)round(100 * pb_lesson_risk(&o->lesson, o->hanging,
                                                       t->span.first - x->pollinated)));
    else if (a_day > o->lesson.tolerance && t->kind == PB_TASK_RIPENESS)
        (void)snprintf(text, 64, "daily look, %d%% a day; or harvest, or bag",
                       (int)round(100 * a_day));
    else
        (void)snprintf(text, 64, "%s", pb_task_words(t->kind, s != NULL && s->no_sign));
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

enum { CODES_BYTES = 1 << 16 }; /* of the codes named in a remark; more are cut */

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
    struct pb_due *d = &list->v[list->n++];
    memset(d, 0, sizeof(*d));
    memcpy(d->code, x->head.code, sizeof(d->code));
    d->kind = PB_CROSS;
    d->task = t->kind;
    d->span = t->span;
    d->state = pb_task_state_on(t, run->a->today);
    d->days_over = pb_span_days_over(t->span, run->a->today);
    d->bagged = x->bagged != PB_DAY_NONE;
    pb_task_words_for(x, &run->outlook, t, d->what);
    d->has_risk = run->outlook.lesson.law != NULL && run->outlook.is_hanging;
    if (d->has_risk) /* as printed: what only shows further on is no order */
        d->risk = round(1e6 * pb_lesson_risk(&run->outlook.lesson, run->outlook.hanging,
                                             run->a->today - x->pollinated)) /
                  1e6;
    memcpy(d->pot, x->seed.plant.code, sizeof(d->pot));
    return PB_OK;
}

static enum pb_rc add_cross(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct due_run *run = ctx;
    const struct pb_task *shown[PB_SHOWN_MAX];
    enum pb_rc rc = pb_outlook_make(run->a, x, &run->outlook, err);
    if (rc != PB_OK)
        return rc;
    struct pb_buf *untimed = &run->list->untimed;
    if (run->outlook.match.row == NULL)
        pb_buf_printf(untimed, "%s%s", untimed->len > 0 ? ", " : "", x->head.code);
    pb_day early = PB_DAY_NONE;
    if (x->bagged == PB_DAY_NONE && pb_outlook_early(&run->outlook, run->by, &early)) {
        char day[PB_DAY_TEXT];
        pb_buf_printf(&run->list->early, "%s%s (from %s)",
                      run->list->early.len > 0 ? ", " : "", x->head.code,
                      pb_day_format(early, day));
        run->list->tolerance = run->outlook.lesson.tolerance;
    }
    struct pb_span harvest = run->outlook.view.harvest;
    for (size_t i = 0; i < run->list->away_n && harvest.first != PB_DAY_NONE; i++) {
        struct pb_due_away *away = &run->list->away[i];
        if (pb_span_meets(away->span, harvest))
            pb_buf_printf(&away->codes, "%s%s", away->codes.len > 0 ? ", " : "",
                          x->head.code);
    }
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
    if (a->bagged != b->bagged)
        return a->bagged ? 1 : -1; /* a split is no loss there */
    if (a->has_risk != b->has_risk)
        return a->has_risk ? -1 : 1;
    if (a->has_risk && (a->risk > b->risk || a->risk < b->risk))
        return a->risk > b->risk ? -1 : 1;
    if (a->span.last != b->span.last)
        return a->span.last < b->span.last ? -1 : 1;
    int code = strcmp(a->code, b->code);
    return code != 0 ? code : (int)a->task - (int)b->task;
}

static enum pb_rc list_absences(struct pb_act *a, struct pb_due_list *list,
                                struct pb_err *err)
{
    struct pb_absence *v = NULL;
    size_t n = 0;
    enum pb_rc rc = pb_absences_from(a->book, a->today, &v, &n, err);
    list->away = rc == PB_OK && n > 0 ? calloc(n, sizeof(*list->away)) : NULL;
    if (rc == PB_OK && n > 0 && list->away == NULL)
        rc = pb_fail_memory(err);
    for (size_t i = 0; i < n && rc == PB_OK; i++) {
        list->away[i].span = v[i].span;
        pb_buf_init(&list->away[i].codes, CODES_BYTES);
        list->away_n++;
    }
    free(v);
    return rc;
}

enum pb_rc pb_act_due(struct pb_act *a, pb_day by, struct pb_due_list *list,
                      struct pb_err *err)
{
    struct due_run run = {.a = a, .by = by, .list = list};
    pb_outlook_init(&run.outlook);
    run.outlook.brief = true;
    pb_buf_init(&list->untimed, CODES_BYTES);
    pb_buf_init(&list->early, CODES_BYTES);
    enum pb_rc rc = list_absences(a, list, err);
    if (rc == PB_OK)
        rc = pb_crosses_each(a->book, PB_CROSSES_DUE, 0, add_cross, &run, err);
    pb_outlook_clear(&run.outlook);
    if (rc != PB_OK)
        pb_due_clear(list);
    else if (list->n > 1)
        qsort(list->v, list->n, sizeof(*list->v), by_urgency);
    return rc;
}

void pb_due_clear(struct pb_due_list *list)
{
    for (size_t i = 0; i < list->away_n; i++)
        pb_buf_clear(&list->away[i].codes);
    free(list->away);
    pb_buf_clear(&list->untimed);
    pb_buf_clear(&list->early);
    free(list->v);
    memset(list, 0, sizeof(*list));
}
