/* Batches in memory, and what follows from their looks.  See batch.h. */
#include "core/batch.h"

#include "core/bloom.h"
#include "core/scale.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CLOSED_CAPSULE_DAYS = 7, USE_POLLEN_NOTICE = 14, SOW_NOTICE = 28 };

/* ORDER FORM */
const char *const pb_form_names[PB_FORM_N] = {
    NULL,
    "closed-capsule",
    "dry-seed",
    "held-cold",
};
/* ORDER KEPT */
const char *const pb_kept_names[PB_KEPT_N] = {NULL, "room", "fridge", "freezer"};
/* ORDER LIGHT */
const char *const pb_light_names[PB_LIGHT_N] = {NULL, "light", "dark"};

void pb_batch_init(struct pb_batch *b, enum pb_kind kind)
{
    memset(b, 0, sizeof(*b));
    b->kind = kind;
    b->on = b->began = PB_DAY_NONE;
    b->units = 1;
    b->amount = -1;
    b->minutes = -1;
    b->celsius = b->chlorine = PB_REAL_NONE;
    struct pb_seed_constants *c = &b->constants;
    c->ke = c->cw = c->ch = c->cq = PB_REAL_NONE;
    c->viability = c->moisture = c->below = PB_REAL_NONE;
}

void pb_batch_clear(struct pb_batch *b)
{
    free(b->head.extra);
    free(b->taxon_seed);
    free(b->taxon_pollen);
    free(b->taxon);
    free(b->profile);
    free(b->constants.source);
    free(b->medium);
    free(b->agent);
    free(b->place);
    free(b->note);
    for (size_t i = 0; i < b->look_n; i++)
        pb_look_clear(&b->looks[i]);
    free(b->looks);
    pb_batch_init(b, b->kind);
}

enum pb_rc pb_batch_story(const struct pb_batch *b, struct pb_events *room,
                          struct pb_story *story, struct pb_err *err)
{
    if (pb_events_reserve(room, b->look_n, err) != PB_OK)
        return PB_ENOMEM;
    for (size_t i = 0; i < b->look_n; i++) {
        struct pb_look *l = &b->looks[i];
        room->v[i] =
            (struct pb_event){l->on, l->found, l->number, false, &l->count, false};
    }
    bool daughter = b->kind == PB_FLASK && b->source_kind == PB_FLASK;
    *story = (struct pb_story){&pb_courses[b->kind],
                               b->units,
                               daughter ? PB_FLASK_GERMINATED : 0,
                               b->on,
                               room->v,
                               b->look_n,
                               b->head.code};
    return PB_OK;
}

enum pb_rc pb_batch_replay_entered(const struct pb_batch *b,
                                   const struct pb_life_event *entered,
                                   struct pb_life *life, struct pb_err *err)
{
    struct pb_events room = {NULL, 0};
    struct pb_story story;
    enum pb_rc rc = pb_batch_story(b, &room, &story, err);
    if (rc == PB_OK)
        rc = pb_course_enter(&story, NULL, entered, life, err);
    free(room.v);
    return rc;
}

enum pb_rc pb_batch_replay(const struct pb_batch *b, struct pb_life *life,
                           struct pb_err *err)
{
    return pb_batch_replay_entered(b, NULL, life, err);
}

pb_day pb_batch_ended_on(const struct pb_batch *b)
{
    const struct pb_course *c = &pb_courses[b->kind];
    pb_day day = PB_DAY_NONE;
    for (size_t i = 0; i < b->look_n; i++) {
        int to = c->findings[b->looks[i].found].to;
        if (to != PB_STAYS && (c->open & PB_BIT(to)) == 0 && b->looks[i].on > day)
            day = b->looks[i].on;
    }
    return day;
}

/* A look in the order of the days. */
struct in_order {
    const struct pb_look *look;
};

static bool is_before(const struct pb_look *a, const struct pb_look *b)
{
    return a->on != b->on ? a->on < b->on : a->number < b->number;
}

static int by_day(const void *pa, const void *pb)
{
    const struct in_order *a = pa, *b = pb;
    return is_before(b->look, a->look) - is_before(a->look, b->look);
}

/* What is in a batch. */
struct held {
    int64_t left; /* of what was counted, -1: nobody counted */
    int64_t
        room; /* of the seeds a flask was sown with, those not taken out; -1: no limit */
};

/* A flask that was sown holds no more than its seeds; what was moved into one of another
 * flask may multiply. */
static struct held held_at_first(const struct pb_batch *b)
{
    bool sown = b->kind == PB_FLASK && b->source_kind != PB_FLASK;
    return sown ? (struct held){-1, b->amount}
                : (struct held){
                      b->kind == PB_SEED || b->kind == PB_FLASK ? b->amount : -1, -1};
}

static const struct pb_finding *finding_of(const struct pb_batch *b,
                                           const struct pb_look *l)
{
    return &pb_courses[b->kind].findings[l->found];
}

