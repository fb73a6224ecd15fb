/* What is taken from a plant - cuttings, pollen - as it is typed. */
#ifndef PB_CMD_TAKEN_H
#define PB_CMD_TAKEN_H

#include "core/batch.h"
#include "env.h"
#include "table.h"

/*
 * Fill a batch from PLANT and the options, each of which is a field of the record
 * (act/fields_batch.c), which checks its value; a flag says yes.  The day is today where
 * none is given.
 */
enum pb_rc taken_fill(struct env *env, const struct cmd *cmd, const struct args *args,
                      struct pb_batch *b, struct pb_err *err);

#endif
