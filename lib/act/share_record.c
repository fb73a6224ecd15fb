/* One record as JSON.  See share_record.h. */
#include "act/share_record.h"

#include "book/crosses.h"
#include "book/doubts.h"
#include "book/flowerings.h"
#include "book/plants.h"

#include <stdlib.h>
#include <string.h>

/* Taxon of a plant of the book; NULL where there is no such row. */
static enum pb_rc taxon_of(struct pb_act *a, int64_t plant, char **taxon,
                           struct pb_err *err)
{
    struct pb_parent parent = {0};
    if (plant == 0)
        return PB_OK;
    enum pb_rc rc = pb_parent_load(a->book, plant, &parent, err);
    free(parent.clone_name);
    if (rc == PB_OK)
        *taxon = parent.taxon;
    else
        free(parent.taxon);
    return rc;
}

static enum pb_rc add_flowering(void *ctx, const struct pb_flowering *f,
                                struct pb_err *err)
{
    struct pb_plant_more *more = ctx;
    struct pb_flowering *v =
        realloc(more->flowerings, (more->flowering_n + 1) * sizeof(*v));
    if (v == NULL)
        return pb_fail_memory(err);
    more->flowerings = v;
    v[more->flowering_n++] = *f;
    return PB_OK;
}

enum pb_rc pb_plant_more_load(struct pb_act *a, const struct pb_plant *p,
                              struct pb_plant_more *more, struct pb_err *err)
{
    enum pb_rc rc = taxon_of(a, p->seed_parent.n, &more->seed_taxon, err);
    if (rc == PB_OK)
        rc = taxon_of(a, p->pollen_parent.n, &more->pollen_taxon, err);
    if (rc == PB_OK)
        rc = pb_flowerings_of(a->book, p->head.n, add_flowering, more, err);
    if (rc == PB_OK)
        rc = pb_looks_load(a->book, (struct pb_looked){PB_PLANT, p->head.n},
                           &more->looks, &more->look_n, err);
    return rc;
}

enum pb_rc pb_share_plant(struct pb_act *a, const struct pb_plant *p, bool notes,
                          struct pb_buf *out, struct pb_err *err)
{
    struct pb_plant_more more;
    struct pb_doubts doubts = {NULL, 0};
    memset(&more, 0, sizeof(more));
    enum pb_rc rc = pb_plant_more_load(a, p, &more, err);
    if (rc == PB_OK)
        rc = pb_doubts_load(a->book, PB_PLANT, p->head.n, &doubts, err);
    if (rc == PB_OK)
        rc = pb_plant_write((struct pb_plant_doc){p, &more, &doubts}, notes, out, err);
    pb_doubts_clear(&doubts);
    pb_plant_more_clear(&more);
    return rc;
}

enum pb_rc pb_share_cross(struct pb_act *a, const struct pb_cross *x,
                          const struct pb_cross_view *view, bool notes,
                          struct pb_buf *out, struct pb_err *err)
{
    struct pb_doubts doubts = {NULL, 0};
    enum pb_rc rc = pb_doubts_load(a->book, PB_CROSS, x->head.n, &doubts, err);
    if (rc == PB_OK) {
        struct pb_cross_view whole = *view;
        whole.doubts = &doubts;
        rc = pb_cross_write(x, &whole, notes, out, err);
    }
    pb_doubts_clear(&doubts);
    return rc;
}

/* What a batch carries along. */
struct carried {
    struct pb_cross cross;
    struct pb_outlook outlook;
    struct pb_parent plant;
    struct pb_doubts of_cross, of_batch;
};

static enum pb_rc load_cross(struct pb_act *a, const struct pb_batch *b,
                             struct carried *c, struct pb_err *err)
{
    bool found = false;
    enum pb_rc rc =
        pb_cross_find(a->book, PB_CROSS_BY_ID, b->cross.id, &c->cross, &found, err);
    if (rc == PB_OK)
        rc = pb_outlook_make(a, &c->cross, &c->outlook, err);
    if (rc == PB_OK)
        rc = pb_doubts_load(a->book, PB_CROSS, c->cross.head.n, &c->of_cross, err);
    c->outlook.view.doubts = &c->of_cross;
    return rc;
}

static void clear_carried(struct carried *c)
{
    pb_cross_clear(&c->cross);
    pb_outlook_clear(&c->outlook);
    free(c->plant.taxon);
    free(c->plant.clone_name);
    pb_doubts_clear(&c->of_cross);
    pb_doubts_clear(&c->of_batch);
}

static enum pb_rc write_batch(const struct pb_batch *b,
                              const struct pb_batch_outlook *o, const struct carried *c,
                              bool notes, struct pb_buf *out, struct pb_err *err)
{
    bool of_cross = b->cross.n != 0;
    struct pb_batch_view view = {.state = pb_batch_state(b, &o->life),
                                 .left = -1,
                                 .by_stand = o->life.by_stand,
                                 .open = o->life.open,
                                 .tasks = &o->tasks,
                                 .doubts = &c->of_batch};
    const struct pb_batch_doc doc = {b, of_cross ? &c->cross : NULL,
                                     of_cross ? &c->outlook.view : NULL,
                                     of_cross ? NULL : &c->plant, &view};
    enum pb_rc rc = view.open > 0 ? pb_batch_left(b, &view.left, err) : PB_OK;
    return rc == PB_OK ? pb_batch_write(&doc, notes, out, err) : rc;
}

enum pb_rc pb_share_batch(struct pb_act *a, const struct pb_batch *b,
                          const struct pb_batch_outlook *o, bool notes,
                          struct pb_buf *out, struct pb_err *err)
{
    struct pb_batch_outlook own = {0};
    struct carried c;
    memset(&c, 0, sizeof(c));
    pb_cross_init(&c.cross);
    pb_outlook_init(&c.outlook);
    enum pb_rc rc = pb_doubts_load(a->book, b->kind, b->head.n, &c.of_batch, err);
    if (rc == PB_OK)
        rc = b->cross.n != 0 ? load_cross(a, b, &c, err)
                             : pb_parent_load(a->book, b->plant.n, &c.plant, err);
    if (rc == PB_OK && o == NULL)
        rc = pb_batch_outlook_make(a, b, &own, err);
    if (rc == PB_OK)
        rc = write_batch(b, o != NULL ? o : &own, &c, notes, out, err);
    pb_batch_outlook_clear(&own);
    clear_carried(&c);
    return rc;
}
