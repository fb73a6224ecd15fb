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

/* How often anything of the crosses of a taxon has changed; 0: never. */
enum pb_rc pb_taxon_changes(struct pb_book *book, const char *taxon_key,
                            int64_t *number, struct pb_err *err);

/* The keys of all taxa whose plants carried a cross that was not withdrawn, in order. */
typedef enum pb_rc pb_taxon_each(void *ctx, const char *taxon_key, struct pb_err *err);
enum pb_rc pb_taxa_each(struct pb_book *book, pb_taxon_each *each, void *ctx,
                        struct pb_err *err);

/*
 * Every cross whose seed parent is of that taxon, not withdrawn, with what its life needs
 * and no more: pollinated, flowers, flower_age, looks (no notes), harvests; of the parents
 * plant.n and genet.n.
 * The cross is borrowed for the call.  Cost: that of the taxon's crosses.
 */
typedef enum pb_rc pb_life_each(void *ctx, struct pb_cross *x, struct pb_err *err);
enum pb_rc pb_taxon_lives(struct pb_book *book, const char *taxon_key,
                          pb_life_each *each, void *ctx, struct pb_err *err);

/* A kept law. */
struct pb_learnt {
    const char *taxon_key;
    int64_t genet;    /* row of the clone's first plant, 0: the taxon as a whole */
    const char *key;  /* what it was computed from */
    int64_t capsules; /* of the clone, of the taxon */
};

struct pb_learnt_bytes {
    void *v;
    size_t n;
};

/*
 * Find the law of l->taxon_key, l->genet under l->key, or its brief, which costs a fraction.
 *   l      out, with the brief: capsules, where one is kept
 *   brief, law  in: NULL, 0; out: yours (free), NULL where none is
 */
enum pb_rc pb_learnt_brief(struct pb_book *book, struct pb_learnt *l,
                           struct pb_learnt_bytes *brief, struct pb_err *err);
enum pb_rc pb_learnt_law(struct pb_book *book, const struct pb_learnt *l,
                         struct pb_learnt_bytes *law, struct pb_err *err);
/* Keep one; only between pb_book_begin_cache and pb_book_end. */
enum pb_rc pb_learnt_keep(struct pb_book *book, const struct pb_learnt *l,
                          struct pb_learnt_bytes brief, struct pb_learnt_bytes law,
                          struct pb_err *err);
/* Throw away what is kept of a taxon, before new laws are kept. */
enum pb_rc pb_learnt_drop(struct pb_book *book, const char *taxon_key,
                          struct pb_err *err);

#endif
