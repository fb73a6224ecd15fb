/* What happened to a record, by day.  See lifeline.h. */
#include "act/lifeline.h"

#include "act/due.h"
#include "base/text.h"
#include "book/batches.h"
#include "book/crosses.h"
#include "book/flowerings.h"
#include "book/offspring.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    TEXT_BYTES = 4096, /* of one line */
    STEPS_BACK = 50    /* flasks of a line that are named, the last ones */
};

/* Flasks whose codes follow one another, filled on one day from one record. */
struct flasks {
    int n;
    pb_day on;
    bool replated;
    char first[PB_MAX_CODE + 1], from[PB_MAX_CODE + 1];
    int64_t last; /* number of the last one */
};

/* A list that is being made. */
struct telling {
    struct pb_act *a;
    struct pb_lifeline *list;
    const struct pb_plant *plant; /* whose life it is, NULL: of another record */
    const struct pb_ref *of;      /* of pollen: the plant's row, the lot's code */
    struct pb_buf text;           /* of the line under way */
    struct flasks flasks;         /* filled in one go */
    struct pb_buf gathered;       /* codes of plants of one day */
    size_t gathered_n;
    pb_day gathered_on;
};

/* Add what stands in the text, and begin it anew. */
static enum pb_rc add(struct telling *t, pb_day on, const char *code,
                      struct pb_err *err)
{
    struct pb_lifeline *l = t->list;
    enum pb_rc rc = pb_buf_status(&t->text, err);
    if (rc != PB_OK)
        return rc;
    if (l->n == l->cap) {
        size_t cap = l->cap > 0 ? 2 * l->cap : 32;
        struct pb_happening *more = realloc(l->v, cap * sizeof(*more));
        if (more == NULL)
            return pb_fail_memory(err);
        l->v = more;
        l->cap = cap;
    }
    struct pb_happening *h = &l->v[l->n];
    *h = (struct pb_happening){.on = on, .rank = l->n};
    (void)snprintf(h->code, sizeof(h->code), "%s", code);
    h->text = pb_text_copy(pb_buf_peek(&t->text));
    if (h->text == NULL)
        return pb_fail_memory(err);
    l->n++;
    pb_buf_reset(&t->text);
    return PB_OK;
}

static int by_day(const void *pa, const void *pb)
{
    const struct pb_happening *a = pa, *b = pb;
    bool dated_a = a->on != PB_DAY_NONE, dated_b = b->on != PB_DAY_NONE;
    if (dated_a != dated_b)
        return dated_a ? -1 : 1;
    if (a->on != b->on)
        return a->on < b->on ? -1 : 1;
    return (a->rank > b->rank) - (a->rank < b->rank);
}

/* The list is made: put it into order. */
static enum pb_rc finish(struct telling *t, enum pb_rc rc)
{
    pb_buf_clear(&t->text);
    if (rc == PB_OK && t->list->n > 1)
        qsort(t->list->v, t->list->n, sizeof(*t->list->v), by_day);
    return rc;
}

static const char *plural(int64_t n)
{
    return n == 1 ? "" : "s";
}

/* ---- where a plant came from --------------------------------------------------------- */

static enum pb_rc tell_start(struct telling *t, const struct pb_batch *b,
                             struct pb_err *err)
{
    const char *from = b->source.n != 0 ? b->source.code : b->cross.code;
    if (b->kind == PB_CUTTING)
        pb_buf_printf(&t->text, "cut from %s", b->plant.code);
    else if (b->kind == PB_SEED)
        pb_buf_printf(&t->text, "seed harvested from %s", b->cross.code);
    else
        pb_buf_printf(&t->text, "%s from %s",
                      b->source_kind == PB_FLASK ? "replated" : "sown", from);
    return add(t, b->on, b->head.code, err);
}

/* The flask or cutting that it came out of, and what that was made from. */
static enum pb_rc tell_line(struct telling *t, struct pb_err *err)
{
    struct pb_batch b;
    struct pb_ref at = t->plant->out_of;
    enum pb_rc rc = PB_OK;
    for (int i = 0; i < STEPS_BACK && at.n != 0 && rc == PB_OK; i++) {
        bool found = false;
        pb_batch_init(&b, PB_SEED);
        rc = pb_batch_find(t->a->book, PB_BATCH_BY_ID, at.id, &b, &found, err);
        if (rc == PB_OK && found)
            rc = tell_start(t, &b, err);
        at = b.source;
        pb_batch_clear(&b);
    }
    return rc;
}

