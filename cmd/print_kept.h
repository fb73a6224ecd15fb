/* How long what is kept - seed, pollen - is good for, and what that rests on. */
#ifndef PB_CMD_PRINT_KEPT_H
#define PB_CMD_PRINT_KEPT_H

#include "act/batch.h"
#include "env.h"

/* Lines under an open seed or pollen lot; nothing under others. */
void print_kept(const struct env *env, const struct pb_batch *b,
                const struct pb_batch_outlook *o);

#endif
