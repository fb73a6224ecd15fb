/* The ripening estimator: vectors, what must not change an answer, refusals. */
#include "ripening_book.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

static const double shares[] = {0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95};

static void two_level_vectors(void **state)
{
    (void)state;
    struct book b = {.n = 0};
    struct pb_ripening *r = NULL;
    const char *name = "";
#define CASE(title, first, last, weight) \
    name = #title;                       \
    book_init(&b, first, last, weight);
#define OBS(clone, after, by, count) add(&b, clone, after, by, count);
#define Q(clone, share, day)                                                \
    r = r != NULL ? r : fit(&b, 1);                                         \
    CLAIM(fabs(day_of(pb_ripening_law_of(r, clone), share) - (day)) < 1e-4, \
          "%s: clone %u, %g on day %.6f", name, (unsigned)clone, share,     \
          day_of(pb_ripening_law_of(r, clone), share));
#define DONE(title)      \
    pb_ripening_free(r); \
    r = NULL;            \
    free(b.obs);
#include "../checks/ripening/two_level.def"
#undef CASE
#undef OBS
#undef Q
#undef DONE
}

/* The same where the posterior is not much like a bell. */
static void plain_grid_vectors(void **state)
{
    (void)state;
    struct book b = {.n = 0};
    struct pb_ripening *r = NULL;
    const char *name = "";
#define CASE(title, first, last, weight) \
    name = #title;                       \
    book_init(&b, first, last, weight);
#define CLONES(n, after, by, count)    \
    for (uint32_t i = 0; i < (n); i++) \
        add(&b, i, after, by, count);
#define Q(clone, share, day)                                                \
    r = r != NULL ? r : fit(&b, 1);                                         \
    CLAIM(fabs(day_of(pb_ripening_law_of(r, clone), share) - (day)) < 1e-4, \
          "%s: clone %u, %g on day %.6f", name, (unsigned)clone, share,     \
          day_of(pb_ripening_law_of(r, clone), share));
#define DONE(title)      \
    pb_ripening_free(r); \
    r = NULL;            \
    free(b.obs);
#include "../checks/ripening/plain_grid.def"

#undef CASE
#undef CLONES
#undef Q
#undef DONE
}

/* Steps that are too coarse are noticed and halved, be it of spreads or of places. */
static void coarse_steps_are_noticed(void **state)
{
    (void)state;
    static const double scales[] = {2, 3, 4};
    static const struct {
        const char *claim;
        double weight;
        struct pb_ripening_obs obs[3];
        size_t n;
    } rows[] = {
        {"much is known",                         4, {{0, 24, 25, 60}, {0, 25, 26, 40}, {1, 26, NEVER, 3}}, 3},
        {"one end of one capsule is known",       2, {{0, 0, 40, 1}},                                       1},
        {"one end of all, outside of the window", 6, {{0, 0, 12, 50}},                                      1},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct book b;
        book_init(&b, 21, 30, rows[i].weight);
        memcpy(b.obs, rows[i].obs, rows[i].n * sizeof(b.obs[0]));
        b.n = rows[i].n;
        struct pb_ripening *r = fit(&b, 1);
        for (size_t k = 0; k < PB_ARRAY_LEN(scales); k++) {
            struct pb_ripening *coarse = fit(&b, scales[k]);
            for (uint32_t clone = 0; clone < 3; clone++)
                for (size_t q = 0; q < PB_ARRAY_LEN(shares); q++) {
                    double day = day_of(pb_ripening_law_of(r, clone), shares[q]);
                    double again = day_of(pb_ripening_law_of(coarse, clone), shares[q]);
                    CLAIM(fabs(day - again) < 1e-4,
                          "%s, %g times: clone %u, %.6f or %.6f", rows[i].claim,
                          scales[k], clone, day, again);
                }
            pb_ripening_free(coarse);
        }
        pb_ripening_free(r);
        free(b.obs);
    }
}

