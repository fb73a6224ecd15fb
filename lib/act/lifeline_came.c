/* What came of a cross, of a batch, by day.  See lifeline.h. */
#include "act/lifeline.h"

#include "act/due.h"
#include "act/telling.h"
#include "base/text.h"
#include "book/batches.h"
#include "book/crosses.h"
#include "book/offspring.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

enum { PLANTS_BYTES = 4096 }; /* of the codes in one line, half of it at the break */

/* Flasks whose codes follow one another, filled on one day from one record. */
struct flasks {
    int n;
    pb_day on;
    bool replated;
    char first[PB_MAX_CODE + 1], from[PB_MAX_CODE + 1];
    int64_t last; /* number of the last one */
};

struct came {
    struct pb_telling t;
    bool whole;              /* how flasks were emptied too: no other line tells */
    const struct pb_ref *of; /* of pollen: the plant's row, the lot's code */
    struct flasks flasks;    /* filled in one go */
    struct pb_buf gathered;  /* codes of plants of one day */
    size_t gathered_n;
    pb_day gathered_on;
};

/* Tell of the plants that have been gathered so far. */
static enum pb_rc tell_gathered(struct came *c, struct pb_err *err)
{
    enum pb_rc rc = pb_buf_status(&c->gathered, err);
    if (rc == PB_OK && c->gathered_n > 0) {
        pb_buf_printf(&c->t.text, "%zu plant%s: %s", c->gathered_n,
                      pb_plural((int64_t)c->gathered_n), pb_buf_peek(&c->gathered));
        rc = pb_tell(&c->t, PB_AT_PARTED, c->gathered_on, "", err);
    }
    pb_buf_reset(&c->gathered);
    c->gathered_n = 0;
    return rc;
}

/* A plant that came out of a record: those of one day share a line, as far as one goes. */
static enum pb_rc gather(void *ctx, const struct pb_offspring *o, struct pb_err *err)
{
    struct came *c = ctx;
    enum pb_rc rc = PB_OK;
    if (c->gathered_on != o->got || c->gathered.len > PLANTS_BYTES / 2)
        rc = tell_gathered(c, err);
    c->gathered_on = o->got;
    pb_buf_printf(&c->gathered, "%s%s", c->gathered_n++ > 0 ? ", " : "", o->plant.code);
    if (o->gone != PB_GONE_NOT)
        pb_buf_printf(&c->gathered, " (%s)", pb_gone_names[o->gone]);
    return rc;
}

static enum pb_rc tell_plants(struct came *c, enum pb_offspring_of of,
                              const struct pb_ref *record, struct pb_err *err)
{
    pb_buf_init(&c->gathered, PLANTS_BYTES);
    enum pb_rc rc = pb_offspring_of(c->t.a->book, of, record, gather, c, err);
    if (rc == PB_OK)
        rc = tell_gathered(c, err);
    pb_buf_clear(&c->gathered);
    return rc;
}

/* Tell of the flasks that have been gathered so far. */
static enum pb_rc tell_flasks(struct came *c, struct pb_err *err)
{
    const struct flasks *f = &c->flasks;
    char codes[PB_MAX_CODE + 24];
    const char *how = f->replated ? "replated" : "sown";
    if (f->n == 0)
        return PB_OK;
    if (f->n > 1) {
        (void)snprintf(codes, sizeof(codes), "%s..%03" PRId64, f->first, f->last);
        pb_buf_printf(&c->t.text, "%d flasks %s from %s", f->n, how, f->from);
    } else {
        (void)snprintf(codes, sizeof(codes), "%s", f->first);
        pb_buf_printf(&c->t.text, "%s from %s", how, f->from);
    }
    c->flasks.n = 0;
    return pb_tell(&c->t, f->replated ? PB_AT_REPLATED : PB_AT_SOWN, f->on, codes, err);
}

