/* Entering plants and crosses.  See enter.h; looks and harvests are in follow.c. */
#include "act/enter.h"

#include "act/clone.h"
#include "act/find.h"
#include "act/stay.h"
#include "base/text.h"
#include "book/batches.h"
#include "book/plants.h"

#include <stdlib.h>
#include <string.h>

/* Give a reference its row: a plant of the book. */
static enum pb_rc resolve_plant(struct pb_act *a, const char *what, struct pb_ref *ref,
                                struct pb_err *err)
{
    if (ref->n != 0 || ref->code[0] == '\0')
        return PB_OK;
    return pb_find_plant_ref(a, what, ref->code, ref, err);
}

static enum pb_rc resolve_cross(struct pb_act *a, const char *what, struct pb_ref *ref,
                                struct pb_err *err)
{
    struct pb_cross x;
    if (ref->id[0] != '\0' || ref->code[0] == '\0')
        return PB_OK; /* known by its id already, be it here or elsewhere */
    pb_cross_init(&x);
    enum pb_rc rc = pb_find_cross(a, what, ref->code, &x, err);
    if (rc == PB_OK) {
        ref->n = x.head.n;
        memcpy(ref->id, x.head.id, sizeof(ref->id));
        memcpy(ref->code, x.head.code, sizeof(ref->code));
    }
    pb_cross_clear(&x);
    return rc;
}

/* ORDER ORIGIN: the option that gives it */
static const char *const origin_option[PB_ORIGIN_N] = {
    "", "pup-of", "cutting-of", "division-of", "from", "seed-parent",
};

/* An option with a code of the other kind: name the option that was meant. */
static enum pb_rc check_origin_form(const struct pb_plant *p, struct pb_err *err)
{
    int look = 0;
    const char *option = origin_option[p->origin];
    if (pb_origin_is_vegetative(p->origin) &&
        pb_code_kind(p->source.code, &look) == PB_CROSS && look == 0)
        return pb_fail_at(
            err, PB_EINVALID, option, 0,
            "%s is a cross; a plant raised from it is entered with --from %s",
            p->source.code, p->source.code);
    if (p->origin == PB_ORIGIN_CROSS && p->from_cross.n == 0 &&
        p->from_cross.id[0] == '\0' &&
        pb_code_kind(p->from_cross.code, &look) == PB_PLANT && look == 0)
        return pb_fail_at(err, PB_EINVALID, option, 0,
                          "%s is a plant; a plant of the same clone is entered with "
                          "--pup-of, --cutting-of or --division-of %s",
                          p->from_cross.code, p->from_cross.code);
    return PB_OK;
}

enum pb_rc pb_plant_settle(struct pb_act *a, struct pb_plant *p, struct pb_err *err)
{
    enum pb_rc rc = check_origin_form(p, err);
    if (rc == PB_OK)
        rc = resolve_plant(a, origin_option[p->origin], &p->source, err);
    if (rc == PB_OK)
        rc = pb_clone_check(a, origin_option[p->origin], p, err);
    if (rc == PB_OK)
        rc = resolve_cross(a, "from", &p->from_cross, err);
    if (rc == PB_OK)
        rc = resolve_plant(a, "seed-parent", &p->seed_parent, err);
    if (rc == PB_OK)
        rc = resolve_plant(a, "pollen-parent", &p->pollen_parent, err);
    if (rc == PB_OK && p->got != PB_DAY_NONE)
        rc = pb_act_past(a, "got", p->got, err);
    if (rc == PB_OK && p->gone_on != PB_DAY_NONE)
        rc = pb_act_past(a, "gone-on", p->gone_on, err);
    if (rc == PB_OK)
        rc = pb_stay_check(a, p, err);
    return rc;
}

static enum pb_rc check_code_free(struct pb_act *a, const char *what, const char *code,
                                  struct pb_err *err)
{
    struct pb_plant other;
    bool found = false;
    pb_plant_init(&other);
    enum pb_rc rc = pb_code_check(what, code, err);
    if (rc == PB_OK)
        rc = pb_plant_find(a->book, PB_PLANT_BY_CODE, code, &other, &found, err);
    if (rc == PB_OK && found)
        rc = pb_fail_at(err, PB_ECONFLICT, what, 0,
                        "%s is taken (%s%s); choose another", other.head.code,
                        other.taxon, other.head.withdrawn ? ", withdrawn" : "");
    pb_plant_clear(&other);
    return rc;
}