static enum pb_rc tell_cross_of(struct telling *t, struct pb_err *err)
{
    struct pb_cross x;
    bool found = false;
    if (t->plant->from_cross.n == 0)
        return PB_OK;
    pb_cross_init(&x);
    enum pb_rc rc = pb_cross_find(t->a->book, PB_CROSS_BY_ID, t->plant->from_cross.id,
                                  &x, &found, err);
    if (rc == PB_OK && found) {
        pb_buf_adds(&t->text, "the pollination that it was raised from: ");
        pb_cross_parents(&x, &t->text);
        rc = add(t, x.pollinated, x.head.code, err);
    }
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc tell_got(struct telling *t, struct pb_err *err)
{
    const struct pb_plant *p = t->plant;
    const char *other = "";
    if (p->out_of.n != 0) {
        bool cut = p->origin == PB_ORIGIN_CUTTING;
        pb_buf_printf(&t->text, "%s", cut ? "potted" : "out of its flask");
        other = p->out_of.code;
    } else if (pb_origin_is_vegetative(p->origin)) {
        pb_buf_printf(&t->text, "came as a %s of %s", pb_origin_names[p->origin],
                      p->source.code);
        other = p->source.code;
    } else if (p->got != PB_DAY_NONE) {
        pb_buf_adds(&t->text, "got");
    } else {
        return PB_OK;
    }
    return add(t, p->got, other, err);
}

/* ---- what happened to it ------------------------------------------------------------- */

static enum pb_rc tell_flowering(void *ctx, const struct pb_flowering *f,
                                 struct pb_err *err)
{
    /* ORDER BLOOM */
    static const char *const words[PB_BLOOM_N] = {
        "a spike begins",
        "flowers open",
        "its flowers are over",
        "the shoot that flowered dies back",
    };
    struct telling *t = ctx;
    enum pb_rc rc = PB_OK;
    for (int i = 0; i < PB_BLOOM_N && rc == PB_OK; i++) {
        if (f->on[i] == PB_DAY_NONE)
            continue;
        pb_buf_printf(&t->text, "flowering %d: %s", f->number, words[i]);
        rc = add(t, f->on[i], "", err);
    }
    return rc;
}

static enum pb_rc tell_looks(struct telling *t, struct pb_err *err)
{
    struct pb_look *v = NULL;
    size_t n = 0;
    const struct pb_looked of = {PB_PLANT, t->plant->head.n};
    enum pb_rc rc = pb_looks_load(t->a->book, of, &v, &n, err);
    for (size_t i = 0; i < n; i++) {
        pb_buf_printf(&t->text, "look %d: %s", v[i].number,
                      pb_courses[PB_PLANT].findings[v[i].found].word);
        if (v[i].amount >= 0)
            pb_buf_printf(&t->text, " %" PRId64, v[i].amount);
        if (v[i].note != NULL)
            pb_buf_printf(&t->text, " - %s", v[i].note);
        if (rc == PB_OK)
            rc = add(t, v[i].on, "", err);
        pb_look_clear(&v[i]);
    }
    free(v);
    return rc;
}

static enum pb_rc tell_taken(void *ctx, const struct pb_batch *b, struct pb_err *err)
{
    struct telling *t = ctx;
    if (b->kind == PB_CUTTING)
        pb_buf_printf(&t->text, "%d cutting%s taken", b->units, plural(b->units));
    else
        pb_buf_adds(&t->text, "pollen taken");
    return add(t, b->on, b->head.code, err);
}

static enum pb_rc tell_harvests(struct telling *t, const struct pb_cross *x,
                                struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < x->harvest_n && rc == PB_OK; i++) {
        const struct pb_harvest *h = &x->harvests[i];
        pb_buf_printf(&t->text, "%d capsule%s of %s taken, %s", h->count,
                      plural(h->count), x->head.code, pb_as_names[h->as]);
        rc = add(t, h->on, h->lot[0] != '\0' ? h->lot : x->head.code, err);
    }
    return rc;
}

/* A cross in which the plant is a parent. */
static enum pb_rc tell_cross(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct telling *t = ctx;
    int64_t me = t->plant->head.n;
    if (x->seed.plant.n != me) {
        pb_buf_printf(&t->text, "gave pollen to %s", x->seed.plant.code);
        return add(t, x->pollinated, x->head.code, err);
    }
    pb_buf_printf(&t->text, "%d flower%s pollinated: ", x->flowers, plural(x->flowers));
    pb_cross_parents(x, &t->text);
    enum pb_rc rc = add(t, x->pollinated, x->head.code, err);
    return rc == PB_OK ? tell_harvests(t, x, err) : rc;
}

