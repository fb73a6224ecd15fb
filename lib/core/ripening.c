/*
 * The walk over spreads.  See ripening.h for the model, ripening_slice.h for what
 * happens at one spread.
 *
 * lambda = ln(sigma / s0) is located by the Laplace approximation, then integrated by
 * the trapezoid rule on slices an even step apart, walking out both ways until a slice
 * is negligible.  The sums over even and over odd nodes, which agree where the step is
 * fine enough, decide whether all steps are halved and the walk is done again.
 */
#include "core/ripening.h"

#include "base/limits.h"
#include "core/ripening_data.h"
#include "core/ripening_slice.h"

#include <math.h>
#include <stdlib.h>

#define STEP_LAMBDA     0.8 /* in units of the narrowest width in lambda */
#define STRETCH         0.1 /* of the upper tail; see walk_way */
#define RESOLVED        1e-2 /* even and odd sums over t and b; the error is its square */
#define RESOLVED_LAMBDA 1e-3 /* even and odd sums over lambda */
#define LEAST_SHARE     1e-12 /* of a slice in a law; the rest of them make about 1e-11 */
#define GOLDEN          0.61803398874989484820

enum { HALVINGS = 3 };

struct pb_ripening {
    struct pb_ripening_law **laws; /* one a sample, then that of an unseen clone */
    struct pb_ripening_clone *clones;
    size_t law_n, clone_n;
    uint64_t capsule_n;
};

struct walk {
    struct pb_ripening_slice *slices; /* up from the middle, then down */
    size_t n, cap, up_n;
    double middle; /* lambda at u = 0 */
    double top;    /* largest log mass */
};

/* The middle of the posterior of lambda, by bracketing and golden section. */
static double locate(struct pb_ripening_bench *w, double unit)
{
    double low = -unit, mid = 0, high = unit, step = unit;
    double at_low = pb_ripening_laplace(w, low);
    double at_mid = pb_ripening_laplace(w, mid);
    double at_high = pb_ripening_laplace(w, high);
    while (at_high > at_mid) {
        low = mid;
        at_low = at_mid;
        mid = high;
        at_mid = at_high;
        high += step *= 2;
        at_high = pb_ripening_laplace(w, high);
    }
    while (at_low > at_mid) {
        high = mid;
        mid = low;
        at_mid = at_low;
        low -= step *= 2;
        at_low = pb_ripening_laplace(w, low);
    }
    double a = high - GOLDEN * (high - low), b = low + GOLDEN * (high - low);
    double at_a = pb_ripening_laplace(w, a), at_b = pb_ripening_laplace(w, b);
    while (high - low > unit) {
        if (at_a > at_b) {
            high = b;
            b = a;
            at_b = at_a;
            a = high - GOLDEN * (high - low);
            at_a = pb_ripening_laplace(w, a);
        } else {
            low = a;
            a = b;
            at_a = at_b;
            b = low + GOLDEN * (high - low);
            at_b = pb_ripening_laplace(w, b);
        }
    }
    return 0.5 * (low + high);
}

static double curvature(struct pb_ripening_bench *w, double lambda, double unit)
{
    double sides =
        pb_ripening_laplace(w, lambda - unit) + pb_ripening_laplace(w, lambda + unit);
    return (2 * pb_ripening_laplace(w, lambda) - sides) / (unit * unit);
}

/*
 * The sharpest curvature in lambda at the middle and two widths to each side.  What will
 * be averaged, Phi(a v - b), changes with lambda too: by its argument, about |b| + 2.
 */
static double sharpest(struct pb_ripening_bench *w, double middle, double unit)
{
    double least = w->problem.k0; /* half of what the prior alone has at its mode */
    double sharp = fmax(least, curvature(w, middle, unit));
    double width = 2 / sqrt(sharp);
    for (int side = -1; side <= 1; side += 2)
        sharp = fmax(sharp, curvature(w, middle + side * width, unit));
    (void)pb_ripening_laplace(w, middle);
    double place = fabs(w->place.t);
    for (size_t i = 0; i < w->problem.sample_n; i++)
        place = fmax(place, fabs(w->place.b[i]));
    return fmax(sharp, (place + 2) * (place + 2));
}

static void walk_clear(struct walk *k)
{
    for (size_t i = 0; i < k->n; i++)
        pb_ripening_slice_clear(&k->slices[i]);
    free(k->slices);
    *k = (struct walk){.slices = NULL};
}

/*
 * Append slices from u = first on until they are negligible, where
 *   lambda = middle + u + STRETCH (exp(u) - 1 - u)
 * runs ahead of u in the long upper tail, which falls only like exp(-k0 lambda).
 */
