/* Records by the code that somebody typed, with help where there is none. */
#ifndef PB_ACT_FIND_H
#define PB_ACT_FIND_H

#include "act/act.h"
#include "book/batches.h"
#include "book/crosses.h"
#include "book/looks.h"
#include "book/plants.h"

/*
 * The plant, cross or batch of a code, found without regard to case.
 *   what  the argument's or field's name, for the message
 *   p, x, b  in: initialised; out: filled, release with the type's _clear
 * PB_ENOTFOUND  no such code: near ones are named    PB_EINVALID  withdrawn, or the code
 * of another kind of record or of a look
 */
enum pb_rc pb_find_plant(struct pb_act *a, const char *what, const char *code,
                         struct pb_plant *p, struct pb_err *err);
/* Only which plant it is; ref may hold the code itself. */
enum pb_rc pb_find_plant_ref(struct pb_act *a, const char *what, const char *code,
                             struct pb_ref *ref, struct pb_err *err);
enum pb_rc pb_find_cross(struct pb_act *a, const char *what, const char *code,
                         struct pb_cross *x, struct pb_err *err);
/* kind: which is expected, PB_KIND_N: any batch. */
enum pb_rc pb_find_batch(struct pb_act *a, const char *what, enum pb_kind kind,
                         const char *code, struct pb_batch *b, struct pb_err *err);

/* The record of a code of whatever kind; errors as above. */
enum pb_rc pb_find_record(struct pb_act *a, const char *what, const char *code,
                          struct pb_looked *of, struct pb_err *err);

/*
 * The look that a code names (X26-001/3).
 *   look  in: initialised; out: filled, release with pb_look_clear
 * PB_ENOTFOUND  no such record, or it has no look of that number; otherwise as above
 */
enum pb_rc pb_find_look(struct pb_act *a, const char *code, struct pb_look *look,
                        struct pb_err *err);
/* The same among the looks of the record `code`; *look is borrowed from them. */
enum pb_rc pb_pick_look(const char *code, struct pb_look *looks, size_t n, int number,
                        struct pb_look **look, struct pb_err *err);

enum { PB_BARE_CODE = PB_MAX_CODE + 2 }; /* what is too long for a code stays so */
/* The code of the record that a look's code names; another code as it is. */
void pb_code_bare(const char *code, char bare[PB_BARE_CODE]);

/*
 * The kind of record that a code's form says; one that is of no form of podbook's own is a
 * plant's.  PB_KIND_N: podbook gives no codes with that letter.
 *   look  out: the number of a look (X26-001/3), 0: none
 */
enum pb_kind pb_code_kind(const char *code, int *look);

/* "no plant GH2 in the book; did you mean GH-2?" */
enum pb_rc pb_not_found(struct pb_act *a, const char *what, enum pb_codes kind,
                        const char *code, struct pb_err *err);

#endif