/* A clone of the plant. */
static enum pb_rc tell_clone(void *ctx, const struct pb_offspring *o,
                             struct pb_err *err)
{
    struct telling *t = ctx;
    pb_buf_printf(&t->text, "%s entered as a plant", pb_origin_names[o->origin]);
    if (o->gone != PB_GONE_NOT)
        pb_buf_printf(&t->text, " (%s since)", pb_gone_names[o->gone]);
    return add(t, o->got, o->plant.code, err);
}

/* Tell of the plants that have been gathered so far. */
static enum pb_rc tell_gathered(struct telling *t, struct pb_err *err)
{
    enum pb_rc rc = pb_buf_status(&t->gathered, err);
    if (rc == PB_OK && t->gathered_n > 0) {
        pb_buf_printf(&t->text, "%zu plant%s: %s", t->gathered_n,
                      plural((int64_t)t->gathered_n), pb_buf_peek(&t->gathered));
        rc = add(t, t->gathered_on, "", err);
    }
    pb_buf_reset(&t->gathered);
    t->gathered_n = 0;
    return rc;
}

/* A plant that came out of a record: those of one day share a line, as far as one goes. */
static enum pb_rc gather(void *ctx, const struct pb_offspring *o, struct pb_err *err)
{
    struct telling *t = ctx;
    enum pb_rc rc = PB_OK;
    if (t->gathered_on != o->got || t->gathered.len > TEXT_BYTES / 2)
        rc = tell_gathered(t, err);
    t->gathered_on = o->got;
    pb_buf_printf(&t->gathered, "%s%s", t->gathered_n++ > 0 ? ", " : "", o->plant.code);
    if (o->gone != PB_GONE_NOT)
        pb_buf_printf(&t->gathered, " (%s)", pb_gone_names[o->gone]);
    return rc;
}

static enum pb_rc tell_plants(struct telling *t, enum pb_offspring_of of,
                              const struct pb_ref *record, struct pb_err *err)
{
    pb_buf_init(&t->gathered, TEXT_BYTES);
    enum pb_rc rc = pb_offspring_of(t->a->book, of, record, gather, t, err);
    if (rc == PB_OK)
        rc = tell_gathered(t, err);
    pb_buf_clear(&t->gathered);
    return rc;
}

static enum pb_rc tell_gone(struct telling *t, struct pb_err *err)
{
    const struct pb_plant *p = t->plant;
    if (p->gone == PB_GONE_NOT)
        return PB_OK;
    pb_buf_printf(&t->text, "gone: %s", pb_gone_names[p->gone]);
    return add(t, p->gone_on, "", err);
}

enum pb_rc pb_lifeline_plant(struct pb_act *a, const struct pb_plant *p,
                             struct pb_lifeline *list, struct pb_err *err)
{
    struct telling t = {.a = a, .list = list, .plant = p};
    const struct pb_batch_ask taken = {PB_BATCHES_OF_PLANT, PB_KIND_N, p->head.n};
    struct pb_ref me = {.n = p->head.n};
    memcpy(me.id, p->head.id, sizeof(me.id));
    pb_buf_init(&t.text, TEXT_BYTES);
    enum pb_rc rc = tell_cross_of(&t, err);
    if (rc == PB_OK)
        rc = tell_line(&t, err);
    if (rc == PB_OK)
        rc = tell_got(&t, err);
    if (rc == PB_OK)
        rc = pb_flowerings_of(a->book, p->head.n, tell_flowering, &t, err);
    if (rc == PB_OK)
        rc = tell_looks(&t, err);
    if (rc == PB_OK)
        rc = pb_batches_each(a->book, taken, tell_taken, &t, err);
    if (rc == PB_OK)
        rc = pb_crosses_each(a->book, PB_CROSSES_OF, p->head.n, tell_cross, &t, err);
    if (rc == PB_OK)
        rc = pb_offspring_of(a->book, PB_OFFSPRING_OF_PLANT, &me, tell_clone, &t, err);
    if (rc == PB_OK)
        rc = tell_gone(&t, err);
    return finish(&t, rc);
}

/* ---- what came of a cross, of a batch ------------------------------------------------ */

