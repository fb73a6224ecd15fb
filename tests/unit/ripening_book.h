/* A book of ripening records for the tests of the estimator. */
#ifndef PB_TESTS_RIPENING_BOOK_H
#define PB_TESTS_RIPENING_BOOK_H

#include "unit.h"

#include "core/ripening.h"

#include <stdlib.h>

#define NEVER  PB_RIPENING_NEVER
#define UNSEEN UINT32_MAX

enum { OBS_MAX = 20000 };

struct book {
    struct pb_ripening_prior prior;
    struct pb_ripening_obs *obs;
    size_t n;
};

static inline void book_init(struct book *b, int32_t first, int32_t last, double weight)
{
    b->prior = (struct pb_ripening_prior){first, last, weight};
    b->obs = calloc(OBS_MAX, sizeof(*b->obs));
    b->n = 0;
    assert_non_null(b->obs);
}

static inline void add(struct book *b, uint32_t clone, int32_t after, int32_t by,
                       uint32_t count)
{
    assert_true(b->n < OBS_MAX);
    b->obs[b->n++] = (struct pb_ripening_obs){clone, after, by, count};
}

static inline struct pb_ripening *fit(const struct book *b, double scale)
{
    struct pb_ripening *r = NULL;
    struct pb_err err = {0};
    CLAIM(pb_ripening_fit_scaled(&b->prior, b->obs, b->n, scale, &r, &err) == PB_OK,
          "fit: %s", err.text);
    return r;
}

static inline double day_of(const struct pb_ripening_law *law, double share)
{
    double day = -1; /* not known */
    (void)pb_ripening_quantile(law, share, &day);
    return day;
}

/* Numbers at random, the same everywhere: xorshift of Marsaglia (2003), J. Stat. Softw. 8. */
static inline uint64_t next(uint64_t *s)
{
    *s ^= (*s & UINT64_MAX >> 13) << 13;
    *s ^= *s >> 7;
    *s ^= (*s & UINT64_MAX >> 17) << 17;
    return *s;
}

static inline int32_t below(uint64_t *s, int32_t n)
{
    return (int32_t)(next(s) % (uint64_t)n);
}

#endif
