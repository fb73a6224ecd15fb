/* When a plant was there.  See stay.h. */
#include "act/stay.h"

#include "book/batches.h"
#include "book/crosses.h"
#include "book/flowerings.h"
#include "book/offspring.h"
#include "book/plants.h"

#include <string.h>

/* what: the day's field; "": none */
static enum pb_rc fail_left(const struct pb_plant *p, const char *what,
                            struct pb_err *err)
{
    char day[PB_DAY_TEXT];
    bool known = p->gone_on != PB_DAY_NONE;
    return pb_fail_at(err, PB_EINVALID, what, 0,
                      "%s left the collection%s%s; if it is still here, say podbook "
                      "amend %s gone=",
                      p->head.code, known ? " on " : "",
                      known ? pb_day_format(p->gone_on, day) : "", p->head.code);
}

enum pb_rc pb_stay_here(const struct pb_plant *p, pb_day on, struct pb_err *err)
{
    if (p->elsewhere)
        return pb_fail(
            err, PB_EINVALID,
            "%s stands in another collection; if you have it now, say podbook "
            "amend %s elsewhere=no",
            p->head.code, p->head.code);
    if (p->gone != PB_GONE_NOT && (p->gone_on == PB_DAY_NONE || on > p->gone_on))
        return fail_left(p, "", err);
    return PB_OK;
}

enum pb_rc pb_stay_seed_parent(struct pb_act *a, const struct pb_ref *parent, pb_day on,
                               struct pb_err *err)
{
    struct pb_plant p;
    bool found = false;
    pb_plant_init(&p);
    enum pb_rc rc = pb_plant_find(a->book, PB_PLANT_BY_ID, parent->id, &p, &found, err);
    if (rc == PB_OK && found && p.gone_on != PB_DAY_NONE && on > p.gone_on)
        rc = fail_left(&p, "on", err);
    pb_plant_clear(&p);
    return rc;
}

/* The cross that the plant's clone was raised from; it may be in another book. */
static enum pb_rc origin_cross(struct pb_act *a, const struct pb_plant *p,
                               struct pb_cross *x, bool *found, struct pb_err *err)
{
    struct pb_plant first;
    struct pb_ref genet = {0, "", ""};
    bool known = false;
    *found = false;
    if (p->source.n == 0)
        return p->from_cross.id[0] != '\0'
                   ? pb_cross_find(a->book, PB_CROSS_BY_ID, p->from_cross.id, x, found,
                                   err)
                   : PB_OK;
    pb_plant_init(&first);
    enum pb_rc rc = pb_genet_of(a->book, p->source.n, &genet, err);
    if (rc == PB_OK)
        rc = pb_plant_find(a->book, PB_PLANT_BY_ID, genet.id, &first, &known, err);
    if (rc == PB_OK && known && first.from_cross.id[0] != '\0')
        rc = pb_cross_find(a->book, PB_CROSS_BY_ID, first.from_cross.id, x, found, err);
    pb_plant_clear(&first);
    return rc;
}