/* Seeds that are all in stage 1 have not germinated on every scale: they are not of those
 * that are counted as grown. */
static bool is_of_grown(const struct pb_look *l)
{
    return l->found != PB_FLASK_STAGE_1;
}

static const char *scale_of(const struct pb_look *l)
{
    return l->scale != NULL ? l->scale : "";
}

/*
 * The shares of one day and scale up to a look: of a stage the last count holds.
 *   grown  only those that have germinated
 */
static int64_t shares(const struct pb_batch *b, const struct in_order *order, size_t at,
                      bool grown)
{
    const struct pb_look *l = order[at].look;
    uint32_t counted = 0;
    int64_t sum = 0;
    for (size_t i = at + 1; i > 0 && order[i - 1].look->on == l->on; i--) {
        const struct pb_look *o = order[i - 1].look;
        if ((finding_of(b, o)->flags & PB_SCALE) == 0 || o->amount < 0 ||
            (counted & PB_BIT(o->found)) != 0 || (grown && !is_of_grown(o)) ||
            !pb_scale_same(scale_of(o), scale_of(l)))
            continue;
        counted |= PB_BIT(o->found);
        sum += o->amount;
    }
    return sum;
}

/* What a look makes of what is in the batch. */
static struct held after(const struct pb_batch *b, const struct pb_look *l,
                         struct held h)
{
    const struct pb_finding *f = finding_of(b, l);
    bool compot = b->kind == PB_FLASK && f->to == PB_FLASK_COMPOT;
    if ((f->flags & PB_AMOUNT) == 0 || (f->flags & PB_SCALE) != 0 || l->amount < 0)
        return h;
    if (f->tally == PB_TALLY_SEEN || compot) /* counted anew, or what was put into it */
        return (struct held){l->amount, h.room};
    return (struct held){h.left < 0 ? -1 : h.left - l->amount,
                         h.room < 0 ? -1 : h.room - l->amount};
}

struct counts {
    struct held held;
    const struct pb_look
        *broken;        /* the first that says more than there is, NULL: none */
    int64_t said, most; /* how many it says, with what it must be added to, and
                                     how many there are */
    bool sown;          /* of the seeds, not of what was counted later */
};

static bool fits(struct counts *c, int64_t said, int64_t most, bool sown)
{
    c->said = said;
    c->most = most;
    c->sown = sown;
    return most < 0 || said <= most;
}

/* May a look take out, find again, or find in a stage so many? */
static bool holds(const struct pb_batch *b, const struct in_order *order, size_t at,
                  struct counts *c)
{
    const struct pb_look *l = order[at].look;
    const struct pb_finding *f = finding_of(b, l);
    bool settled = b->kind == PB_FLASK && l->found == PB_FLASK_HAS_SETTLED;
    bool share = (f->flags & PB_SCALE) != 0, taken = f->tally == PB_TALLY_NEW;
    bool of_counted = taken || settled || (share && is_of_grown(l));
    if ((f->flags & PB_AMOUNT) == 0)
        return true;
    if (l->amount < 0) /* nothing is taken of nothing */
        return !taken || fits(c, c->held.left == 0, c->held.left, false);
    return fits(c, share ? shares(b, order, at, true) : l->amount,
                of_counted ? c->held.left : -1, false) &&
           fits(c, share ? shares(b, order, at, false) : l->amount, c->held.room, true);
}

/* Run through the looks by day. */
static enum pb_rc run_counts(const struct pb_batch *b, struct counts *c,
                             struct pb_err *err)
{
    struct in_order *order = calloc(b->look_n + 1, sizeof(*order));
    if (order == NULL)
        return pb_fail_memory(err);
    for (size_t i = 0; i < b->look_n; i++)
        order[i].look = &b->looks[i];
    qsort(order, b->look_n, sizeof(*order), by_day);
    *c = (struct counts){.held = held_at_first(b)};
    for (size_t i = 0; i < b->look_n && c->broken == NULL; i++) {
        if (!holds(b, order, i, c))
            c->broken = order[i].look;
        else
            c->held = after(b, order[i].look, c->held);
    }
    free(order);
    return PB_OK;
}

enum pb_rc pb_batch_left(const struct pb_batch *b, int64_t *left, struct pb_err *err)
{
    struct counts c;
    enum pb_rc rc = run_counts(b, &c, err);
    if (rc == PB_OK)
        *left = c.held.left;
    return rc;
}

enum pb_rc pb_batch_check(const struct pb_batch *b, struct pb_err *err)
{
    struct counts c;
    char on[PB_DAY_TEXT], many[32] = "none";
    enum pb_rc rc = run_counts(b, &c, err);
    if (rc != PB_OK || c.broken == NULL)
        return rc;
    const struct pb_look *l = c.broken;
    if (l->amount >= 0)
        (void)snprintf(many, sizeof(many), "%" PRId64, l->amount);
    return pb_fail_at(err, PB_EINVALID, b->head.code, 0,
                      "%s can%s be %s on %s: %" PRId64
                      " are left of those that were %s%s",
                      many, l->amount >= 0 ? "not" : "", finding_of(b, l)->word,
                      pb_day_format(l->on, on), c.most, c.sown ? "sown" : "counted",
                      l->amount >= 0 && c.said > l->amount
                          ? ", and some were found in another stage that day"
                          : "");
}

