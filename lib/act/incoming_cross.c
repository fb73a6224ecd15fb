/* A received cross, with its looks and harvests.  See incoming.h. */
#include "act/incoming.h"

#include "act/enter.h"
#include "book/arrive.h"
#include "book/crosses.h"

#include <stdlib.h>
#include <string.h>

/* Nothing of it lies in the future. */
static enum pb_rc check_days(const struct pb_incoming *in, const struct pb_cross *x,
                             struct pb_err *err)
{
    enum pb_rc rc = pb_incoming_day(in, "pollinated", x->pollinated, err);
    if (rc == PB_OK)
        rc = pb_incoming_day(in, "bagged", x->bagged, err);
    if (rc == PB_OK)
        rc = pb_incoming_look_days(in, (struct pb_look_list){x->looks, x->look_n}, err);
    for (size_t i = 0; rc == PB_OK && i < x->harvest_n; i++)
        rc = pb_incoming_day(in, "harvests", x->harvests[i].on, err);
    return rc;
}

/* ---- parents ---------------------------------------------------------------------------- */

static enum pb_rc resolve(struct pb_incoming *in, struct pb_cross *x,
                          struct pb_err *err)
{
    enum pb_rc rc =
        pb_incoming_parent(in, &x->seed, x->pollinated, &x->seed.plant.n, err);
    for (size_t i = 0; rc == PB_OK && i < x->pollen_n; i++) {
        struct pb_parent *parent = &x->pollen[i].parent;
        rc = pb_incoming_parent(in, parent, x->pollinated, &parent->plant.n, err);
    }
    return rc;
}

/* Only a cross that plants were raised from can close a ring. */
static enum pb_rc check_rings(struct pb_incoming *in, const struct pb_cross *x,
                              struct pb_err *err)
{
    bool has = false;
    enum pb_rc rc = pb_cross_has_offspring(in->a->book, x->head.id, &has, err);
    if (rc == PB_OK && has)
        rc = pb_incoming_ring(in, x->seed.plant.n, x->seed.plant.code, err);
    for (size_t i = 0; rc == PB_OK && has && i < x->pollen_n; i++) {
        const struct pb_ref *plant = &x->pollen[i].parent.plant;
        rc = pb_incoming_ring(in, plant->n, plant->code, err);
    }
    return rc;
}

/* ---- harvests over ours --------------------------------------------------------- */

static bool same_harvest(const struct pb_harvest *a, const struct pb_harvest *b)
{
    return a->on == b->on && a->count == b->count && a->as == b->as &&
           a->held_cold == b->held_cold;
}

/* Pair their harvests with ours that are not used yet; exact: only alike ones. */
static void pair_harvests(struct pb_cross *theirs, const struct pb_cross *ours,
                          bool *used, bool exact)
{
    for (size_t i = 0; i < theirs->harvest_n; i++) {
        struct pb_harvest *h = &theirs->harvests[i];
        size_t k = 0;
        while (k < ours->harvest_n &&
               (used[k] || (exact && !same_harvest(h, &ours->harvests[k]))))
            k++;
        if (h->n != 0 || k == ours->harvest_n)
            continue;
        used[k] = true;
        h->n = ours->harvests[k].n;
        h->number = ours->harvests[k].number;
        memcpy(h->lot, ours->harvests[k].lot, sizeof(h->lot));
    }
}

/* Harvests have no ids: alike ones first, then in their order, so that a seed lot of ours
 * stays with the harvest that made it. */
static enum pb_rc place_harvests(struct pb_incoming *in, struct pb_cross *theirs,
                                 const struct pb_cross *ours, int next,
                                 struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    int last = 0;
    bool *used = calloc(ours->harvest_n + 1, sizeof(*used));
    if (used == NULL)
        return pb_fail_memory(err);
    for (size_t i = 0; i < theirs->harvest_n; i++)
        theirs->harvests[i].number = 0;
    pair_harvests(theirs, ours, used, true);
    pair_harvests(theirs, ours, used, false);
    for (size_t i = 0; i < theirs->harvest_n; i++)
        theirs->harvests[i].number =
            pb_incoming_number(theirs->harvests[i].number, &last, &next);
    for (size_t k = 0; rc == PB_OK && k < ours->harvest_n; k++)
        if (!used[k])
            rc = pb_harvest_withdraw(in->a->book, ours->harvests[k].n, err);
    free(used);
    return rc;
}

/* ---- the cross itself --------------------------------------------------------------------- */

/* Whether anything of it is open.  Looks that contradict each other are kept, told, and
 * leave it open, so that somebody sees it. */
static enum pb_rc follow(struct pb_incoming *in, struct pb_cross *x, bool *open,
                         struct pb_err *err)
{
    struct pb_life life = {0};
    struct pb_err why = {0};
    bool holds = false;
    enum pb_rc rc = pb_cross_life(x, &life, &holds, &why);
    *open = !holds || life.open > 0;
    pb_life_clear(&life);
    if (rc != PB_OK)
        return pb_fail(err, rc, "%s", why.text);
    if (holds)
        return PB_OK;
    pb_incoming_conflict(in, &why);
    return PB_OK;
}