/* what: the day's field */
static enum pb_rc after_cross(struct pb_act *a, const char *what,
                              const struct pb_plant *p, pb_day on, struct pb_err *err)
{
    struct pb_cross x;
    bool found = false;
    char day[PB_DAY_TEXT], other[PB_DAY_TEXT];
    pb_cross_init(&x);
    enum pb_rc rc = origin_cross(a, p, &x, &found, err);
    if (rc == PB_OK && found && on <= x.pollinated)
        rc = pb_fail_at(err, PB_EINVALID, what, 0,
                        "%s was raised from %s, pollinated on %s: it was not there on "
                        "%s",
                        p->head.code, x.head.code, pb_day_format(x.pollinated, other),
                        pb_day_format(on, day));
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc check_raised(void *ctx, const struct pb_offspring *o,
                               struct pb_err *err)
{
    const struct pb_cross *x = ctx;
    char day[PB_DAY_TEXT], other[PB_DAY_TEXT];
    if (o->got == PB_DAY_NONE || o->elsewhere || o->got > x->pollinated)
        return PB_OK;
    return pb_fail_at(err, PB_EINVALID, "on", 0,
                      "%s cannot have been pollinated on %s: %s was raised from it and "
                      "came on %s",
                      x->head.code, pb_day_format(x->pollinated, day), o->plant.code,
                      pb_day_format(o->got, other));
}

enum pb_rc pb_stay_raised(struct pb_act *a, const struct pb_cross *x,
                          struct pb_err *err)
{
    struct pb_ref record = {.n = x->head.n};
    struct pb_cross of = *x; /* walked with, not changed */
    memcpy(record.id, x->head.id, sizeof(record.id));
    return pb_offspring_of(a->book, PB_OFFSPRING_OF_CROSS, &record, check_raised, &of,
                           err);
}

static enum pb_rc after_batch(struct pb_act *a, const char *what,
                              const struct pb_plant *p, pb_day on, struct pb_err *err)
{
    struct pb_batch b;
    bool found = false;
    char day[PB_DAY_TEXT], other[PB_DAY_TEXT];
    if (p->out_of.n == 0)
        return PB_OK;
    pb_batch_init(&b, PB_CUTTING);
    enum pb_rc rc =
        pb_batch_find(a->book, PB_BATCH_BY_ID, p->out_of.id, &b, &found, err);
    if (rc == PB_OK && found && on < b.on)
        rc = pb_fail_at(err, PB_EINVALID, what, 0,
                        "%s came out of %s, which began on %s: it was not there on %s",
                        p->head.code, b.head.code, pb_day_format(b.on, other),
                        pb_day_format(on, day));
    pb_batch_clear(&b);
    return rc;
}

enum pb_rc pb_stay_came(struct pb_act *a, const struct pb_plant *p, pb_day on,
                        struct pb_err *err)
{
    char day[PB_DAY_TEXT], other[PB_DAY_TEXT];
    if (p->got != PB_DAY_NONE && !p->elsewhere && on < p->got)
        return pb_fail_at(
            err, PB_EINVALID, "on", 0, "%s lies before the day on which %s came (%s)",
            pb_day_format(on, day), p->head.code, pb_day_format(p->got, other));
    enum pb_rc rc = after_cross(a, "on", p, on, err);
    return rc == PB_OK ? after_batch(a, "on", p, on, err) : rc;
}

enum pb_rc pb_stay_parent(struct pb_act *a, const struct pb_ref *parent, pb_day on,
                          struct pb_err *err)
{
    struct pb_plant p;
    bool found = false;
    pb_plant_init(&p);
    enum pb_rc rc = pb_plant_find_came(a->book, parent->id, &p, &found, err);
    if (rc == PB_OK && found)
        rc = pb_stay_came(a, &p, on, err);
    pb_plant_clear(&p);
    return rc;
}

enum pb_rc pb_stay_check(struct pb_act *a, const struct pb_plant *p, struct pb_err *err)
{
    struct pb_plant_day first, last;
    char on[PB_DAY_TEXT], other[PB_DAY_TEXT];
    enum pb_rc rc = PB_OK;
    if (p->gone_on != PB_DAY_NONE && p->got != PB_DAY_NONE && p->gone_on < p->got)
        return pb_fail_at(err, PB_EINVALID, "gone-on", 0,
                          "%s lies before the day it came (%s)",
                          pb_day_format(p->gone_on, on), pb_day_format(p->got, other));
    if (p->got != PB_DAY_NONE && !p->elsewhere) {
        rc = after_cross(a, "got", p, p->got, err);
        if (rc == PB_OK)
            rc = after_batch(a, "got", p, p->got, err);
    }
    if (rc != PB_OK || p->head.n == 0 ||
        (p->gone_on == PB_DAY_NONE && p->got == PB_DAY_NONE))
        return rc;
    rc = pb_plant_days(a->book, p->head.n, &first, &last, err);
    if (rc == PB_OK && p->gone_on != PB_DAY_NONE && last.on != PB_DAY_NONE &&
        p->gone_on < last.on)
        rc = pb_fail_at(err, PB_EINVALID, "gone-on", 0,
                        "%s cannot have left on %s: %s on %s", p->head.code,
                        pb_day_format(p->gone_on, on), last.what,
                        pb_day_format(last.on, other));
    if (rc == PB_OK && p->got != PB_DAY_NONE && !p->elsewhere &&
        first.on != PB_DAY_NONE && first.on < p->got)
        rc = pb_fail_at(err, PB_EINVALID, "got", 0,
                        "%s cannot have come on %s: %s on %s", p->head.code,
                        pb_day_format(p->got, on), first.what,
                        pb_day_format(first.on, other));
    return rc;
}
