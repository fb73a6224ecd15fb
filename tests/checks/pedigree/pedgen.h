/*
 * Made pedigrees, the same everywhere: splitmix64 and nothing of the system's.
 *
 * Rows come parents first; shuffle_rows gives them another order.  One is used as
 * "struct made m = pedgen(&how); ... made_free(&m)"; memory that fails ends the program.
 */
#ifndef PB_TESTS_PEDGEN_H
#define PB_TESTS_PEDGEN_H

#include "core/pedigree.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>

#ifdef __clang__ /* the generator wraps on purpose */
#define WRAPS \
    __attribute__((no_sanitize("unsigned-integer-overflow", "unsigned-shift-base")))
#else
#define WRAPS
#endif

struct dice {
    uint64_t state;
};

/* Source: Steele, Lea & Flood (2014), OOPSLA 2014:453. */
WRAPS static inline uint64_t dice_next(struct dice *d)
{
    uint64_t z = (d->state += 0x9E3779B97F4A7C15U);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBU;
    return z ^ (z >> 31);
}

/* In [0, 1). */
static inline double dice_share(struct dice *d)
{
    return (double)(dice_next(d) >> 11) * (1.0 / 9007199254740992.0);
}

/* In 0..n-1. */
static inline int32_t dice_below(struct dice *d, int32_t n)
{
    return (int32_t)(dice_share(d) * n);
}

struct made {
    int32_t n;
    int32_t *seed_parent, *pollen_parent, *clone_of;
};

static inline int32_t *made_column(int32_t n)
{
    int32_t *column = malloc((size_t)(n > 0 ? n : 1) * sizeof(*column));
    if (column == NULL)
        abort();
    return column;
}

static inline struct made made_new(int32_t n)
{
    return (struct made){n, made_column(n), made_column(n), made_column(n)};
}

static inline void made_free(struct made *m)
{
    free(m->seed_parent);
    free(m->pollen_parent);
    free(m->clone_of);
}

static inline struct pb_pedigree_rows made_rows(const struct made *m)
{
    return (struct pb_pedigree_rows){(size_t)m->n, m->seed_parent, m->pollen_parent,
                                     m->clone_of};
}

struct pedgen {
    int32_t n;
    uint64_t seed;
    int32_t founders;
    double self, clone, one_parent; /* shares of the rows that are no founders */
    int32_t window; /* parents are of the last so many rows; 0: of all earlier ones */
    double popular; /* > 0: first parents are drawn towards the window's start */
};

/* A row before row i, both counted from 1. */
static inline int32_t pedgen_pick(struct dice *d, const struct pedgen *how, int32_t i,
                                  bool skew)
{
    int32_t low = how->window > 0 && i - how->window > 1 ? i - how->window : 1;
    int32_t high = i - 1;
    double x = dice_share(d);
    if (skew && how->popular > 0)
        x = pow(x, 1 + how->popular);
    int32_t row = low + (int32_t)(x * (high - low + 1));
    return row > high ? high : row;
}

static inline struct made pedgen(const struct pedgen *how)
{
    struct dice d = {how->seed};
    struct made m = made_new(how->n);
    for (int32_t i = 1; i <= how->n; i++) {
        int32_t *p = &m.seed_parent[i - 1], *q = &m.pollen_parent[i - 1];
        int32_t *source = &m.clone_of[i - 1];
        *p = *q = *source = PB_UNKNOWN;
        if (i <= how->founders)
            continue;
        double x = dice_share(&d);
        int32_t a = pedgen_pick(&d, how, i, true) - 1;
        int32_t b = pedgen_pick(&d, how, i, false) - 1;
        if (x < how->clone) {
            *source = a;
        } else {
            *p = a;
            if (x < how->clone + how->self)
                *q = a;
            else if (x >= how->clone + how->self + how->one_parent)
                *q = b;
        }
    }
    return m;
}

/*
 * A breeder's generations: of each, a few plants are seed parents to all of the next, and
 * any plant may be the pollen parent.  Sibs come in capsules of capsule seedlings.
 */
struct programme {
    int32_t n;
    uint64_t seed;
    int32_t generation, seed_parents, capsule;
};

static inline struct made programme(const struct programme *how)
{
    struct dice d = {how->seed};
    struct made m = made_new(how->n);
    for (int32_t i = 0; i < how->n; i++) {
        int32_t before = i / how->generation * how->generation - how->generation;
        m.seed_parent[i] = m.pollen_parent[i] = m.clone_of[i] = PB_UNKNOWN;
        if (before < 0)
            continue;
        if (i % how->capsule != 0 && i % how->generation != 0) {
            m.seed_parent[i] = m.seed_parent[i - 1];
            m.pollen_parent[i] = m.pollen_parent[i - 1];
            continue;
        }
        int32_t few = how->seed_parents;
        m.seed_parent[i] = before + dice_below(&d, few) * (how->generation / few);
        m.pollen_parent[i] = before + dice_below(&d, how->generation);
    }
    return m;
}

/* The same plants in another order.  place: [n] out: where each row went. */
static inline struct made shuffle_rows(const struct made *m, struct dice *d,
                                       int32_t *place)
{
    struct made out = made_new(m->n);
    for (int32_t i = 0; i < m->n; i++)
        place[i] = i;
    for (int32_t i = m->n - 1; i > 0; i--) { /* Fisher & Yates */
        int32_t j = dice_below(d, i + 1), kept = place[i];
        place[i] = place[j];
        place[j] = kept;
    }
    for (int32_t i = 0; i < m->n; i++) {
        int32_t p = m->seed_parent[i], q = m->pollen_parent[i], c = m->clone_of[i];
        out.seed_parent[place[i]] = p != PB_UNKNOWN ? place[p] : p;
        out.pollen_parent[place[i]] = q != PB_UNKNOWN ? place[q] : q;
        out.clone_of[place[i]] = c != PB_UNKNOWN ? place[c] : c;
    }
    return out;
}

#endif
