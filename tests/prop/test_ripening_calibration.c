/*
 * Is the ripening estimator as sure as it should be?  Simulation-based calibration (Talts
 * et al. 2018, arXiv:1804.06788): truth is drawn from the model's own prior, capsules from
 * the truth, looks every second day, a third harvested before they split.  Then the risk
 * that the estimator names is the risk that is run, and the share of the prediction below
 * what really happens is uniform.  What happens where the profile is wrong is printed, and
 * nothing is asked of it.
 */
#include "ripening_book.h"

#include "core/ripening_data.h"
#include "core/special.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

enum {
    ROUNDS = 4000,
    ROUNDS_WRONG = 500,
    BINS = 20,
    CLONES = 4,
    LOOK_DAYS = 2,
    GIVEN_UP = 400 /* day of the last look at a capsule that hangs on */
};

#define TOLERANCE 0.1
#define CHI2_19   43.82 /* R 4.2.2: qchisq(0.999, 19) */

static const struct pb_ripening_prior prior = {21, 30, 2};
static const int sizes[] = {0, 3, 5, 10, 20};

struct truth {
    double mu_taxon, mu[CLONES], mu_unseen, sigma;
};

/* How the truth differs from what the profile leads to expect. */
struct bent {
    const char *claim;
    double later, wider; /* factors of all days, of the spread */
    bool hanging;        /* ask about capsules that hang too */
};

static double uniform(uint64_t *s)
{
    return ((double)(next(s) >> 11) + 0.5) * 0x1p-53;
}

/* Box & Muller (1958) */
static double normal(uint64_t *s)
{
    double radius = sqrt(-2 * log(uniform(s)));
    return radius * cos(2 * acos(-1) * uniform(s));
}

static struct truth draw_truth(uint64_t *s, const struct bent *bent)
{
    double m0 = 0, s0 = 0, chi2 = 0, k1 = PB_RIPENING_K1;
    struct truth t;
    pb_ripening_prior_shape(&prior, 1 + 1 / prior.weight + 1 / k1, &m0, &s0);
    for (int i = 0; i < (int)prior.weight; i++) {
        double z = normal(s);
        chi2 += z * z;
    }
    double sigma = s0 * sqrt(prior.weight / chi2);
    t.mu_taxon = m0 + normal(s) * sigma / sqrt(prior.weight) + log(bent->later);
    for (int i = 0; i < CLONES; i++)
        t.mu[i] = t.mu_taxon + normal(s) * sigma / sqrt(k1);
    t.mu_unseen = t.mu_taxon + normal(s) * sigma / sqrt(k1);
    t.sigma = sigma * bent->wider;
    return t;
}

static double intact_after(const struct truth *t, double mu, double day)
{
    return pb_normal_sf((log(day) - mu) / t->sigma);
}

/* One capsule's story as the book keeps it. */
static void live(struct book *b, uint64_t *s, const struct truth *t, uint32_t clone)
{
    double day = exp(t->mu[clone] + t->sigma * normal(s));
    bool harvested = below(s, 3) == 0;
    int32_t last = GIVEN_UP;
    if (harvested)
        last = LOOK_DAYS * (5 + below(s, 18)); /* a look of days 10 to 44 */
    if (day > last) {
        add(b, clone, last, NEVER, 1);
        return;
    }
    int32_t seen = LOOK_DAYS * (int32_t)(ceil(day / LOOK_DAYS) - 1);
    add(b, clone, seen, seen + LOOK_DAYS, 1);
}

struct tally {
    double run, run_hanging, run_looks, said_looks; /* sums of risks */
    int n, hanging_n;
    int ranks[BINS], ranks_unseen[BINS];
};

static void rank(int *bins, double share)
{
    int bin = (int)(share * BINS);
    bins[bin < BINS ? bin : BINS - 1]++;
}

/* A capsule that hangs: the risk run until the day on which a tenth is named. */
static void ask_hanging(struct book *b, uint64_t *s, const struct truth *t,
                        const struct pb_ripening *without, struct tally *y)
{
    int32_t seen = LOOK_DAYS * (5 + below(s, 13)); /* day 10 to 34 */
    double day = exp(t->mu[0] + t->sigma * normal(s)), limit = 0;
    if (day <= seen)
        return;
    double at_seen = intact_after(t, t->mu[0], seen);
    const struct pb_ripening_law *law = pb_ripening_law_of(without, 0);
    double by_seen = pb_ripening_split_by(law, seen);
    bool known = pb_ripening_quantile(law, by_seen + TOLERANCE * (1 - by_seen), &limit);
    double run = known ? 1 - intact_after(t, t->mu[0], limit) / at_seen : 1;
    /* the way the program goes: among the data, whole days, until a fortnight on */
    add(b, 0, seen, NEVER, 1);
    struct pb_ripening *with = fit(b, 1);
    law = pb_ripening_law_of(with, 0);
    int32_t look = pb_ripening_next_look(law, seen, TOLERANCE, seen + 14);
    y->said_looks += pb_ripening_risk(law, seen, look);
    y->run_looks += 1 - intact_after(t, t->mu[0], look) / at_seen;
    y->run_hanging += run;
    y->hanging_n++;
    pb_ripening_free(with);
}