/* The taxon's or a clone's own place and spread, of which the law is made. */
static void place_is(const struct pb_ripening_law *law, double mu, double mu_sd,
                     double sigma)
{
    bool unseen = law->levels < 2;
    double shrink = unseen ? sqrt(1 / 1.25) : 1;
    double mean = 0, square = 0, log_sigma = 0, between = 0;
    const struct pb_ripening_node *node = law->nodes;
    for (uint32_t r = 0; r < law->row_n; r++)
        for (uint32_t i = 0; i < law->rows[r].node_n; i++, node++) {
            double one_sigma = shrink / law->rows[r].rate;
            double place = node->place / law->rows[r].rate;
            mean += node->weight * place;
            square += node->weight * place * place;
            log_sigma += node->weight * log(one_sigma);
            between += node->weight * one_sigma * one_sigma / 4;
        }
    double spread = sqrt(square - mean * mean + (unseen ? between : 0));
    CLAIM(fabs(law->centre + mean - mu) < 1e-7, "mean of mu %.9f", law->centre + mean);
    CLAIM(fabs(spread - mu_sd) < 1e-7, "sd of mu %.9f", spread);
    CLAIM(fabs(exp(log_sigma) - sigma) < 1e-7, "sigma %.9f", exp(log_sigma));
}

static void one_case_in_full(void **state)
{
    (void)state;
    struct book b;
    book_init(&b, 21, 25, 4);
    static const int32_t obs[][3] = {
        {0, 20, 21   },
        {0, 20, 22   },
        {0, 21, 22   },
        {1, 23, 25   },
        {1, 24, 26   },
        {1, 25, 27   },
        {1, 24, 25   },
        {2, 22, NEVER},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(obs); i++)
        add(&b, (uint32_t)obs[i][0], obs[i][1], obs[i][2], 1);
    struct pb_ripening *r = fit(&b, 1);
#define PLACE(clone, mu, sd, sigma) \
    place_is(pb_ripening_law_of(r, clone), mu, sd, sigma);
#define CDF(clone, day, share)                                                      \
    CLAIM(fabs(pb_ripening_split_by(pb_ripening_law_of(r, clone), day) - (share)) < \
              1e-7,                                                                 \
          "clone %u by day %d", (unsigned)clone, day);
#define LOOK(clone, seen, tolerance, day)                                        \
    CLAIM(fabs(pb_ripening_risk_apart(pb_ripening_law_of(r, clone), seen, day) - \
               (tolerance)) < 1e-6,                                              \
          "clone %u: look after %d", (unsigned)clone, seen);
#include "../checks/ripening/two_level_more.def"

#undef PLACE
#undef CDF
#undef LOOK
    pb_ripening_free(r);
    free(b.obs);
}

static void same_bits(const char *claim, const struct pb_ripening_law *a,
                      const struct pb_ripening_law *b)
{
    struct pb_buf x, y;
    pb_buf_init(&x, 1000000);
    pb_buf_init(&y, 1000000);
    pb_ripening_law_pack(a, &x);
    pb_ripening_law_pack(b, &y);
    assert_int_equal(pb_buf_status(&x, NULL), PB_OK);
    CLAIM(x.len == y.len && memcmp(x.data, y.data, x.len) == 0, "%s: same bits", claim);
    pb_buf_clear(&x);
    pb_buf_clear(&y);
}

/* Order, pooling and the numbers of clones are of the book, not of the capsules. */
static void what_must_not_matter(void **state)
{
    (void)state;
    struct book plain, other;
    book_init(&plain, 21, 30, 2);
    book_init(&other, 21, 30, 2);
    add(&plain, 1, 22, 24, 3);
    add(&plain, 2, 20, NEVER, 2);
    add(&plain, 2, 23, 25, 1);
    add(&plain, 3, 22, 24, 3);
    add(&other, 900, 22, 24, 1);
    add(&other, 7, 23, 25, 1);
    add(&other, 900, 0, NEVER, 50);
    add(&other, 7, 20, NEVER, 1);
    add(&other, 5, 22, 24, 2);
    add(&other, 900, 22, 24, 2);
    add(&other, 7, 20, NEVER, 1);
    add(&other, 5, 22, 24, 1);
    struct pb_ripening *a = fit(&plain, 1), *b = fit(&other, 1);
    same_bits("clone 1", pb_ripening_law_of(a, 1), pb_ripening_law_of(b, 5));
    same_bits("clone 2", pb_ripening_law_of(a, 2), pb_ripening_law_of(b, 7));
    same_bits("clone 3", pb_ripening_law_of(a, 3), pb_ripening_law_of(b, 900));
    same_bits("unseen", pb_ripening_law_unseen(a), pb_ripening_law_of(b, 1));
    assert_int_equal(pb_ripening_capsules(a), 9);
    assert_int_equal(pb_ripening_capsules(b), 9);
    assert_int_equal(pb_ripening_law_of(a, 2)->capsules, 3);
    assert_int_equal(pb_ripening_law_of(a, 2)->levels, 2);
    assert_int_equal(pb_ripening_law_of(a, 4)->capsules, 0);
    assert_int_equal(pb_ripening_law_of(a, 4)->levels, 1);
    pb_ripening_free(a);
    pb_ripening_free(b);
    free(plain.obs);
    free(other.obs);
}

