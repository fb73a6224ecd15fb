/* How seed lots, flasks, cuttings and pollen lots look to a person. */
#ifndef PB_CMD_PRINT_BATCH_H
#define PB_CMD_PRINT_BATCH_H

#include "act/batch.h"
#include "env.h"

/* As one record: JSON, or lines with its looks and what it asks for next. */
enum pb_rc print_batch(struct env *env, const struct pb_batch *b, struct pb_err *err);

/* What happened after something was recorded on it: state, next work; or JSON. */
enum pb_rc print_batch_after(struct env *env, const struct pb_batch *b,
                             struct pb_err *err);

/* Work that waits, in a line. */
void print_task(const struct env *env, const struct pb_task *t, const char *words);

#endif
