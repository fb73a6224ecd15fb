/*
 * Writing plants and crosses as JSON, and comparing them in canonical form.  See record.h.
 *
 * A writer carries the first error with it.  Objects are built as jansson trees and written
 * once, sorted; a tree that could not be built is NULL and is passed over.
 */
#include "exchange/record.h"

#include "base/text.h"
#include "core/instant.h"
#include "exchange/json_read.h"
#include "exchange/record_keys.h"

#include <stdint.h>
#include <string.h>

enum form {
    FORM_SHARE, /* what leaves the book by default */
    FORM_NOTES, /* with private texts */
    /* what two records of one revision must have in common, with private texts, without */
    FORM_CANONICAL,
    FORM_CANONICAL_SHARED
};

struct writer {
    enum form form;
    const char *code; /* of the record, for messages */
    json_t *extra;    /* x- keys by slot; NULL: none */
    unsigned before;  /* failures of jansson's memory until now */
    enum pb_rc rc;
    struct pb_err *err;
};

static bool is_canonical(const struct writer *w)
{
    return w->form == FORM_CANONICAL || w->form == FORM_CANONICAL_SHARED;
}

static bool has_notes(const struct writer *w)
{
    return w->form == FORM_NOTES || w->form == FORM_CANONICAL;
}

/* ---- members ------------------------------------------------------------------------ */

/* Put a member; takes the value, which is NULL where memory ran out. */
static void put(struct writer *w, json_t *obj, const char *key, json_t *value)
{
    if (w->rc != PB_OK)
        json_decref(value);
    else if (json_object_set_new_nocheck(obj, key, value) != 0)
        w->rc = pb_fail_memory(w->err);
}

/* A text.  One that is not fit to be written can only come from a mangled book. */
static void put_text(struct writer *w, json_t *obj, const char *key, const char *text)
{
    if (text == NULL || text[0] == '\0' || w->rc != PB_OK)
        return;
    struct pb_err reason = {0};
    w->rc = pb_text_check(key, text, SIZE_MAX, &reason);
    if (w->rc == PB_OK)
        put(w, obj, key, json_string_nocheck(text));
    else
        (void)pb_fail_at(w->err, w->rc, w->code, 0, "its %s %s", key, reason.text);
}

static void put_day(struct writer *w, json_t *obj, const char *key, pb_day day)
{
    char text[PB_DAY_TEXT];
    if (day != PB_DAY_NONE)
        put(w, obj, key, json_string_nocheck(pb_day_format(day, text)));
}

static void put_int(struct writer *w, json_t *obj, const char *key, int64_t number)
{
    put(w, obj, key, json_integer(number));
}

/* Only true says something. */
static void put_true(struct writer *w, json_t *obj, const char *key, bool value)
{
    if (value)
        put(w, obj, key, json_true());
}

static void put_members(struct writer *w, json_t *obj, const struct pb_members *members,
                        const void *base)
{
    for (size_t i = 0; i < members->n; i++) {
        const struct pb_member *member = &members->v[i];
        const void *value = (const char *)base + member->offset;
        if (member->is_private && !has_notes(w))
            continue;
        switch (member->type) {
        case PB_MEMBER_TEXT:
            put_text(w, obj, member->key, *(char *const *)value);
            break;
        case PB_MEMBER_DAY:
            put_day(w, obj, member->key, *(const pb_day *)value);
            break;
        case PB_MEMBER_INT:
            if (*(const int *)value >= member->low)
                put_int(w, obj, member->key, *(const int *)value);
            break;
        }
    }
}

/* Put a new object under a key and give it back, borrowed; NULL after an error. */
static json_t *put_object(struct writer *w, json_t *obj, const char *key)
{
    json_t *child = json_object();
    put(w, obj, key, child);
    return w->rc == PB_OK ? child : NULL;
}

static json_t *append_object(struct writer *w, json_t *list)
{
    json_t *child = json_object();
    if (w->rc == PB_OK && json_array_append_new(list, child) != 0)
        w->rc = pb_fail_memory(w->err);
    else if (w->rc != PB_OK)
        json_decref(child);
    return w->rc == PB_OK ? child : NULL;
}

/* The x- keys that were put by under this slot go back into their object. */
static void put_extra(struct writer *w, json_t *obj, const char *slot)
{
    json_t *mine = json_object_get(w->extra, slot);
    if (w->rc == PB_OK && mine != NULL && json_object_update_missing(obj, mine) != 0)
        w->rc = pb_fail_memory(w->err);
}

