/* Writing records as JSON, and comparing them in canonical form.  See record.h. */
#include "exchange/record.h"

#include "exchange/writer.h"

#include <stdio.h>
#include <string.h>

/* The marks of doubtful parents that the record stands under, for its reader. */
static void put_doubts(struct pb_writer *w, json_t *obj, const struct pb_doubts *doubts)
{
    json_t *list = NULL;
    for (size_t i = 0; doubts != NULL && i < doubts->n; i++) {
        if (list == NULL)
            list = pb_put_array(w, obj, "doubts");
        json_t *item = pb_append_object(w, list);
        pb_put_text(w, item, "code", doubts->v[i].code);
        pb_put_text(w, item, "why", doubts->v[i].why);
    }
}

/* ---- plants ------------------------------------------------------------------------- */

static void put_stated(struct pb_writer *w, json_t *obj, const char *key,
                       const struct pb_ref *ref, const char *taxon)
{
    json_t *child = pb_put_ref(w, obj, key, ref);
    if (child == NULL)
        return;
    if (!pb_writer_is_canonical(w))
        pb_put_text(w, child, "taxon", taxon);
    pb_put_extra(w, child, key);
}

static void put_flowerings(struct pb_writer *w, json_t *obj,
                           const struct pb_plant_more *more)
{
    char slot[PB_SLOT_TEXT];
    if (more->flowering_n == 0)
        return;
    json_t *list = pb_put_array(w, obj, "flowerings");
    for (size_t i = 0; w->rc == PB_OK && i < more->flowering_n; i++) {
        json_t *item = pb_append_object(w, list);
        pb_put_members(w, item, &pb_flowering_members, &more->flowerings[i]);
        pb_put_extra(w, item, pb_slot_item(slot, "flowerings", i));
    }
}

static void fill_plant(struct pb_writer *w, json_t *obj, struct pb_plant_doc doc)
{
    static const struct pb_plant_more nothing;
    const struct pb_plant *p = doc.plant;
    const struct pb_plant_more *more = doc.more != NULL ? doc.more : &nothing;
    pb_put_head(w, obj, PB_PLANT, &p->head);
    pb_put_members(w, obj, &pb_plant_members, p);
    pb_put_clone(w, obj, &p->genet, p->clone_name, NULL);
    if (p->origin != PB_ORIGIN_UNKNOWN)
        pb_put_text(w, obj, "origin", pb_origin_names[p->origin]);
    pb_put_ref_at(w, obj, "source_plant", &p->source, NULL);
    pb_put_ref_at(w, obj, "from_cross", &p->from_cross, NULL);
    put_stated(w, obj, "seed_parent", &p->seed_parent, more->seed_taxon);
    put_stated(w, obj, "pollen_parent", &p->pollen_parent, more->pollen_taxon);
    pb_put_ref_at(w, obj, "out_of", &p->out_of, NULL);
    pb_put_text(w, obj, "gone", pb_gone_names[p->gone]);
    put_flowerings(w, obj, more);
    if (more->look_n > 0)
        pb_put_looks(w, obj, PB_PLANT, more->looks, more->look_n);
    put_doubts(w, obj, doc.doubts);
}

/* ---- crosses ------------------------------------------------------------------------ */

static void put_harvests(struct pb_writer *w, json_t *obj, const struct pb_cross *x)
{
    char slot[PB_SLOT_TEXT];
    json_t *list = pb_put_array(w, obj, "harvests");
    for (size_t i = 0; w->rc == PB_OK && i < x->harvest_n; i++) {
        const struct pb_harvest *h = &x->harvests[i];
        json_t *item = pb_append_object(w, list);
        pb_put_text(w, item, "as", pb_as_names[h->as]);
        pb_put_true(w, item, "held_cold", h->held_cold);
        pb_put_members(w, item, &pb_harvest_members, h);
        pb_put_extra(w, item, pb_slot_item(slot, "harvests", i));
    }
}

static void put_parents(struct pb_writer *w, json_t *obj, const struct pb_cross *x)
{
    char slot[PB_SLOT_TEXT];
    json_t *seed = pb_put_object(w, obj, "seed_parent");
    pb_put_parent(w, seed, &x->seed, "seed_parent");
    json_t *list = pb_put_array(w, obj, "pollen_parents");
    for (size_t i = 0; w->rc == PB_OK && i < x->pollen_n; i++) {
        const struct pb_pollen_parent *pollen = &x->pollen[i];
        json_t *item = pb_append_object(w, list);
        pb_put_parent(w, item, &pollen->parent,
                      pb_slot_item(slot, "pollen_parents", i));
        pb_put_text(w, item, "pollen_lot", pollen->lot);
        pb_put_members(w, item, &pb_pollen_members, pollen);
    }
}

