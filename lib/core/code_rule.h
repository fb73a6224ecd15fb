/* What a code must look like, by what it is of. */
#ifndef PB_CORE_CODE_RULE_H
#define PB_CORE_CODE_RULE_H

#include "base/err.h"

/* The first as enum pb_kind has them.  ORDER RULE: code_rule.c */
enum pb_code_rule {
    PB_RULE_PLANT,
    PB_RULE_CROSS,
    PB_RULE_SEED,
    PB_RULE_FLASK,
    PB_RULE_CUTTING,
    PB_RULE_POLLEN,
    PB_RULE_SOWN,   /* what a flask comes from: a seed lot or a flask */
    PB_RULE_OUT_OF, /* what a plant comes out of: a flask or cuttings */
    PB_RULE_ANY,
    PB_RULE_N
};

/* PB_EPARSE, PB_ELIMIT  says what it must look like */
enum pb_rc pb_code_fits(enum pb_code_rule rule, const char *code, struct pb_err *err);

#endif