/* Of clones whose records differ in their number, in a count or in a day, and of two alike,
 * each may have any number. */
static void whose_number_a_record_has_does_not_matter(void **state)
{
    (void)state;
    enum { CLONES = 5 };
    static const struct {
        uint32_t clone;
        int32_t after, by;
        uint32_t count;
    } obs[] = {
        {0, 22, 24,    3},
        {1, 22, 24,    4},
        {2, 23, 25,    3},
        {3, 20, NEVER, 2},
        {3, 23, 25,    1},
        {4, 22, 24,    3},
    };
    static const uint32_t numbers[][CLONES] = {
        {0, 1, 2, 3, 4},
        {4, 3, 2, 1, 0},
        {2, 4, 0, 1, 3},
        {3, 0, 4, 2, 1},
        {1, 3, 0, 4, 2},
    };
    struct pb_ripening *first = NULL;
    for (size_t i = 0; i < PB_ARRAY_LEN(numbers); i++) {
        struct book b;
        book_init(&b, 21, 30, 2);
        for (size_t k = 0; k < PB_ARRAY_LEN(obs); k++)
            add(&b, numbers[i][obs[k].clone], obs[k].after, obs[k].by, obs[k].count);
        struct pb_ripening *r = fit(&b, 1);
        first = first == NULL ? r : first;
        for (uint32_t clone = 0; clone < CLONES; clone++)
            same_bits("a clone", pb_ripening_law_of(first, clone),
                      pb_ripening_law_of(r, numbers[i][clone]));
        same_bits("an unseen one", pb_ripening_law_unseen(first),
                  pb_ripening_law_unseen(r));
        if (r != first)
            pb_ripening_free(r);
        free(b.obs);
    }
    pb_ripening_free(first);
}

/* Two clones of one record are two, not one that counts twice. */
static void equal_clones_stay_apart(void **state)
{
    (void)state;
    struct book together, apart;
    book_init(&together, 21, 30, 2);
    book_init(&apart, 21, 30, 2);
    add(&together, 1, 24, 25, 5);
    add(&together, 2, 24, 25, 5);
    add(&apart, 1, 24, 25, 5);
    add(&apart, 2, 24, 25, 4);
    add(&apart, 2, 24, 26, 1); /* all but the same, so computed by itself */
    struct pb_ripening *a = fit(&together, 1), *b = fit(&apart, 1);
    for (size_t i = 0; i < PB_ARRAY_LEN(shares); i++) {
        double one = day_of(pb_ripening_law_unseen(a), shares[i]);
        double two = day_of(pb_ripening_law_unseen(b), shares[i]);
        CLAIM(fabs(one - two) < 0.05, "%g on day %g or %g", shares[i], one, two);
    }
    pb_ripening_free(a);
    pb_ripening_free(b);
    free(together.obs);
    free(apart.obs);
}

