/* A plant after its flowering, for people. */
#ifndef PB_CMD_PRINT_SHOOT_H
#define PB_CMD_PRINT_SHOOT_H

#include "act/shoot.h"
#include "env.h"

/* Where its newest ended flowering stands and what it asks for next, as lines; nothing
 * where none has ended. */
void print_shoot(const struct env *env, const struct pb_shoot *s);

/* What happened after a look on a plant: where it stands, what is next; or its JSON. */
enum pb_rc print_shoot_after(struct env *env, const struct pb_plant *p,
                             struct pb_err *err);

#endif
