/* Amending and withdrawing.  See amend.h. */
#include "act/amend.h"

#include "act/bloom.h"
#include "act/clone.h"
#include "act/enter.h"
#include "act/find.h"
#include "act/kin.h"
#include "base/text.h"
#include "book/descent.h"
#include "book/history.h"
#include "book/plants.h"
#include "book/pollens.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What is asked of one record. */
struct edit {
    const char *code;
    int look; /* of X26-001/3: 3 */
    const struct pb_field *fields;
    size_t n;
    struct pb_amended *out;
};

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

static enum pb_rc amend_plant(struct pb_act *a, const struct edit *e,
                              struct pb_err *err)
{
    struct pb_plant p;
    char *before = NULL;
    pb_plant_init(&p);
    enum pb_rc rc = pb_find_plant(a, NULL, e->code, &p, err);
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

static enum pb_rc amend_cross(struct pb_act *a, const struct edit *e,
                              struct pb_err *err)
{
    struct pb_cross x;
    int entered = 0;
    pb_cross_init(&x);
    enum pb_rc rc = pb_find_cross(a, NULL, e->code, &x, err);
    for (size_t i = 0; i < e->n && rc == PB_OK; i++)
        rc = pb_field_set_cross(&x, &e->fields[i], a->today, err);
    if (rc == PB_OK)
        rc = pb_cross_settle(a, &x, &entered, err);
    if (rc == PB_OK)
        rc = pb_cross_keep(a, &x, NULL, err);
    if (rc == PB_OK)
        rc = check_parents_descent(a, &x, err);
    if (rc == PB_OK)
        memcpy(e->out->code, x.head.code, sizeof(x.head.code));
    pb_cross_clear(&x);
    return rc;
}

/* The look of that number, or a message that says which there are. */
static enum pb_rc find_look(struct pb_cross *x, int number, struct pb_look **look,
                            struct pb_err *err)
{
    for (size_t i = 0; i < x->look_n; i++)
        if (x->looks[i].number == number) {
            *look = &x->looks[i];
            return PB_OK;
        }
    return pb_fail(err, PB_ENOTFOUND,
                   "%s has no look %d; podbook show %s lists its looks", x->head.code,
                   number, x->head.code);
}

static enum pb_rc amend_look(struct pb_act *a, const struct edit *e, struct pb_err *err)
{
    struct pb_cross x;
    struct pb_look *look = NULL;
    const struct pb_life_event entered = {false, e->look};
    pb_cross_init(&x);
    enum pb_rc rc = pb_find_cross(a, NULL, e->code, &x, err);
    if (rc == PB_OK)
        rc = find_look(&x, e->look, &look, err);
    for (size_t i = 0; i < e->n && rc == PB_OK; i++)
        rc = pb_field_set_look(look, &e->fields[i], a->today, err);
    if (rc == PB_OK)
        rc = pb_act_past(a, "on", look->on, err);
    if (rc == PB_OK)
        rc = pb_cross_keep(a, &x, &entered, err);
    if (rc == PB_OK)
        rc = pb_look_keep(a->book, x.head.n, look, err);
    if (rc == PB_OK)
        (void)snprintf(e->out->code, PB_KEPT_CODE, "%s/%d", x.head.code, e->look);
    pb_cross_clear(&x);
    return rc;
}

static struct pb_harvest *harvest_of_lot(struct pb_cross *x, const char *lot)
{
    for (size_t i = 0; i < x->harvest_n; i++)
        if (pb_text_casecmp(x->harvests[i].lot, lot) == 0)
            return &x->harvests[i];
    return NULL;
}

/* The fields of a seed lot: its own note, and the harvest that made it. */
static enum pb_rc set_lot_field(struct pb_seed *lot, struct pb_harvest *h,
                                const struct pb_field *f, pb_day today,
                                struct pb_err *err)
{
    if (strcmp(f->name, "note") != 0 && h == NULL)
        return pb_fail(err, PB_EINVALID,
                       "%s has no harvest here; only its note can change",
                       lot->head.code);
    if (strcmp(f->name, "note") != 0)
        return pb_field_set_harvest(h, f, today, err);
    char *note = NULL;
    if (f->value[0] != '\0') {
        enum pb_rc rc = pb_text_check("note", f->value, PB_MAX_TEXT, err);
        note = rc == PB_OK ? pb_text_copy(f->value) : NULL;
        if (note == NULL)
            return rc == PB_OK ? pb_fail_memory(err) : rc;
    }
    free(lot->note);
    lot->note = note;
    return PB_OK;
}

/* Load a lot and the cross it is of. */
static enum pb_rc load_lot(struct pb_act *a, const char *code, struct pb_seed *lot,
                           struct pb_cross *x, struct pb_harvest **h,
                           struct pb_err *err)
{
    bool found = false;
    enum pb_rc rc = pb_find_seed(a, NULL, code, lot, err);
    if (rc == PB_OK)
        rc = pb_cross_find(a->book, PB_CROSS_BY_LOT, code, x, &found, err);
    if (rc == PB_OK)
        *h = harvest_of_lot(x, code);
    return rc;
}

static enum pb_rc amend_lot(struct pb_act *a, const struct edit *e, struct pb_err *err)
{
    struct pb_seed lot;
    struct pb_cross x;
    struct pb_harvest *h = NULL;
    pb_seed_init(&lot);
    pb_cross_init(&x);
    enum pb_rc rc = load_lot(a, e->code, &lot, &x, &h, err);
    for (size_t i = 0; i < e->n && rc == PB_OK; i++)
        rc = set_lot_field(&lot, h, &e->fields[i], a->today, err);
    if (rc == PB_OK && h != NULL)
        rc = pb_act_past(a, "on", h->on, err);
    const struct pb_life_event entered = {true, h != NULL ? h->number : 0};
    if (rc == PB_OK)
        rc = pb_cross_keep(a, &x, &entered, err);
    if (rc == PB_OK && h != NULL)
        rc = pb_harvest_keep(a->book, x.head.n, h, err);
    if (rc == PB_OK) {
        pb_act_touch(a, &lot.head);
        rc = pb_seed_update(a->book, &lot, err);
    }
    if (rc == PB_OK)
        memcpy(e->out->code, lot.head.code, sizeof(lot.head.code));
    pb_seed_clear(&lot);
    pb_cross_clear(&x);
    return rc;
}

/* Codes of the crosses made with a lot. */
struct made_with {
    const char *lot;
    char (*code)[PB_MAX_CODE + 1];
    size_t n;
};

static enum pb_rc note_made_with(void *ctx, const struct pb_cross *x,
                                 struct pb_err *err)
{
    struct made_with *m = ctx;
    for (size_t i = 0; i < x->pollen_n; i++) {
        if (pb_text_casecmp(x->pollen[i].lot, m->lot) != 0)
            continue;
        void *more = realloc(m->code, (m->n + 1) * sizeof(*m->code));
        if (more == NULL)
            return pb_fail_memory(err);
        m->code = more;
        memcpy(m->code[m->n++], x->head.code, sizeof(x->head.code));
    }
    return PB_OK;
}

/* The crosses made with a lot hold its age: with its day they change too. */
static enum pb_rc renew_ages(struct pb_act *a, const struct pb_pollen_lot *lot,
                             struct pb_err *err)
{
    struct made_with m = {lot->head.code, NULL, 0};
    enum pb_rc rc =
        pb_crosses_each(a->book, PB_CROSSES_OF, lot->plant.n, note_made_with, &m, err);
    for (size_t i = 0; i < m.n && rc == PB_OK; i++) {
        struct pb_cross x;
        struct pb_err why = {0};
        int entered = 0;
        pb_cross_init(&x);
        rc = pb_find_cross(a, NULL, m.code[i], &x, &why);
        if (rc == PB_OK)
            rc = pb_cross_settle(a, &x, &entered, &why);
        if (rc == PB_OK)
            rc = pb_cross_keep(a, &x, NULL, &why);
        if (rc != PB_OK)
            rc = pb_fail(err, rc, "%s was made with it: %s", m.code[i], why.text);
        pb_cross_clear(&x);
    }
    free(m.code);
    return rc;
}

static enum pb_rc amend_pollen(struct pb_act *a, const struct edit *e,
                               struct pb_err *err)
{
    struct pb_pollen_lot lot;
    pb_pollen_lot_init(&lot);
    enum pb_rc rc = pb_find_pollen(a, NULL, e->code, &lot, err);
    for (size_t i = 0; i < e->n && rc == PB_OK; i++)
        rc = pb_field_set_pollen(&lot, &e->fields[i], a->today, err);
    if (rc == PB_OK)
        rc = pb_pollen_settle(a, &lot, err);
    if (rc == PB_OK) {
        pb_act_touch(a, &lot.head);
        rc = pb_pollen_update(a->book, &lot, err);
    }
    if (rc == PB_OK)
        rc = renew_ages(a, &lot, err);
    if (rc == PB_OK)
        memcpy(e->out->code, lot.head.code, sizeof(lot.head.code));
    pb_pollen_lot_clear(&lot);
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
    struct edit e = {code, 0, fields, n, out};
    memset(out, 0, sizeof(*out));
    pb_buf_init(&out->clone, PB_CLONE_BYTES);
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    a->own_only = true;
    for (size_t i = 0; i < n; i++)
        a->own_only = a->own_only && pb_field_is_own(fields[i].name);
    switch (pb_code_form(code, &e.look)) {
    case PB_FORM_PLANT:
        rc = amend_plant(a, &e, err);
        break;
    case PB_FORM_CROSS:
        rc = e.look > 0 ? amend_look(a, &e, err) : amend_cross(a, &e, err);
        break;
    case PB_FORM_SEED:
        rc = amend_lot(a, &e, err);
        break;
    case PB_FORM_POLLEN:
        rc = amend_pollen(a, &e, err);
        break;
    case PB_FORM_OTHER:
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

static enum pb_rc rests(const char *code, const char *who, struct pb_err *err)
{
    return pb_fail(err, PB_ECONFLICT, "%s cannot be withdrawn: %s rests on it", code,
                   who);
}

static enum pb_rc withdraw_plant(struct pb_act *a, const char *code, struct pb_err *err)
{
    struct pb_plant p;
    bool used = false;
    char who[PB_MAX_CODE + 1];
    pb_plant_init(&p);
    enum pb_rc rc = pb_find_plant(a, NULL, code, &p, err);
    if (rc == PB_OK)
        rc = pb_plant_is_used(a->book, p.head.n, &used, who, err);
    if (rc == PB_OK && used)
        rc = rests(p.head.code, who, err);
    if (rc == PB_OK) {
        p.head.withdrawn = true;
        pb_act_touch(a, &p.head);
        rc = pb_plant_update(a->book, &p, err);
    }
    pb_plant_clear(&p);
    return rc;
}

static enum pb_rc withdraw_cross(struct pb_act *a, const char *code, struct pb_err *err)
{
    struct pb_cross x;
    bool used = false;
    char who[PB_MAX_CODE + 1];
    pb_cross_init(&x);
    enum pb_rc rc = pb_find_cross(a, NULL, code, &x, err);
    if (rc == PB_OK)
        rc = pb_cross_is_used(a->book, x.head.id, &used, who, err);
    if (rc == PB_OK && used)
        rc = rests(x.head.code, who, err);
    for (size_t i = 0; i < x.harvest_n && rc == PB_OK; i++)
        if (x.harvests[i].lot[0] != '\0')
            rc = rests(x.head.code, x.harvests[i].lot, err);
    if (rc == PB_OK) {
        x.head.withdrawn = true;
        rc = pb_cross_keep(a, &x, NULL, err);
    }
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc withdraw_look(struct pb_act *a, const char *code, int number,
                                struct pb_err *err)
{
    struct pb_cross x;
    struct pb_look *look = NULL;
    pb_cross_init(&x);
    enum pb_rc rc = pb_find_cross(a, NULL, code, &x, err);
    if (rc == PB_OK)
        rc = find_look(&x, number, &look, err);
    if (rc == PB_OK && look != NULL) {
        rc = pb_look_withdraw(a->book, look->n, err);
        free(look->note);
        size_t after = x.look_n - (size_t)(look - x.looks) - 1;
        memmove(look, look + 1, after * sizeof(*look));
        x.look_n--;
    }
    if (rc == PB_OK)
        rc = pb_cross_keep(a, &x, NULL, err);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc withdraw_lot(struct pb_act *a, const char *code, struct pb_err *err)
{
    struct pb_seed lot;
    struct pb_cross x;
    struct pb_harvest *h = NULL;
    pb_seed_init(&lot);
    pb_cross_init(&x);
    enum pb_rc rc = load_lot(a, code, &lot, &x, &h, err);
    if (rc == PB_OK && h != NULL) {
        rc = pb_harvest_withdraw(a->book, h->n, err);
        *h = x.harvests[--x.harvest_n];
    }
    if (rc == PB_OK)
        rc = pb_cross_keep(a, &x, NULL, err);
    if (rc == PB_OK) {
        lot.head.withdrawn = true;
        pb_act_touch(a, &lot.head);
        rc = pb_seed_update(a->book, &lot, err);
    }
    pb_seed_clear(&lot);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc withdraw_pollen(struct pb_act *a, const char *code,
                                  struct pb_err *err)
{
    struct pb_pollen_lot lot;
    bool used = false;
    char who[PB_MAX_CODE + 1];
    pb_pollen_lot_init(&lot);
    enum pb_rc rc = pb_find_pollen(a, NULL, code, &lot, err);
    if (rc == PB_OK)
        rc = pb_pollen_is_used(a->book, &lot, &used, who, err);
    if (rc == PB_OK && used)
        rc = rests(lot.head.code, who, err);
    if (rc == PB_OK) {
        lot.head.withdrawn = true;
        pb_act_touch(a, &lot.head);
        rc = pb_pollen_update(a->book, &lot, err);
    }
    pb_pollen_lot_clear(&lot);
    return rc;
}

enum pb_rc pb_act_withdraw(struct pb_act *a, const char *code, struct pb_err *err)
{
    int look = 0;
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    switch (pb_code_form(code, &look)) {
    case PB_FORM_PLANT:
        rc = withdraw_plant(a, code, err);
        break;
    case PB_FORM_CROSS:
        rc =
            look > 0 ? withdraw_look(a, code, look, err) : withdraw_cross(a, code, err);
        break;
    case PB_FORM_SEED:
        rc = withdraw_lot(a, code, err);
        break;
    case PB_FORM_POLLEN:
        rc = withdraw_pollen(a, code, err);
        break;
    case PB_FORM_OTHER:
        rc = pb_not_found(a, NULL, PB_CODES_RECORD, code, err);
        break;
    }
    return pb_book_end(a->book, rc, err);
}