/* Clones whose records differ in one thing only have laws of their own. */
static void unequal_clones_differ(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        struct pb_ripening_obs one, other;
    } rows[] = {
        {"more capsules",    {1, 27, 29, 2}, {2, 27, 29, 40}  },
        {"intact longer",    {1, 25, 29, 9}, {2, 27, 29, 9}   },
        {"split later",      {1, 27, 29, 9}, {2, 27, 32, 9}   },
        {"split or hanging", {1, 27, 29, 9}, {2, 27, NEVER, 9}},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct book b;
        book_init(&b, 21, 30, 2);
        b.obs[0] = rows[i].one;
        b.obs[1] = rows[i].other;
        b.n = 2;
        struct pb_ripening *r = fit(&b, 1);
        const struct pb_ripening_law *one = pb_ripening_law_of(r, 1);
        const struct pb_ripening_law *other = pb_ripening_law_of(r, 2);
        CLAIM(one->capsules == rows[i].one.count &&
                  other->capsules == rows[i].other.count,
              "%s: capsules", rows[i].claim);
        CLAIM(day_of(other, 0.5) > day_of(one, 0.5) + 0.1, "%s: %g and %g",
              rows[i].claim, day_of(one, 0.5), day_of(other, 0.5));
        pb_ripening_free(r);
        free(b.obs);
    }
}

/* Without data the central 90% of the prediction is the window. */
static void no_data_is_the_window(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        int32_t first, last;
        double weight, from, to;
    } rows[] = {
        {"jewel default",             21,  30,  2,   21,   30  },
        {"a weight between",          35,  60,  4.5, 35,   60  },
        {"a firm profile",            150, 240, 6,   150,  240 },
        {"the firmest there is",      21,  30,  1e6, 21,   30  },
        {"one day has a day's width", 40,  40,  4,   39.5, 40.5},
        {"day 0 is half a day",       0,   9,   4,   0.5,  9   },
        {"only day 0",                0,   0,   4,   0.5,  1   },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct book b;
        book_init(&b, rows[i].first, rows[i].last, rows[i].weight);
        struct pb_ripening *r = fit(&b, 1);
        const struct pb_ripening_law *law = pb_ripening_law_unseen(r);
        double scale = 0;
        CLAIM(fabs(day_of(law, 0.05) - rows[i].from) < 1e-4, "%s: from %g",
              rows[i].claim, day_of(law, 0.05));
        CLAIM(fabs(day_of(law, 0.95) - rows[i].to) < 1e-4, "%s: to %g", rows[i].claim,
              day_of(law, 0.95));
        CLAIM(pb_ripening_scale(law, &scale) && fabs(scale - 1) < 1e-6, "%s: scale %g",
              rows[i].claim, scale);
        CLAIM(law->levels == 0 && law->capsules == 0 && pb_ripening_capsules(r) == 0,
              "%s: no level had data", rows[i].claim);
        CLAIM(pb_ripening_law_of(r, 5) == law, "%s: any clone is unseen",
              rows[i].claim);
        pb_ripening_free(r);
        free(b.obs);
    }
}

/*
 * "Still intact" is counted once.  Whether the capsule asked about is put among the data
 * and each node conditioned, or left out and the prediction conditioned as a whole, is
 * the same question, and the two ways share no formula.
 */
static void counted_once(void **state)
{
    (void)state;
    static const struct {
        uint32_t others;
        int32_t seen, day;
    } rows[] = {
        {0, 21, 22},
        {0, 21, 25},
        {0, 35, 36},
        {0, 60, 61},
        {4, 21, 22},
        {4, 23, 24},
        {4, 27, 29},
        {9, 24, 25},
        {9, 40, 42},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct book b;
        book_init(&b, 21, 30, 2);
        add(&b, 3, 22, 24, rows[i].others / 2);
        add(&b, 3, 24, 26, rows[i].others - rows[i].others / 2);
        add(&b, 4, 20, NEVER, rows[i].others);
        struct pb_ripening *without = fit(&b, 1);
        add(&b, 3, rows[i].seen, NEVER, 1);
        struct pb_ripening *with = fit(&b, 1);
        double inside =
            pb_ripening_risk(pb_ripening_law_of(with, 3), rows[i].seen, rows[i].day);
        double outside = pb_ripening_risk_apart(pb_ripening_law_of(without, 3),
                                                rows[i].seen, rows[i].day);
        double twice = pb_ripening_risk_apart(pb_ripening_law_of(with, 3), rows[i].seen,
                                              rows[i].day);
        CLAIM(fabs(inside - outside) < 1e-6, "%d by %d: %.9f among, %.9f apart",
              (int)rows[i].seen, (int)rows[i].day, inside, outside);
        CLAIM(twice < inside - 1e-4, "%d by %d: counted twice %g is less than %g",
              (int)rows[i].seen, (int)rows[i].day, twice, inside);
        pb_ripening_free(without);
        pb_ripening_free(with);
        free(b.obs);
    }
}

