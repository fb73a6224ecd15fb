/* Shares of sowing, cuttings and seedlings.  See rates.h. */
#include "act/rates.h"

#include "base/text.h"
#include "book/batches.h"
#include "book/offspring.h"
#include "book/plants.h"

#include <limits.h>
#include <string.h>

/* ORDER RATE */
const char *const pb_rate_names[PB_RATE_N] = {"germination", "contamination", "rooting",
                                              "survival", "rescue_survival"};
const char *const pb_rate_words[PB_RATE_N] = {
    "flasks germinated",          "flasks contaminated",       "cuttings rooted",
    "seedlings alive at 60 days", "rescued, alive at 60 days",
};
_Static_assert(PB_ALIVE_DAYS == 60, "as pb_rate_words says");

struct counting {
    struct pb_act *a;
    const struct pb_rates_ask *ask;
    struct pb_rate_count *rates;
    /* of the flask under way */
    struct pb_compot compot;
    pb_day rescued; /* PB_DAY_NONE: it was not */
};

static void count(struct counting *c, enum pb_rate rate, bool yes, int64_t n)
{
    uint32_t more = n < 0 ? 0 : n < INT_MAX ? (uint32_t)n : INT_MAX;
    c->rates[rate].of += more;
    c->rates[rate].yes += yes ? more : 0;
}

/* The rate of seedlings that were taken out on a day. */
static enum pb_rate survival(const struct counting *c, pb_day on)
{
    bool rescued = c->rescued != PB_DAY_NONE && on >= c->rescued;
    return rescued ? PB_RATE_RESCUE_SURVIVAL : PB_RATE_SURVIVAL;
}

static bool came(const struct pb_life_group *g, int stand)
{
    return g->on[stand] != PB_DAY_NONE;
}

/* Have they been out for so long?  Who counts the dead before that, and the living after it,
 * finds too many dead. */
static bool is_over(const struct counting *c, pb_day out)
{
    return c->a->today - out >= PB_ALIVE_DAYS;
}

/*
 * Seedlings of a compot that have no code yet.  When one died is not known, only that it was
 * missing at a count; those that were counted then and are still in it live, as a plant does
 * that nobody has booked as dead.
 */
static enum pb_rc count_compot(struct counting *c, const struct pb_batch *b,
                               const struct pb_life_group *g, struct pb_err *err)
{
    const struct pb_compot *compot = &c->compot;
    if (compot->on == PB_DAY_NONE || compot->lost < 0)
        return PB_OK;
    enum pb_rate rate = survival(c, compot->on);
    bool parted = g->stand == PB_FLASK_GIVEN || g->stand == PB_FLASK_DISCARDED;
    bool kept = g->stand == PB_FLASK_COMPOT || g->stand == PB_FLASK_SETTLED ||
                (parted && g->on[g->stand] - compot->on >= PB_ALIVE_DAYS);
    int64_t left = 0;
    if (!is_over(c, compot->on))
        return PB_OK;
    enum pb_rc rc = kept ? pb_batch_left(b, &left, err) : PB_OK;
    if (rc != PB_OK)
        return rc;
    count(c, rate, false, compot->lost);
    count(c, rate, true, left);
    return PB_OK;
}

static void count_flask(struct counting *c, const struct pb_batch *b,
                        const struct pb_life_group *g)
{
    bool dirty = came(g, PB_FLASK_CONTAMINATED);
    bool grew = came(g, PB_FLASK_GERMINATED) || came(g, PB_FLASK_COMPOT) ||
                came(g, PB_FLASK_DEFLASKED) || came(g, PB_FLASK_REPLATED);
    if (b->look_n > 0)
        count(c, PB_RATE_CONTAMINATION, dirty, 1);
    /* what a contaminated flask would have done nobody knows */
    if (b->source_kind != PB_FLASK && (grew || (came(g, PB_FLASK_DISCARDED) && !dirty)))
        count(c, PB_RATE_GERMINATION, grew, 1);
}

