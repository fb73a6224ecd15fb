/* Parts of receiving: one record into the book.  Internal to act; see receive.h. */
#ifndef PB_ACT_INCOMING_H
#define PB_ACT_INCOMING_H

#include "act/receive.h"
#include "book/looks.h"
#include "book/provenance.h"
#include "exchange/record.h"

/* The line that is being received. */
struct pb_incoming {
    struct pb_act *a;
    struct pb_receipt *receipt; /* merge, code, conflict are filled in */
    size_t elsewhere;           /* plants entered for it */
    bool stay;                  /* what is new stays where it is */
    bool here;                  /* what was given or sold is new because it came here */
    bool changed;               /* something was written */
    bool
        unsure; /* of a cross: a parent's own row alone does not say that it was there */
    struct pb_incoming *carried; /* of a record within the record: its cross */
    char why[1024]; /* text behind receipt->why: a place and a text of pb_err */
};

/*
 * Put one record in its place; it is changed on the way (private texts, rows).
 * PB_EINVALID, PB_ECONFLICT  the record cannot be kept; the caller goes back to before it
 */
enum pb_rc pb_incoming_plant(struct pb_incoming *in, struct pb_record *rec,
                             struct pb_err *err);
enum pb_rc pb_incoming_cross(struct pb_incoming *in, struct pb_cross *theirs,
                             struct pb_err *err);
/* The cross that it carries goes first, and is told in in->carried. */
enum pb_rc pb_incoming_batch(struct pb_incoming *in, struct pb_record *rec,
                             struct pb_err *err);

/* A received record beside ours. */
struct pb_incoming_two {
    const struct pb_head *ours; /* not found: revision 0 */
    struct pb_head *theirs;
    bool found, named_only; /* named only: ours is no record of its own yet */
    void *ctx;
    /* whole: with the private texts */
    enum pb_rc (*same)(void *ctx, bool whole, bool *same, struct pb_err *err);
    /* as pb_cross_keep_private (merge.h) */
    enum pb_rc (*keep_private)(void *ctx, bool later, struct pb_err *err);
};

/*
 * Decide between the two; theirs gets the private texts that it is to have here.  The
 * receipt is told.
 *   write  out: theirs is to be written
 */
enum pb_rc pb_incoming_weigh(struct pb_incoming *in, const struct pb_incoming_two *two,
                             bool *write, struct pb_err *err);

/*
 * Looks over ours: theirs take the rows of ours that have their ids, what they lack is
 * withdrawn; they are written by the caller.
 *   of      row 0: the record is not here yet
 *   theirs  out: n and number are set
 * PB_ECONFLICT  the id of another record's look
 */
enum pb_rc pb_incoming_looks(struct pb_incoming *in, struct pb_looked of,
                             struct pb_look_list theirs, struct pb_look_list ours,
                             struct pb_err *err);
/* Numbers go up in the order of theirs; a row keeps its own (0: it has none) where it can. */
int pb_incoming_number(int own, int *last, int *next);
/* None of them lies in the future. */
enum pb_rc pb_incoming_look_days(const struct pb_incoming *in,
                                 struct pb_look_list looks, struct pb_err *err);

/* Flowerings and looks of a plant: none lies in the future, each look says what it must. */
enum pb_rc pb_incoming_more_check(const struct pb_incoming *in,
                                  const struct pb_plant_more *more, struct pb_err *err);
/* Write them over ours, for the plant that is written already. */
enum pb_rc pb_incoming_more(struct pb_incoming *in, const struct pb_plant *p,
                            struct pb_plant_more *theirs,
                            const struct pb_plant_more *ours, struct pb_err *err);

/* Its own code where nobody has it, else our next one.  on: the record's own day; head: its
 * code changes. */
enum pb_rc pb_incoming_code(struct pb_incoming *in, char letter, pb_day on,
                            struct pb_head *head, struct pb_err *err);

/*
 * Given and sold say where a thing went as one book sees it; whoever has it knows better.
 * Tell what the other book says of a thing that is here, or new.
 *   is_new  it was not here before
 */
void pb_incoming_parted(struct pb_incoming *in, bool is_new, const char *gone,
                        pb_day on);

/* What is in place now is held against the days of what it belongs to: told, and no reason
 * to refuse it. */
enum pb_rc pb_incoming_fits(struct pb_incoming *in, const struct pb_record *rec,
                            struct pb_err *err);

/* Marks of doubtful parents under which the record, which is in place now, stood there. */
enum pb_rc pb_incoming_doubts(struct pb_incoming *in, const struct pb_record *rec,
                              struct pb_err *err);

/* The looks of the record contradict each other: told, and no reason to refuse it. */
void pb_incoming_conflict(struct pb_incoming *in, const struct pb_err *why);

/*
 * The row of a plant that a record names by its id; it is entered as elsewhere if the book
 * does not have it, and what a plant elsewhere did not tell yet is filled in.
 *   parent  id, code and taxon; its clone, ploidy and cross where they are known
 *   on      the day on which it was there: in->unsure is set where that has to be asked
 *           (pb_stay_parent); PB_DAY_NONE: any
 *   n       out
 */
enum pb_rc pb_incoming_parent(struct pb_incoming *in, const struct pb_parent *parent,
                              pb_day on, int64_t *n, struct pb_err *err);

/* A day of a received record: at most one day ahead of here, where it may be tomorrow
 * already.  what: the key. */
enum pb_rc pb_incoming_day(const struct pb_incoming *in, const char *what, pb_day day,
                           struct pb_err *err);

/* No other kind of record has this id.  here: out: one of that kind has it */
enum pb_rc pb_incoming_id(struct pb_incoming *in, enum pb_kind kind, const char *id,
                          bool *here, struct pb_err *err);

/* A plant that got new parents is not its own ancestor. */
enum pb_rc pb_incoming_ring(struct pb_incoming *in, int64_t plant, const char *code,
                            struct pb_err *err);

/* A record that is in place now contradicts what the book has of its origin.  PB_ECONFLICT */
enum pb_rc pb_incoming_origin(struct pb_incoming *in, enum pb_provenance of,
                              int64_t row, struct pb_err *err);
/* The same of capsules: told, and no reason to refuse it, for a cross and its seed lots are
 * changed as one there and come one after the other. */
enum pb_rc pb_incoming_capsules(struct pb_incoming *in, enum pb_provenance of,
                                int64_t row, struct pb_err *err);

#endif
