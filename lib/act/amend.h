/* Putting right: amend, withdraw, undo, settings.  Nothing is ever erased. */
#ifndef PB_ACT_AMEND_H
#define PB_ACT_AMEND_H

#include "act/act.h"
#include "act/fields.h"
#include "base/buf.h"

enum { PB_KEPT_CODE = PB_MAX_CODE + 16 }; /* a code, and the number of a look */

/* What an amendment came to; pb_amended_clear, also after an error. */
struct pb_amended {
    char code[PB_KEPT_CODE]; /* of the record, as it is now */
    struct pb_buf clone; /* "AR-1a, AR-1b": plants of its clone that got its taxon */
    bool changed; /* false: it was so already, and the history says nothing of it */
};
void pb_amended_clear(struct pb_amended *amended);

/*
 * Set fields of a record and keep it, if the whole still holds together.
 *   code    a plant's, a cross's, a look's (X26-001/3), a seed or pollen lot's
 *   fields  n of them, n >= 1
 *   out     out
 * The taxon of a plant carries to its pups, cuttings and divisions, at any remove.
 * PB_ENOTFOUND, PB_EINVALID, PB_EPARSE, PB_ECONFLICT  names the field or the record
 */
enum pb_rc pb_act_amend(struct pb_act *a, const char *code,
                        const struct pb_field *fields, size_t n, struct pb_amended *out,
                        struct pb_err *err);

/*
 * Take a record out of every list and count; its code stays taken.
 * PB_ECONFLICT  others rest on it; one is named
 */
enum pb_rc pb_act_withdraw(struct pb_act *a, const char *code, struct pb_err *err);

/* An act that was taken back. */
struct pb_undone {
    int64_t n, by;       /* its number, and that of the act that took it back */
    char *command;       /* its words */
    struct pb_buf codes; /* of the records that it had changed, a line each */
};

/*
 * Take an act back: the newest that stands, or number n of the history.
 *   n       0: the newest
 *   undone  out: release with pb_undone_clear
 * PB_ENOTFOUND  nothing to take back    PB_ECONFLICT  later records rest on it
 */
enum pb_rc pb_act_undo(struct pb_act *a, int64_t n, struct pb_undone *undone,
                       struct pb_err *err);
void pb_undone_clear(struct pb_undone *undone);

#endif
