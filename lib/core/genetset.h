/*
 * An ordered set of small numbers, for walking a pedigree from the youngest up or from
 * the oldest down without a sort.
 *
 * A tree of 64-bit words, 64 ways a level: a bit of a word says that the word below it is
 * not empty.  Adding and taking the highest or lowest cost one word a level (four levels
 * hold 2^24 numbers), whether the set is sparse or full, and the memory is n/8 bytes and
 * a little: it stays in the cache.  Source: the bitmap form of the priority queue of van
 * Emde Boas, Kaas & Zijlstra (1977), Math. Systems Theory 10:99-127, with fixed fan-out.
 */
#ifndef PB_CORE_GENETSET_H
#define PB_CORE_GENETSET_H

#include "base/err.h"

#include <stdbool.h>
#include <stdint.h>

enum { PB_GENETSET_LEVELS = 4 };

struct pb_genetset {
    uint64_t *level[PB_GENETSET_LEVELS]; /* 0: the members; level[0] owns the memory */
    int top;                             /* the level that is one word */
};

/* An empty set for numbers 0..n-1, n <= PB_MAX_PEDIGREE.  Yours: pb_genetset_clear. */
enum pb_rc pb_genetset_init(struct pb_genetset *set, int32_t n, struct pb_err *err);
void pb_genetset_clear(struct pb_genetset *set);

static inline bool pb_genetset_has(const struct pb_genetset *set, int32_t g)
{
    return (set->level[0][g >> 6] >> (g & 63) & 1U) != 0;
}

static inline bool pb_genetset_empty(const struct pb_genetset *set)
{
    return set->level[set->top][0] == 0;
}

static inline void pb_genetset_add(struct pb_genetset *set, int32_t g)
{
    uint64_t before = 0;
    for (int l = 0; l <= set->top && before == 0; l++, g >>= 6) {
        before = set->level[l][g >> 6];
        set->level[l][g >> 6] = before | UINT64_C(1) << (g & 63);
    }
}

static inline void pb_genetset_drop(struct pb_genetset *set, int32_t g)
{
    uint64_t after = 0;
    for (int l = 0; l <= set->top && after == 0; l++, g >>= 6) {
        after = set->level[l][g >> 6] & ~(UINT64_C(1) << (g & 63));
        set->level[l][g >> 6] = after;
    }
}

/* Take out the highest (the youngest genet); the set is not empty. */
static inline int32_t pb_genetset_take_max(struct pb_genetset *set)
{
    int32_t g = 0;
    for (int l = set->top; l >= 0; l--)
        g = g << 6 | (63 - __builtin_clzll(set->level[l][g]));
    pb_genetset_drop(set, g);
    return g;
}

/* Take out the lowest (the oldest genet); the set is not empty. */
static inline int32_t pb_genetset_take_min(struct pb_genetset *set)
{
    int32_t g = 0;
    for (int l = set->top; l >= 0; l--)
        g = g << 6 | __builtin_ctzll(set->level[l][g]);
    pb_genetset_drop(set, g);
    return g;
}

#endif