static enum pb_rc gather_flask(void *ctx, const struct pb_batch *b, struct pb_err *err)
{
    struct came *c = ctx;
    struct flasks *f = &c->flasks;
    struct pb_own_code own = {0};
    enum pb_rc rc = PB_OK;
    if (b->kind != PB_FLASK)
        return PB_OK;
    const char *from = b->source.n != 0 ? b->source.code : b->cross.code;
    bool follows = pb_own_code_parse(b->head.code, &own) && f->n > 0 &&
                   f->on == b->on && own.number == f->last + 1 &&
                   strcmp(f->from, from) == 0;
    if (!follows) {
        rc = tell_flasks(c, err);
        f->on = b->on;
        f->replated = b->source_kind == PB_FLASK;
        memcpy(f->first, b->head.code, sizeof(f->first));
        (void)snprintf(f->from, sizeof(f->from), "%s", from);
    }
    f->last = own.number;
    f->n++;
    return rc == PB_OK && c->whole ? pb_tell_emptied(&c->t, b, PB_DAY_MAX, err) : rc;
}

static enum pb_rc tell_filled(struct came *c, const struct pb_batch_ask *ask,
                              struct pb_err *err)
{
    enum pb_rc rc = pb_batches_each(c->t.a->book, *ask, gather_flask, c, err);
    return rc == PB_OK ? tell_flasks(c, err) : rc;
}

enum pb_rc pb_lifeline_cross(struct pb_act *a, const struct pb_cross *x,
                             struct pb_lifeline *list, struct pb_err *err)
{
    struct came c = {.whole = true};
    const struct pb_batch_ask flasks = {PB_BATCHES_OF_CROSS, PB_FLASK, x->head.n};
    struct pb_ref me = {.n = x->head.n};
    memcpy(me.id, x->head.id, sizeof(me.id));
    pb_telling_begin(&c.t, a, list, NULL);
    enum pb_rc rc = tell_filled(&c, &flasks, err);
    if (rc == PB_OK)
        rc = tell_plants(&c, PB_OFFSPRING_OF_CROSS, &me, err);
    return pb_telling_end(&c.t, rc);
}

/* A cross of the plant that the pollen is of: made with this lot? */
static enum pb_rc tell_used(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct came *c = ctx;
    for (size_t i = 0; i < x->pollen_n; i++) {
        const struct pb_pollen_parent *p = &x->pollen[i];
        if (p->parent.plant.n != c->of->n || pb_text_casecmp(p->lot, c->of->code) != 0)
            continue;
        pb_buf_printf(&c->t.text, "used on %s", x->seed.plant.code);
        if (p->age_days >= 0)
            pb_buf_printf(&c->t.text, ", %d day%s old", p->age_days,
                          pb_plural(p->age_days));
        return pb_tell(&c->t, PB_AT_CROSSED, x->pollinated, x->head.code, err);
    }
    return PB_OK;
}

enum pb_rc pb_lifeline_batch(struct pb_act *a, const struct pb_batch *b,
                             struct pb_lifeline *list, struct pb_err *err)
{
    struct came c = {.whole = false};
    const struct pb_batch_ask out = {PB_BATCHES_OF_BATCH, PB_KIND_N, b->head.n};
    struct pb_ref me = {.n = b->head.n}, lot = {.n = b->plant.n};
    memcpy(me.id, b->head.id, sizeof(me.id));
    memcpy(lot.code, b->head.code, sizeof(lot.code));
    pb_telling_begin(&c.t, a, list, NULL);
    enum pb_rc rc = tell_filled(&c, &out, err);
    if (rc == PB_OK)
        rc = tell_plants(&c, PB_OFFSPRING_OF_BATCH, &me, err);
    c.of = &lot;
    if (rc == PB_OK && b->kind == PB_POLLEN)
        rc = pb_crosses_each(a->book, PB_CROSSES_OF, b->plant.n, tell_used, &c, err);
    return pb_telling_end(&c.t, rc);
}
