/* The seed viability equation.  See seedlife.h. */
#include "core/seedlife.h"

#include "base/text.h"
#include "core/special.h"

#include <math.h>

static bool is_given(double value)
{
    return value > PB_REAL_NONE;
}

static bool constants_given(const struct pb_seed_constants *c)
{
    return is_given(c->ke) && is_given(c->cw) && is_given(c->ch) && is_given(c->cq);
}

bool pb_seedlife_given(const struct pb_seed_constants *c, double celsius)
{
    return constants_given(c) && is_given(c->viability) && is_given(c->moisture) &&
           is_given(celsius);
}

/* 0 and 100 percent have no normal deviate. */
static enum pb_rc check_share(const char *what, double percent, struct pb_err *err)
{
    if (!is_given(percent) || (percent > 0 && percent < 100))
        return PB_OK;
    return pb_fail_at(
        err, PB_EINVALID, what, 0,
        "the seed viability equation has no figure for none or all of "
        "the seeds; of a sample in which all lived say a little less than "
        "100, of one in which none did a little more than 0, the less so "
        "the larger it was");
}

static enum pb_rc check_range(const char *what, double value, const int range[2],
                              const char *unit, struct pb_err *err)
{
    char text[PB_NUMBER_TEXT];
    if (!is_given(value) || (value >= range[0] && value <= range[1]))
        return PB_OK;
    return pb_fail_at(err, PB_EINVALID, what, 0,
                      "the seed viability equation holds from %d to %d %s and says "
                      "nothing of %s; without its constants (ke= cw= ch= cq= "
                      "constants=) any figure can be kept",
                      range[0], range[1], unit, pb_text_number(value, text));
}

enum pb_rc pb_seedlife_check(const struct pb_seed_constants *c, double celsius,
                             struct pb_err *err)
{
    static const int warmth[] = {PB_SEEDLIFE_COLDEST, PB_SEEDLIFE_WARMEST};
    static const int water[] = {PB_SEEDLIFE_DRIEST, PB_SEEDLIFE_WETTEST};
    bool any = is_given(c->ke) || is_given(c->cw) || is_given(c->ch) ||
               is_given(c->cq) || c->source != NULL;
    if (any && (!constants_given(c) || c->source == NULL))
        return pb_fail_at(err, PB_EINVALID, "constants", 0,
                          "ke, cw, ch, cq and where they are from (constants=TEXT) go "
                          "together; podbook has none of its own");
    if (!any && is_given(c->below))
        return pb_fail_at(
            err, PB_EINVALID, "below", 0,
            "a day to sow by follows from ke, cw, ch, cq and their source "
            "(constants=TEXT); podbook has none of its own");
    if (!any)
        return PB_OK;
    enum pb_rc rc = check_range("celsius", celsius, warmth, "degrees Celsius", err);
    if (rc == PB_OK)
        rc = check_range("moisture", c->moisture, water, "percent moisture", err);
    if (rc == PB_OK)
        rc = check_share("viability", c->viability, err);
    if (rc == PB_OK)
        rc = check_share("below", c->below, err);
    if (rc == PB_OK && is_given(celsius) && is_given(c->moisture)) {
        double sigma = pb_seedlife_sigma(c, celsius);
        if (!(sigma > 0) || !isfinite(sigma))
            rc = pb_fail_at(err, PB_EINVALID, "ke", 0,
                            "these constants give no number of days");
    }
    return rc;
}

double pb_seedlife_sigma(const struct pb_seed_constants *c, double celsius)
{
    return pow(10, c->ke - c->cw * log10(c->moisture) - c->ch * celsius -
                       c->cq * celsius * celsius);
}

double pb_seedlife_after(const struct pb_seed_constants *c, double celsius, double days)
{
    double ki = pb_normal_quantile(c->viability / 100);
    return 100 * pb_normal_cdf(ki - days / pb_seedlife_sigma(c, celsius));
}

double pb_seedlife_until(const struct pb_seed_constants *c, double celsius,
                         double percent)
{
    double ki = pb_normal_quantile(c->viability / 100);
    double v = pb_normal_quantile(percent / 100);
    return fmax(0, (ki - v) * pb_seedlife_sigma(c, celsius));
}

int pb_seedlife_last_day(const struct pb_seed_constants *c, double celsius)
{
    if (!is_given(c->below) || !pb_seedlife_given(c, celsius))
        return -1;
    double days = pb_seedlife_until(c, celsius, c->below);
    return days < PB_SEEDLIFE_FAR ? (int)days : -1;
}
