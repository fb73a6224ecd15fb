/* Flowerings and looks of a received plant over ours.  See incoming.h. */
#include "act/incoming.h"

#include "act/batch.h"
#include "act/shoot.h"
#include "book/arrive.h"
#include "book/flowerings.h"

static struct pb_look_list looks_of(const struct pb_plant_more *more)
{
    return (struct pb_look_list){more->looks, more->look_n};
}

enum pb_rc pb_incoming_more_check(const struct pb_incoming *in,
                                  const struct pb_plant_more *more, struct pb_err *err)
{
    enum pb_rc rc = pb_incoming_look_days(in, looks_of(more), err);
    for (size_t i = 0; rc == PB_OK && i < more->look_n; i++)
        rc = pb_look_check(&pb_courses[PB_PLANT], &more->looks[i], err);
    for (size_t i = 0; i < more->flowering_n; i++)
        for (int k = 0; k < PB_BLOOM_N && rc == PB_OK; k++)
            rc = pb_incoming_day(in, "flowerings", more->flowerings[i].on[k], err);
    return rc;
}

/* A flowering takes the row of ours with its number; what ours has beyond goes. */
static enum pb_rc keep_flowerings(struct pb_incoming *in, int64_t plant,
                                  struct pb_plant_more *theirs,
                                  const struct pb_plant_more *ours, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; rc == PB_OK && i < theirs->flowering_n; i++) {
        struct pb_flowering *f = &theirs->flowerings[i];
        f->plant = plant;
        for (size_t k = 0; k < ours->flowering_n; k++)
            if (ours->flowerings[k].number == f->number)
                f->n = ours->flowerings[k].n;
        rc = pb_flowering_keep(in->a->book, f, err);
    }
    return rc == PB_OK && ours->flowering_n > 0
               ? pb_flowerings_drop(in->a->book, plant, theirs->flowering_n, err)
               : rc;
}

enum pb_rc pb_incoming_more(struct pb_incoming *in, const struct pb_plant *p,
                            struct pb_plant_more *theirs,
                            const struct pb_plant_more *ours, struct pb_err *err)
{
    const struct pb_looked of = {PB_PLANT, p->head.n};
    struct pb_err why = {0};
    enum pb_rc rc = keep_flowerings(in, p->head.n, theirs, ours, err);
    if (rc == PB_OK)
        rc = pb_incoming_looks(in, of, looks_of(theirs), looks_of(ours), err);
    for (size_t i = 0; rc == PB_OK && i < theirs->look_n; i++)
        rc = pb_look_keep(in->a->book, of, &theirs->looks[i], err);
    if (rc != PB_OK || theirs->look_n == 0)
        return rc;
    rc = pb_shoot_check(in->a, p, &why);
    if (rc == PB_EINVALID)
        pb_incoming_conflict(in, &why);
    else if (rc != PB_OK)
        return pb_fail(err, rc, "%s", why.text);
    return PB_OK;
}