/* ---- what a record names ------------------------------------------------------------- */

/* In canonical form another record counts by its id alone. */
static json_t *put_ref(struct writer *w, json_t *obj, const char *key,
                       const struct pb_ref *ref)
{
    if (ref->id[0] == '\0')
        return NULL;
    json_t *child = put_object(w, obj, key);
    put_text(w, child, "id", ref->id);
    if (!is_canonical(w))
        put_text(w, child, "code", ref->code);
    return child;
}

static void put_ref_at(struct writer *w, json_t *obj, const char *key,
                       const struct pb_ref *ref, const char *above)
{
    char slot[PB_SLOT_TEXT];
    json_t *child = put_ref(w, obj, key, ref);
    if (child != NULL)
        put_extra(w, child, pb_slot_name(slot, above, key));
}

static void put_stated(struct writer *w, json_t *obj, const char *key,
                       const struct pb_ref *ref, const char *taxon)
{
    json_t *child = put_ref(w, obj, key, ref);
    if (child == NULL)
        return;
    if (!is_canonical(w))
        put_text(w, child, "taxon", taxon);
    put_extra(w, child, key);
}

/* The clone of a plant.  Which plant was its first follows from the rest of the pedigree,
 * so in canonical form only the name counts. */
static void put_clone(struct writer *w, json_t *obj, const struct pb_ref *genet,
                      const char *name, const char *above)
{
    char slot[PB_SLOT_TEXT];
    if (is_canonical(w)) {
        put_text(w, obj, "clone_name", name);
        return;
    }
    json_t *child = put_ref(w, obj, "clone", genet);
    if (child == NULL)
        return;
    put_text(w, child, "name", name);
    put_extra(w, child, pb_slot_name(slot, above, "clone"));
}

static void put_parent(struct writer *w, json_t *obj, const struct pb_parent *parent,
                       const char *slot)
{
    put_text(w, obj, "id", parent->plant.id);
    if (!is_canonical(w)) {
        put_text(w, obj, "code", parent->plant.code);
        put_members(w, obj, &pb_parent_members, parent);
        put_clone(w, obj, &parent->genet, parent->clone_name, slot);
        put_ref_at(w, obj, "raised_from", &parent->raised_from, slot);
    }
    put_extra(w, obj, slot);
}

static void put_head(struct writer *w, json_t *obj, enum pb_kind kind,
                     const struct pb_head *head)
{
    char text[PB_INSTANT_TEXT];
    put_text(w, obj, "format", pb_format_names[kind]);
    put_int(w, obj, "version", PB_RECORD_VERSION);
    put_text(w, obj, "id", head->id);
    put_int(w, obj, "revision", head->revision);
    put_true(w, obj, "withdrawn", head->withdrawn);
    if (is_canonical(w))
        return;
    put_text(w, obj, "code", head->code);
    put_text(w, obj, "origin_code", head->origin_code);
    put_text(w, obj, "modified", pb_instant_format(head->modified, text));
}

/* The marks of doubtful parents that the record stands under, for its reader. */
static void put_doubts(struct writer *w, json_t *obj, const struct pb_doubts *doubts)
{
    if (doubts == NULL || doubts->n == 0 || w->form == FORM_CANONICAL)
        return;
    json_t *list = json_array();
    put(w, obj, "doubts", list);
    for (size_t i = 0; w->rc == PB_OK && i < doubts->n; i++) {
        json_t *item = append_object(w, list);
        put_text(w, item, "code", doubts->v[i].code);
        put_text(w, item, "why", doubts->v[i].why);
    }
}

/* ---- plants ------------------------------------------------------------------------- */

static void fill_plant(struct writer *w, json_t *obj, const struct pb_plant *p,
                       const struct pb_plant_taxa *taxa)
{
    put_head(w, obj, PB_PLANT, &p->head);
    put_members(w, obj, &pb_plant_members, p);
    put_clone(w, obj, &p->genet, p->clone_name, NULL);
    if (p->origin != PB_ORIGIN_UNKNOWN)
        put_text(w, obj, "origin", pb_origin_names[p->origin]);
    put_ref_at(w, obj, "source_plant", &p->source, NULL);
    put_ref_at(w, obj, "from_cross", &p->from_cross, NULL);
    put_stated(w, obj, "seed_parent", &p->seed_parent, taxa ? taxa->seed : NULL);
    put_stated(w, obj, "pollen_parent", &p->pollen_parent, taxa ? taxa->pollen : NULL);
    put_text(w, obj, "gone", pb_gone_names[p->gone]);
    put_doubts(w, obj, taxa != NULL ? taxa->doubts : NULL);
}

