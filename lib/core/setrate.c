/* Set rates.  See setrate.h. */
#include "core/setrate.h"

#include "core/special.h"

#include <inttypes.h>
#include <math.h>

#define WORTH    4.0   /* flowers that a published rate counts for */
#define SLACK    1e-12 /* a chance that is met but for rounding is met */
#define LOW_TAIL 0.025

static enum pb_rc check(uint32_t set, uint32_t flowers, struct pb_err *err)
{
    if (set <= flowers)
        return PB_OK;
    return pb_fail(err, PB_EINVALID,
                   "expected at most %" PRIu32
                   " capsules of as many flowers, got %" PRIu32,
                   flowers, set);
}

enum pb_rc pb_setrate_interval(uint32_t set, uint32_t flowers, struct pb_setrate *out,
                               struct pb_err *err)
{
    enum pb_rc rc = check(set, flowers, err);
    if (rc != PB_OK)
        return rc;
    double u = set + 0.5, v = (double)flowers - set + 0.5;
    *out = (struct pb_setrate){
        u / (u + v),
        set == 0 ? 0 : pb_beta_quantile(u, v, LOW_TAIL),
        set == flowers ? 1 : 1 - pb_beta_quantile(v, u, LOW_TAIL),
    };
    return PB_OK;
}

struct pb_setrate_belief pb_setrate_prior(double share)
{
    if (!(share >= 0))
        return (struct pb_setrate_belief){1, 1};
    double held = fmin(0.99, fmax(0.01, share));
    return (struct pb_setrate_belief){WORTH * held, WORTH * (1 - held)};
}

enum pb_rc pb_setrate_learn(struct pb_setrate_belief prior, uint32_t set,
                            uint32_t flowers, struct pb_setrate_belief *out,
                            struct pb_err *err)
{
    enum pb_rc rc = check(set, flowers, err);
    if (rc == PB_OK)
        *out = (struct pb_setrate_belief){prior.u + set,
                                          prior.v + ((double)flowers - set)};
    return rc;
}

/* What the chance of no capsule is multiplied by when flower i (from 0) is added. */
static double fails(struct pb_setrate_belief belief, uint32_t i)
{
    return (belief.v + i) / (belief.u + belief.v + i);
}

double pb_setrate_any(struct pb_setrate_belief belief, uint32_t m)
{
    double none = 1;
    for (uint32_t i = 0; i < m; i++)
        none *= fails(belief, i);
    return 1 - none;
}

uint32_t pb_setrate_flowers(struct pb_setrate_belief belief, double chance,
                            uint32_t most)
{
    double none = 1;
    for (uint32_t m = 1; m <= most; m++) {
        none *= fails(belief, m - 1);
        if (none <= 1 - chance + SLACK)
            return m;
    }
    return most + 1;
}
