/* The plants that a command was asked about, by the codes of its words. */
#ifndef PB_CMD_ASKED_H
#define PB_CMD_ASKED_H

#include "core/record.h"
#include "env.h"

struct asked {
    struct pb_plant *v;
    int64_t *rows; /* of each in the book */
    size_t n;
};

/* Of two words one may be the other: what a selfing comes to.  Of more each plant is taken
 * once.  q is empty before; clear it, also after an error. */
enum pb_rc asked_find(struct env *env, const struct args *args, struct asked *q,
                      struct pb_err *err);
void asked_clear(struct asked *q);

/* Does plant i of them stand there before? */
bool asked_again(const struct asked *q, size_t i);

#endif