enum pb_rc pb_plant_enter(struct pb_act *a, struct pb_plant *p, struct pb_err *err)
{
    enum pb_rc rc = check_code_free(a, "code", p->head.code, err);
    if (rc == PB_OK)
        rc = pb_text_check("taxon", p->taxon != NULL ? p->taxon : "", PB_MAX_NAME, err);
    if (rc == PB_OK)
        rc = pb_plant_settle(a, p, err);
    if (rc != PB_OK)
        return rc;
    pb_act_new_head(a, &p->head);
    return pb_plant_insert(a->book, p, err);
}

/* The plant as the book has it now, with the clone that it belongs to. */
static enum pb_rc reload(struct pb_act *a, struct pb_plant *p, struct pb_err *err)
{
    struct pb_plant kept;
    bool found = false;
    pb_plant_init(&kept);
    enum pb_rc rc =
        pb_plant_find(a->book, PB_PLANT_BY_CODE, p->head.code, &kept, &found, err);
    if (rc != PB_OK || !found) {
        pb_plant_clear(&kept);
        return rc;
    }
    pb_plant_clear(p);
    *p = kept;
    return PB_OK;
}

enum pb_rc pb_act_plant(struct pb_act *a, struct pb_plant *p, struct pb_err *err)
{
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = pb_plant_enter(a, p, err);
    if (rc == PB_OK)
        rc = reload(a, p, err);
    return pb_book_end(a->book, rc, err);
}

/* A parent as typed into one of the book; with a taxon it is entered here. */
static enum pb_rc settle_parent(struct pb_act *a, const char *what,
                                struct pb_parent *parent, int *entered,
                                struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    if (parent->plant.n != 0)
        return PB_OK;
    if (parent->taxon != NULL) {
        struct pb_plant p;
        pb_plant_init(&p);
        p.taxon = parent->taxon; /* moves over */
        parent->taxon = NULL;
        memcpy(p.head.code, parent->plant.code, sizeof(p.head.code));
        rc = pb_plant_enter(a, &p, err);
        parent->plant.n = p.head.n;
        pb_plant_clear(&p);
        *entered += rc == PB_OK;
    } else {
        rc = resolve_plant(a, what, &parent->plant, err);
    }
    return rc == PB_OK ? pb_parent_load(a->book, parent->plant.n, parent, err) : rc;
}

/* A code of stored pollen stands for its plant. */
static enum pb_rc settle_pollen_lot(struct pb_act *a, struct pb_pollen_parent *p,
                                    struct pb_err *err)
{
    struct pb_batch lot;
    int look = 0;
    if (p->parent.plant.n != 0 || p->parent.taxon != NULL ||
        pb_code_kind(p->parent.plant.code, &look) != PB_POLLEN)
        return PB_OK;
    pb_batch_init(&lot, PB_POLLEN);
    enum pb_rc rc =
        pb_find_batch(a, "pollen-parent", PB_POLLEN, p->parent.plant.code, &lot, err);
    if (rc == PB_OK) {
        memcpy(p->lot, lot.head.code, sizeof(p->lot));
        p->parent.plant = lot.plant;
        rc = pb_parent_load(a->book, lot.plant.n, &p->parent, err);
    }
    pb_batch_clear(&lot);
    return rc;
}

/*
 * The age of stored pollen on the day of the pollination, where the lot is of this book:
 * a received cross may name one of another.
 *   age  out: left alone where it is not
 */
static enum pb_rc pollen_age(struct pb_act *a, const struct pb_cross *x,
                             const struct pb_pollen_parent *p, int *age,
                             struct pb_err *err)
{
    struct pb_batch lot;
    bool found = false;
    char day[PB_DAY_TEXT];
    if (p->lot[0] == '\0')
        return PB_OK;
    pb_batch_init(&lot, PB_POLLEN);
    enum pb_rc rc = pb_batch_find(a->book, PB_BATCH_BY_CODE, p->lot, &lot, &found, err);
    pb_day ended = pb_batch_ended_on(&lot);
    if (rc == PB_OK && found && lot.plant.n == p->parent.plant.n) {
        if (lot.on > x->pollinated)
            rc = pb_fail_at(err, PB_EINVALID, "pollen-parent", 0,
                            "%s was taken after the pollination, on %s", lot.head.code,
                            pb_day_format(lot.on, day));
        else if (ended != PB_DAY_NONE && ended < x->pollinated)
            rc = pb_fail_at(err, PB_EINVALID, "pollen-parent", 0,
                            "%s was used up or discarded on %s; if there is some left, "
                            "withdraw that look (podbook show %s)",
                            lot.head.code, pb_day_format(ended, day), lot.head.code);
        else
            *age = x->pollinated - lot.on;
    }
    pb_batch_clear(&lot);
    return rc;
}

