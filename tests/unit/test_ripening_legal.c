/*
 * The ripening estimator on data that would break a lesser quadrature: all legal, each
 * answer a number in its range, and no step of the grids that matters.
 */
#include "ripening_book.h"

#include <math.h>
#include <stdlib.h>

static const double shares[] = {0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95};

static void one_day(struct book *b)
{
    add(b, 0, 24, 25, 10000);
}

static void all_hanging(struct book *b)
{
    add(b, 0, 24, NEVER, 10000);
}

static void all_hanging_by_clone(struct book *b)
{
    for (uint32_t i = 0; i < 20; i++)
        add(b, i, 24, NEVER, 1 + i * i);
}

static void hanging_after_a_day(struct book *b)
{
    add(b, 0, 1, NEVER, 10000);
}

static void all_early(struct book *b)
{
    add(b, 0, 0, 1, 10000);
}

static void decades_later(struct book *b)
{
    add(b, 0, 10950, 10951, 10000);
    add(b, 1, 10000, NEVER, 3);
}

static void years_later(struct book *b)
{
    add(b, 0, 3000, 3001, 1);
}

static void hanging_for_years(struct book *b)
{
    add(b, 0, 3000, NEVER, 10000);
}

static void one_outlier(struct book *b)
{
    add(b, 0, 24, 25, 9999);
    add(b, 1, 3000, 3001, 1);
}

static void two_worlds(struct book *b)
{
    add(b, 0, 24, 25, 5000);
    add(b, 0, 3000, 3001, 5000);
}

static void every_interval_differs(struct book *b)
{
    for (int32_t i = 0; i < 10000; i++)
        add(b, 0, 15 + i % 90, 16 + i % 90 + i / 90, 1);
}

static void many_clones(struct book *b)
{
    uint64_t s = 20260101;
    for (uint32_t i = 0; i < 100; i++)
        for (int k = 0; k < 3; k++) {
            int32_t day = 18 + below(&s, 12);
            add(b, i, day, below(&s, 4) == 0 ? NEVER : day + 1 + below(&s, 3), 1);
        }
}

static void says_next_to_nothing(struct book *b)
{
    for (uint32_t i = 0; i < 1000; i++)
        add(b, i, 3, NEVER, 5);
}

static void very_many(struct book *b)
{
    add(b, 0, 20, 21, UINT32_MAX);
    add(b, 0, 20, 21, UINT32_MAX);
    add(b, 1, 21, 22, UINT32_MAX);
}

static void end_of_time(struct book *b)
{
    add(b, 0, NEVER - 2, NEVER - 1, 1000);
    add(b, 1, NEVER - 1, NEVER, 7);
}

static void nothing(struct book *b)
{
    add(b, 0, 0, NEVER, 100);
    add(b, 1, 20, 22, 0);
}

/* Every answer is a number in its range, and grows with the day. */
static void answers_are_sane(const char *claim, const struct pb_ripening_law *law)
{
    static const int32_t days[] = {-5, 0,  1,   2,    10,   20,    24,
                                   25, 31, 100, 3000, 3650, 11000, INT32_MAX - 1};
    double last = 0, sum = 0;
    for (size_t i = 0; i < PB_ARRAY_LEN(shares); i++) {
        double day = day_of(law, shares[i]);
        CLAIM(day < 0 || (day > 0 && day <= PB_RIPENING_DAYS && day >= last),
              "%s: %g on day %g after %g", claim, shares[i], day, last);
        CLAIM(day > 0 || i == 0 || day_of(law, shares[i - 1]) < 0 || day < 0,
              "%s: known after not known", claim);
        last = fmax(last, day);
    }
    for (uint32_t i = 0; i < law->node_n; i++)
        sum += law->nodes[i].weight;
    CLAIM(fabs(sum - 1) < 1e-9, "%s: weights sum to %.12f", claim, sum);
    for (size_t i = 0; i < PB_ARRAY_LEN(days); i++) {
        double by = pb_ripening_split_by(law, days[i]), before = 0, before_apart = 0;
        CLAIM(by >= 0 && by <= 1, "%s: split by %d: %g", claim, (int)days[i], by);
        for (size_t k = 0; k < PB_ARRAY_LEN(days); k++) {
            double risk = pb_ripening_risk(law, days[i], days[k]);
            double apart = pb_ripening_risk_apart(law, days[i], days[k]);
            CLAIM(risk >= before && risk <= 1, "%s: risk by %d from %d: %g", claim,
                  (int)days[k], (int)days[i], risk);
            CLAIM(apart >= before_apart - 1e-12 && apart <= 1,
                  "%s: risk apart by %d from %d: %g", claim, (int)days[k], (int)days[i],
                  apart);
            before = risk;
            before_apart = apart;
        }
        if (days[i] < 20000) {
            int32_t look = pb_ripening_next_look(law, days[i], 0.1, days[i] + 14);
            int32_t seen = days[i] > 0 ? days[i] : 0;
            CLAIM(look > seen && look <= seen + 14, "%s: look on %d after %d", claim,
                  (int)look, (int)days[i]);
        }
    }
}