/* Tell of the flasks that have been gathered so far. */
static enum pb_rc tell_flasks(struct telling *t, struct pb_err *err)
{
    const struct flasks *f = &t->flasks;
    char codes[PB_MAX_CODE + 24];
    const char *how = f->replated ? "replated" : "sown";
    if (f->n == 0)
        return PB_OK;
    if (f->n > 1) {
        (void)snprintf(codes, sizeof(codes), "%s..%03" PRId64, f->first, f->last);
        pb_buf_printf(&t->text, "%d flasks %s from %s", f->n, how, f->from);
    } else {
        (void)snprintf(codes, sizeof(codes), "%s", f->first);
        pb_buf_printf(&t->text, "%s from %s", how, f->from);
    }
    t->flasks.n = 0;
    return add(t, f->on, codes, err);
}

static enum pb_rc gather_flask(void *ctx, const struct pb_batch *b, struct pb_err *err)
{
    struct telling *t = ctx;
    struct flasks *f = &t->flasks;
    struct pb_own_code own = {0};
    enum pb_rc rc = PB_OK;
    if (b->kind != PB_FLASK)
        return PB_OK;
    const char *from = b->source.n != 0 ? b->source.code : b->cross.code;
    bool follows = pb_own_code_parse(b->head.code, &own) && f->n > 0 &&
                   f->on == b->on && own.number == f->last + 1 &&
                   strcmp(f->from, from) == 0;
    if (!follows) {
        rc = tell_flasks(t, err);
        f->on = b->on;
        f->replated = b->source_kind == PB_FLASK;
        memcpy(f->first, b->head.code, sizeof(f->first));
        (void)snprintf(f->from, sizeof(f->from), "%s", from);
    }
    f->last = own.number;
    f->n++;
    return rc;
}

static enum pb_rc tell_filled(struct telling *t, const struct pb_batch_ask *ask,
                              struct pb_err *err)
{
    enum pb_rc rc = pb_batches_each(t->a->book, *ask, gather_flask, t, err);
    return rc == PB_OK ? tell_flasks(t, err) : rc;
}

enum pb_rc pb_lifeline_cross(struct pb_act *a, const struct pb_cross *x,
                             struct pb_lifeline *list, struct pb_err *err)
{
    struct telling t = {.a = a, .list = list};
    const struct pb_batch_ask flasks = {PB_BATCHES_OF_CROSS, PB_FLASK, x->head.n};
    struct pb_ref me = {.n = x->head.n};
    memcpy(me.id, x->head.id, sizeof(me.id));
    pb_buf_init(&t.text, TEXT_BYTES);
    enum pb_rc rc = tell_filled(&t, &flasks, err);
    if (rc == PB_OK)
        rc = tell_plants(&t, PB_OFFSPRING_OF_CROSS, &me, err);
    return finish(&t, rc);
}

/* A cross of the plant that the pollen is of: made with this lot? */
static enum pb_rc tell_used(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct telling *t = ctx;
    for (size_t i = 0; i < x->pollen_n; i++) {
        const struct pb_pollen_parent *p = &x->pollen[i];
        if (p->parent.plant.n != t->of->n || pb_text_casecmp(p->lot, t->of->code) != 0)
            continue;
        pb_buf_printf(&t->text, "used on %s", x->seed.plant.code);
        if (p->age_days >= 0)
            pb_buf_printf(&t->text, ", %d day%s old", p->age_days, plural(p->age_days));
        return add(t, x->pollinated, x->head.code, err);
    }
    return PB_OK;
}

enum pb_rc pb_lifeline_batch(struct pb_act *a, const struct pb_batch *b,
                             struct pb_lifeline *list, struct pb_err *err)
{
    struct telling t = {.a = a, .list = list};
    const struct pb_batch_ask out = {PB_BATCHES_OF_BATCH, PB_KIND_N, b->head.n};
    struct pb_ref me = {.n = b->head.n}, lot = {.n = b->plant.n};
    memcpy(me.id, b->head.id, sizeof(me.id));
    memcpy(lot.code, b->head.code, sizeof(lot.code));
    pb_buf_init(&t.text, TEXT_BYTES);
    enum pb_rc rc = tell_filled(&t, &out, err);
    if (rc == PB_OK)
        rc = tell_plants(&t, PB_OFFSPRING_OF_BATCH, &me, err);
    t.of = &lot;
    if (rc == PB_OK && b->kind == PB_POLLEN)
        rc = pb_crosses_each(a->book, PB_CROSSES_OF, b->plant.n, tell_used, &t, err);
    return finish(&t, rc);
}

void pb_lifeline_clear(struct pb_lifeline *list)
{
    for (size_t i = 0; i < list->n; i++)
        free(list->v[i].text);
    free(list->v);
    memset(list, 0, sizeof(*list));
}