pb_day pb_batch_rescued_on(const struct pb_batch *b)
{
    enum {
        RESCUES = PB_BIT(PB_FLASK_RESCUED) | PB_BIT(PB_FLASK_RESCUED_TO_FLASKS) |
                  PB_BIT(PB_FLASK_RESCUED_TO_COMPOT)
    };
    for (size_t i = 0; i < b->look_n && b->kind == PB_FLASK; i++)
        if ((RESCUES & PB_BIT(b->looks[i].found)) != 0)
            return b->looks[i].on;
    return PB_DAY_NONE;
}

/* Is it a count of the seedlings in a compot, the first of them that of what was put in? */
static bool counts_compot(const struct pb_look *l)
{
    bool potted = pb_courses[PB_FLASK].findings[l->found].to == PB_FLASK_COMPOT;
    return (potted || l->found == PB_FLASK_HAS_SETTLED) && l->amount >= 0;
}

/* How many were missing at a count, by the count before it and what was taken out since;
 * -1: there is none before it.
 *   first  out: that one was what was put in */
static int64_t missing_at(const struct pb_batch *b, const struct pb_look *count,
                          bool *first)
{
    const struct pb_look *before = NULL;
    for (size_t i = 0; i < b->look_n; i++) {
        const struct pb_look *l = &b->looks[i];
        if (counts_compot(l) && is_before(l, count) &&
            (before == NULL || is_before(before, l)))
            before = l;
    }
    if (before == NULL)
        return -1;
    *first = before->found != PB_FLASK_HAS_SETTLED;
    int64_t left = before->amount;
    for (size_t i = 0; i < b->look_n; i++) {
        const struct pb_look *l = &b->looks[i];
        if (l->found == PB_FLASK_PART_DEFLASKED && l->amount >= 0 &&
            is_before(before, l) && is_before(l, count))
            left -= l->amount;
    }
    return left > count->amount ? left - count->amount : 0;
}

void pb_batch_compot(const struct pb_batch *b, int days, struct pb_compot *compot)
{
    bool counted = false;
    *compot = (struct pb_compot){PB_DAY_NONE, -1};
    for (size_t i = 0; i < b->look_n && b->kind == PB_FLASK; i++) {
        const struct pb_look *l = &b->looks[i];
        if (pb_courses[PB_FLASK].findings[l->found].to != PB_FLASK_COMPOT)
            continue;
        compot->on = l->on;
        counted = l->amount >= 0;
    }
    for (size_t i = 0; i < b->look_n && counted; i++) {
        const struct pb_look *l = &b->looks[i];
        bool first = false;
        int64_t missing = l->found == PB_FLASK_HAS_SETTLED && counts_compot(l)
                              ? missing_at(b, l, &first)
                              : -1;
        if (missing >= 0 && (first || l->on - compot->on <= days))
            compot->lost = (compot->lost > 0 ? compot->lost : 0) + missing;
    }
}

static struct pb_stage_days with_notice(int last, int notice)
{
    return (struct pb_stage_days){last > notice ? last - notice : 0, last};
}

/* Of seed that is not held cold in its capsule. */
static struct pb_stage_days sow_days(const struct pb_batch *b)
{
    const struct pb_stage_days none = {-1, -1};
    if (b->form == PB_FORM_CLOSED)
        return (struct pb_stage_days){0, CLOSED_CAPSULE_DAYS};
    int last =
        b->form == PB_FORM_DRY ? pb_seedlife_last_day(&b->constants, b->celsius) : -1;
    return last >= 0 ? with_notice(last, SOW_NOTICE) : none;
}

void pb_batch_timing(const struct pb_batch *b, const struct pb_profile_match *m,
                     struct pb_timing *t)
{
    pb_timing_init(t, b->kind == PB_FLASK ? b->began : b->on);
    for (int i = 0; i < PB_STAGE_N && m->row != NULL; i++) {
        const struct pb_profile_stage *s = pb_profile_stage(m, (enum pb_stage)i);
        if (s != NULL)
            t->stages[i] = (struct pb_stage_days){s->from, s->to};
    }
    const struct pb_stage_days none = {-1, -1};
    if (b->kind == PB_FLASK && b->source_kind == PB_FLASK)
        t->stages[PB_STAGE_REPLATE] = none;
    if (b->kind == PB_SEED && b->form != PB_FORM_COLD)
        t->stages[PB_STAGE_SOW] = sow_days(b);
    if (b->kind == PB_POLLEN) /* its table has no stage of its own */
        t->stages[PB_STAGE_RECEPTIVE] = with_notice(
            pb_pollen_good_days(pb_pollen_kept_as(b), b->dried), USE_POLLEN_NOTICE);
}