static void legal_data(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        void (*fill)(struct book *);
        int32_t first, last;
        double weight;
    } rows[] = {
        {"ten thousand in one day",             one_day,                21,   30,   2  },
        {"the same, a firm profile",            one_day,                21,   45,   6  },
        {"ten thousand that hang",              all_hanging,            21,   30,   2  },
        {"hanging, twenty clones",              all_hanging_by_clone,   21,   30,   2  },
        {"hanging after a day, day 0 expected", hanging_after_a_day,    0,    0,    2  },
        {"all before the first look",           all_early,              21,   30,   2  },
        {"the same, months expected",           all_early,              150,  240,  6  },
        {"decades from the window",             decades_later,          21,   30,   2  },
        {"one, years from the window",          years_later,            21,   30,   2  },
        {"the same against a million",          years_later,            21,   30,   1e6},
        {"ten thousand hang for years",         hanging_for_years,      21,   30,   2  },
        {"one far from all others",             one_outlier,            21,   30,   2  },
        {"two worlds in one clone",             two_worlds,             21,   30,   2  },
        {"ten thousand different intervals",    every_interval_differs, 21,   90,   4  },
        {"a hundred clones",                    many_clones,            21,   30,   2  },
        {"much that says next to nothing",      says_next_to_nothing,   21,   30,   2  },
        {"more capsules than fit in 32 bits",   very_many,              21,   30,   2  },
        {"days at the end of the integers",     end_of_time,            21,   30,   2  },
        {"only rows that say nothing",          nothing,                21,   30,   2  },
        {"a window of the last day",            years_later,            3650, 3650, 3.5},
        {"early against it",                    all_early,              3650, 3650, 1e6},
        {"a window of day 0",                   one_day,                0,    0,    2  },
        {"a window of all days",                nothing,                0,    3650, 2  },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct book b;
        book_init(&b, rows[i].first, rows[i].last, rows[i].weight);
        rows[i].fill(&b);
        struct pb_ripening *r = fit(&b, 1), *fine = fit(&b, 0.5);
        const uint32_t clones[] = {0, 1, 19, UNSEEN};
        for (size_t k = 0; k < PB_ARRAY_LEN(clones); k++) {
            const struct pb_ripening_law *law = pb_ripening_law_of(r, clones[k]);
            answers_are_sane(rows[i].claim, law);
            for (size_t q = 0; q < PB_ARRAY_LEN(shares); q++) {
                double day = day_of(law, shares[q]);
                double half = day_of(pb_ripening_law_of(fine, clones[k]), shares[q]);
                CLAIM(fabs(day - half) < 1e-4, "%s: clone %u, %g on day %.6f or %.6f",
                      rows[i].claim, (unsigned)clones[k], shares[q], day, half);
            }
        }
        pb_ripening_free(r);
        pb_ripening_free(fine);
        free(b.obs);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(legal_data),
    };
    return UNIT_MAIN("ripening_legal", tests);
}
