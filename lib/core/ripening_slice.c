/* One slice of the ripening posterior.  See ripening_slice.h for the sums. */
#include "core/ripening_slice.h"

#include "base/limits.h"
#include "core/ripening_gauss.h"
#include "core/special.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

/* Steps in units of the local width 1/sqrt(curvature). */
#define STEP_T     0.7
#define STEP_B     0.9
#define EDGE_DEPTH 23.0 /* log below the top that the ends of the t grid must reach */
#define WIDEN      1.5

enum { WIDENINGS = 20 };

enum pb_rc pb_ripening_numbers_room(struct pb_ripening_numbers *row, size_t n,
                                    struct pb_err *err)
{
    if (n <= row->cap - row->n)
        return PB_OK;
    size_t cap = row->cap < 64 ? 64 : row->cap;
    while (cap - row->n < n)
        cap *= 2;
    double *at = realloc(row->at, cap * sizeof(*at));
    if (at == NULL)
        return pb_fail_memory(err);
    row->at = at;
    row->cap = cap;
    return PB_OK;
}

void pb_ripening_numbers_clear(struct pb_ripening_numbers *row)
{
    free(row->at);
    *row = (struct pb_ripening_numbers){NULL, 0, 0};
}

enum pb_rc pb_ripening_bench_init(struct pb_ripening_bench *w,
                                  const struct pb_ripening_problem *problem,
                                  struct pb_err *err)
{
    size_t n = problem->sample_n + 1; /* never 0: an empty allocation may be NULL */
    *w = (struct pb_ripening_bench){.problem = *problem, .scale = 1, .place_v = 1};
    w->stretch[0] = w->stretch[1] = 1;
    w->place.b = calloc(n, sizeof(double));
    w->place.trial_b = calloc(n, sizeof(double));
    w->place.at_b = calloc(n, sizeof(struct pb_ripening_local));
    w->place.at_trial = calloc(n, sizeof(struct pb_ripening_local));
    w->sharpest = calloc(n, sizeof(double));
    w->grids = calloc(n, sizeof(struct pb_ripening_grid));
    if (w->place.b != NULL && w->place.trial_b != NULL && w->place.at_b != NULL &&
        w->place.at_trial != NULL && w->sharpest != NULL && w->grids != NULL)
        return PB_OK;
    pb_ripening_bench_clear(w);
    return pb_fail_memory(err);
}

void pb_ripening_bench_clear(struct pb_ripening_bench *w)
{
    free(w->place.b);
    free(w->place.trial_b);
    free(w->place.at_b);
    free(w->place.at_trial);
    free(w->sharpest);
    free(w->grids);
    pb_ripening_numbers_clear(&w->terms);
    pb_ripening_numbers_clear(&w->log_t);
    pb_ripening_numbers_clear(&w->t);
    pb_ripening_numbers_clear(&w->scratch);
    *w = (struct pb_ripening_bench){.scale = 1};
}

void pb_ripening_slice_clear(struct pb_ripening_slice *s)
{
    free(s->starts);
    pb_ripening_numbers_clear(&s->nodes);
    *s = (struct pb_ripening_slice){.starts = NULL};
}

/* Scaled inverse chi-square on sigma^2 with nu = k0, as a density of lambda. */
static double log_prior(double nu, double lambda)
{
    return -nu * lambda - 0.5 * nu * exp(-2 * lambda);
}

/* Places scale with the spread, so the last mode, rescaled, is a good start. */
static double climb(struct pb_ripening_bench *w, double lambda)
{
    double v = exp(-lambda), ratio = v / w->place_v;
    w->place.t *= ratio;
    for (size_t i = 0; i < w->problem.sample_n; i++)
        w->place.b[i] *= ratio;
    w->place_v = v;
    pb_ripening_climb(&w->problem, v, &w->place);
    return v;
}

double pb_ripening_laplace(struct pb_ripening_bench *w, double lambda)
{
    const struct pb_ripening_problem *p = &w->problem;
    (void)climb(w, lambda);
    double value = log_prior(p->k0, lambda) + w->place.value;
    value -= 0.5 * log(pb_ripening_information(p, w->place.at_b) / p->k0);
    for (size_t i = 0; i < p->sample_n; i++)
        value -= 0.5 * p->samples[i].clones *
                 log1p(w->place.at_b[i].curvature / PB_RIPENING_K1);
    return value;
}

