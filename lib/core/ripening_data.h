/*
 * The records of one taxon made ready for the ripening quadrature: checked, pooled,
 * standardised, clones with equal records put together.  Internal to the estimator.
 */
#ifndef PB_CORE_RIPENING_DATA_H
#define PB_CORE_RIPENING_DATA_H

#include "core/ripening.h"
#include "core/ripening_kernel.h"

/* One clone and the sample that holds its records. */
struct pb_ripening_clone {
    uint32_t id;
    size_t sample;
};

struct pb_ripening_data {
    double m0, s0;                      /* centre and unit of the log days */
    struct pb_ripening_clone *clones;   /* by id */
    struct pb_ripening_sample *samples; /* in an order that ids do not touch */
    uint64_t *capsules;                 /* of one clone of each sample */
    size_t clone_n, sample_n;
    uint64_t capsule_n;
    struct pb_ripening_span *spans;
    double *ends, *tails;
};

/*
 * Make ready; data is yours (pb_ripening_data_clear).  A row that says nothing (count 0,
 * or split some day after day 0) is left out.
 * PB_EINVALID  prior or rows against the rules of ripening.h    PB_ENOMEM
 */
enum pb_rc pb_ripening_data_init(struct pb_ripening_data *data,
                                 const struct pb_ripening_prior *prior,
                                 const struct pb_ripening_obs *obs, size_t n,
                                 struct pb_err *err);
void pb_ripening_data_clear(struct pb_ripening_data *data);

/*
 * Centre and unit of the prior: m0 and s0 of ripening.h.  The prior is valid.
 * spread is 1 + 1/k0 + 1/k1 in the two-level model.
 */
void pb_ripening_prior_shape(const struct pb_ripening_prior *prior, double spread,
                             double *m0, double *s0);

#endif