static void count_cuttings(struct counting *c, const struct pb_life *life)
{
    for (size_t i = 0; i < life->group_n; i++) {
        const struct pb_life_group *g = &life->groups[i];
        bool rooted = came(g, PB_CUTTING_ROOTED) || came(g, PB_CUTTING_SETTLED);
        if (rooted || g->stand == PB_CUTTING_ROTTED)
            count(c, PB_RATE_ROOTING, rooted, g->count);
    }
}

static enum pb_rc count_seedling(void *ctx, const struct pb_offspring *o,
                                 struct pb_err *err)
{
    struct counting *c = ctx;
    bool gone = o->gone != PB_GONE_NOT;
    pb_day seen = gone ? o->gone_on : c->a->today;
    (void)err;
    if (o->got == PB_DAY_NONE || seen == PB_DAY_NONE)
        return PB_OK;
    bool potted = c->compot.on != PB_DAY_NONE && o->got >= c->compot.on;
    pb_day out = potted ? c->compot.on : o->got;
    bool alive = seen - out >= PB_ALIVE_DAYS;
    if (is_over(c, out) && (alive || o->gone == PB_DEAD))
        count(c, survival(c, out), alive, 1);
    return PB_OK;
}

static enum pb_rc count_seedlings(struct counting *c, const struct pb_batch *b,
                                  const struct pb_life_group *g, struct pb_err *err)
{
    struct pb_ref me = {.n = b->head.n};
    memcpy(me.id, b->head.id, sizeof(me.id));
    pb_batch_compot(b, PB_ALIVE_DAYS, &c->compot);
    c->rescued = pb_batch_rescued_on(b);
    enum pb_rc rc = count_compot(c, b, g, err);
    return rc == PB_OK ? pb_offspring_of(c->a->book, PB_OFFSPRING_OF_BATCH, &me,
                                         count_seedling, c, err)
                       : rc;
}

/* Is it of the clone, of the cross that was asked about? */
static enum pb_rc is_asked(struct counting *c, const struct pb_batch *b, bool *asked,
                           struct pb_err *err)
{
    struct pb_ref genet = b->genet;
    enum pb_rc rc = PB_OK;
    *asked = b->kind == PB_CUTTING || c->ask->cross == 0 || c->ask->cross == b->cross.n;
    if (!*asked || c->ask->genet == 0)
        return PB_OK;
    if (b->carrier != 0)
        rc = pb_genet_of(c->a->book, b->carrier, &genet, err);
    *asked = genet.n == c->ask->genet;
    return rc;
}

static enum pb_rc count_batch(void *ctx, const struct pb_batch *b, struct pb_err *err)
{
    struct counting *c = ctx;
    struct pb_life life = {0};
    bool asked = false;
    if (b->kind != PB_FLASK && b->kind != PB_CUTTING)
        return PB_OK;
    enum pb_rc rc = is_asked(c, b, &asked, err);
    if (rc != PB_OK || !asked)
        return rc;
    rc = pb_batch_replay(b, &life, NULL);
    if (rc == PB_EINVALID) /* a received record that contradicts itself */
        return PB_OK;
    if (rc != PB_OK)
        return pb_fail_memory(err);
    if (b->kind == PB_CUTTING) {
        count_cuttings(c, &life);
    } else {
        count_flask(c, b, &life.groups[0]);
        rc = count_seedlings(c, b, &life.groups[0], err);
    }
    pb_life_clear(&life);
    return rc;
}

enum pb_rc pb_act_rates(struct pb_act *a, const struct pb_rates_ask *ask,
                        struct pb_rate_count rates[PB_RATE_N], struct pb_err *err)
{
    struct counting c = {.a = a, .ask = ask, .rates = rates};
    memset(rates, 0, PB_RATE_N * sizeof(*rates));
    enum pb_rc rc = pb_batches_of_taxon(a->book, ask->taxon_key, count_batch, &c, err);
    for (int i = 0; i < PB_RATE_N && rc == PB_OK; i++)
        rc = pb_setrate_interval(rates[i].yes, rates[i].of, &rates[i].rate, err);
    return rc;
}