/* ---- crosses ------------------------------------------------------------------------ */

static void put_looks(struct writer *w, json_t *obj, const struct pb_cross *x)
{
    char slot[PB_SLOT_TEXT];
    json_t *list = json_array();
    put(w, obj, "looks", list);
    for (size_t i = 0; w->rc == PB_OK && i < x->look_n; i++) {
        const struct pb_look *look = &x->looks[i];
        json_t *item = append_object(w, list);
        put_text(w, item, "id", look->id);
        put_text(w, item, "found", pb_found_names[look->found]);
        put_members(w, item, &pb_look_members, look);
        put_extra(w, item, pb_slot_name(slot, "looks", look->id));
    }
}

static void put_harvests(struct writer *w, json_t *obj, const struct pb_cross *x)
{
    char slot[PB_SLOT_TEXT];
    json_t *list = json_array();
    put(w, obj, "harvests", list);
    for (size_t i = 0; w->rc == PB_OK && i < x->harvest_n; i++) {
        const struct pb_harvest *h = &x->harvests[i];
        json_t *item = append_object(w, list);
        put_text(w, item, "as", pb_as_names[h->as]);
        put_true(w, item, "held_cold", h->held_cold);
        put_members(w, item, &pb_harvest_members, h);
        put_extra(w, item, pb_slot_item(slot, "harvests", i));
    }
}

static void put_parents(struct writer *w, json_t *obj, const struct pb_cross *x)
{
    char slot[PB_SLOT_TEXT];
    json_t *seed = put_object(w, obj, "seed_parent");
    put_parent(w, seed, &x->seed, "seed_parent");
    json_t *list = json_array();
    put(w, obj, "pollen_parents", list);
    for (size_t i = 0; w->rc == PB_OK && i < x->pollen_n; i++) {
        const struct pb_pollen_parent *pollen = &x->pollen[i];
        json_t *item = append_object(w, list);
        put_parent(w, item, &pollen->parent, pb_slot_item(slot, "pollen_parents", i));
        put_text(w, item, "pollen_lot", pollen->lot);
        put_members(w, item, &pb_pollen_members, pollen);
    }
}

static void put_span(struct writer *w, json_t *obj, const char *key,
                     struct pb_span span)
{
    if (span.first == PB_DAY_NONE)
        return;
    json_t *child = put_object(w, obj, key);
    put_day(w, child, "from", span.first);
    put_day(w, child, "to", span.last);
}

static void put_view(struct writer *w, json_t *obj, const struct pb_cross_view *view)
{
    put_text(w, obj, "kind", pb_cross_kind_names[view->kind]);
    put_text(w, obj, "state", view->state);
    put_doubts(w, obj, view->doubts);
    json_t *windows = put_object(w, obj, "windows");
    put_span(w, windows, "swelling", view->swelling);
    put_span(w, windows, "harvest", view->harvest);
    put_span(w, windows, "split", view->split);
    put_day(w, windows, "risk_day", view->risk_day);
    json_t *capsules = put_object(w, obj, "capsules");
    put_int(w, capsules, "open", view->open);
    for (size_t i = 0; i < PB_STAND_N; i++)
        put_int(w, capsules, pb_stand_names[i], view->by_stand[i]);
}

static void fill_cross(struct writer *w, json_t *obj, const struct pb_cross *x,
                       const struct pb_cross_view *view)
{
    put_head(w, obj, PB_CROSS, &x->head);
    put_parents(w, obj, x);
    put_members(w, obj, &pb_cross_members, x);
    put_text(w, obj, "own_pollen", pb_own_pollen_names[x->own_pollen]);
    put_looks(w, obj, x);
    put_harvests(w, obj, x);
    if (view != NULL)
        put_view(w, obj, view);
}

/* ---- the record --------------------------------------------------------------------- */

/* The record's own x- keys, beside which those of inner objects stand under their slots. */
static void put_own_extra(struct writer *w, json_t *obj)
{
    const char *key;
    json_t *value;
    json_object_foreach(w->extra, key, value)
    {
        if (strncmp(key, "x-", 2) == 0)
            put(w, obj, key, json_incref(value));
    }
}

static int append(const char *bytes, size_t n, void *out)
{
    pb_buf_add(out, bytes, n);
    return 0;
}