/* Interval censoring has flat tops with sharp edges: look for the edge near the mode. */
static void find_sharpest(struct pb_ripening_bench *w, double v)
{
    for (size_t i = 0; i < w->problem.sample_n; i++) {
        double kappa = w->place.at_b[i].curvature;
        double width = 2 / sqrt(PB_RIPENING_K1 + kappa);
        for (int side = -1; side <= 1; side += 2) {
            struct pb_ripening_local at = pb_ripening_local(
                &w->problem.samples[i], v, w->place.b[i] + side * width);
            kappa = fmax(kappa, at.curvature);
        }
        w->sharpest[i] = kappa;
    }
}

/*
 * Lay the t grid around the mode; out: its first node, step, number of nodes.
 * Whatever the data, the curvature in t is at least k0, which bounds the range.
 */
static struct pb_ripening_grid lay_t(const struct pb_ripening_bench *w)
{
    const struct pb_ripening_problem *p = &w->problem;
    double sharp = p->k0;
    for (size_t i = 0; i < p->sample_n; i++)
        sharp += p->samples[i].clones * PB_RIPENING_K1 * w->sharpest[i] /
                 (PB_RIPENING_K1 + w->sharpest[i]);
    double step = w->scale * STEP_T / sqrt(sharp);
    double normal =
        sqrt(2 * PB_RIPENING_CUT / pb_ripening_information(p, w->place.at_b));
    double widest = sqrt(2 * PB_RIPENING_CUT / p->k0);
    double down = ceil(fmin(widest, w->stretch[0] * normal) / step);
    double up = ceil(fmin(widest, w->stretch[1] * normal) / step);
    return (struct pb_ripening_grid){w->place.t - down * step, step, 0,
                                     (size_t)(down + up) + 1};
}

/*
 * Walk from a clone's mode one way, appending log l_p, until the clone's own posterior
 * for the t at that end of the grid is PB_RIPENING_CUT below its top.
 *   first, step  first node and signed step
 */
static enum pb_rc walk_b(struct pb_ripening_bench *w,
                         const struct pb_ripening_sample *s, double first, double step,
                         double t, struct pb_err *err)
{
    double top = -HUGE_VAL;
    for (size_t n = 0; n < PB_MAX_GRID; n++) {
        enum pb_rc rc = pb_ripening_numbers_room(&w->terms, 1, err);
        if (rc != PB_OK)
            return rc;
        double b = first + (double)n * step;
        double value = pb_ripening_loglik(s, w->place_v, b);
        w->terms.at[w->terms.n++] = value;
        value -= 0.5 * PB_RIPENING_K1 * (b - t) * (b - t);
        top = fmax(top, value);
        if (value < top - PB_RIPENING_CUT)
            return PB_OK;
    }
    return pb_fail(err, PB_ELIMIT, "a ripening grid passes %d nodes", PB_MAX_GRID);
}

static void reverse(double *at, size_t n)
{
    for (size_t i = 0; i < n / 2; i++) {
        double swap = at[i];
        at[i] = at[n - 1 - i];
        at[n - 1 - i] = swap;
    }
}

/*
 * Lay every clone's b grid so that it serves the whole t grid, and fill `terms`.
 *
 * With x = b - b*, y = t - t*, D = b* - t* counted from the mode, the clone's part is
 *   log l(b) - k1 (b - t)^2 / 2 =
 *       [log l(b) - k1 D x - k1 x^2 / 2] + [k1 D y - k1 y^2 / 2] - k1 D^2 / 2 + k1 x y
 * so that M_p(t) is a sum of terms exp[first bracket] times powers of exp(k1 step y).
 * As k0 >= 2 and k1 = 4 no exponent passes some 400: nothing overflows.
 */
