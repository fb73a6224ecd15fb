/* Flowerings and stored pollen.  See bloom.h. */
#include "act/bloom.h"

#include "act/find.h"
#include "base/text.h"
#include "book/crosses.h"
#include "book/flowerings.h"
#include "book/plants.h"
#include "book/pollens.h"

#include <string.h>

/* A plant that is here, or was on that day. */
static enum pb_rc check_here(const struct pb_plant *p, pb_day on, struct pb_err *err)
{
    char day[PB_DAY_TEXT];
    if (p->gone != PB_GONE_NOT && (p->gone_on == PB_DAY_NONE || on > p->gone_on))
        return pb_fail(err, PB_EINVALID,
                       "%s left the collection%s%s; if it is still here, say podbook "
                       "amend %s gone=",
                       p->head.code, p->gone_on != PB_DAY_NONE ? " on " : "",
                       p->gone_on != PB_DAY_NONE ? pb_day_format(p->gone_on, day) : "",
                       p->head.code);
    return PB_OK;
}

/* No flower before the plant came, or before the pollination that it was raised from. */
static enum pb_rc check_came(struct pb_act *a, const struct pb_plant *p, pb_day on,
                             struct pb_err *err)
{
    char day[PB_DAY_TEXT], other[PB_DAY_TEXT];
    if (p->got != PB_DAY_NONE && on < p->got)
        return pb_fail_at(
            err, PB_EINVALID, "on", 0, "%s lies before the day on which %s came (%s)",
            pb_day_format(on, day), p->head.code, pb_day_format(p->got, other));
    struct pb_cross x;
    bool found = false;
    if (p->from_cross.n == 0)
        return PB_OK;
    pb_cross_init(&x);
    enum pb_rc rc =
        pb_cross_find(a->book, PB_CROSS_BY_ID, p->from_cross.id, &x, &found, err);
    if (rc == PB_OK && found && on <= x.pollinated)
        rc = pb_fail_at(err, PB_EINVALID, "on", 0,
                        "%s was raised from %s, pollinated on %s: it did not flower on "
                        "%s",
                        p->head.code, x.head.code, pb_day_format(x.pollinated, other),
                        pb_day_format(on, day));
    pb_cross_clear(&x);
    return rc;
}

/* On the day a plant left its flowers may end, but none appear. */
static enum pb_rc check_leaving(const struct pb_plant *p, const struct pb_blooming *b,
                                struct pb_err *err)
{
    char day[PB_DAY_TEXT];
    if (p->gone == PB_GONE_NOT || p->gone_on != b->on || b->what >= PB_BLOOM_OVER)
        return PB_OK;
    return pb_fail_at(err, PB_EINVALID, "on", 0,
                      "%s is booked as %s on %s: no %s that day; if it is still "
                      "here, say podbook amend %s gone=",
                      p->head.code, pb_gone_names[p->gone], pb_day_format(b->on, day),
                      b->what == PB_BLOOM_SPIKE ? "spike begins" : "flower opens",
                      p->head.code);
}

static enum pb_rc bloom(struct pb_act *a, const struct pb_blooming *b,
                        struct pb_plant *p, struct pb_flowering *f, struct pb_err *err)
{
    enum pb_rc rc = pb_act_past(a, "on", b->on, err);
    if (rc == PB_OK)
        rc = pb_find_plant(a, NULL, b->code, p, err);
    if (rc == PB_OK && p->elsewhere)
        rc = pb_fail(err, PB_EINVALID,
                     "%s stands in another collection; if you have it now, say podbook "
                     "amend %s elsewhere=no",
                     p->head.code, p->head.code);
    if (rc == PB_OK)
        rc = check_here(p, b->on, err);
    if (rc == PB_OK)
        rc = check_leaving(p, b, err);
    if (rc == PB_OK)
        rc = check_came(a, p, b->on, err);
    if (rc == PB_OK)
        rc = pb_flowering_newest(a->book, p->head.n, f, err);
    if (rc == PB_OK)
        rc = pb_flowering_enter(f, b->what, b->on, err);
    return rc == PB_OK ? pb_flowering_keep(a->book, f, err) : rc;
}

enum pb_rc pb_act_bloom(struct pb_act *a, const struct pb_blooming *b,
                        struct pb_plant *p, struct pb_flowering *f, struct pb_err *err)
{
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = bloom(a, b, p, f, err);
    return pb_book_end(a->book, rc, err);
}

enum pb_rc pb_pollen_settle(const struct pb_act *a, const struct pb_pollen_lot *lot,
                            struct pb_err *err)
{
    char on[PB_DAY_TEXT], up[PB_DAY_TEXT];
    enum pb_rc rc = pb_act_past(a, "on", lot->on, err);
    if (rc == PB_OK && lot->used_up != PB_DAY_NONE)
        rc = pb_act_past(a, "used-up", lot->used_up, err);
    if (rc == PB_OK && lot->used_up != PB_DAY_NONE && lot->used_up < lot->on)
        rc = pb_fail_at(err, PB_EINVALID, "used-up", 0,
                        "%s lies before it was taken (%s)",
                        pb_day_format(lot->used_up, up), pb_day_format(lot->on, on));
    return rc;
}

static enum pb_rc enter_pollen(struct pb_act *a, struct pb_pollen_lot *lot,
                               struct pb_err *err)
{
    struct pb_plant p;
    pb_plant_init(&p);
    enum pb_rc rc = pb_pollen_settle(a, lot, err);
    if (rc == PB_OK)
        rc = pb_find_plant(a, NULL, lot->plant.code, &p, err);
    if (rc == PB_OK)
        rc = check_here(&p, lot->on, err);
    if (rc == PB_OK)
        rc = pb_book_next_code(a->book, 'P', lot->on, lot->head.code, err);
    if (rc == PB_OK) {
        pb_act_new_head(a, &lot->head);
        lot->plant.n = p.head.n;
        memcpy(lot->plant.id, p.head.id, sizeof(lot->plant.id));
        memcpy(lot->plant.code, p.head.code, sizeof(lot->plant.code));
        lot->genet = p.genet;
        lot->ploidy = p.ploidy;
        lot->taxon = p.taxon; /* moves over */
        p.taxon = NULL;
        rc = pb_pollen_insert(a->book, lot, err);
    }
    pb_plant_clear(&p);
    return rc;
}

enum pb_rc pb_act_pollen(struct pb_act *a, struct pb_pollen_lot *lot,
                         struct pb_err *err)
{
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = enter_pollen(a, lot, err);
    return pb_book_end(a->book, rc, err);
}

int pb_pollen_days_left(const struct pb_pollen_lot *lot, pb_day today)
{
    return lot->on + pb_pollen_good_days(lot->kept, lot->dried) - today;
}
