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
                                              "survival"};
const char *const pb_rate_words[PB_RATE_N] = {
    "flasks germinated",
    "flasks contaminated",
    "cuttings rooted",
    "seedlings alive at 60 days",
};
_Static_assert(PB_ALIVE_DAYS == 60, "as pb_rate_words says");

struct counting {
    struct pb_act *a;
    const struct pb_rates_ask *ask;
    struct pb_rate_count *rates;
};

static void count(struct counting *c, enum pb_rate rate, bool yes, int n)
{
    c->rates[rate].of += (uint32_t)n;
    c->rates[rate].yes += yes ? (uint32_t)n : 0;
}

static bool came(const struct pb_life_group *g, int stand)
{
    return g->on[stand] != PB_DAY_NONE;
}

/* What died in the compot never had a code.  When it died is not known, only that it was
 * gone by the look. */
static void count_compot(struct counting *c, const struct pb_batch *b)
{
    int64_t lost = pb_batch_compot_lost(b);
    count(c, PB_RATE_SURVIVAL, false, lost < INT_MAX ? (int)lost : INT_MAX);
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
    bool left = o->gone != PB_GONE_NOT;
    pb_day seen = left ? o->gone_on : c->a->today;
    (void)err;
    if (o->got == PB_DAY_NONE || seen == PB_DAY_NONE)
        return PB_OK;
    bool alive = seen - o->got >= PB_ALIVE_DAYS;
    if (alive || o->gone == PB_DEAD)
        count(c, PB_RATE_SURVIVAL, alive, 1);
    return PB_OK;
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
    struct pb_ref me = {.n = b->head.n};
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
    memcpy(me.id, b->head.id, sizeof(me.id));
    if (b->kind == PB_CUTTING) {
        count_cuttings(c, &life);
    } else {
        count_flask(c, b, &life.groups[0]);
        count_compot(c, b);
        rc = pb_offspring_of(c->a->book, PB_OFFSPRING_OF_BATCH, &me, count_seedling, c,
                             err);
    }
    pb_life_clear(&life);
    return rc;
}

enum pb_rc pb_act_rates(struct pb_act *a, const struct pb_rates_ask *ask,
                        struct pb_rate_count rates[PB_RATE_N], struct pb_err *err)
{
    struct counting c = {a, ask, rates};
    memset(rates, 0, PB_RATE_N * sizeof(*rates));
    enum pb_rc rc = pb_batches_of_taxon(a->book, ask->taxon_key, count_batch, &c, err);
    for (int i = 0; i < PB_RATE_N && rc == PB_OK; i++)
        rc = pb_setrate_interval(rates[i].yes, rates[i].of, &rates[i].rate, err);
    return rc;
}