static enum pb_rc walk_way(struct walk *k, struct pb_ripening_bench *w, double first,
                           double step, struct pb_err *err)
{
    for (size_t i = 0; i < PB_MAX_GRID; i++) {
        if (k->n == k->cap) {
            size_t cap = k->cap == 0 ? 64 : 2 * k->cap;
            struct pb_ripening_slice *slices =
                realloc(k->slices, cap * sizeof(*slices));
            if (slices == NULL)
                return pb_fail_memory(err);
            k->slices = slices;
            k->cap = cap;
        }
        struct pb_ripening_slice *slice = &k->slices[k->n];
        *slice = (struct pb_ripening_slice){.starts = NULL};
        double u = first + (double)i * step, ahead = STRETCH * expm1(u);
        enum pb_rc rc = pb_ripening_slice_make(w, k->middle + (1 - STRETCH) * u + ahead,
                                               slice, err);
        if (rc != PB_OK)
            return rc;
        slice->log_mass += log1p(ahead);
        k->n++;
        k->top = fmax(k->top, slice->log_mass);
        if (slice->log_mass < k->top - PB_RIPENING_CUT)
            return PB_OK;
    }
    return pb_fail(err, PB_ELIMIT, "a ripening grid passes %d nodes", PB_MAX_GRID);
}

/* Turn log masses into shares that sum to 1.  Says whether the steps were fine enough. */
static bool settle(struct walk *k)
{
    double sum = 0, apart = 0, uneven = 0;
    for (size_t i = 0; i < k->n; i++)
        sum += k->slices[i].log_mass = exp(k->slices[i].log_mass - k->top);
    for (size_t i = 0; i < k->n; i++) {
        bool odd = (i < k->up_n ? i : i - k->up_n + 1) % 2 != 0;
        double share = k->slices[i].log_mass /= sum;
        apart += odd ? -share : share;
        uneven += share * k->slices[i].uneven;
    }
    return fabs(apart) < RESOLVED_LAMBDA && uneven < RESOLVED;
}

/* Walk the whole posterior; halve the steps until they are fine enough. */
static enum pb_rc walk_all(struct walk *k, struct pb_ripening_bench *w,
                           uint64_t capsule_n, double scale, struct pb_err *err)
{
    double unit = 1 / sqrt(2 * (w->problem.k0 + (double)capsule_n));
    double middle = locate(w, unit);
    double step = STEP_LAMBDA / sqrt(sharpest(w, middle, unit));
    for (int halving = 0; halving <= HALVINGS; halving++) {
        walk_clear(k);
        k->middle = middle;
        k->top = -HUGE_VAL;
        w->scale = scale;
        enum pb_rc rc = walk_way(k, w, 0, scale * step, err);
        k->up_n = k->n;
        if (rc == PB_OK)
            rc = walk_way(k, w, -scale * step, -scale * step, err);
        if (rc != PB_OK)
            return rc;
        if (settle(k))
            break;
        scale *= 0.5;
    }
    return PB_OK;
}

static size_t part_n(const struct pb_ripening_slice *s, size_t part)
{
    return s->log_mass < LEAST_SHARE ? 0 : s->starts[part + 1] - s->starts[part];
}

/* The law of one part; rate_unit turns exp(-lambda) into the rate of a row. */
static enum pb_rc make_law(const struct walk *k, size_t part, double rate_unit,
                           struct pb_ripening_law **out, struct pb_err *err)
{
    size_t row_n = 0, node_n = 0;
    for (size_t i = 0; i < k->n; i++) {
        size_t n = part_n(&k->slices[i], part);
        row_n += n > 0;
        node_n += n;
    }
    struct pb_ripening_row *row = NULL;
    struct pb_ripening_node *nodes = NULL, *node = NULL;
    enum pb_rc rc =
        pb_ripening_law_new((uint32_t)row_n, (uint32_t)node_n, &row, &nodes, out, err);
    if (rc != PB_OK)
        return rc;
    double sum = 0;
    node = nodes;
    for (size_t i = 0; i < k->n; i++) {
        const struct pb_ripening_slice *s = &k->slices[i];
        size_t n = part_n(s, part);
        const double *pair = s->nodes.at + 2 * s->starts[part];
        if (n > 0)
            *row++ = (struct pb_ripening_row){rate_unit * exp(-s->lambda), (uint32_t)n};
        for (size_t j = 0; j < n; j++, pair += 2, node++) {
            *node = (struct pb_ripening_node){pair[0], pair[1] * s->log_mass};
            sum += node->weight;
        }
    }
    for (size_t i = 0; i < node_n; i++)
        nodes[i].weight /= sum;
    return PB_OK;
}