static void put_span(struct pb_writer *w, json_t *obj, const char *key,
                     struct pb_span span)
{
    if (span.first == PB_DAY_NONE)
        return;
    json_t *child = pb_put_object(w, obj, key);
    pb_put_day(w, child, "from", span.first);
    pb_put_day(w, child, "to", span.last);
}

static void put_view(struct pb_writer *w, json_t *obj, const struct pb_cross_view *view)
{
    pb_put_text(w, obj, "kind", pb_cross_kind_names[view->kind]);
    pb_put_text(w, obj, "state", view->state);
    json_t *windows = pb_put_object(w, obj, "windows");
    put_span(w, windows, "swelling", view->swelling);
    put_span(w, windows, "harvest", view->harvest);
    put_span(w, windows, "split", view->split);
    pb_put_day(w, windows, "risk_day", view->risk_day);
    json_t *capsules = pb_put_object(w, obj, "capsules");
    pb_put_int(w, capsules, "open", view->open);
    for (size_t i = 0; i < PB_STAND_N; i++)
        pb_put_int(w, capsules, pb_stand_names[i], view->by_stand[i]);
    put_doubts(w, obj, view->doubts);
    if (view->warnings != NULL)
        pb_put_lines(w, obj, "warnings", view->warnings);
}

static void fill_cross(struct pb_writer *w, json_t *obj, const struct pb_cross *x,
                       const struct pb_cross_view *view)
{
    pb_put_head(w, obj, PB_CROSS, &x->head);
    put_parents(w, obj, x);
    pb_put_members(w, obj, &pb_cross_members, x);
    pb_put_text(w, obj, "own_pollen", pb_own_pollen_names[x->own_pollen]);
    pb_put_looks(w, obj, PB_CROSS, x->looks, x->look_n);
    put_harvests(w, obj, x);
    if (view != NULL)
        put_view(w, obj, view);
}

/* ---- the record --------------------------------------------------------------------- */

/* ---- batches ---------------------------------------------------------------------------- */

/* A stand as a key: in_water. */
static void put_stand(struct pb_writer *w, json_t *obj, const char *stand, int n)
{
    char key[PB_SLOT_TEXT];
    (void)snprintf(key, sizeof(key), "%s", stand);
    for (char *blank = strchr(key, ' '); blank != NULL; blank = strchr(blank, ' '))
        *blank = '_';
    pb_put_int(w, obj, key, n);
}

static void put_batch_view(struct pb_writer *w, json_t *obj, const struct pb_batch *b,
                           const struct pb_batch_view *view)
{
    const struct pb_course *c = &pb_courses[b->kind];
    pb_put_text(w, obj, "state", view->state);
    if (view->left >= 0)
        pb_put_int(w, obj, "left", view->left);
    if (c->many) {
        json_t *units = pb_put_object(w, obj, "cuttings");
        pb_put_int(w, units, "open", view->open);
        for (int s = 0; s < c->stand_n; s++)
            put_stand(w, units, c->stands[s], view->by_stand[s]);
    }
    json_t *list = pb_put_array(w, obj, "tasks");
    for (size_t i = 0; w->rc == PB_OK && i < view->tasks->n; i++) {
        const struct pb_task *t = &view->tasks->v[i];
        if (t->done)
            continue;
        json_t *item = pb_append_object(w, list);
        pb_put_text(w, item, "task", pb_task_names[t->kind]);
        pb_put_day(w, item, "from", t->span.first);
        pb_put_day(w, item, "to", t->span.last);
    }
    put_doubts(w, obj, view->doubts);
}

/* The whole cross; in canonical form its id. */
static void put_whole_cross(struct pb_writer *w, json_t *obj,
                            const struct pb_batch_doc *doc)
{
    struct pb_writer inner;
    if (pb_writer_is_canonical(w)) {
        (void)pb_put_ref(w, obj, "cross", &doc->batch->cross);
        return;
    }
    if (doc->cross == NULL)
        return;
    json_t *child = pb_writer_begin(&inner, w->form, &doc->cross->head, w->err);
    fill_cross(&inner, child, doc->cross, doc->cross_view);
    pb_writer_put_into(w, obj, "cross", &inner, child);
}

static void put_plant(struct pb_writer *w, json_t *obj, const struct pb_batch_doc *doc)
{
    if (pb_writer_is_canonical(w))
        (void)pb_put_ref(w, obj, "plant", &doc->batch->plant);
    else if (doc->plant != NULL)
        pb_put_parent(w, pb_put_object(w, obj, "plant"), doc->plant, "plant");
}

