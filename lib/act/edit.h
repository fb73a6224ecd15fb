/* Parts of amending and withdrawing.  Internal to act. */
#ifndef PB_ACT_EDIT_H
#define PB_ACT_EDIT_H

#include "act/amend.h"
#include "book/batches.h"
#include "book/crosses.h"

/* What is asked of one record. */
struct pb_edit {
    const char *code; /* of the record */
    int look;         /* of X26-001/3: 3 */
    const struct pb_field *fields;
    size_t n;
    struct pb_amended *out;
};

/* A batch, a look on one. */
enum pb_rc pb_edit_batch(struct pb_act *a, const struct pb_edit *e, struct pb_err *err);
enum pb_rc pb_edit_batch_look(struct pb_act *a, const struct pb_edit *e,
                              struct pb_err *err);

/*
 * After a flask was amended or withdrawn: those filled from its source on its old day move to
 * its new one, and the look on the source says what all of that day hold.
 *   flask  as it is kept now; a batch of another kind is passed over
 *   was    its day before
 */
enum pb_rc pb_edit_filled(struct pb_act *a, const struct pb_batch *flask, pb_day was,
                          struct pb_err *err);

/* A look on a plant: amended, withdrawn. */
enum pb_rc pb_edit_plant_look(struct pb_act *a, const struct pb_edit *e,
                              struct pb_err *err);
enum pb_rc pb_withdraw_plant_look(struct pb_act *a, const char *code, int number,
                                  struct pb_err *err);

/* Load the cross that a seed lot is of, and its harvest; NULL: there is none here. */
enum pb_rc pb_edit_harvest(struct pb_act *a, const struct pb_batch *b,
                           struct pb_cross *x, struct pb_harvest **h,
                           struct pb_err *err);

#endif
