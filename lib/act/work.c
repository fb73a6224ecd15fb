/* What the records ask for.  See work.h. */
#include "act/work.h"

#include "act/find.h"
#include "base/text.h"

#include <stdlib.h>
#include <string.h>

void pb_works_init(struct pb_works *w, struct pb_act *a)
{
    memset(w, 0, sizeof(*w));
    w->a = a;
    pb_outlook_init(&w->cross);
}

void pb_works_clear(struct pb_works *w)
{
    pb_outlook_clear(&w->cross);
    pb_batch_outlook_clear(&w->batch);
    pb_shoot_clear(&w->shoot);
}

/* Whom a walk tells. */
struct walk {
    struct pb_works *w;
    pb_work_each *each;
    void *ctx;
};

static enum pb_rc tell_cross(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct walk *walk = ctx;
    struct pb_outlook *o = &walk->w->cross;
    enum pb_rc rc = pb_outlook_make(walk->w->a, x, o, err);
    const struct pb_work work = {
        .kind = PB_CROSS,
        .head = &x->head,
        .pot = x->seed.plant.code,
        .here = !x->seed.gone && !x->seed.elsewhere,
        .tasks = &o->tasks,
        .timing = &o->timing,
        .life = &o->life,
        .match = &o->match,
        .cross = x,
        .outlook = o,
    };
    if (rc == PB_OK)
        rc = walk->each(walk->ctx, &work, err);
    return rc == PB_OK ? pb_learn_status(walk->w->a, err) : rc;
}

/* A plant that left keeps its cuttings and its pollen, so those are asked about. */
static enum pb_rc tell_batch(void *ctx, const struct pb_batch *b, struct pb_err *err)
{
    struct walk *walk = ctx;
    struct pb_batch_outlook *o = &walk->w->batch;
    enum pb_rc rc = pb_batch_outlook_make(walk->w->a, b, o, err);
    const struct pb_work work = {
        .kind = b->kind,
        .head = &b->head,
        .pot = b->cross.n != 0 ? b->cross.code : b->plant.code,
        .here = true,
        .tasks = &o->tasks,
        .timing = &o->timing,
        .life = &o->life,
        .match = &o->match,
        .batch = b,
    };
    return rc == PB_OK ? walk->each(walk->ctx, &work, err) : rc;
}

/* Nothing is asked of a plant that is not here: pb_shoot_make. */
static enum pb_rc tell_shoot(void *ctx, const struct pb_plant *p,
                             const struct pb_shoot *s, struct pb_err *err)
{
    struct walk *walk = ctx;
    const struct pb_work work = {
        .kind = PB_PLANT,
        .head = &p->head,
        .pot = p->head.code,
        .here = true,
        .tasks = &s->tasks,
        .timing = &s->timing,
        .life = &s->life,
        .match = &s->match,
        .plant = p,
    };
    return walk->each(walk->ctx, &work, err);
}

enum pb_rc pb_works_open(struct pb_works *w, pb_work_each *each, void *ctx,
                         struct pb_err *err)
{
    struct walk walk = {w, each, ctx};
    const struct pb_batch_ask open = {PB_BATCHES_OPEN, PB_KIND_N, 0};
    struct pb_book *book = w->a->book;
    enum pb_rc rc = pb_crosses_each(book, PB_CROSSES_DUE, 0, tell_cross, &walk, err);
    if (rc == PB_OK)
        rc = pb_batches_each(book, open, tell_batch, &walk, err);
    return rc == PB_OK ? pb_shoots_each(w->a, tell_shoot, &walk, err) : rc;
}