/* Days on which something was seen: intact, or found split; nothing of a row of no count,
 * nor of a capsule that was not looked at. */
static void days_seen(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        int32_t after[3], by[3];
        uint32_t count[3];
        int32_t first, last;
    } rows[] = {
        {"nothing",            {0, 0, 0},    {NEVER, NEVER, NEVER}, {1, 1, 1}, 0,  0 },
        {"one that hangs",     {63, 0, 0},   {NEVER, NEVER, NEVER}, {9, 1, 1}, 63, 63},
        {"one found split",    {0, 0, 0},    {30, NEVER, NEVER},    {1, 1, 1}, 30, 30},
        {"both ends of a day", {22, 20, 28}, {24, NEVER, 33},       {1, 1, 1}, 20, 33},
        {"no count",           {22, 20, 28}, {24, NEVER, 33},       {1, 0, 0}, 22, 24},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct book b;
        book_init(&b, 21, 30, 2);
        for (uint32_t k = 0; k < 3; k++)
            add(&b, k, rows[i].after[k], rows[i].by[k], rows[i].count[k]);
        struct pb_ripening *r = fit(&b, 1);
        const struct pb_ripening_law *laws[] = {pb_ripening_law_of(r, 0),
                                                pb_ripening_law_unseen(r)};
        for (size_t k = 0; k < PB_ARRAY_LEN(laws); k++)
            CLAIM(laws[k]->seen_first == rows[i].first &&
                      laws[k]->seen_last == rows[i].last,
                  "%s: %d to %d", rows[i].claim, (int)laws[k]->seen_first,
                  (int)laws[k]->seen_last);
        pb_ripening_free(r);
        free(b.obs);
    }
}

static void refusals(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        struct pb_ripening_prior prior;
        struct pb_ripening_obs obs;
    } rows[] = {
        {"a window that ends before it begins",    {30, 21, 2},           {0, 20, 22, 1}},
        {"a window before pollination",            {-1, 21, 2},           {0, 20, 22, 1}},
        {"a weight below 2",                       {21, 30, 1.99},        {0, 20, 22, 1}},
        {"a weight that is not a number",          {21, 30, (double)NAN}, {0, 20, 22, 1}},
        {"a weight without end",                   {21, 30, HUGE_VAL},    {0, 20, 22, 1}},
        {"intact before pollination",              {21, 30, 2},           {0, -1, 22, 1}},
        {"split on the day it was intact",         {21, 30, 2},           {0, 20, 20, 1}},
        {"split, then intact",                     {21, 30, 2},           {0, 22, 20, 1}},
        {"a row of no capsules is held to it too", {21, 30, 2},           {0, 22, 20, 0}},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_ripening *r = NULL;
        struct pb_err err = {0};
        CLAIM(pb_ripening_fit(&rows[i].prior, &rows[i].obs, 1, &r, &err) == PB_EINVALID,
              "%s", rows[i].claim);
        CLAIM(r == NULL && err.rc == PB_EINVALID && err.text[0] != '\0', "%s: said",
              rows[i].claim);
    }
    pb_ripening_free(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_level_vectors),
        cmocka_unit_test(one_case_in_full),
        cmocka_unit_test(plain_grid_vectors),
        cmocka_unit_test(coarse_steps_are_noticed),
        cmocka_unit_test(unequal_clones_differ),

        cmocka_unit_test(what_must_not_matter),
        cmocka_unit_test(whose_number_a_record_has_does_not_matter),
        cmocka_unit_test(equal_clones_stay_apart),
        cmocka_unit_test(no_data_is_the_window),
        cmocka_unit_test(counted_once),
        cmocka_unit_test(days_seen),
        cmocka_unit_test(refusals),
    };
    return UNIT_MAIN("ripening", tests);
}
