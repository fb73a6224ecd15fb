/* What happened to a plant, by day.  See lifeline.h. */
#include "act/lifeline.h"

#include "act/due.h"
#include "act/telling.h"
#include "base/text.h"
#include "book/batches.h"
#include "book/crosses.h"
#include "book/flowerings.h"
#include "book/offspring.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { STEPS_BACK = 50 }; /* flasks of a line that are named, the last ones */

/* ---- where it came from -------------------------------------------------------------- */

static enum pb_rc tell_start(struct pb_telling *t, const struct pb_batch *b,
                             struct pb_err *err)
{
    const char *from = b->source.n != 0 ? b->source.code : b->cross.code;
    enum pb_at stage = PB_AT_SOWN;
    if (b->kind == PB_CUTTING) {
        pb_buf_printf(&t->text, "cut from %s", b->plant.code);
    } else if (b->kind == PB_SEED) {
        stage = PB_AT_SEED;
        pb_buf_printf(&t->text, "seed harvested from %s", b->cross.code);
    } else {
        bool replated = b->source_kind == PB_FLASK;
        stage = replated ? PB_AT_REPLATED : PB_AT_SOWN;
        pb_buf_printf(&t->text, "%s from %s", replated ? "replated" : "sown", from);
    }
    return pb_tell(t, stage, b->on, b->head.code, err);
}

/* The flask or cutting that it came out of, and what that was made from. */
static enum pb_rc tell_line(struct pb_telling *t, struct pb_err *err)
{
    struct pb_batch b;
    struct pb_ref at = t->plant->out_of;
    pb_day by = t->plant->got != PB_DAY_NONE ? t->plant->got : PB_DAY_MAX;
    size_t from = t->list->n;
    enum pb_rc rc = PB_OK;
    for (int i = 0; i < STEPS_BACK && at.n != 0 && rc == PB_OK; i++) {
        bool found = false;
        pb_batch_init(&b, PB_SEED);
        rc = pb_batch_find(t->a->book, PB_BATCH_BY_ID, at.id, &b, &found, err);
        if (rc == PB_OK && found)
            rc = pb_tell_emptied(t, &b, by, err);
        if (rc == PB_OK && found)
            rc = tell_start(t, &b, err);
        at = b.source;
        by = b.on;
        pb_batch_clear(&b);
    }
    /* it was told from its end */
    for (size_t i = from; i < t->list->n; i++)
        t->list->v[i].rank = from + t->list->n - 1 - i;
    return rc;
}

static enum pb_rc tell_cross_of(struct pb_telling *t, struct pb_err *err)
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
        rc = pb_tell(t, PB_AT_ORIGIN, x.pollinated, x.head.code, err);
    }
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc tell_got(struct pb_telling *t, struct pb_err *err)
{
    const struct pb_plant *p = t->plant;
    const char *other = "";
    if (p->out_of.n != 0) {
        bool cut = p->origin == PB_ORIGIN_CUTTING;
        pb_buf_adds(&t->text, cut         ? "potted"
                              : t->compot ? "out of the compot"
                                          : "out of its flask");
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
    return pb_tell(t, PB_AT_OUT, p->got, other, err);
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
    struct pb_telling *t = ctx;
    enum pb_rc rc = PB_OK;
    for (int i = 0; i < PB_BLOOM_N && rc == PB_OK; i++) {
        if (f->on[i] == PB_DAY_NONE)
            continue;
        pb_buf_printf(&t->text, "flowering %d: %s", f->number, words[i]);
        rc = pb_tell(t, i < PB_BLOOM_OVER ? PB_AT_FLOWER : PB_AT_OVER, f->on[i], "",
                     err);
    }
    return rc;
}

static enum pb_rc tell_looks(struct pb_telling *t, struct pb_err *err)
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
            rc = pb_tell(t, PB_AT_LOOK, v[i].on, "", err);
        pb_look_clear(&v[i]);
    }
    free(v);
    return rc;
}

static enum pb_rc tell_taken(void *ctx, const struct pb_batch *b, struct pb_err *err)
{
    struct pb_telling *t = ctx;
    if (b->kind == PB_CUTTING)
        pb_buf_printf(&t->text, "%d cutting%s taken", b->units, pb_plural(b->units));
    else
        pb_buf_adds(&t->text, "pollen taken");
    return pb_tell(t, b->kind == PB_CUTTING ? PB_AT_PARTED : PB_AT_POLLEN, b->on,
                   b->head.code, err);
}

static enum pb_rc tell_harvests(struct pb_telling *t, const struct pb_cross *x,
                                struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < x->harvest_n && rc == PB_OK; i++) {
        const struct pb_harvest *h = &x->harvests[i];
        pb_buf_printf(&t->text, "%d capsule%s of %s taken, %s", h->count,
                      pb_plural(h->count), x->head.code, pb_as_names[h->as]);
        rc = pb_tell(t, PB_AT_CAPSULE, h->on, h->lot[0] != '\0' ? h->lot : x->head.code,
                     err);
    }
    return rc;
}

/* A cross in which the plant is a parent. */
static enum pb_rc tell_cross(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct pb_telling *t = ctx;
    int64_t me = t->plant->head.n;
    if (x->seed.plant.n != me) {
        pb_buf_printf(&t->text, "gave pollen to %s", x->seed.plant.code);
        return pb_tell(t, PB_AT_CROSSED, x->pollinated, x->head.code, err);
    }
    pb_buf_printf(&t->text, "%d flower%s pollinated: ", x->flowers,
                  pb_plural(x->flowers));
    pb_cross_parents(x, &t->text);
    enum pb_rc rc = pb_tell(t, PB_AT_CROSSED, x->pollinated, x->head.code, err);
    return rc == PB_OK ? tell_harvests(t, x, err) : rc;
}

/* A clone of the plant. */
static enum pb_rc tell_clone(void *ctx, const struct pb_offspring *o,
                             struct pb_err *err)
{
    struct pb_telling *t = ctx;
    pb_buf_printf(&t->text, "%s entered as a plant", pb_origin_names[o->origin]);
    if (o->gone != PB_GONE_NOT)
        pb_buf_printf(&t->text, " (%s since)", pb_gone_names[o->gone]);
    return pb_tell(t, PB_AT_PARTED, o->got, o->plant.code, err);
}

static enum pb_rc tell_gone(struct pb_telling *t, struct pb_err *err)
{
    const struct pb_plant *p = t->plant;
    if (p->gone == PB_GONE_NOT)
        return PB_OK;
    pb_buf_printf(&t->text, "gone: %s", pb_gone_names[p->gone]);
    return pb_tell(t, PB_AT_GONE, p->gone_on, "", err);
}

enum pb_rc pb_lifeline_plant(struct pb_act *a, const struct pb_plant *p,
                             struct pb_lifeline *list, struct pb_err *err)
{
    struct pb_telling t;
    const struct pb_batch_ask taken = {PB_BATCHES_OF_PLANT, PB_KIND_N, p->head.n};
    struct pb_ref me = {.n = p->head.n};
    memcpy(me.id, p->head.id, sizeof(me.id));
    pb_telling_begin(&t, a, list, p);
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
    return pb_telling_end(&t, rc);
}