/* A writer for one record, and the object to fill. */
static json_t *begin(struct writer *w, enum form form, const struct pb_head *head,
                     struct pb_err *err)
{
    static const struct pb_json_origin nowhere = {NULL, 0};
    *w = (struct writer){
        .form = form, .code = head->code, .before = pb_json_failures(), .err = err};
    json_t *obj = json_object();
    if (obj == NULL)
        w->rc = PB_ENOMEM;
    else if (head->extra != NULL)
        w->rc =
            pb_json_load(&nowhere, head->extra, strlen(head->extra), &w->extra, NULL);
    if (w->rc == PB_ENOMEM)
        (void)pb_fail_memory(err);
    else if (w->rc != PB_OK || (w->extra != NULL && !json_is_object(w->extra)))
        w->rc =
            pb_fail_at(err, PB_EPARSE, head->code, 0, "its x- keys are not good JSON");
    put_own_extra(w, obj);
    return obj;
}

/* Append the object to out and release what begin made. */
static enum pb_rc finish(struct writer *w, json_t *obj, struct pb_buf *out)
{
    size_t flags = 0;
    if (w->rc == PB_OK && (!pb_extra_flags(w->extra, &flags) ||
                           json_dump_callback(obj, append, out, flags) != 0 ||
                           pb_json_failures() != w->before))
        w->rc = pb_fail_memory(w->err);
    if (w->rc == PB_OK)
        w->rc = pb_buf_status(out, w->err);
    json_decref(obj);
    json_decref(w->extra);
    return w->rc;
}

static enum pb_rc write_plant(enum form form, const struct pb_plant *p,
                              const struct pb_plant_taxa *taxa, struct pb_buf *out,
                              struct pb_err *err)
{
    struct writer w;
    json_t *obj = begin(&w, form, &p->head, err);
    fill_plant(&w, obj, p, taxa);
    return finish(&w, obj, out);
}

static enum pb_rc write_cross(enum form form, const struct pb_cross *x,
                              const struct pb_cross_view *view, struct pb_buf *out,
                              struct pb_err *err)
{
    struct writer w;
    json_t *obj = begin(&w, form, &x->head, err);
    fill_cross(&w, obj, x, view);
    return finish(&w, obj, out);
}

enum pb_rc pb_plant_write(const struct pb_plant *p, const struct pb_plant_taxa *taxa,
                          bool notes, struct pb_buf *out, struct pb_err *err)
{
    return write_plant(notes ? FORM_NOTES : FORM_SHARE, p, taxa, out, err);
}

enum pb_rc pb_cross_write(const struct pb_cross *x, const struct pb_cross_view *view,
                          bool notes, struct pb_buf *out, struct pb_err *err)
{
    return write_cross(notes ? FORM_NOTES : FORM_SHARE, x, view, out, err);
}

/* ---- canonical form ------------------------------------------------------------------ */

/* Two records in canonical form. */
struct pair {
    struct pb_buf a, b;
};

static void pair_init(struct pair *pair)
{
    pb_buf_init(&pair->a, PB_MAX_RECORD);
    pb_buf_init(&pair->b, PB_MAX_RECORD);
}

/* Compare them if both could be written, and release them. */
static enum pb_rc pair_judge(struct pair *pair, enum pb_rc rc, bool *same)
{
    const struct pb_buf *a = &pair->a, *b = &pair->b;
    if (rc == PB_OK)
        *same = a->len == b->len && memcmp(pb_buf_peek(a), pb_buf_peek(b), a->len) == 0;
    pb_buf_clear(&pair->a);
    pb_buf_clear(&pair->b);
    return rc;
}

enum pb_rc pb_plant_same(const struct pb_plant *a, const struct pb_plant *b, bool notes,
                         bool *same, struct pb_err *err)
{
    const enum form form = notes ? FORM_CANONICAL : FORM_CANONICAL_SHARED;
    struct pair pair;
    pair_init(&pair);
    enum pb_rc rc = write_plant(form, a, NULL, &pair.a, err);
    if (rc == PB_OK)
        rc = write_plant(form, b, NULL, &pair.b, err);
    return pair_judge(&pair, rc, same);
}

enum pb_rc pb_cross_same(const struct pb_cross *a, const struct pb_cross *b, bool notes,
                         bool *same, struct pb_err *err)
{
    const enum form form = notes ? FORM_CANONICAL : FORM_CANONICAL_SHARED;
    struct pair pair;
    pair_init(&pair);
    enum pb_rc rc = write_cross(form, a, NULL, &pair.a, err);
    if (rc == PB_OK)
        rc = write_cross(form, b, NULL, &pair.b, err);
    return pair_judge(&pair, rc, same);
}