static enum pb_rc of_cross(struct walk *walk, const char *code, struct pb_err *err)
{
    struct pb_cross x;
    bool found = false;
    pb_cross_init(&x);
    enum pb_rc rc =
        pb_cross_find(walk->w->a->book, PB_CROSS_BY_CODE, code, &x, &found, err);
    if (rc == PB_OK && found && !x.head.withdrawn)
        rc = tell_cross(walk, &x, err);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc of_batch(struct walk *walk, const char *code, struct pb_err *err)
{
    struct pb_batch b;
    bool found = false;
    pb_batch_init(&b, PB_SEED);
    enum pb_rc rc =
        pb_batch_find(walk->w->a->book, PB_BATCH_BY_CODE, code, &b, &found, err);
    if (rc == PB_OK && found && !b.head.withdrawn)
        rc = tell_batch(walk, &b, err);
    pb_batch_clear(&b);
    return rc;
}

static enum pb_rc of_plant(struct walk *walk, const char *code, struct pb_err *err)
{
    struct pb_plant p;
    struct pb_shoot *s = &walk->w->shoot;
    bool found = false;
    pb_plant_init(&p);
    enum pb_rc rc =
        pb_plant_find(walk->w->a->book, PB_PLANT_BY_CODE, code, &p, &found, err);
    found = found && !p.head.withdrawn;
    if (rc == PB_OK && found)
        rc = pb_shoot_make(walk->w->a, &p, s, err);
    if (rc == PB_OK && found && s->flowering.number > 0)
        rc = tell_shoot(walk, &p, s, err);
    pb_plant_clear(&p);
    return rc;
}

enum pb_rc pb_works_of(struct pb_works *w, const char *code, pb_work_each *each,
                       void *ctx, struct pb_err *err)
{
    struct walk walk = {w, each, ctx};
    int look = 0;
    enum pb_kind kind = pb_code_kind(code, &look);
    if (kind == PB_CROSS)
        return of_cross(&walk, code, err);
    if (kind == PB_PLANT)
        return of_plant(&walk, code, err);
    return kind < PB_KIND_N ? of_batch(&walk, code, err) : PB_OK;
}

const struct pb_profile_stage *pb_work_stage(const struct pb_work *w,
                                             const struct pb_task *t)
{
    const struct pb_course *c = &pb_courses[w->kind];
    bool kept =
        w->kind == PB_POLLEN || (w->kind == PB_SEED && w->batch->form != PB_FORM_COLD);
    if (w->match->row == NULL || kept)
        return NULL;
    int nth = 0; /* of a task of several windows: pb_course_tasks */
    for (int i = 0; i < c->plan_n; i++) {
        const struct pb_plan *p = &c->plans[i];
        if (p->task != t->kind || (p->how == PB_HOW_WINDOW && ++nth != t->ordinal))
            continue;
        return p->stage != PB_STAGE_N ? pb_profile_stage(w->match, p->stage) : NULL;
    }
    return NULL;
}

/* Is there work for where it stands, had its profile days for it? */
static bool is_wanted(const struct pb_work *w)
{
    const struct pb_course *c = &pb_courses[w->kind];
    for (int i = 0; i < c->plan_n; i++)
        for (int s = 0; s < c->stand_n; s++)
            if ((c->plans[i].wanted & PB_BIT(s)) != 0 && w->life->by_stand[s] > 0)
                return true;
    return false;
}

/* Does nothing say how long the seed keeps, neither its profile nor its user? */
static bool keeps_unknown(const struct pb_work *w)
{
    const struct pb_batch *b = w->batch;
    bool computed =
        b->form == PB_FORM_DRY && pb_seedlife_given(&b->constants, b->celsius);
    return !computed && w->timing->stages[PB_STAGE_SOW].to < 0;
}

/* Of one with nothing left to do by its days. */
static enum pb_silence silence(const struct pb_work *w)
{
    switch (w->kind) {
    case PB_PLANT:
        return w->life->by_stand[PB_SHOOT_OVER] > 0 ? PB_SILENT_SHOOT : PB_SILENT_N;
    case PB_CROSS:
        return w->match->row == NULL ? PB_SILENT_UNTIMED : PB_SILENT_N;
    case PB_SEED:
        return keeps_unknown(w) ? PB_SILENT_SEED : PB_SILENT_N;
    case PB_FLASK:
        if (w->life->by_stand[PB_FLASK_SETTLED] > 0)
            return PB_SILENT_COMPOT;
        break;
    case PB_CUTTING:
        break;
    case PB_POLLEN: /* it has days of its own */
    case PB_KIND_N:
        return PB_SILENT_N;
    }
    return is_wanted(w) ? PB_SILENT_UNTIMED : PB_SILENT_N;
}

enum pb_rc pb_work_silence(const struct pb_work *w, enum pb_silence *why,
                           struct pb_err *err)
{
    int64_t left = -1;
    enum pb_rc rc = PB_OK;
    *why = PB_SILENT_N;
    if (w->life->open == 0)
        return rc;
    for (size_t i = 0; i < w->tasks->n; i++)
        if (!w->tasks->v[i].done)
            return rc;
    enum pb_silence found = silence(w);
    if (found == PB_SILENT_SEED || found == PB_SILENT_COMPOT)
        rc = pb_batch_left(w->batch, &left, err);
    if (rc == PB_OK && left != 0) /* not that the last has been taken */
        *why = found;
    return rc;
}

/* ---- absences ------------------------------------------------------------------------ */

enum pb_rc pb_work_aways(struct pb_act *a, size_t bytes, struct pb_work_away **v,
                         size_t *n, struct pb_err *err)
{
    struct pb_absence *list = NULL;
    size_t list_n = 0;
    enum pb_rc rc = pb_absences_from(a->book, a->today, &list, &list_n, err);
    *v = rc == PB_OK && list_n > 0 ? calloc(list_n, sizeof(**v)) : NULL;
    if (rc == PB_OK && list_n > 0 && *v == NULL)
        rc = pb_fail_memory(err);
    for (size_t i = 0; i < list_n && rc == PB_OK; i++) {
        struct pb_work_away *away = &(*v)[(*n)++];
        away->absence = list[i];
        pb_buf_init(&away->harvests, bytes);
        pb_buf_init(&away->others, bytes);
    }
    free(list);
    return rc;
}

void pb_work_aways_clear(struct pb_work_away *v, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        pb_buf_clear(&v[i].harvests);
        pb_buf_clear(&v[i].others);
    }
    free(v);
}