enum pb_rc pb_cross_lots_were_there(struct pb_act *a, const struct pb_cross *x,
                                    struct pb_err *err)
{
    int age = 0;
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < x->pollen_n && rc == PB_OK; i++)
        rc = pollen_age(a, x, &x->pollen[i], &age, err);
    return rc;
}

/* Was the plant still there on that day? */
static enum pb_rc was_there(struct pb_act *a, const char *code, pb_day day, bool *was,
                            struct pb_err *err)
{
    struct pb_plant p;
    bool found = false;
    pb_plant_init(&p);
    enum pb_rc rc = pb_plant_find(a->book, PB_PLANT_BY_CODE, code, &p, &found, err);
    *was = rc == PB_OK && p.gone_on != PB_DAY_NONE && day <= p.gone_on;
    pb_plant_clear(&p);
    return rc;
}

static enum pb_rc check_seed_parent(struct pb_act *a, const struct pb_cross *x,
                                    struct pb_err *err)
{
    const struct pb_parent *p = &x->seed;
    bool was = true;
    if (p->elsewhere)
        return pb_fail_at(err, PB_EINVALID, "seed-parent", 0,
                          "%s stands in another collection; if you have it now, say "
                          "podbook amend %s elsewhere=no",
                          p->plant.code, p->plant.code);
    enum pb_rc rc =
        p->gone ? was_there(a, p->plant.code, x->pollinated, &was, err) : PB_OK;
    if (rc == PB_OK && !was)
        return pb_fail_at(
            err, PB_EINVALID, "seed-parent", 0,
            "%s has left the collection; if it is still here, say podbook "
            "amend %s gone=",
            p->plant.code, p->plant.code);
    return rc;
}

static enum pb_rc check_profile(const struct pb_act *a, const struct pb_cross *x,
                                struct pb_err *err)
{
    struct pb_profile_match m;
    if (x->profile == NULL ||
        pb_profile_choose(a->profiles, x->profile, x->seed.taxon, &m))
        return PB_OK;
    return pb_fail_at(err, PB_ENOTFOUND, "profile", 0,
                      "no profile \"%s\"; podbook profiles lists them", x->profile);
}

static enum pb_rc check_bag(const struct pb_act *a, const struct pb_cross *x,
                            struct pb_err *err)
{
    if (x->bagged == PB_DAY_NONE)
        return PB_OK;
    if (x->bagged < x->pollinated)
        return pb_fail_at(err, PB_EINVALID, "bagged", 0, "lies before the pollination");
    return pb_act_past(a, "bagged", x->bagged, err);
}

static enum pb_rc settle_pollen(struct pb_act *a, struct pb_cross *x, int *entered,
                                struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < x->pollen_n && rc == PB_OK; i++) {
        rc = settle_pollen_lot(a, &x->pollen[i], err);
        if (rc == PB_OK)
            rc = settle_parent(a, "pollen-parent", &x->pollen[i].parent, entered, err);
        if (rc == PB_OK)
            rc = pollen_age(a, x, &x->pollen[i], &x->pollen[i].age_days, err);
    }
    return rc;
}

/* A plant that is not entered yet has no row. */
static bool same_plant(const struct pb_ref *a, const struct pb_ref *b)
{
    return a->n == b->n && (a->n != 0 || pb_text_casecmp(a->code, b->code) == 0);
}

static enum pb_rc check_pollen_once(const struct pb_cross *x, struct pb_err *err)
{
    for (size_t i = 1; i < x->pollen_n; i++)
        for (size_t k = 0; k < i; k++)
            if (same_plant(&x->pollen[i].parent.plant, &x->pollen[k].parent.plant))
                return pb_fail_at(err, PB_EINVALID, "pollen-parent", 0,
                                  "%s is named twice", x->pollen[i].parent.plant.code);
    return PB_OK;
}

