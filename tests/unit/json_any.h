/* A record of whatever kind, written, compared, given its private texts. */
#ifndef PB_TESTS_JSON_ANY_H
#define PB_TESTS_JSON_ANY_H

#include "core/merge.h"
#include "exchange/record.h"

/* What is computed of it; NULL: nothing. */
struct any_view {
    const struct pb_cross_view *cross; /* of the cross that a batch carries too */
    const struct pb_batch_view *batch;
    const struct pb_doubts *doubts; /* of a plant */
};

static inline enum pb_rc any_write(const struct pb_record *rec, struct any_view view,
                                   bool notes, struct pb_buf *out, struct pb_err *err)
{
    bool of_cross = rec->kind == PB_SEED || rec->kind == PB_FLASK;
    const struct pb_batch_doc doc = {&rec->batch, of_cross ? &rec->cross : NULL,
                                     of_cross ? view.cross : NULL,
                                     of_cross ? NULL : &rec->parent, view.batch};
    if (rec->kind == PB_PLANT)
        return pb_plant_write(
            (struct pb_plant_doc){&rec->plant, &rec->more, view.doubts}, notes, out,
            err);
    return rec->kind == PB_CROSS
               ? pb_cross_write(&rec->cross, view.cross, notes, out, err)
               : pb_batch_write(&doc, notes, out, err);
}

static inline enum pb_rc any_same(const struct pb_record *a, const struct pb_record *b,
                                  bool *same, struct pb_err *err)
{
    if (a->kind == PB_PLANT)
        return pb_plant_same((struct pb_plant_doc){&a->plant, &a->more, NULL},
                             (struct pb_plant_doc){&b->plant, &b->more, NULL}, true,
                             same, err);
    return a->kind == PB_CROSS ? pb_cross_same(&a->cross, &b->cross, true, same, err)
                               : pb_batch_same(&a->batch, &b->batch, true, same, err);
}

static inline enum pb_rc any_keep_private(struct pb_record *theirs,
                                          const struct pb_record *ours,
                                          struct pb_err *err)
{
    if (ours->kind == PB_CROSS)
        return pb_cross_keep_private(&theirs->cross, &ours->cross, false, err);
    if (ours->kind != PB_PLANT)
        return pb_batch_keep_private(&theirs->batch, &ours->batch, false, err);
    enum pb_rc rc = pb_plant_keep_private(&theirs->plant, &ours->plant, false, err);
    return rc == PB_OK
               ? pb_looks_keep_private(
                     (struct pb_look_list){theirs->more.looks, theirs->more.look_n},
                     (struct pb_look_list){ours->more.looks, ours->more.look_n}, false,
                     err)
               : rc;
}

#endif
