/*
 * What the estimator reads of the book, and the cache of what it learnt.
 *
 * The cache may be thrown away at any time: a row serves only while its key, which says
 * what it was computed from, is the one that is asked for.
 */
#ifndef PB_BOOK_LEARNT_H
#define PB_BOOK_LEARNT_H

#include "book/book.h"
#include "core/record.h"

/* What the taxon of a plant learns together (pb_taxon_key); yours (free). */
enum pb_rc pb_taxon_key_of(struct pb_book *book, int64_t plant, char **key,
                           struct pb_err *err);

/* How often anything of the crosses of a taxon has changed; 0: never. */
enum pb_rc pb_taxon_changes(struct pb_book *book, const char *taxon_key,
                            int64_t *number, struct pb_err *err);

/*
 * Every cross whose seed parent is of that taxon, not withdrawn, with what its life needs
 * and no more: pollinated, flowers, looks (no notes), harvests, seed.plant.n, seed.genet.n.
 * The cross is borrowed for the call.  Cost: that of the taxon's crosses.
 */
typedef enum pb_rc pb_life_each(void *ctx, struct pb_cross *x, struct pb_err *err);
enum pb_rc pb_taxon_lives(struct pb_book *book, const char *taxon_key,
                          pb_life_each *each, void *ctx, struct pb_err *err);

/*
 * A kept law.
 *   genet  row of the clone's first plant, 0: the taxon as a whole
 *   bytes  out: yours (free), NULL where none is kept under this key
 */
enum pb_rc pb_learnt_find(struct pb_book *book, const char *taxon_key, int64_t genet,
                          const char *key, void **bytes, size_t *n, struct pb_err *err);
/* Keep one; only between pb_book_begin_cache and pb_book_end.  capsules: of the clone. */
struct pb_learnt {
    const char *taxon_key;
    int64_t genet;
    const char *key;
    int64_t capsules;
    const void *bytes;
    size_t n;
};
enum pb_rc pb_learnt_keep(struct pb_book *book, const struct pb_learnt *l,
                          struct pb_err *err);
/* Throw away what is kept of a taxon, before new laws are kept. */
enum pb_rc pb_learnt_drop(struct pb_book *book, const char *taxon_key,
                          struct pb_err *err);

#endif