static enum pb_rc lay_b(struct pb_ripening_bench *w, const struct pb_ripening_grid *t,
                        struct pb_err *err)
{
    double t_last = t->first + t->step * (double)(t->n - 1);
    w->terms.n = 0;
    for (size_t i = 0; i < w->problem.sample_n; i++) {
        const struct pb_ripening_sample *s = &w->problem.samples[i];
        double mode = w->place.b[i], at_mode = w->place.at_b[i].value;
        double step = w->scale * STEP_B / sqrt(PB_RIPENING_K1 + w->sharpest[i]);
        double tilt = PB_RIPENING_K1 * (mode - w->place.t);
        size_t offset = w->terms.n;
        enum pb_rc rc = walk_b(w, s, mode - step, -step, t->first, err);
        if (rc != PB_OK)
            return rc;
        size_t below = w->terms.n - offset;
        reverse(w->terms.at + offset, below);
        if ((rc = walk_b(w, s, mode, step, t_last, err)) != PB_OK)
            return rc;
        w->grids[i] = (struct pb_ripening_grid){mode - (double)below * step, step,
                                                offset, w->terms.n - offset};
        for (size_t k = 0; k < w->grids[i].n; k++) {
            double x = ((double)k - (double)below) * step,
                   *term = &w->terms.at[offset + k];
            *term = exp(*term - at_mode - tilt * x - 0.5 * PB_RIPENING_K1 * x * x);
        }
    }
    return PB_OK;
}

/* The powers of lay_b for one clone and y = t - t*: the first, and the ratio. */
struct powers {
    double first, ratio;
};

static struct powers powers_of(const struct pb_ripening_bench *w, size_t clone,
                               double y)
{
    const struct pb_ripening_grid *g = &w->grids[clone];
    return (struct powers){
        exp(PB_RIPENING_K1 * y * (g->first - w->place.b[clone])),
        exp(PB_RIPENING_K1 * y * g->step),
    };
}

/* The sum of terms times powers. */
static double mix(const struct pb_ripening_bench *w, size_t clone, double y)
{
    const struct pb_ripening_grid *g = &w->grids[clone];
    const double *terms = w->terms.at + g->offset;
    struct powers p = powers_of(w, clone, y);
    double sum = 0;
    for (size_t i = 0; i < g->n; i++) {
        sum += terms[i] * p.first;
        p.first *= p.ratio;
    }
    return sum;
}

/* Fill log_t over the grid.  Returns its top. */
static double weigh_t(struct pb_ripening_bench *w, const struct pb_ripening_grid *t)
{
    const struct pb_ripening_problem *p = &w->problem;
    double *log_t = w->log_t.at, top = -HUGE_VAL;
    for (size_t j = 0; j < t->n; j++) {
        double at = t->first + (double)j * t->step, y = at - w->place.t;
        log_t[j] = -0.5 * p->k0 * at * at;
        for (size_t i = 0; i < p->sample_n; i++) {
            double off = w->place.b[i] - at; /* D - y */
            double log_m = w->place.at_b[i].value - 0.5 * PB_RIPENING_K1 * off * off +
                           log(mix(w, i, y) * w->grids[i].step) +
                           0.5 * log(PB_RIPENING_K1) - PB_HALF_LOG_2PI;
            log_t[j] += p->samples[i].clones * log_m;
        }
        top = fmax(top, log_t[j]);
    }
    return top;
}

/*
 * Lay all grids and weigh t; widen where an end of the t grid is not deep enough below
 * the top, which happens where the data stop on one side of the mode.
 */
static enum pb_rc lay_grids(struct pb_ripening_bench *w, struct pb_ripening_grid *t,
                            double *top, struct pb_err *err)
{
    for (int k = 0; k <= WIDENINGS; k++) {
        size_t before = t->n;
        *t = lay_t(w);
        if (k > 0 && t->n == before)
            break; /* already as wide as can matter */
        enum pb_rc rc = lay_b(w, t, err);
        if (rc == PB_OK)
            rc = pb_ripening_numbers_room(&w->log_t, t->n, err);
        if (rc != PB_OK)
            return rc;
        *top = weigh_t(w, t);
        bool deep[2] = {w->log_t.at[0] < *top - EDGE_DEPTH,
                        w->log_t.at[t->n - 1] < *top - EDGE_DEPTH};
        if (deep[0] && deep[1])
            break;
        for (int side = 0; side < 2; side++)
            w->stretch[side] *= deep[side] ? 1 : WIDEN;
    }
    return PB_OK;
}

/* How far the sums over even and odd nodes are apart; weights sum to 1. */
static double unevenness(const double *weights, size_t n)
{
    double apart = 0;
    for (size_t i = 0; i < n; i++)
        apart += i % 2 == 0 ? weights[i] : -weights[i];
    return fabs(apart);
}

/* Turn log_t into weights that sum to 1.  Returns the log of their sum. */
static double finish_t(struct pb_ripening_bench *w, size_t n, double top)
{
    double sum = 0;
    for (size_t j = 0; j < n; j++)
        sum += w->t.at[j] = exp(w->log_t.at[j] - top);
    for (size_t j = 0; j < n; j++)
        w->t.at[j] /= sum;
    return top + log(sum);
}

