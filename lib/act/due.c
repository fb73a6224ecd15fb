/* What is due.  See due.h. */
#include "act/due.h"

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
    "pot: half sphagnum, half perlite",
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

/* Is the risk too high on a day that lies before the harvest window? */
static bool is_early(const struct pb_outlook *o, pb_day day)
{
    pb_day early = PB_DAY_NONE;
    return day - o->timing.start < o->timing.stages[PB_STAGE_HARVEST].from &&
           pb_outlook_early(o, day, &early);
}

void pb_task_words_for(const struct pb_cross *x, const struct pb_outlook *o,
                       const struct pb_task *t, pb_day today, char text[64])
{
    const struct pb_profile_stage *s =
        o->match.row != NULL ? pb_profile_stage(&o->match, PB_STAGE_SWELLING) : NULL;
    bool bagged = x->bagged != PB_DAY_NONE;
    pb_day look = t->span.first > today ? t->span.first : today;
    double a_day = t->kind == PB_TASK_RIPENESS ? pb_outlook_a_day(o, look) : 0;
    if (bagged && t->kind == PB_TASK_RIPENESS)
        (void)snprintf(text, 64, "look; bagged, so a split is caught");
    else if (bagged && t->kind == PB_TASK_HARVEST)
        (void)snprintf(text, 64, "take the capsule; bagged, no great hurry");
    else if (t->kind != PB_TASK_HARVEST && is_early(o, look))
        (void)snprintf(text, 64, "look or bag: %d%% split before the window",
                       (int)round(100 * pb_lesson_risk(&o->lesson, o->hanging,
                                                       look - o->timing.start)));
    else if (a_day > o->lesson.tolerance && t->kind == PB_TASK_RIPENESS)
        (void)snprintf(text, 64, "daily look, %d%% a day; or harvest, or bag",
                       (int)round(100 * a_day));
    else
        (void)snprintf(text, 64, "%s", pb_task_words(t->kind, s != NULL && s->no_sign));
}

/* What a kind of batch asks for in words of its own. */
static const struct {
    enum pb_kind kind;
    enum pb_task_kind task;
    int ordinal; /* which of its windows */
    struct pb_task_say say;
} batch_words[] = {
    {PB_FLASK,
     PB_TASK_DEFLASK, 2,
     {"contaminated: rescue or discard, apart", "See to the contamination"}},
    {PB_FLASK,
     PB_TASK_SETTLED, 1,
     {"compot: look whether it has settled", "Look at the compot"}         },
};

const struct pb_task_say *pb_batch_task(const struct pb_batch *b,
                                        const struct pb_task *t)
{
    static const struct pb_task_say none = {NULL, NULL};
    for (size_t i = 0; i < PB_ARRAY_LEN(batch_words); i++)
        if (batch_words[i].kind == b->kind && batch_words[i].task == t->kind &&
            batch_words[i].ordinal == t->ordinal)
            return &batch_words[i].say;
    return &none;
}

void pb_batch_words(const struct pb_batch *b, const struct pb_life *life,
                    const struct pb_task *t, char text[64])
{
    const struct pb_course *c = &pb_courses[b->kind];
    const char *words = pb_batch_task(b, t)->words;
    int n = 0;
    uint32_t wanted = 0;
    for (int i = 0; i < c->plan_n; i++)
        wanted |= c->plans[i].task == t->kind ? c->plans[i].wanted : 0;
    for (int s = 0; s < c->stand_n; s++)
        n += (wanted & PB_BIT(s)) != 0 ? life->by_stand[s] : 0;
    words = words != NULL ? words : task_words[t->kind];
    if (n < life->units && n > 0)
        (void)snprintf(text, 64, "%d of %d: %s", n, life->units, words);
    else
        (void)snprintf(text, 64, "%s", words);
}

void pb_work_words(const struct pb_work *w, const struct pb_task *t, pb_day today,
                   char text[64])
{
    if (w->cross != NULL)
        pb_task_words_for(w->cross, w->outlook, t, today, text);
    else if (w->batch != NULL)
        pb_batch_words(w->batch, w->life, t, text);
    else
        (void)snprintf(text, 64, "%s", task_words[t->kind]);
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
    struct pb_due_ask ask;
    struct pb_due_list *list;
};

static void fill_risk(struct pb_due *d, const struct pb_work *w, pb_day today)
{
    const struct pb_outlook *o = w->outlook;
    d->bagged = w->cross->bagged != PB_DAY_NONE;
    d->has_risk = o->lesson.brief != NULL && o->is_hanging;
    if (d->has_risk) /* as printed: what only shows further on is no order */
        d->risk = round(1e6 * pb_lesson_risk(&o->lesson, o->hanging,
                                             today - w->cross->pollinated)) /
                  1e6;
}

/*
 * The order as one number, the least first: overdue before due before coming; in a bag last,
 * for a split is no loss there; what has a risk first, the greatest foremost; then by the
 * last day.
 */
