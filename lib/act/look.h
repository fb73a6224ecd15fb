/* Looks on records of whatever kind, one or a range of them. */
#ifndef PB_ACT_LOOK_H
#define PB_ACT_LOOK_H

#include "act/act.h"

/* The same found of one record, or of each of several. */
struct pb_looking {
    struct pb_code_range codes;
    const struct pb_look *look; /* day, finding of the kind's course, and what goes with
                                   it; count 0: all it can be said of; borrowed */
    const char
        *as; /* codes of the plants that it makes of cuttings (cut.h); NULL: none */
};

/*
 * Write a look on each of them: all in one act, or none.
 * PB_ENOTFOUND  there is none of that code
 * PB_EINVALID   it cannot be: the reason is named, of several with the record's code
 */
enum pb_rc pb_act_looks(struct pb_act *a, const struct pb_looking *l,
                        struct pb_err *err);

#endif