static void fill_batch(struct pb_writer *w, json_t *obj, const struct pb_batch_doc *doc)
{
    const struct pb_batch *b = doc->batch;
    pb_put_head(w, obj, b->kind, &b->head);
    pb_put_members(w, obj, &pb_batch_members[b->kind], b);
    if (b->kind == PB_SEED || b->kind == PB_FLASK)
        put_whole_cross(w, obj, doc);
    else
        put_plant(w, obj, doc);
    if (b->kind == PB_FLASK)
        pb_put_ref_at(w, obj, "source", &b->source, NULL);
    if (b->source_kind == PB_FLASK && !pb_writer_is_canonical(w))
        pb_put_day(w, obj, "first_sown", b->began);
    pb_put_looks(w, obj, b->kind, b->looks, b->look_n);
    if (doc->view != NULL)
        put_batch_view(w, obj, b, doc->view);
}

/* ---- the record --------------------------------------------------------------------- */

static enum pb_rc write_plant(enum pb_form form, struct pb_plant_doc doc,
                              struct pb_buf *out, struct pb_err *err)
{
    struct pb_writer w;
    json_t *obj = pb_writer_begin(&w, form, &doc.plant->head, err);
    fill_plant(&w, obj, doc);
    return pb_writer_finish(&w, obj, out);
}

static enum pb_rc write_cross(enum pb_form form, const struct pb_cross *x,
                              const struct pb_cross_view *view, struct pb_buf *out,
                              struct pb_err *err)
{
    struct pb_writer w;
    json_t *obj = pb_writer_begin(&w, form, &x->head, err);
    fill_cross(&w, obj, x, view);
    return pb_writer_finish(&w, obj, out);
}

static enum pb_rc write_batch(enum pb_form form, const struct pb_batch_doc *doc,
                              struct pb_buf *out, struct pb_err *err)
{
    struct pb_writer w;
    json_t *obj = pb_writer_begin(&w, form, &doc->batch->head, err);
    fill_batch(&w, obj, doc);
    return pb_writer_finish(&w, obj, out);
}

static enum pb_form told(bool notes)
{
    return notes ? PB_FORM_NOTES : PB_FORM_SHARE;
}

enum pb_rc pb_plant_write(struct pb_plant_doc doc, bool notes, struct pb_buf *out,
                          struct pb_err *err)
{
    return write_plant(told(notes), doc, out, err);
}

enum pb_rc pb_cross_write(const struct pb_cross *x, const struct pb_cross_view *view,
                          bool notes, struct pb_buf *out, struct pb_err *err)
{
    return write_cross(told(notes), x, view, out, err);
}

enum pb_rc pb_batch_write(const struct pb_batch_doc *doc, bool notes,
                          struct pb_buf *out, struct pb_err *err)
{
    return write_batch(told(notes), doc, out, err);
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

static enum pb_form compared(bool notes)
{
    return notes ? PB_FORM_CANONICAL : PB_FORM_CANONICAL_SHARED;
}

enum pb_rc pb_plant_same(struct pb_plant_doc a, struct pb_plant_doc b, bool notes,
                         bool *same, struct pb_err *err)
{
    struct pair pair;
    pair_init(&pair);
    a.doubts = b.doubts = NULL; /* computed */
    enum pb_rc rc = write_plant(compared(notes), a, &pair.a, err);
    if (rc == PB_OK)
        rc = write_plant(compared(notes), b, &pair.b, err);
    return pair_judge(&pair, rc, same);
}

enum pb_rc pb_cross_same(const struct pb_cross *a, const struct pb_cross *b, bool notes,
                         bool *same, struct pb_err *err)
{
    struct pair pair;
    pair_init(&pair);
    enum pb_rc rc = write_cross(compared(notes), a, NULL, &pair.a, err);
    if (rc == PB_OK)
        rc = write_cross(compared(notes), b, NULL, &pair.b, err);
    return pair_judge(&pair, rc, same);
}

enum pb_rc pb_batch_same(const struct pb_batch *a, const struct pb_batch *b, bool notes,
                         bool *same, struct pb_err *err)
{
    const struct pb_batch_doc one = {.batch = a}, other = {.batch = b};
    struct pair pair;
    pair_init(&pair);
    enum pb_rc rc = write_batch(compared(notes), &one, &pair.a, err);
    if (rc == PB_OK)
        rc = write_batch(compared(notes), &other, &pair.b, err);
    return pair_judge(&pair, rc, same);
}
