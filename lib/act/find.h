/* Records by the code that somebody typed, with help where there is none. */
#ifndef PB_ACT_FIND_H
#define PB_ACT_FIND_H

#include "act/act.h"
#include "book/crosses.h"
#include "book/plants.h"
#include "core/bloom.h"

/*
 * The plant, cross, seed or pollen lot of a code, found without regard to case.
 *   what  the argument's or field's name, for the message
 *   p, x, s, lot  in: initialised; out: filled, release with the type's _clear
 * PB_ENOTFOUND  no such code: near ones are named    PB_EINVALID  withdrawn, or the code
 * of another kind of record
 */
enum pb_rc pb_find_plant(struct pb_act *a, const char *what, const char *code,
                         struct pb_plant *p, struct pb_err *err);
/* Only which plant it is; ref may hold the code itself. */
enum pb_rc pb_find_plant_ref(struct pb_act *a, const char *what, const char *code,
                             struct pb_ref *ref, struct pb_err *err);
enum pb_rc pb_find_cross(struct pb_act *a, const char *what, const char *code,
                         struct pb_cross *x, struct pb_err *err);
enum pb_rc pb_find_seed(struct pb_act *a, const char *what, const char *code,
                        struct pb_seed *s, struct pb_err *err);
enum pb_rc pb_find_pollen(struct pb_act *a, const char *what, const char *code,
                          struct pb_pollen_lot *lot, struct pb_err *err);

/* The kind that a code's form says, and the number of a look (X26-001/3), 0: none. */
enum pb_code_form {
    PB_FORM_PLANT,
    PB_FORM_CROSS,
    PB_FORM_SEED,
    PB_FORM_POLLEN,
    PB_FORM_OTHER
};
enum pb_code_form pb_code_form(const char *code, int *look);

/* "no plant GH2 in the book; did you mean GH-2?" */
enum pb_rc pb_not_found(struct pb_act *a, const char *what, enum pb_codes kind,
                        const char *code, struct pb_err *err);

#endif
