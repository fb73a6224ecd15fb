/* Batches in memory, and what follows from their looks.  See batch.h. */
#include "core/batch.h"

#include "core/bloom.h"

#include <inttypes.h>
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

enum pb_rc pb_batch_replay(const struct pb_batch *b, struct pb_life *life,
                           struct pb_err *err)
{
    struct pb_events room = {NULL, 0};
    struct pb_story story;
    enum pb_rc rc = pb_batch_story(b, &room, &story, err);
    if (rc == PB_OK)
        rc = pb_course_replay(&story, life, err);
    free(room.v);
    return rc;
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

/* What a look makes of what is left in the batch, -1: not counted. */
static int64_t after(const struct pb_batch *b, const struct pb_look *l, int64_t left)
{
    const struct pb_finding *f = &pb_courses[b->kind].findings[l->found];
    bool recounts =
        f->tally == PB_TALLY_SEEN || (b->kind == PB_FLASK && f->to == PB_FLASK_COMPOT);
    if ((f->flags & PB_AMOUNT) == 0 || l->amount < 0)
        return left;
    if (recounts) /* what is counted anew; of a compot, what was put into it */
        return l->amount;
    return left < 0 ? left : left - l->amount;
}

/* May the look take out, or find again, so many of those that are left? */
static bool holds(const struct pb_batch *b, const struct pb_look *l, int64_t left)
{
    const struct pb_finding *f = &pb_courses[b->kind].findings[l->found];
    bool settled = b->kind == PB_FLASK && l->found == PB_FLASK_HAS_SETTLED;
    if (left < 0 || l->amount < 0 || (f->flags & PB_AMOUNT) == 0)
        return true;
    return (f->tally == PB_TALLY_SEEN && !settled) || l->amount <= left;
}

/* Run through the looks by day.
 *   broken  out: the first look that takes more than there is, NULL: none */
static enum pb_rc run_counts(const struct pb_batch *b, int64_t *left,
                             const struct pb_look **broken, struct pb_err *err)
{
    bool daughter = b->kind == PB_FLASK && b->source_kind == PB_FLASK;
    struct in_order *order = calloc(b->look_n + 1, sizeof(*order));
    if (order == NULL)
        return pb_fail_memory(err);
    for (size_t i = 0; i < b->look_n; i++)
        order[i].look = &b->looks[i];
    qsort(order, b->look_n, sizeof(*order), by_day);
    *left = b->kind == PB_SEED || daughter ? b->amount : -1;
    *broken = NULL;
    for (size_t i = 0; i < b->look_n && *broken == NULL; i++) {
        if (!holds(b, order[i].look, *left))
            *broken = order[i].look;
        else
            *left = after(b, order[i].look, *left);
    }
    free(order);
    return PB_OK;
}

enum pb_rc pb_batch_left(const struct pb_batch *b, int64_t *left, struct pb_err *err)
{
    const struct pb_look *broken = NULL;
    return run_counts(b, left, &broken, err);
}

enum pb_rc pb_batch_check(const struct pb_batch *b, struct pb_err *err)
{
    const struct pb_look *broken = NULL;
    int64_t left = -1;
    char on[PB_DAY_TEXT];
    enum pb_rc rc = run_counts(b, &left, &broken, err);
    if (rc != PB_OK || broken == NULL)
        return rc;
    const struct pb_finding *f = &pb_courses[b->kind].findings[broken->found];
    return pb_fail_at(err, PB_EINVALID, b->head.code, 0,
                      "%" PRId64 " cannot be %s on %s: %" PRId64
                      " are left of those that were counted",
                      broken->amount, f->word, pb_day_format(broken->on, on), left);
}

int64_t pb_batch_compot_lost(const struct pb_batch *b)
{
    const struct pb_look *potted = NULL, *settled = NULL;
    int64_t left = 0;
    if (b->kind != PB_FLASK)
        return 0;
    for (size_t i = 0; i < b->look_n; i++) {
        const struct pb_look *l = &b->looks[i];
        if (pb_courses[PB_FLASK].findings[l->found].to == PB_FLASK_COMPOT)
            potted = l;
        else if (l->found == PB_FLASK_HAS_SETTLED && l->amount >= 0 &&
                 (settled == NULL || is_before(l, settled)))
            settled = l;
    }
    if (potted == NULL || potted->amount < 0 || settled == NULL)
        return 0;
    left = potted->amount;
    for (size_t i = 0; i < b->look_n; i++) {
        const struct pb_look *l = &b->looks[i];
        if (l->found == PB_FLASK_PART_DEFLASKED && l->amount >= 0 &&
            is_before(potted, l) && is_before(l, settled))
            left -= l->amount;
    }
    return left > settled->amount ? left - settled->amount : 0;
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
