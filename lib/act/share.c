/* Records out of the book.  See share.h. */
#include "act/share.h"

#include "act/find.h"
#include "act/share_record.h"
#include "book/plants.h"

/* One sharing: what every record needs on its way out. */
struct sharing {
    struct pb_act *a;
    bool notes;
    pb_share_each *each;
    void *ctx;
    struct pb_buf text; /* of one record; used again for the next, as is */
    struct pb_outlook outlook;
};

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

static enum pb_rc share_batch(void *ctx, const struct pb_batch *b, struct pb_err *err)
{
    struct sharing *s = ctx;
    if (b->elsewhere)
        return PB_OK;
    pb_buf_reset(&s->text);
    enum pb_rc rc = pb_share_batch(s->a, b, NULL, s->notes, &s->text, err);
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

static enum pb_rc batch_of(struct sharing *s, enum pb_kind kind, const char *code,
                           bool share, struct pb_err *err)
{
    struct pb_batch b;
    bool found = false;
    pb_batch_init(&b, kind);
    enum pb_rc rc = pb_batch_find(s->a->book, PB_BATCH_BY_CODE, code, &b, &found, err);
    if (rc == PB_OK && !found)
        rc =
            pb_not_found(s->a, NULL, (enum pb_codes)(PB_CODES_PLANT + kind), code, err);
    if (rc == PB_OK && b.elsewhere)
        rc = pb_fail(err, PB_EINVALID, "%s is in another collection", b.head.code);
    if (rc == PB_OK && share)
        rc = share_batch(s, &b, err);
    pb_batch_clear(&b);
    return rc;
}

/* share: hand the record of a code over, else only look whether it can be. */
static enum pb_rc record_of(struct sharing *s, const char *code, bool share,
                            struct pb_err *err)
{
    int look = 0;
    enum pb_kind kind = pb_code_kind(code, &look);
    if (look > 0)
        return pb_fail(err, PB_EINVALID, "%s is a look; share the record it belongs to",
                       code);
    switch (kind) {
    case PB_PLANT:
        return plant_of(s, code, share, err);
    case PB_CROSS:
        return cross_of(s, code, share, err);
    case PB_SEED:
    case PB_FLASK:
    case PB_CUTTING:
    case PB_POLLEN:
        return batch_of(s, kind, code, share, err);
    case PB_KIND_N:
        break;
    }
    return pb_not_found(s->a, NULL, PB_CODES_RECORD, code, err);
}

/* All are looked at before the first leaves; in the order of kinds, so that what others
 * name comes before them. */
static enum pb_rc share_codes(struct sharing *s, const struct pb_share *what,
                              struct pb_err *err)
{
    int look = 0;
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < what->n && rc == PB_OK; i++)
        rc = record_of(s, what->codes[i], false, err);
    for (int kind = 0; kind < PB_KIND_N; kind++)
        for (size_t i = 0; i < what->n && rc == PB_OK; i++)
            if (pb_code_kind(what->codes[i], &look) == (enum pb_kind)kind)
                rc = record_of(s, what->codes[i], true, err);
    return rc;
}

static enum pb_rc share_all(struct sharing *s, struct pb_err *err)
{
    enum pb_rc rc = pb_plants_each(s->a->book, PB_PLANTS_EVERY, share_plant, s, err);
    if (rc == PB_OK)
        rc = pb_crosses_each(s->a->book, PB_CROSSES_EVERY, 0, share_cross, s, err);
    for (int kind = PB_SEED; kind < PB_KIND_N && rc == PB_OK; kind++)
        rc = pb_batches_each(
            s->a->book, (struct pb_batch_ask){PB_BATCHES_EVERY, (enum pb_kind)kind, 0},
            share_batch, s, err);
    return rc;
}

enum pb_rc pb_act_share(struct pb_act *a, const struct pb_share *what,
                        pb_share_each *each, void *ctx, struct pb_err *err)
{
    struct sharing s = {.a = a, .notes = what->notes, .each = each, .ctx = ctx};
    pb_buf_init(&s.text, PB_MAX_RECORD);
    pb_outlook_init(&s.outlook);
    enum pb_rc rc = what->n > 0 ? share_codes(&s, what, err) : share_all(&s, err);
    pb_outlook_clear(&s.outlook);
    pb_buf_clear(&s.text);
    return rc;
}