enum pb_rc pb_cross_plan_pollen(struct pb_act *a, struct pb_cross *x,
                                struct pb_err *err)
{
    int none = 0;
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < x->pollen_n && rc == PB_OK; i++) {
        struct pb_pollen_parent *p = &x->pollen[i];
        if (p->parent.taxon != NULL) {
            rc = check_code_free(a, "pollen-parent", p->parent.plant.code, err);
            continue;
        }
        rc = settle_pollen_lot(a, p, err);
        if (rc == PB_OK)
            rc = settle_parent(a, "pollen-parent", &p->parent, &none, err);
        if (rc == PB_OK)
            rc = pollen_age(a, x, p, &p->age_days, err);
    }
    return rc == PB_OK ? check_pollen_once(x, err) : rc;
}

enum pb_rc pb_cross_settle(struct pb_act *a, struct pb_cross *x, int *entered,
                           struct pb_err *err)
{
    bool new_seed = x->seed.plant.n == 0;
    enum pb_rc rc = pb_act_past(a, "on", x->pollinated, err);
    if (rc == PB_OK)
        rc = check_bag(a, x, err);
    if (rc == PB_OK)
        rc = settle_parent(a, "seed-parent", &x->seed, entered, err);
    if (rc == PB_OK && new_seed)
        rc = check_seed_parent(a, x, err);
    if (rc == PB_OK)
        rc = settle_pollen(a, x, entered, err);
    if (rc == PB_OK)
        rc = check_pollen_once(x, err);
    return rc == PB_OK ? check_profile(a, x, err) : rc;
}

enum pb_rc pb_cross_parents_came(struct pb_act *a, const struct pb_cross *x,
                                 struct pb_err *err)
{
    enum pb_rc rc = pb_stay_parent(a, &x->seed.plant, x->pollinated, err);
    for (size_t i = 0; i < x->pollen_n && rc == PB_OK; i++)
        if (x->pollen[i].lot[0] == '\0')
            rc = pb_stay_parent(a, &x->pollen[i].parent.plant, x->pollinated, err);
    return rc;
}

enum pb_rc pb_cross_enter(struct pb_act *a, struct pb_cross *x, int *entered,
                          struct pb_err *err)
{
    enum pb_rc rc = pb_cross_settle(a, x, entered, err);
    if (rc == PB_OK)
        rc = pb_cross_parents_came(a, x, err);
    if (rc == PB_OK && x->head.code[0] == '\0')
        rc = pb_book_next_code(a->book, 'X', x->pollinated, x->head.code, err);
    if (rc != PB_OK)
        return rc;
    pb_act_new_head(a, &x->head);
    return pb_cross_insert(a->book, x, true, err);
}

enum pb_rc pb_act_cross(struct pb_act *a, struct pb_cross *x, int *entered,
                        struct pb_err *err)
{
    int n = 0;
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = pb_cross_enter(a, x, &n, err);
    rc = pb_book_end(a->book, rc, err);
    if (rc == PB_OK)
        *entered = n;
    return rc;
}

enum pb_rc pb_cross_life(const struct pb_cross *x, struct pb_life *life, bool *holds,
                         struct pb_err *why)
{
    enum pb_rc rc = pb_cross_replay(x, life, why);
    if (rc != PB_OK && rc != PB_EINVALID)
        return rc;
    *holds = rc == PB_OK;
    return PB_OK;
}

/* The life of the cross as the book still has it. */
static enum pb_rc life_before(struct pb_act *a, const char *id, struct pb_life *life,
                              bool *holds, struct pb_err *err)
{
    struct pb_cross x;
    struct pb_err why = {0};
    bool found = false;
    pb_cross_init(&x);
    enum pb_rc rc = pb_cross_find(a->book, PB_CROSS_BY_ID, id, &x, &found, err);
    if (rc == PB_OK && found) {
        rc = pb_cross_life(&x, life, holds, &why);
        if (rc != PB_OK)
            rc = pb_fail(err, rc, "%s", why.text);
    }
    pb_cross_clear(&x);
    return rc;
}

enum pb_rc pb_cross_keep(struct pb_act *a, struct pb_cross *x,
                         const struct pb_life_event *entered, struct pb_err *err)
{
    struct pb_life life = {0}, was = {0};
    bool known = false;
    enum pb_rc rc = life_before(a, x->head.id, &was, &known, err);
    if (rc == PB_OK)
        rc = pb_cross_replay_entered(x, known ? &was : NULL, entered, &life, err);
    if (rc == PB_OK) {
        pb_act_touch(a, &x->head);
        rc = pb_cross_update(a->book, x, life.open > 0, err);
    }
    pb_life_clear(&was);
    pb_life_clear(&life);
    return rc;
}
