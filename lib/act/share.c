/* Records out of the book.  See share.h. */
#include "act/share.h"

#include "act/find.h"
#include "act/timing.h"
#include "book/doubts.h"
#include "book/plants.h"
#include "exchange/record.h"

#include <stdlib.h>

/* One sharing: what every record needs on its way out. */
struct sharing {
    struct pb_act *a;
    bool notes;
    pb_share_each *each;
    void *ctx;
    struct pb_buf text; /* of one record; used again for the next */
    struct pb_outlook outlook;
};

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

enum pb_rc pb_share_plant(struct pb_act *a, const struct pb_plant *p, bool notes,
                          struct pb_buf *out, struct pb_err *err)
{
    struct pb_doubts doubts = {NULL, 0};
    struct pb_plant_taxa taxa = {NULL, NULL, &doubts};
    enum pb_rc rc = taxon_of(a, p->seed_parent.n, &taxa.seed, err);
    if (rc == PB_OK)
        rc = taxon_of(a, p->pollen_parent.n, &taxa.pollen, err);
    if (rc == PB_OK)
        rc = pb_doubts_load(a->book, PB_PLANT, p->head.n, &doubts, err);
    if (rc == PB_OK)
        rc = pb_plant_write(p, &taxa, notes, out, err);
    free(taxa.seed);
    free(taxa.pollen);
    pb_doubts_clear(&doubts);
    return rc;
}

enum pb_rc pb_share_cross(struct pb_act *a, const struct pb_cross *x,
                          const struct pb_cross_view *view, bool notes,
                          struct pb_buf *out, struct pb_err *err)
{
    struct pb_doubts doubts = {NULL, 0};
    struct pb_cross_view whole = *view;
    enum pb_rc rc = pb_doubts_load(a->book, PB_CROSS, x->head.n, &doubts, err);
    whole.doubts = &doubts;
    if (rc == PB_OK)
        rc = pb_cross_write(x, &whole, notes, out, err);
    pb_doubts_clear(&doubts);
    return rc;
}

static enum pb_rc hand_over(struct sharing *s, struct pb_err *err)
{
    return s->each(s->ctx, pb_buf_peek(&s->text), s->text.len, err);
}

static enum pb_rc share_plant(void *ctx, const struct pb_plant *p, struct pb_err *err)
{
    struct sharing *s = ctx;
    if (p->elsewhere)
        return PB_OK; /* told with the records that name it */
    pb_buf_reset(&s->text);
    enum pb_rc rc = pb_share_plant(s->a, p, s->notes, &s->text, err);
    return rc == PB_OK ? hand_over(s, err) : rc;
}

static enum pb_rc share_cross(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct sharing *s = ctx;
    pb_buf_reset(&s->text);
    enum pb_rc rc = pb_outlook_make(s->a, x, &s->outlook, err);
    if (rc == PB_OK)
        rc = pb_share_cross(s->a, x, &s->outlook.view, s->notes, &s->text, err);
    return rc == PB_OK ? hand_over(s, err) : rc;
}

/* The plant of a code; share: hand it over, else only look whether it can be. */
static enum pb_rc plant_of(struct sharing *s, const char *code, bool share,
                           struct pb_err *err)
{
    struct pb_plant p;
    bool found = false;
    pb_plant_init(&p);
    enum pb_rc rc = pb_plant_find(s->a->book, PB_PLANT_BY_CODE, code, &p, &found, err);
    if (rc == PB_OK && !found)
        rc = pb_not_found(s->a, NULL, PB_CODES_PLANT, code, err);
    if (rc == PB_OK && p.elsewhere)
        rc = pb_fail(err, PB_EINVALID,
                     "%s stands in another collection; it is told with the crosses "
                     "that name it",
                     p.head.code);
    if (rc == PB_OK && share)
        rc = share_plant(s, &p, err);
    pb_plant_clear(&p);
    return rc;
}

static enum pb_rc cross_of(struct sharing *s, const char *code, bool share,
                           struct pb_err *err)
{
    struct pb_cross x;
    bool found = false;
    pb_cross_init(&x);
    enum pb_rc rc = pb_cross_find(s->a->book, PB_CROSS_BY_CODE, code, &x, &found, err);
    if (rc == PB_OK && !found)
        rc = pb_not_found(s->a, NULL, PB_CODES_CROSS, code, err);
    if (rc == PB_OK && share)
        rc = share_cross(s, &x, err);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc check_code(struct sharing *s, const char *code, struct pb_err *err)
{
    int look = 0;
    enum pb_kind form = pb_code_kind(code, &look);
    if (form == PB_PLANT)
        return plant_of(s, code, false, err);
    if (form == PB_CROSS && look == 0)
        return cross_of(s, code, false, err);
    return pb_fail(err, PB_EINVALID,
                   "%s is neither a plant nor a cross; share the cross it belongs to",
                   code);
}

/* All are looked at before the first leaves; plants go first. */
static enum pb_rc share_codes(struct sharing *s, const struct pb_share *what,
                              struct pb_err *err)
{
    int look = 0;
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < what->n && rc == PB_OK; i++)
        rc = check_code(s, what->codes[i], err);
    for (size_t i = 0; i < what->n && rc == PB_OK; i++)
        if (pb_code_kind(what->codes[i], &look) == PB_PLANT)
            rc = plant_of(s, what->codes[i], true, err);
    for (size_t i = 0; i < what->n && rc == PB_OK; i++)
        if (pb_code_kind(what->codes[i], &look) == PB_CROSS)
            rc = cross_of(s, what->codes[i], true, err);
    return rc;
}

enum pb_rc pb_act_share(struct pb_act *a, const struct pb_share *what,
                        pb_share_each *each, void *ctx, struct pb_err *err)
{
    struct sharing s = {.a = a, .notes = what->notes, .each = each, .ctx = ctx};
    pb_buf_init(&s.text, PB_MAX_RECORD);
    pb_outlook_init(&s.outlook);
    enum pb_rc rc =
        what->n > 0 ? share_codes(&s, what, err)
                    : pb_plants_each(a->book, PB_PLANTS_EVERY, share_plant, &s, err);
    if (rc == PB_OK && what->n == 0)
        rc = pb_crosses_each(a->book, PB_CROSSES_EVERY, 0, share_cross, &s, err);
    pb_outlook_clear(&s.outlook);
    pb_buf_clear(&s.text);
    return rc;
}