static uint64_t urgency(const struct pb_due *d)
{
    enum { MILLION = 1000000, DAY_BITS = 32, RISK_BITS = 20 };
    uint64_t safe = d->has_risk ? (uint64_t)(MILLION - llround(MILLION * d->risk)) : 0;
    uint64_t key = (uint64_t)d->state;
    key = key << 1 | (d->bagged ? 1U : 0U);
    key = key << 1 | (d->has_risk ? 0U : 1U);
    key = key << RISK_BITS | safe;
    return key << DAY_BITS | (uint32_t)((int64_t)d->span.last - INT32_MIN);
}

static enum pb_rc push(struct due_run *run, const struct pb_work *w,
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
    memcpy(d->code, w->head->code, sizeof(d->code));
    memcpy(d->pot, w->pot, strlen(w->pot) + 1);
    d->kind = w->kind;
    d->task = t->kind;
    d->span = t->span;
    d->state = pb_task_state_on(t, run->a->today);
    d->days_over = pb_span_days_over(t->span, run->a->today);
    pb_work_words(w, t, run->a->today, d->what);
    if (w->cross != NULL)
        fill_risk(d, w, run->a->today);
    d->urgency = urgency(d);
    return PB_OK;
}

/* An open capsule that may split before anybody looks. */
static enum pb_rc note_early(struct due_run *run, const struct pb_work *w,
                             struct pb_err *err)
{
    pb_day early = PB_DAY_NONE;
    char day[PB_DAY_TEXT], from[PB_DAY_TEXT + sizeof("from ")];
    if (w->cross->bagged != PB_DAY_NONE ||
        !pb_outlook_early(w->outlook, run->ask.by, &early))
        return PB_OK;
    (void)snprintf(from, sizeof(from), "from %s", pb_day_format(early, day));
    pb_work_name(&run->list->early, w->head->code, from);
    run->list->tolerance = w->outlook->lesson.tolerance;
    return pb_buf_status(&run->list->early, err);
}

static enum pb_rc add_work(void *ctx, const struct pb_work *w, struct pb_err *err)
{
    struct due_run *run = ctx;
    const struct pb_task *shown[PB_SHOWN_MAX];
    enum pb_silence why = PB_SILENT_N;
    enum pb_rc rc = pb_work_silence(w, &why, err);
    if (rc == PB_OK && why != PB_SILENT_N) {
        pb_work_name(&run->list->silent[why], w->head->code, NULL);
        rc = pb_buf_status(&run->list->silent[why], err);
    }
    if (rc == PB_OK && w->cross != NULL)
        rc = note_early(run, w, err);
    if (rc == PB_OK)
        rc = pb_work_aways_note(run->list->away, run->list->away_n, w, err);
    size_t n = pb_tasks_due(w->tasks, run->a->today, run->ask.by, shown);
    for (size_t i = 0; i < n && rc == PB_OK; i++)
        rc = push(run, w, shown[i], err);
    const struct pb_task *ahead =
        pb_tasks_harvest_ahead(w->tasks, run->a->today, run->ask.by);
    if (rc == PB_OK && ahead != NULL && run->ask.harvests)
        rc = push(run, w, ahead, err);
    else if (ahead != NULL &&
             (run->list->opens == PB_DAY_NONE || ahead->span.first < run->list->opens))
        run->list->opens = ahead->span.first;
    return rc;
}

static int by_urgency(const void *pa, const void *pb)
{
    const struct pb_due *a = pa, *b = pb;
    if (a->urgency != b->urgency)
        return a->urgency < b->urgency ? -1 : 1;
    int code = strcmp(a->code, b->code);
    return code != 0 ? code : (int)a->task - (int)b->task;
}

enum pb_rc pb_act_due(struct pb_act *a, struct pb_due_ask ask, struct pb_due_list *list,
                      struct pb_err *err)
{
    struct due_run run = {.a = a, .ask = ask, .list = list};
    struct pb_works works;
    pb_works_init(&works, a);
    works.cross.brief = true;
    for (int i = 0; i < PB_SILENT_N; i++)
        pb_buf_init(&list->silent[i], CODES_BYTES);
    pb_buf_init(&list->early, CODES_BYTES);
    list->opens = PB_DAY_NONE;
    enum pb_rc rc = pb_work_aways(a, CODES_BYTES, &list->away, &list->away_n, err);
    if (rc == PB_OK)
        rc = pb_works_open(&works, add_work, &run, err);
    pb_works_clear(&works);
    if (rc != PB_OK)
        pb_due_clear(list);
    else if (list->n > 1)
        qsort(list->v, list->n, sizeof(*list->v), by_urgency);
    return rc;
}

void pb_due_clear(struct pb_due_list *list)
{
    pb_work_aways_clear(list->away, list->away_n);
    for (int i = 0; i < PB_SILENT_N; i++)
        pb_buf_clear(&list->silent[i]);
    pb_buf_clear(&list->early);
    free(list->v);
    memset(list, 0, sizeof(*list));
}
