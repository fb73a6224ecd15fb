/* What sow, replate and deflask share: options that are fields of a flask, what is told. */
#ifndef PB_CMD_FLASKS_H
#define PB_CMD_FLASKS_H

#include "act/sow.h"
#include "env.h"
#include "opts.h"

/* Set the fields of a flask from the options that bear their names. */
enum pb_rc flask_fill(struct env *env, const struct cmd *cmd, const struct args *args,
                      struct pb_batch *flask, struct pb_err *err);

/* "AG-1", "F26-001 to F26-004": from the first to the last. */
void made_text(const struct pb_made *made, struct pb_buf *out);

/* Say it of a flask that was emptied, where something is left.
 *   part  it goes on growing */
enum pb_rc print_left(struct env *env, const char *flask, bool part,
                      struct pb_err *err);

/* What a batch has come to. */
enum pb_rc print_batch_code(struct env *env, const char *code, struct pb_err *err);

/* The flasks that were filled, one in full where there are several alike, and what they
 * were filled from; JSON: {"from":record,"flasks":[record]}. */
enum pb_rc print_filled(struct env *env, const char *from, const struct pb_made *made,
                        struct pb_err *err);

#endif
