/* Amending.  See amend.h; what is withdrawn is in withdraw.c. */
#include "act/edit.h"

#include "act/batch.h"
#include "act/clone.h"
#include "act/enter.h"
#include "act/find.h"
#include "act/kin.h"
#include "act/stay.h"
#include "base/text.h"
#include "book/descent.h"
#include "book/history.h"
#include "book/plants.h"
#include "book/provenance.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Another plant has the new code? */
static enum pb_rc check_new_code(struct pb_act *a, const struct pb_plant *p,
                                 struct pb_err *err)
{
    struct pb_plant other;
    bool found = false;
    pb_plant_init(&other);
    enum pb_rc rc =
        pb_plant_find(a->book, PB_PLANT_BY_CODE, p->head.code, &other, &found, err);
    if (rc == PB_OK && found && other.head.n != p->head.n)
        rc =
            pb_fail_at(err, PB_ECONFLICT, "code", 0, "%s is taken (%s); choose another",
                       other.head.code, other.taxon);
    pb_plant_clear(&other);
    return rc;
}

/* A plant is not among its own ancestors.
 *   plants, n  from whom the ring, if there is one, can be walked */
static enum pb_rc check_descent(struct pb_act *a, enum pb_kind kind,
                                const struct pb_head *head, const int64_t *plants,
                                size_t n, struct pb_err *err)
{
    bool ring = false;
    enum pb_rc rc = pb_descends_from_itself(a->book, kind, head->n, &ring, err);
    if (rc != PB_OK || !ring)
        return rc;
    const struct pb_family_ask ask = {plants, n, false};
    struct pb_kin kin;
    rc = pb_kin_load(a, &ask, &kin, err); /* names everybody in the ring */
    if (rc != PB_OK)
        return rc;
    pb_kin_clear(&kin); /* it closes through mixed pollen, which kinship leaves out */
    return pb_fail(err, PB_EINVALID, "%s%s would descend from itself",
                   kind == PB_CROSS ? "a plant raised from " : "", head->code);
}

static enum pb_rc refuse(void *ctx, const struct pb_fault *f, struct pb_err *err)
{
    (void)ctx;
    return pb_fail(err, PB_EINVALID, "%s: it can be of no other", f->what);
}

/* A plant that came out of a flask or cutting does not get another origin than that. */
static enum pb_rc check_origin(struct pb_act *a, const struct pb_plant *p,
                               const struct pb_plant *was, struct pb_err *err)
{
    bool same = p->origin == was->origin && p->source.n == was->source.n &&
                strcmp(p->from_cross.id, was->from_cross.id) == 0;
    return same ? PB_OK
                : pb_provenance_faults(a->book, PB_PROVENANCE_PLANT, p->head.n, refuse,
                                       NULL, err);
}

static enum pb_rc amend_plant(struct pb_act *a, const struct pb_edit *e,
                              struct pb_err *err)
{
    struct pb_plant p;
    char *before = NULL;
    pb_plant_init(&p);
    enum pb_rc rc = pb_find_plant(a, NULL, e->code, &p, err);
    const struct pb_plant was = p; /* what it points to is not looked at */
    if (rc == PB_OK && (before = pb_text_copy(p.taxon)) == NULL)
        rc = pb_fail_memory(err);
    for (size_t i = 0; i < e->n && rc == PB_OK; i++)
        rc = pb_field_set_plant(&p, &e->fields[i], a->today, err);
    if (rc == PB_OK && p.gone == PB_GONE_NOT)
        p.gone_on = PB_DAY_NONE;
    p.named_only = p.named_only && p.elsewhere;
    if (rc == PB_OK)
        rc = pb_plant_settle(a, &p, err);
    if (rc == PB_OK)
        rc = check_new_code(a, &p, err);
    if (rc == PB_OK) {
        pb_act_touch(a, &p.head);
        rc = pb_plant_update(a->book, &p, err);
    }
    if (rc == PB_OK)
        rc = check_descent(a, PB_PLANT, &p.head, &p.head.n, 1, err);
    if (rc == PB_OK)
        rc = check_origin(a, &p, &was, err);
    if (rc == PB_OK)
        rc = pb_clone_carry(a, &p, before, &e->out->clone, err);
    if (rc == PB_OK)
        memcpy(e->out->code, p.head.code, sizeof(p.head.code));
    free(before);
    pb_plant_clear(&p);
    return rc;
}

