/*
 * One slice of the ripening posterior: everything at one spread.  Internal to the
 * ripening estimator; ripening_kernel.h explains the symbols.
 *
 * With lambda = ln(sigma / s0) held, the taxon's place t and each clone's place b_p are
 * integrated on grids of their own, centred on the mode and scaled to the curvature:
 *   M_p(t) = sum_b N(b; t, 1/k1) l_p(b)
 *   weight of t:       N(t; 0, 1/k0) prod_p M_p(t)
 *   weight of (p, b):  l_p(b) sum_t N(b; t, 1/k1) N(t; 0, 1/k0) prod_{q != p} M_q(t)
 * The trapezoid rule on such functions errs like exp(-2 pi^2 / step^2), step in units of
 * the narrowest local width.
 */
#ifndef PB_CORE_RIPENING_SLICE_H
#define PB_CORE_RIPENING_SLICE_H

#include "base/err.h"
#include "core/ripening_kernel.h"

#define PB_RIPENING_UNSEEN 0.89442719099991587856 /* 1 / sqrt(1 + 1/k1) */

/* Log below the top at which a walk ends: what is left out is about 1e-12. */
#define PB_RIPENING_CUT 28.0

/* A growable row of numbers; the content is yours until pb_ripening_numbers_clear. */
struct pb_ripening_numbers {
    double *at;
    size_t n, cap;
};

/* An even grid; the numbers on it are kept elsewhere, from offset on. */
struct pb_ripening_grid {
    double first, step;
    size_t offset, n;
};

/* What one slice says: a law of each clone's place, and of an unseen clone's. */
struct pb_ripening_slice {
    double lambda;
    double log_mass; /* log of the slice's share of the posterior, up to a constant */
    double uneven;   /* how far apart even and odd nodes of t and b are; 0: resolved */
    size_t *starts;  /* sample_n + 2: part i has nodes starts[i] to starts[i + 1] - 1 */
    struct pb_ripening_numbers nodes; /* place and weight by turns; weights sum to 1 */
};

/* What the slices of one fit share. */
struct pb_ripening_bench {
    struct pb_ripening_problem problem;
    struct pb_ripening_place
        place; /* where the last climb ended: the next one's start */
    double place_v;
    double scale;      /* 1; 0.5 halves every step */
    double stretch[2]; /* how much wider than normal the t grid is, down and up */
    double *sharpest;  /* sample_n: largest curvature near each clone's mode */
    struct pb_ripening_grid *grids;     /* sample_n: the b grids */
    struct pb_ripening_numbers terms;   /* l_p on them, in the form of lay_b */
    struct pb_ripening_numbers log_t;   /* log weight on the t grid */
    struct pb_ripening_numbers t;       /* weight on the t grid */
    struct pb_ripening_numbers scratch; /* weight on a b grid, and what gauss wants */
};

/* Allocate for a problem, whose samples stay borrowed.  PB_ENOMEM */
enum pb_rc pb_ripening_bench_init(struct pb_ripening_bench *w,
                                  const struct pb_ripening_problem *problem,
                                  struct pb_err *err);
void pb_ripening_bench_clear(struct pb_ripening_bench *w);

/*
 * Climb at lambda, and the Laplace approximation of the slice's log mass there: good
 * enough to find where the posterior lies and how wide it is.
 */
double pb_ripening_laplace(struct pb_ripening_bench *w, double lambda);

/*
 * Integrate one slice.
 *   out  yours: pb_ripening_slice_clear; empty on error
 * PB_ENOMEM    PB_ELIMIT  a grid over PB_MAX_GRID nodes, which no legal data make
 */
enum pb_rc pb_ripening_slice_make(struct pb_ripening_bench *w, double lambda,
                                  struct pb_ripening_slice *out, struct pb_err *err);
void pb_ripening_slice_clear(struct pb_ripening_slice *s);

/* Room for n more numbers.  PB_ENOMEM, PB_ELIMIT as above */
enum pb_rc pb_ripening_numbers_room(struct pb_ripening_numbers *row, size_t n,
                                    struct pb_err *err);
void pb_ripening_numbers_clear(struct pb_ripening_numbers *row);

#endif
