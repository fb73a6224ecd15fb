/* Records out of the book in the forms of gene banks and laboratories. */
#ifndef PB_ACT_PASSPORT_H
#define PB_ACT_PASSPORT_H

#include "act/share.h"

/* ORDER PASSPORT: pb_passport_names, passport.c */
enum pb_passport {
    PB_PASSPORT_MCPD,      /* Multi-Crop Passport Descriptors, a table */
    PB_PASSPORT_CROSSINGS, /* cross objects of the open Breeding API, one JSON array */
    PB_PASSPORT_N
};
extern const char *const pb_passport_names[PB_PASSPORT_N];

/*
 * Share as a passport: plants first, then crosses, each in the order of entry (or of the
 * codes), a line each; withdrawn ones and plants of other collections stay away.
 *   what  without codes: of a table the living plants and the progeny of each cross of
 *         which there is seed or a flask; of crossings every cross
 *   each  called for each line of the whole document, in constant memory
 * PB_ENOTFOUND, PB_EINVALID  a code has no place in that form; nothing was handed over
 */
enum pb_rc pb_act_passport(struct pb_act *a, const struct pb_share *what,
                           enum pb_passport form, pb_share_each *each, void *ctx,
                           struct pb_err *err);

#endif
