/* Batches in the book: seed lots, flasks, cuttings, pollen lots, with their looks. */
#ifndef PB_BOOK_BATCHES_H
#define PB_BOOK_BATCHES_H

#include "book/looks.h"
#include "core/batch.h"

enum pb_batch_by { PB_BATCH_BY_CODE, PB_BATCH_BY_ID };

/*
 * Find a batch of any kind by its code (without regard to case) or id, withdrawn or not.
 *   b  in: initialised; out, where *found: complete; pb_batch_clear
 */
enum pb_rc pb_batch_find(struct pb_book *book, enum pb_batch_by by, const char *key,
                         struct pb_batch *b, bool *found, struct pb_err *err);

/*
 * Enter a batch with its looks (of which n is set); head.n is set.  The references' n must
 * be set.  Only inside an act.
 *   open  is anything of it still followed?
 */
enum pb_rc pb_batch_insert(struct pb_book *book, struct pb_batch *b, bool open,
                           struct pb_err *err);
/* Write the batch itself over the row head.n; its looks are left alone. */
enum pb_rc pb_batch_update(struct pb_book *book, const struct pb_batch *b, bool open,
                           struct pb_err *err);

/* ORDER BATCH_SET: batches.c */
enum pb_batch_set {
    PB_BATCHES_OPEN,     /* open */
    PB_BATCHES_ALL,      /* every one that was not withdrawn */
    PB_BATCHES_EVERY,    /* withdrawn ones too */
    PB_BATCHES_OF_PLANT, /* taken from the plant with that row; not withdrawn */
    PB_BATCHES_OF_CROSS, /* seed and flasks of the cross with that row; not withdrawn */
    PB_BATCHES_OF_BATCH /* flasks that came from the batch with that row; not withdrawn */
};

/* Called for each batch in the order of entry; it is borrowed for the call. */
typedef enum pb_rc pb_batch_each(void *ctx, const struct pb_batch *b,
                                 struct pb_err *err);

/* Which batches. */
struct pb_batch_ask {
    enum pb_batch_set set;
    enum pb_kind kind; /* PB_KIND_N: all */
    int64_t row;       /* of the last three sets; else 0 */
};

/* The cost is that of the batches in the set, not of the book. */
enum pb_rc pb_batches_each(struct pb_book *book, struct pb_batch_ask ask,
                           pb_batch_each *each, void *ctx, struct pb_err *err);

/*
 * Codes of the plants that came out of the batch with that row, in the order of entry.
 *   codes  in: NULL, n 0; out: yours (free), on an error too
 */
enum pb_rc pb_batch_plants(struct pb_book *book, int64_t batch,
                           char (**codes)[PB_MAX_CODE + 1], size_t *n,
                           struct pb_err *err);

/* The same for those taken from plants of a taxon or made from crosses that one carried;
 * withdrawn ones are left out.  The cost is that of the taxon's plants, crosses, batches. */
enum pb_rc pb_batches_of_taxon(struct pb_book *book, const char *taxon_key,
                               pb_batch_each *each, void *ctx, struct pb_err *err);

/* Does anything rest on it: a flask that came from it, a plant that came out of it, a cross
 * made with the pollen?  who: its code. */
enum pb_rc pb_batch_is_used(struct pb_book *book, const struct pb_batch *b, bool *used,
                            char who[PB_MAX_CODE + 1], struct pb_err *err);

#endif
