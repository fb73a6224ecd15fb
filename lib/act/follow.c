/* Following a cross: looks, bags, harvests; a plant that leaves.  See enter.h. */
#include "act/enter.h"

#include "act/batch.h"
#include "act/find.h"
#include "base/text.h"
#include "book/plants.h"

#include <stdlib.h>
#include <string.h>

/* One more look at the end of the cross's array; its note moves over. */
static enum pb_rc append_look(struct pb_cross *x, struct pb_look *look,
                              struct pb_err *err)
{
    struct pb_look *more = realloc(x->looks, (x->look_n + 1) * sizeof(*more));
    if (more == NULL)
        return pb_fail_memory(err);
    x->looks = more;
    x->looks[x->look_n++] = *look;
    look->note = NULL;
    return PB_OK;
}

/* A harvest of the same day is not behind a look, so the life alone takes one on a cross that
 * it closed. */
static enum pb_rc check_open(const struct pb_cross *x, const struct pb_look *look,
                             struct pb_err *err)
{
    struct pb_life life = {0};
    bool holds = false;
    char day[PB_DAY_TEXT];
    const struct pb_finding *f = &pb_courses[PB_CROSS].findings[look->found];
    enum pb_rc rc = pb_cross_life(x, &life, &holds, err);
    if (rc == PB_OK && holds && life.open == 0 && life.last_on == look->on &&
        f->tally == PB_TALLY_SEEN)
        rc = pb_fail(err, PB_EINVALID,
                     "%s: none can be %s, every flower of %s is accounted for since "
                     "that day",
                     pb_day_format(look->on, day), f->word, x->head.code);
    pb_life_clear(&life);
    return rc;
}

enum pb_rc pb_cross_look(struct pb_act *a, const char *code, struct pb_look *look,
                         struct pb_cross *x, struct pb_err *err)
{
    enum pb_rc rc = pb_act_past(a, "on", look->on, err);
    if (rc == PB_OK)
        rc = pb_find_cross(a, NULL, code, x, err);
    if (rc == PB_OK)
        rc = check_open(x, look, err);
    if (rc == PB_OK)
        rc = pb_look_next(a->book, (struct pb_looked){PB_CROSS, x->head.n},
                          &look->number, err);
    if (rc == PB_OK && look->number > PB_MAX_LOOKS)
        rc = pb_fail(err, PB_ELIMIT, "%s has %d looks, more do not fit", x->head.code,
                     PB_MAX_LOOKS);
    if (rc != PB_OK)
        return rc;
    pb_ids_next(a, look->id);
    const struct pb_life_event entered = {false, look->number, true};
    rc = append_look(x, look, err);
    if (rc == PB_OK)
        rc = pb_cross_keep(a, x, &entered, err); /* fills in the count */
    if (rc != PB_OK)
        return rc;
    struct pb_look *kept = &x->looks[x->look_n - 1];
    rc = pb_look_keep(a->book, (struct pb_looked){PB_CROSS, x->head.n}, kept, err);
    look->n = kept->n;
    look->count = kept->count;
    return rc;
}

enum pb_rc pb_act_look(struct pb_act *a, const char *code, struct pb_look *look,
                       struct pb_cross *x, struct pb_err *err)
{
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = pb_cross_look(a, code, look, x, err);
    return pb_book_end(a->book, rc, err);
}

static enum pb_rc bag(struct pb_act *a, const char *code, pb_day on, struct pb_cross *x,
                      bool *changed, struct pb_err *err)
{
    enum pb_rc rc = pb_act_past(a, "on", on, err);
    if (rc == PB_OK)
        rc = pb_find_cross(a, NULL, code, x, err);
    if (rc == PB_OK && on < x->pollinated) {
        char day[PB_DAY_TEXT];
        rc = pb_fail_at(err, PB_EINVALID, "on", 0, "lies before the pollination on %s",
                        pb_day_format(x->pollinated, day));
    }
    *changed = rc == PB_OK && x->bagged != on;
    if (!*changed)
        return rc;
    x->bagged = on;
    return pb_cross_keep(a, x, NULL, err);
}

enum pb_rc pb_act_bag(struct pb_act *a, const char *code, pb_day on, struct pb_cross *x,
                      bool *changed, struct pb_err *err)
{
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = bag(a, code, on, x, changed, err);
    if (rc == PB_OK && !*changed) {
        pb_book_drop(a->book);
        return PB_OK;
    }
    return pb_book_end(a->book, rc, err);
}

enum pb_seed_form pb_harvest_form(const struct pb_harvest *h)
{
    return h->held_cold           ? PB_FORM_COLD
           : h->as == PB_AS_SPLIT ? PB_FORM_DRY
                                  : PB_FORM_CLOSED;
}

