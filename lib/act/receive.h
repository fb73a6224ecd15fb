/*
 * Records into the book: an idempotent merge, in one transaction.
 *
 * A bad line is taken back alone and told; good lines are kept.  What a record means
 * beside ours is decided by core/merge.h; what two records of one revision say is compared
 * in the canonical form of exchange/record.h.
 */
#ifndef PB_ACT_RECEIVE_H
#define PB_ACT_RECEIVE_H

#include "act/act.h"
#include "core/merge.h"

#include <stdio.h>

/* What became of one line. */
struct pb_receipt {
    long line;
    bool bad;   /* nothing of it was kept: why says the reason */
    bool alien; /* bad, and no part of a record: there is no "{" in it */
    enum pb_kind kind;
    enum pb_merge merge;
    char code[PB_MAX_CODE + 1];  /* ours; empty: none */
    char there[PB_MAX_CODE + 1]; /* its code in the book it came from */
    int64_t revision, ours;      /* theirs, and ours before; 0: we had none */
    bool yours;                  /* a plant that is in the living collection now */
    bool conflict;               /* kept, but its looks contradict each other: why */
    const char *why; /* of bad and conflict the reason, else NULL or what else happened;
                      * borrowed for the call */
};
typedef enum pb_rc pb_receipt_each(void *ctx, const struct pb_receipt *r,
                                   struct pb_err *err);

/* Where the records come from, and who is told about each line. */
struct pb_receiving {
    FILE *in;         /* JSON Lines; borrowed */
    const char *file; /* its name, for messages */
    pb_receipt_each *each;
    void *ctx;
    bool stay; /* what comes with its own record is entered as elsewhere too */
    bool here; /* what its sender gave or sold is new here because it came here: it is
                  followed on */
};

struct pb_received {
    size_t merged[PB_MERGE_N]; /* lines of each decision */
    size_t bad, conflicts;
    size_t elsewhere; /* plants entered because a record named them */
    size_t yours;     /* plants that came into the living collection */
};

/*
 * Receive all lines.  Nothing changed: no trace in the history.
 *   sum  out
 * A plant that a record names and the book does not have is entered as elsewhere; one whose
 * own record came is in the collection unless `stay`.  Later records leave that as it is,
 * and what their book gave or sold is told and stays as it is here.  A code that is taken
 * gets a new one; origin_code keeps the first.
 * PB_EPARSE  the first line is that of a table, a calendar, a book: said of the whole
 * PB_EIO, PB_ENOMEM  and what `each` returned: nothing was kept.  Bad lines are no error.
 */
enum pb_rc pb_act_receive(struct pb_act *a, const struct pb_receiving *what,
                          struct pb_received *sum, struct pb_err *err);

#endif