/* p(b) = sum over t of p(b | t) p(t) */
static void finish_b(const struct pb_ripening_bench *w, size_t clone,
                     const struct pb_ripening_grid *t, double *weights)
{
    const struct pb_ripening_grid *g = &w->grids[clone];
    const double *terms = w->terms.at + g->offset;
    for (size_t i = 0; i < g->n; i++)
        weights[i] = 0;
    for (size_t j = 0; j < t->n; j++) {
        double y = t->first + (double)j * t->step - w->place.t;
        double share = w->t.at[j] / mix(w, clone, y);
        struct powers p = powers_of(w, clone, y);
        for (size_t i = 0; i < g->n; i++) {
            weights[i] += share * p.first;
            p.first *= p.ratio;
        }
    }
    for (size_t i = 0; i < g->n; i++)
        weights[i] *= terms[i];
}

/* Append the condensed law of the weights on a grid as part i of the slice. */
static enum pb_rc condense(struct pb_ripening_slice *out, size_t part,
                           const struct pb_ripening_grid *g, const double *weights,
                           double *scratch, struct pb_err *err)
{
    struct pb_ripening_node nodes[PB_RIPENING_GAUSS_MAX];
    size_t n = pb_ripening_gauss(weights, g->n, g->first, g->step, scratch, nodes);
    enum pb_rc rc = pb_ripening_numbers_room(&out->nodes, 2 * n, err);
    if (rc != PB_OK)
        return rc;
    for (size_t i = 0; i < n; i++) {
        out->nodes.at[out->nodes.n++] = nodes[i].place;
        out->nodes.at[out->nodes.n++] = nodes[i].weight;
    }
    out->starts[part + 1] = out->starts[part] + n;
    out->uneven = fmax(out->uneven, unevenness(weights, g->n));
    return PB_OK;
}

/* Integrate on the grids that lay_grids laid. */
static enum pb_rc integrate(struct pb_ripening_bench *w,
                            const struct pb_ripening_grid *t, double top,
                            struct pb_ripening_slice *out, struct pb_err *err)
{
    const struct pb_ripening_problem *p = &w->problem;
    size_t widest = t->n;
    for (size_t i = 0; i < p->sample_n; i++)
        widest = w->grids[i].n > widest ? w->grids[i].n : widest;
    w->t.n = w->scratch.n = 0;
    enum pb_rc rc = pb_ripening_numbers_room(&w->t, t->n, err);
    if (rc == PB_OK)
        rc = pb_ripening_numbers_room(&w->scratch, 3 * widest, err);
    if (rc != PB_OK)
        return rc;
    out->log_mass = finish_t(w, t->n, top) + log(t->step) + 0.5 * log(p->k0) -
                    PB_HALF_LOG_2PI + log_prior(p->k0, out->lambda);
    double *weights = w->scratch.at, *rest = w->scratch.at + widest;
    for (size_t i = 0; rc == PB_OK && i < p->sample_n; i++) {
        finish_b(w, i, t, weights);
        rc = condense(out, i, &w->grids[i], weights, rest, err);
    }
    if (rc != PB_OK)
        return rc;
    /* Phi integrated over an unseen clone's place is Phi((a v - t) / sqrt(1 + 1/k1)) */
    double shrink = PB_RIPENING_UNSEEN;
    struct pb_ripening_grid unseen = {shrink * t->first, shrink * t->step, 0, t->n};
    return condense(out, p->sample_n, &unseen, w->t.at, rest, err);
}

enum pb_rc pb_ripening_slice_make(struct pb_ripening_bench *w, double lambda,
                                  struct pb_ripening_slice *out, struct pb_err *err)
{
    struct pb_ripening_grid t = {0, 0, 0, 0};
    double top = 0;
    find_sharpest(w, climb(w, lambda));
    enum pb_rc rc = lay_grids(w, &t, &top, err);
    *out = (struct pb_ripening_slice){.lambda = lambda};
    if (rc == PB_OK) {
        out->starts = calloc(w->problem.sample_n + 2, sizeof(*out->starts));
        rc =
            out->starts == NULL ? pb_fail_memory(err) : integrate(w, &t, top, out, err);
    }
    if (rc != PB_OK)
        pb_ripening_slice_clear(out);
    return rc;
}