static enum pb_rc make_lot(struct pb_act *a, const struct pb_cross *x,
                           struct pb_harvest *h, const char *note, struct pb_err *err)
{
    struct pb_batch lot;
    pb_batch_init(&lot, PB_SEED);
    lot.cross.n = x->head.n;
    lot.on = h->on;
    lot.capsules = h->count;
    lot.form = pb_harvest_form(h);
    enum pb_rc rc = PB_OK;
    if (note != NULL) {
        rc = pb_text_check("note", note, PB_MAX_TEXT, err);
        lot.note = rc == PB_OK ? pb_text_copy(note) : NULL;
        if (rc == PB_OK && lot.note == NULL)
            rc = pb_fail_memory(err);
    }
    if (rc == PB_OK)
        rc = pb_batch_enter(a, &lot, err);
    memcpy(h->lot, lot.head.code, sizeof(h->lot));
    pb_batch_clear(&lot);
    return rc == PB_OK ? pb_harvest_keep(a->book, x->head.n, h, err) : rc;
}

static enum pb_rc append_harvest(struct pb_cross *x, const struct pb_harvest *h,
                                 struct pb_err *err)
{
    struct pb_harvest *more = realloc(x->harvests, (x->harvest_n + 1) * sizeof(*more));
    if (more == NULL)
        return pb_fail_memory(err);
    x->harvests = more;
    x->harvests[x->harvest_n++] = *h;
    return PB_OK;
}

/* The newest harvest, of several capsules, becomes as many of one.  One that cannot be
 * stays as it is: keeping it says why. */
static enum pb_rc set_apart(struct pb_cross *x, struct pb_err *err)
{
    struct pb_life life = {0};
    enum pb_rc rc = pb_cross_replay(x, &life, NULL); /* fills in the count */
    pb_life_clear(&life);
    if (rc != PB_OK)
        return rc == PB_EINVALID ? PB_OK : pb_fail_memory(err);
    struct pb_harvest one = x->harvests[x->harvest_n - 1];
    int count = one.count;
    one.count = x->harvests[x->harvest_n - 1].count = 1;
    for (int i = 1; i < count && rc == PB_OK; i++) {
        one.number++;
        rc = append_harvest(x, &one, err);
    }
    return rc;
}

static enum pb_rc harvest_of(struct pb_act *a, const struct pb_harvesting *what,
                             struct pb_cross *x, size_t *made, struct pb_err *err)
{
    struct pb_harvest h = what->harvest;
    enum pb_rc rc = pb_act_past(a, "on", h.on, err);
    if (rc == PB_OK)
        rc = pb_find_cross(a, NULL, what->code, x, err);
    if (rc == PB_OK)
        rc = pb_harvest_next(a->book, x->head.n, &h.number, err);
    size_t first = x->harvest_n;
    if (rc == PB_OK)
        rc = append_harvest(x, &h, err);
    if (rc == PB_OK && what->apart)
        rc = set_apart(x, err);
    const struct pb_life_event entered = {true, h.number, true};
    if (rc == PB_OK)
        rc = pb_cross_keep(a, x, &entered, err); /* fills in the count */
    for (size_t i = first; i < x->harvest_n && rc == PB_OK; i++)
        rc = make_lot(a, x, &x->harvests[i], what->note, err);
    if (rc == PB_OK)
        *made = x->harvest_n - first;
    return rc;
}

enum pb_rc pb_act_harvest(struct pb_act *a, const struct pb_harvesting *what,
                          struct pb_cross *x, size_t *made, struct pb_err *err)
{
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = harvest_of(a, what, x, made, err);
    return pb_book_end(a->book, rc, err);
}

struct carried {
    const char *code;
    int open;
};

static enum pb_rc count_carried(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    (void)err;
    struct carried *c = ctx;
    c->open += pb_text_casecmp(x->seed.plant.code, c->code) == 0;
    return PB_OK;
}

static enum pb_rc leave(struct pb_act *a, const struct pb_leaving *l,
                        struct pb_plant *p, int *open, struct pb_err *err)
{
    enum pb_rc rc = pb_act_past(a, "on", l->on, err);
    if (rc == PB_OK)
        rc = pb_find_plant(a, NULL, l->code, p, err);
    if (rc == PB_OK && p->gone != PB_GONE_NOT)
        rc = pb_fail_at(
            err, PB_EINVALID, NULL, 0,
            "%s is booked as %s already; put it right with podbook amend %s "
            "gone=%s",
            p->head.code, pb_gone_names[p->gone], p->head.code, pb_gone_names[l->gone]);
    if (rc != PB_OK)
        return rc;
    struct carried c = {p->head.code, 0};
    rc = pb_crosses_each(a->book, PB_CROSSES_DUE, 0, count_carried, &c, err);
    p->gone = l->gone;
    p->gone_on = l->on;
    if (rc == PB_OK)
        rc = pb_plant_settle(a, p, err);
    if (rc != PB_OK)
        return rc;
    pb_act_touch(a, &p->head);
    *open = c.open;
    return pb_plant_update(a->book, p, err);
}

enum pb_rc pb_act_gone(struct pb_act *a, const struct pb_leaving *l, struct pb_plant *p,
                       int *open, struct pb_err *err)
{
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = leave(a, l, p, open, err);
    return pb_book_end(a->book, rc, err);
}
