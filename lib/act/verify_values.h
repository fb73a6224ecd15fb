/* Texts and numbers of the book that cannot leave it.  Internal to verify. */
#ifndef PB_ACT_VERIFY_VALUES_H
#define PB_ACT_VERIFY_VALUES_H

#include "act/act.h"
#include "book/sound.h"
#include "core/batch.h"
#include "core/merge.h"

/*
 * Tell each text and number of a record, and of its looks, that would be refused where it is
 * entered: a record that holds one cannot be shared, or no other book receives it.  Reads
 * nothing; the cost is that of the bytes.
 */
enum pb_rc pb_verify_values_plant(const struct pb_plant *p, pb_fault_each *each,
                                  void *ctx, struct pb_err *err);
enum pb_rc pb_verify_values_cross(const struct pb_cross *x, pb_fault_each *each,
                                  void *ctx, struct pb_err *err);
enum pb_rc pb_verify_values_batch(const struct pb_batch *b, pb_fault_each *each,
                                  void *ctx, struct pb_err *err);
/* The looks of a plant, which do not come with it. */
enum pb_rc pb_verify_values_looks(const struct pb_head *head,
                                  const struct pb_course *course,
                                  struct pb_look_list looks, pb_fault_each *each,
                                  void *ctx, struct pb_err *err);

#endif