static enum pb_rc check_parents_descent(struct pb_act *a, const struct pb_cross *x,
                                        struct pb_err *err)
{
    int64_t parents[1 + PB_MAX_POLLEN_PARENTS] = {x->seed.plant.n};
    for (size_t i = 0; i < x->pollen_n; i++)
        parents[1 + i] = x->pollen[i].parent.plant.n;
    return check_descent(a, PB_CROSS, &x->head, parents, 1 + x->pollen_n, err);
}

static enum pb_rc amend_cross(struct pb_act *a, const struct pb_edit *e,
                              struct pb_err *err)
{
    struct pb_cross x;
    int entered = 0;
    pb_cross_init(&x);
    enum pb_rc rc = pb_find_cross(a, NULL, e->code, &x, err);
    const pb_day was = x.pollinated;
    for (size_t i = 0; i < e->n && rc == PB_OK; i++)
        rc = pb_field_set_cross(&x, &e->fields[i], a->today, err);
    if (rc == PB_OK)
        rc = pb_cross_settle(a, &x, &entered, err);
    if (rc == PB_OK && x.pollinated != was)
        rc = pb_stay_seed_parent(a, &x.seed.plant, x.pollinated, err);
    if (rc == PB_OK)
        rc = pb_cross_keep(a, &x, NULL, err);
    if (rc == PB_OK && x.pollinated != was)
        rc = pb_batch_check_cross(a, &x, err);
    if (rc == PB_OK)
        rc = check_parents_descent(a, &x, err);
    if (rc == PB_OK)
        rc = pb_cross_parents_came(a, &x, err);
    if (rc == PB_OK)
        memcpy(e->out->code, x.head.code, sizeof(x.head.code));
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc amend_look(struct pb_act *a, const struct pb_edit *e,
                             struct pb_err *err)
{
    struct pb_cross x;
    struct pb_look *look = NULL;
    const struct pb_life_event entered = {false, e->look, false};
    pb_cross_init(&x);
    enum pb_rc rc = pb_find_cross(a, NULL, e->code, &x, err);
    if (rc == PB_OK)
        rc = pb_pick_look(x.head.code, x.looks, x.look_n, e->look, &look, err);
    for (size_t i = 0; i < e->n && rc == PB_OK; i++)
        rc = pb_field_set_look(look, &pb_courses[PB_CROSS], &e->fields[i], a->today,
                               err);
    if (rc == PB_OK)
        rc = pb_act_past(a, "on", look->on, err);
    if (rc == PB_OK)
        rc = pb_cross_keep(a, &x, &entered, err);
    if (rc == PB_OK)
        rc = pb_look_keep(a->book, (struct pb_looked){PB_CROSS, x.head.n}, look, err);
    if (rc == PB_OK)
        (void)snprintf(e->out->code, PB_KEPT_CODE, "%s/%d", x.head.code, e->look);
    pb_cross_clear(&x);
    return rc;
}

void pb_amended_clear(struct pb_amended *amended)
{
    pb_buf_clear(&amended->clone);
}

enum pb_rc pb_act_amend(struct pb_act *a, const char *code,
                        const struct pb_field *fields, size_t n, struct pb_amended *out,
                        struct pb_err *err)
{
    char bare[PB_BARE_CODE];
    struct pb_edit e = {bare, 0, fields, n, out};
    memset(out, 0, sizeof(*out));
    pb_buf_init(&out->clone, PB_CLONE_BYTES);
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    a->own_only = true;
    for (size_t i = 0; i < n; i++)
        a->own_only = a->own_only && pb_field_is_own(fields[i].name);
    pb_code_bare(code, bare);
    switch (pb_code_kind(code, &e.look)) {
    case PB_PLANT:
        rc = e.look > 0 ? pb_edit_plant_look(a, &e, err) : amend_plant(a, &e, err);
        break;
    case PB_CROSS:
        rc = e.look > 0 ? amend_look(a, &e, err) : amend_cross(a, &e, err);
        break;
    case PB_SEED:
    case PB_FLASK:
    case PB_CUTTING:
    case PB_POLLEN:
        rc = e.look > 0 ? pb_edit_batch_look(a, &e, err) : pb_edit_batch(a, &e, err);
        break;
    case PB_KIND_N:
        rc = pb_not_found(a, NULL, PB_CODES_RECORD, code, err);
        break;
    }
    a->own_only = false;
    if (rc == PB_OK)
        rc = pb_history_changed(a->book, &out->changed, err);
    if (rc == PB_OK && !out->changed) {
        pb_book_drop(a->book);
        return PB_OK;
    }
    return pb_book_end(a->book, rc, err);
}