static void one_round(struct book *b, uint64_t *s, int size, const struct bent *bent,
                      struct tally *y)
{
    struct truth t = draw_truth(s, bent);
    int clones = size < 10 ? 2 : CLONES;
    double day = 0;
    b->n = 0;
    for (int i = 0; i < size; i++)
        live(b, s, &t, (uint32_t)(i % clones));
    struct pb_ripening *r = fit(b, 1);
    const struct pb_ripening_law *law = pb_ripening_law_of(r, 0);
    bool known = pb_ripening_quantile(law, TOLERANCE, &day);
    y->run += known ? 1 - intact_after(&t, t.mu[0], day) : 1;
    y->n++;
    rank(y->ranks, pb_ripening_split_by(law, exp(t.mu[0] + t.sigma * normal(s))));
    rank(y->ranks_unseen, pb_ripening_split_by(pb_ripening_law_unseen(r),
                                               exp(t.mu_unseen + t.sigma * normal(s))));
    if (bent->hanging)
        ask_hanging(b, s, &t, r, y);
    pb_ripening_free(r);
}

static double chi2(const int *bins, int n)
{
    double expected = (double)n / BINS, sum = 0;
    for (int i = 0; i < BINS; i++)
        sum += (bins[i] - expected) * (bins[i] - expected) / expected;
    return sum;
}

static struct tally run(uint64_t seed, int rounds, int size, const struct bent *bent)
{
    struct tally y = {.n = 0};
    struct book b;
    uint64_t s = seed;
    book_init(&b, prior.first, prior.last, prior.weight);
    for (int i = 0; i < rounds; i++)
        one_round(&b, &s, size, bent, &y);
    free(b.obs);
    return y;
}

static void risk_named_is_risk_run(void **state)
{
    (void)state;
    static const struct bent none = {"as the model", 1, 1, true};
    print_message("capsules  risk at 10%%  hanging  next look: said, run  chi2(19): "
                  "clone, unseen\n");
    for (size_t i = 0; i < PB_ARRAY_LEN(sizes); i++) {
        struct tally y = run(20180418 + i, ROUNDS, sizes[i], &none);
        double risk = y.run / y.n, hanging = y.run_hanging / y.hanging_n;
        double said = y.said_looks / y.hanging_n, run_looks = y.run_looks / y.hanging_n;
        double ranks = chi2(y.ranks, y.n), unseen = chi2(y.ranks_unseen, y.n);
        print_message("%8d  %11.4f  %7.4f  %15.4f, %.4f  %15.1f, %.1f\n", sizes[i],
                      risk, hanging, said, run_looks, ranks, unseen);
        CLAIM(risk >= 0.09 && risk <= 0.11, "%d capsules: %.4f is run at 10%%",
              sizes[i], risk);
        CLAIM(hanging >= 0.09 && hanging <= 0.11,
              "%d capsules: %.4f is run at 10%% by one that hangs", sizes[i], hanging);
        CLAIM(fabs(said - run_looks) < 0.01,
              "%d capsules: %.4f is named until the next look, %.4f is run", sizes[i],
              said, run_looks);
        CLAIM(ranks < CHI2_19, "%d capsules: ranks not uniform, %.1f", sizes[i], ranks);
        CLAIM(unseen < CHI2_19, "%d capsules, unseen clone: ranks not uniform, %.1f",
              sizes[i], unseen);
    }
}

static void where_the_profile_is_wrong(void **state)
{
    (void)state;
    static const struct bent bents[] = {
        {"a quarter earlier",    0.75, 1, false},
        {"a third later",        1.33, 1, false},
        {"three quarters later", 1.75, 1, false},
        {"twice the spread",     1,    2, false},
    };
    print_message("risk run at 10%% where the truth is other than the profile\n");
    print_message("%-22s", "capsules");
    for (size_t k = 0; k < PB_ARRAY_LEN(sizes); k++)
        print_message("  %6d", sizes[k]);
    print_message("\n");
    for (size_t i = 0; i < PB_ARRAY_LEN(bents); i++) {
        print_message("%-22s", bents[i].claim);
        for (size_t k = 0; k < PB_ARRAY_LEN(sizes); k++) {
            struct tally y = run(7 + 10 * i + k, ROUNDS_WRONG, sizes[k], &bents[i]);
            print_message("  %6.3f", y.run / y.n);
        }
        print_message("\n");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(risk_named_is_risk_run),
        cmocka_unit_test(where_the_profile_is_wrong),
    };
    return UNIT_MAIN("ripening_calibration", tests);
}