static enum pb_rc write_over(struct pb_incoming *in, struct pb_cross *x,
                             const struct pb_cross *ours, bool open, struct pb_err *err)
{
    x->head.n = ours->head.n;
    memcpy(x->head.code, ours->head.code, sizeof(x->head.code));
    memcpy(x->head.origin_code, ours->head.origin_code, sizeof(x->head.origin_code));
    enum pb_rc rc = pb_cross_update(in->a->book, x, open, err);
    for (size_t i = 0; rc == PB_OK && i < x->look_n; i++)
        rc = pb_look_keep(in->a->book, (struct pb_looked){PB_CROSS, x->head.n},
                          &x->looks[i], err);
    for (size_t i = 0; rc == PB_OK && i < x->harvest_n; i++)
        rc = pb_harvest_keep(in->a->book, x->head.n, &x->harvests[i], err);
    return rc;
}

/* What our records rest on is not taken away by another book. */
static enum pb_rc check_withdrawn(struct pb_incoming *in, const struct pb_cross *ours,
                                  struct pb_err *err)
{
    bool used = false;
    char who[PB_MAX_CODE + 1] = "";
    enum pb_rc rc = pb_cross_is_used(in->a->book, ours->head.id, &used, who, err);
    for (size_t i = 0; i < ours->harvest_n && !used; i++)
        if (ours->harvests[i].lot[0] != '\0') {
            memcpy(who, ours->harvests[i].lot, sizeof(who));
            used = true;
        }
    if (rc == PB_OK && used)
        rc = pb_fail(err, PB_ECONFLICT,
                     "%s was withdrawn there, but %s rests on it here; withdraw that "
                     "first",
                     ours->head.code, who);
    return rc;
}

static enum pb_rc keep_cross(struct pb_incoming *in, struct pb_cross *x,
                             const struct pb_cross *ours, struct pb_err *err)
{
    int harvest = 1;
    bool open = false;
    enum pb_rc rc = PB_OK;
    if (x->head.withdrawn && ours->head.n != 0 && !ours->head.withdrawn)
        rc = check_withdrawn(in, ours, err);
    if (rc == PB_OK)
        rc = resolve(in, x, err);
    if (rc == PB_OK && ours->head.n != 0)
        rc = pb_harvest_next(in->a->book, ours->head.n, &harvest, err);
    if (rc == PB_OK)
        rc = pb_incoming_looks(in, (struct pb_looked){PB_CROSS, ours->head.n},
                               (struct pb_look_list){x->looks, x->look_n},
                               (struct pb_look_list){ours->looks, ours->look_n}, err);
    if (rc == PB_OK)
        rc = place_harvests(in, x, ours, harvest, err);
    if (rc == PB_OK)
        rc = follow(in, x, &open, err);
    if (rc != PB_OK)
        return rc;
    if (x->head.origin_code[0] == '\0')
        memcpy(x->head.origin_code, x->head.code, sizeof(x->head.origin_code));
    in->changed = true;
    if (ours->head.n != 0)
        rc = write_over(in, x, ours, open, err);
    else {
        rc = pb_incoming_code(in, 'X', x->pollinated, &x->head, err);
        if (rc == PB_OK)
            rc = pb_cross_insert(in->a->book, x, open, err);
    }
    if (rc == PB_OK)
        rc = check_rings(in, x, err);
    if (rc == PB_OK && ours->harvest_n > 0)
        rc = pb_incoming_capsules(in, PB_PROVENANCE_CROSS, x->head.n, err);
    memcpy(in->receipt->code, x->head.code, sizeof(in->receipt->code));
    return rc;
}

/* ---- ours and theirs -------------------------------------------------------------------- */

struct two {
    struct pb_cross ours, *theirs;
};

static enum pb_rc same(void *ctx, bool whole, bool *is_same, struct pb_err *err)
{
    struct two *two = ctx;
    return pb_cross_same(&two->ours, two->theirs, whole, is_same, err);
}

static enum pb_rc keep_private(void *ctx, bool later, struct pb_err *err)
{
    struct two *two = ctx;
    return pb_cross_keep_private(two->theirs, &two->ours, later, err);
}

enum pb_rc pb_incoming_cross(struct pb_incoming *in, struct pb_cross *theirs,
                             struct pb_err *err)
{
    struct two two = {.theirs = theirs};
    bool here = false, found = false, write = false;
    pb_cross_init(&two.ours);
    enum pb_rc rc = pb_incoming_id(in, PB_CROSS, theirs->head.id, &here, err);
    if (rc == PB_OK)
        rc = check_days(in, theirs, err);
    if (rc == PB_OK && here)
        rc = pb_cross_find(in->a->book, PB_CROSS_BY_ID, theirs->head.id, &two.ours,
                           &found, err);
    if (rc == PB_OK)
        rc = pb_incoming_weigh(in,
                               &(struct pb_incoming_two){&two.ours.head, &theirs->head,
                                                         found, false, &two, same,
                                                         keep_private},
                               &write, err);
    if (rc == PB_OK && write)
        rc = keep_cross(in, theirs, &two.ours, err);
    pb_cross_clear(&two.ours);
    return rc;
}