/*
 * What of a batch does not wait until somebody is back.  Allowances of ours: nobody
 * measured what a delay costs.
 */
static bool cannot_wait(const struct pb_work *w, const struct pb_task *t,
                        struct pb_span away)
{
    bool meets = pb_span_meets(t->span, away);
    bool ends = t->span.last >= away.first && t->span.last <= away.last;
    if (t->kind == PB_TASK_CALLUS || t->kind == PB_TASK_WATER)
        return meets;
    if (t->kind == PB_TASK_DEFLASK)
        return meets && w->life->by_stand[PB_FLASK_CONTAMINATED] > 0;
    return ends && (t->kind == PB_TASK_SOW || t->kind == PB_TASK_USE_POLLEN);
}

void pb_work_name(struct pb_buf *list, const char *code, const char *why)
{
    static const char cut[] = ", ...";
    enum { MORE = PB_MAX_CODE + 32, CUT = sizeof(cut) - 1 };
    if (list->len + MORE + CUT < list->max) {
        pb_buf_printf(list, "%s%s", list->len > 0 ? ", " : "", code);
        if (why != NULL)
            pb_buf_printf(list, " (%s)", why);
    } else if (strcmp(list->data + list->len - CUT, cut) != 0) {
        pb_buf_adds(list, cut);
    }
}

bool pb_work_harvest_meets(const struct pb_work *w, struct pb_span days)
{
    if (w->cross == NULL || w->cross->bagged != PB_DAY_NONE)
        return false;
    struct pb_span h = w->outlook->view.harvest;
    return h.first != PB_DAY_NONE && pb_span_meets(h, days);
}

static enum pb_rc note_away(struct pb_work_away *v, const struct pb_work *w,
                            struct pb_err *err)
{
    struct pb_span away = v->absence.span;
    if (pb_work_harvest_meets(w, away))
        pb_work_name(&v->harvests, w->head->code, NULL);
    for (size_t k = 0; w->cross == NULL && k < w->tasks->n; k++) {
        const struct pb_task *t = &w->tasks->v[k];
        if (!t->done && cannot_wait(w, t, away))
            pb_work_name(&v->others, w->head->code, pb_task_names[t->kind]);
    }
    enum pb_rc rc = pb_buf_status(&v->harvests, err);
    return rc == PB_OK ? pb_buf_status(&v->others, err) : rc;
}

enum pb_rc pb_work_aways_note(struct pb_work_away *v, size_t n, const struct pb_work *w,
                              struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    if (w->life->open == 0 || !w->here)
        return rc;
    for (size_t i = 0; i < n && rc == PB_OK; i++)
        rc = note_away(&v[i], w, err);
    return rc;
}
