/* Amending seed lots, flasks, cuttings, pollen lots, and their looks.  See edit.h. */
#include "act/edit.h"

#include "act/batch.h"
#include "act/enter.h"
#include "act/find.h"
#include "base/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct pb_harvest *harvest_of_lot(struct pb_cross *x, const char *lot)
{
    for (size_t i = 0; i < x->harvest_n; i++)
        if (pb_text_casecmp(x->harvests[i].lot, lot) == 0)
            return &x->harvests[i];
    return NULL;
}

/* Of a seed lot, these are the harvest's that made it. */
static bool is_of_harvest(const char *field)
{
    static const char *const fields[] = {"on", "count", "as", "held-cold"};
    for (size_t i = 0; i < PB_ARRAY_LEN(fields); i++)
        if (strcmp(field, fields[i]) == 0)
            return true;
    return false;
}

/* A seed lot and the harvest that made it are changed as one.
 *   h  NULL: it was not harvested here */
static enum pb_rc set_batch_field(struct pb_batch *b, struct pb_harvest *h,
                                  const struct pb_field *f, pb_day today,
                                  struct pb_err *err)
{
    if (b->kind != PB_SEED || !is_of_harvest(f->name))
        return pb_field_set_batch(b, f, today, err);
    if (h == NULL)
        return pb_fail_at(err, PB_EINVALID, f->name, 0,
                          "%s was not harvested in this book", b->head.code);
    enum pb_rc rc = pb_field_set_harvest(h, f, today, err);
    if (rc != PB_OK)
        return rc;
    b->on = h->on;
    b->capsules = h->count;
    if (strcmp(f->name, "as") == 0 || strcmp(f->name, "held-cold") == 0)
        b->form = pb_harvest_form(h);
    return PB_OK;
}

enum pb_rc pb_edit_harvest(struct pb_act *a, const struct pb_batch *b,
                           struct pb_cross *x, struct pb_harvest **h,
                           struct pb_err *err)
{
    bool found = false;
    *h = NULL;
    if (b->kind != PB_SEED)
        return PB_OK;
    enum pb_rc rc = pb_cross_find(a->book, PB_CROSS_BY_ID, b->cross.id, x, &found, err);
    if (rc == PB_OK && found)
        *h = harvest_of_lot(x, b->head.code);
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
static enum pb_rc renew_ages(struct pb_act *a, const struct pb_batch *lot,
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

enum pb_rc pb_edit_batch(struct pb_act *a, const struct pb_edit *e, struct pb_err *err)
{
    struct pb_batch b;
    struct pb_cross x;
    struct pb_harvest *h = NULL;
    pb_batch_init(&b, PB_SEED);
    pb_cross_init(&x);
    enum pb_rc rc = pb_find_batch(a, NULL, PB_KIND_N, e->code, &b, err);
    if (rc == PB_OK)
        rc = pb_edit_harvest(a, &b, &x, &h, err);
    const pb_day was = b.on;
    const int64_t held = b.amount;
    for (size_t i = 0; i < e->n && rc == PB_OK; i++)
        rc = set_batch_field(&b, h, &e->fields[i], a->today, err);
    if (rc == PB_OK)
        rc = pb_batch_settle(a, &b, err);
    const struct pb_life_event entered = {true, h != NULL ? h->number : 0, false};
    if (rc == PB_OK && h != NULL)
        rc = pb_cross_keep(a, &x, &entered, err);
    if (rc == PB_OK && h != NULL)
        rc = pb_harvest_keep(a->book, x.head.n, h, err);
    if (rc == PB_OK)
        rc = pb_batch_keep(a, &b, NULL, err);
    if (rc == PB_OK && b.kind == PB_POLLEN)
        rc = renew_ages(a, &b, err);
    if (rc == PB_OK && (b.on != was || b.amount != held))
        rc = pb_edit_filled(a, &b, was, err);
    if (rc == PB_OK)
        memcpy(e->out->code, b.head.code, sizeof(b.head.code));
    pb_batch_clear(&b);
    pb_cross_clear(&x);
    return rc;
}

enum pb_rc pb_edit_batch_look(struct pb_act *a, const struct pb_edit *e,
                              struct pb_err *err)
{
    struct pb_batch b;
    struct pb_look *look = NULL;
    const struct pb_life_event entered = {false, e->look, false};
    pb_batch_init(&b, PB_SEED);
    enum pb_rc rc = pb_find_batch(a, NULL, PB_KIND_N, e->code, &b, err);
    if (rc == PB_OK)
        rc = pb_pick_look(b.head.code, b.looks, b.look_n, e->look, &look, err);
    if (rc == PB_OK && pb_courses[b.kind].findings[look->found].command != NULL)
        rc = pb_fail(err, PB_EINVALID,
                     "%s/%d was written by podbook %s and hangs together with what it "
                     "made; take that back with podbook undo",
                     b.head.code, e->look,
                     pb_courses[b.kind].findings[look->found].command);
    for (size_t i = 0; i < e->n && rc == PB_OK; i++)
        rc = pb_field_set_look(look, &pb_courses[b.kind], &e->fields[i], a->today, err);
    if (rc == PB_OK)
        rc = pb_act_past(a, "on", look->on, err);
    if (rc == PB_OK)
        rc = pb_look_check(&pb_courses[b.kind], look, err);
    if (rc == PB_OK)
        rc = pb_batch_keep(a, &b, &entered, err);
    if (rc == PB_OK)
        rc = pb_look_keep(a->book, (struct pb_looked){b.kind, b.head.n}, look, err);
    if (rc == PB_OK)
        (void)snprintf(e->out->code, PB_KEPT_CODE, "%s/%d", b.head.code, e->look);
    pb_batch_clear(&b);
    return rc;
}
