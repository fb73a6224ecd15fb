/*
 * What only receiving asks of the book: a line that fails is taken back alone, codes that
 * came with a record, looks by their id, pedigrees that bite their own tail.
 *
 * All of it only inside an act.
 */
#ifndef PB_BOOK_ARRIVE_H
#define PB_BOOK_ARRIVE_H

#include "book/looks.h"
#include "core/batch.h"

/*
 * The running act takes records in: taking it back gives those that it wrote over the
 * revision that they had.  Before the first of them.
 */
enum pb_rc pb_book_take_in(struct pb_book *book, struct pb_err *err);

/* Remember this point of the act; then go on from it, or back to it. */
enum pb_rc pb_book_mark(struct pb_book *book, struct pb_err *err);
enum pb_rc pb_book_go_on(struct pb_book *book, struct pb_err *err);
enum pb_rc pb_book_go_back(struct pb_book *book, struct pb_err *err);

enum { PB_MAX_TAKEN = 999999 }; /* a higher number would leave no room to count on */

/*
 * Take over one of podbook's own codes from another book.
 *   code  what it has there, of a cross or a batch; held against the codes given here
 *   id    of the record; NULL: whoever enters it names the code himself
 *   is_free  out: nobody has it or, where an id is given, had it before that was taken
 *         back, and none of ours will get it from now on.  False too for one that podbook
 *         would not write so (X26-0001), or far beyond any count
 */
enum pb_rc pb_book_take_code(struct pb_book *book, const char *code, const char *id,
                             bool *is_free, struct pb_err *err);

/* Which kind of record has an id, PB_KIND_N: none, and its code. */
enum pb_rc pb_book_kind_of(struct pb_book *book, const char *id, enum pb_kind *kind,
                           char code[PB_MAX_CODE + 1], struct pb_err *err);

/* A look by its id, withdrawn or not; row 0: there is none. */
struct pb_look_place {
    int64_t row;
    struct pb_looked of; /* of a batch the kind is PB_SEED, whichever it is */
    int number;
};
enum pb_rc pb_look_find(struct pb_book *book, const char *id,
                        struct pb_look_place *place, struct pb_err *err);

/* Is a plant among its own ancestors?  Asked of a plant that was there before something
 * became its parent, or whose cross came after it. */
enum pb_rc pb_pedigree_is_ring(struct pb_book *book, int64_t plant, bool *ring,
                               struct pb_err *err);

/*
 * What came out of a batch that was not here, and is now: its flasks and plants belong to
 * it from now on.
 */
enum pb_rc pb_batch_link(struct pb_book *book, const struct pb_batch *batch,
                         struct pb_err *err);

/* Did a flask come out of itself, by way of those that came out of it? */
enum pb_rc pb_batch_is_ring(struct pb_book *book, int64_t batch, bool *ring,
                            struct pb_err *err);

/* Take out the flowerings of a plant behind the first n: the history keeps them. */
enum pb_rc pb_flowerings_drop(struct pb_book *book, int64_t plant, size_t n,
                              struct pb_err *err);

/* Does any plant, withdrawn or not, say that it was raised from this cross? */
enum pb_rc pb_cross_has_offspring(struct pb_book *book, const char *id, bool *has,
                                  struct pb_err *err);

#endif