/* Every law knows the first and the last day on which any capsule was seen. */
static void tell_seen(struct pb_ripening *r, const struct pb_ripening_obs *obs,
                      size_t n)
{
    int32_t first = 0, last = 0;
    for (size_t i = 0; i < n; i++) {
        bool split = obs[i].by != PB_RIPENING_NEVER;
        if (obs[i].count == 0 || (obs[i].after == 0 && !split))
            continue;
        int32_t from = obs[i].after > 0 ? obs[i].after : obs[i].by;
        int32_t to = split ? obs[i].by : obs[i].after;
        first = last == 0 || from < first ? from : first;
        last = to > last ? to : last;
    }
    for (size_t i = 0; i < r->law_n; i++) {
        r->laws[i]->seen_first = first;
        r->laws[i]->seen_last = last;
    }
}

/* All laws of a fit; the clones move from data to r. */
static enum pb_rc make_laws(struct pb_ripening *r, const struct walk *k,
                            struct pb_ripening_data *data, struct pb_err *err)
{
    r->laws = calloc(data->sample_n + 1, sizeof(struct pb_ripening_law *));
    if (r->laws == NULL)
        return pb_fail_memory(err);
    for (size_t i = 0; i <= data->sample_n; i++) {
        bool unseen = i == data->sample_n;
        double rate_unit = (unseen ? PB_RIPENING_UNSEEN : 1) / data->s0;
        enum pb_rc rc = make_law(k, i, rate_unit, &r->laws[i], err);
        if (rc != PB_OK)
            return rc;
        r->law_n++;
        r->laws[i]->centre = data->m0;
        r->laws[i]->capsules = unseen ? 0 : data->capsules[i];
        r->laws[i]->levels = unseen ? data->capsule_n > 0 : 2;
    }
    r->capsule_n = data->capsule_n;
    r->clones = data->clones;
    r->clone_n = data->clone_n;
    data->clones = NULL;
    return PB_OK;
}

enum pb_rc pb_ripening_fit_scaled(const struct pb_ripening_prior *prior,
                                  const struct pb_ripening_obs *obs, size_t n,
                                  double scale, struct pb_ripening **out,
                                  struct pb_err *err)
{
    struct pb_ripening_data data;
    struct pb_ripening_bench bench = {.scale = 1};
    struct walk k = {.slices = NULL};
    enum pb_rc rc = pb_ripening_data_init(&data, prior, obs, n, err);
    if (rc != PB_OK)
        return rc;
    struct pb_ripening_problem problem = {data.samples, data.sample_n, prior->weight};
    struct pb_ripening *r = calloc(1, sizeof(*r));
    if (r == NULL) {
        pb_ripening_data_clear(&data);
        return pb_fail_memory(err);
    }
    rc = pb_ripening_bench_init(&bench, &problem, err);
    if (rc == PB_OK)
        rc = walk_all(&k, &bench, data.capsule_n, scale, err);
    if (rc == PB_OK)
        rc = make_laws(r, &k, &data, err);
    if (rc == PB_OK)
        tell_seen(r, obs, n);
    walk_clear(&k);
    pb_ripening_bench_clear(&bench);
    pb_ripening_data_clear(&data);
    if (rc == PB_OK)
        *out = r;
    else
        pb_ripening_free(r);
    return rc;
}

bool pb_ripening_prior_is(const struct pb_ripening_prior *a,
                          const struct pb_ripening_prior *b)
{
    return a->first == b->first && a->last == b->last && !(a->weight < b->weight) &&
           !(a->weight > b->weight);
}

enum pb_rc pb_ripening_fit(const struct pb_ripening_prior *prior,
                           const struct pb_ripening_obs *obs, size_t n,
                           struct pb_ripening **out, struct pb_err *err)
{
    return pb_ripening_fit_scaled(prior, obs, n, 1, out, err);
}

void pb_ripening_free(struct pb_ripening *r)
{
    if (r == NULL)
        return;
    for (size_t i = 0; i < r->law_n; i++)
        pb_ripening_law_free(r->laws[i]);
    free(r->laws);
    free(r->clones);
    free(r);
}

uint64_t pb_ripening_capsules(const struct pb_ripening *r)
{
    return r->capsule_n;
}

const struct pb_ripening_law *pb_ripening_law_unseen(const struct pb_ripening *r)
{
    return r->laws[r->law_n - 1];
}

const struct pb_ripening_law *pb_ripening_law_of(const struct pb_ripening *r,
                                                 uint32_t clone)
{
    size_t low = 0, high = r->clone_n;
    while (low < high) {
        size_t mid = low + (high - low) / 2;
        if (r->clones[mid].id < clone)
            low = mid + 1;
        else
            high = mid;
    }
    if (low < r->clone_n && r->clones[low].id == clone)
        return r->laws[r->clones[low].sample];
    return pb_ripening_law_unseen(r);
}
