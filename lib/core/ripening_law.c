/*
 * Questions to a law.  See ripening_law.h.
 *
 * As bytes (bytes.h) a law is: model, levels, capsules (8 bytes), the first and the last
 * day seen, number of rows and of nodes (4 each), the centre; the rows (rate, number of nodes); the nodes (place,
 * weight).  Doubles are IEEE 754 binary64.
 */
#include "core/ripening_law.h"

#include "base/limits.h"
#include "core/bytes.h"
#include "core/special.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    HEAD_BYTES = 4 + 4 + 8 + 4 + 4 + 4 + 4 + 8,
    ROW_BYTES = 8 + 4,
    NODE_BYTES = 8 + 8,
    BISECTIONS = 200
};

#define FIRST_MOMENT 1e-6  /* day; no quantile is earlier */
#define CONVERGED    1e-13 /* log day */
#define SUM_OFF      1e-9  /* what rounding may leave of a sum of weights */
#define SURELY       7.0   /* z; P(Z > 7) = 1e-12 */

enum pb_rc pb_ripening_law_new(uint32_t row_n, uint32_t node_n,
                               struct pb_ripening_row **rows,
                               struct pb_ripening_node **nodes,
                               struct pb_ripening_law **out, struct pb_err *err)
{
    /* one block: the law, its rows, its nodes; all of them aligned to a double */
    size_t row_bytes = row_n * sizeof(struct pb_ripening_row);
    char *block = malloc(sizeof(struct pb_ripening_law) + row_bytes +
                         node_n * sizeof(struct pb_ripening_node));
    if (block == NULL) {
        (void)pb_fail_memory(err);
        return PB_ENOMEM;
    }
    struct pb_ripening_law *law = (struct pb_ripening_law *)(void *)block;
    *rows = (struct pb_ripening_row *)(void *)(block + sizeof(*law));
    *nodes = (struct pb_ripening_node *)(void *)(block + sizeof(*law) + row_bytes);
    *law = (struct pb_ripening_law){
        .row_n = row_n, .node_n = node_n, .rows = *rows, .nodes = *nodes};
    *out = law;
    return PB_OK;
}

void pb_ripening_law_free(struct pb_ripening_law *law)
{
    free(law);
}

/* F and its derivative by log day. */
static double distribution(const struct pb_ripening_law *law, double log_day,
                           double *density)
{
    double sum = 0, slope = 0;
    const struct pb_ripening_node *node = law->nodes;
    for (uint32_t r = 0; r < law->row_n; r++) {
        double at = law->rows[r].rate * (log_day - law->centre), dense = 0;
        for (uint32_t i = 0; i < law->rows[r].node_n; i++, node++) {
            double z = at - node->place;
            sum += node->weight * pb_normal_cdf(z);
            if (density != NULL)
                dense += node->weight * exp(-0.5 * z * z - PB_HALF_LOG_2PI);
        }
        slope += law->rows[r].rate * dense;
    }
    if (density != NULL)
        *density = slope;
    return fmin(1, sum);
}

double pb_ripening_split_by(const struct pb_ripening_law *law, double day)
{
    return day > 0 ? distribution(law, log(day), NULL) : 0;
}

bool pb_ripening_quantile(const struct pb_ripening_law *law, double p, double *day)
{
    double low = log(FIRST_MOMENT), high = log(PB_RIPENING_DAYS);
    if (!(distribution(law, high, NULL) >= p))
        return false;
    double x = fmin(high, fmax(low, law->centre)), last = HUGE_VAL;
    for (int i = 0; i < BISECTIONS; i++) {
        double density = 0, off = distribution(law, x, &density) - p;
        double step = density > DBL_MIN ? off / density : HUGE_VAL;
        if (fabs(step) < CONVERGED || high - low < CONVERGED)
            break;
        *(off < 0 ? &low : &high) = x;
        /* a Newton step that leaves the bracket leads nowhere, one that is not much shorter
         * than the step before perhaps round in a circle */
        double next = x - step;
        if (!(next > low && next < high && fabs(step) < 0.5 * last))
            next = 0.5 * (low + high);
        last = fabs(next - x);
        x = next;
    }
    *day = exp(x);
    return true;
}

/* Nothing splits so early at a node; spares most nodes of an early question. */
static bool surely_intact(double z)
{
    return z < -SURELY;
}

double pb_ripening_risk(const struct pb_ripening_law *law, int32_t intact, int32_t day)
{
    double sum = 0;
    if (day <= intact || day <= 0)
        return 0;
    const struct pb_ripening_node *node = law->nodes;
    double near = intact > 0 ? log(intact) - law->centre : 0;
    double far = log(day) - law->centre;
    for (uint32_t r = 0; r < law->row_n; r++) {
        double at = law->rows[r].rate * far, back = law->rows[r].rate * (far - near);
        for (uint32_t i = 0; i < law->rows[r].node_n; i++, node++) {
            double z = at - node->place;
            if (surely_intact(z))
                continue;
            if (intact <= 0 || surely_intact(z - back))
                sum += node->weight * pb_normal_cdf(z);
            else
                sum += node->weight * (1 - pb_normal_sf_ratio(z - back, z));
        }
    }
    return fmin(1, sum);
}

void pb_ripening_risks(const struct pb_ripening_law *law, int32_t intact, int32_t first,
                       double *risk, size_t n)
{
    for (size_t i = 0; i < n; i++)
        risk[i] = pb_ripening_risk(law, intact, first + (int32_t)i);
}

double pb_ripening_survival(const struct pb_ripening_law *law, double day)
{
    double sum = 0, log_day = log(day);
    const struct pb_ripening_node *node = law->nodes;
    for (uint32_t r = 0; r < law->row_n; r++) {
        double at = law->rows[r].rate * (log_day - law->centre);
        for (uint32_t i = 0; i < law->rows[r].node_n; i++, node++)
            sum += node->weight * pb_normal_sf(at - node->place);
    }
    return fmin(1, sum);
}

double pb_ripening_risk_apart(const struct pb_ripening_law *law, double intact,
                              double day)
{
    if (!(day > intact && day > 0))
        return 0;
    if (!(intact > 0))
        return pb_ripening_split_by(law, day);
    double before = pb_ripening_survival(law, intact);
    /* so far out that nothing is left to split: the worst is the honest answer */
    if (before < DBL_MIN)
        return 1;
    return fmax(0, 1 - pb_ripening_survival(law, day) / before);
}

int32_t pb_ripening_risk_day(const struct pb_ripening_law *law, int32_t intact,
                             double tolerance, int32_t latest)
{
    int32_t low = intact > 0 ? intact : 0, high = latest;
    if (latest <= low)
        return low + 1;
    if (pb_ripening_risk(law, intact, latest) <= tolerance)
        return latest + 1;
    /* low is within the tolerance, high is past it */
    while (high - low > 1) {
        int32_t mid = low + (high - low) / 2;
        if (pb_ripening_risk(law, intact, mid) <= tolerance)
            low = mid;
        else
            high = mid;
    }
    return high;
}

int32_t pb_ripening_next_look(const struct pb_ripening_law *law, int32_t intact,
                              double tolerance, int32_t latest)
{
    int32_t seen = intact > 0 ? intact : 0;
    int32_t day = pb_ripening_risk_day(law, seen, tolerance, latest) - 1;
    return day > seen ? day : seen + 1;
}

bool pb_ripening_scale(const struct pb_ripening_law *law, double *scale)
{
    double median = 0;
    if (!pb_ripening_quantile(law, 0.5, &median))
        return false;
    *scale = median / exp(law->centre);
    return true;
}

void pb_ripening_law_pack(const struct pb_ripening_law *law, struct pb_buf *out)
{
    pb_bytes_put(out, PB_RIPENING_MODEL, 4);
    pb_bytes_put(out, law->levels, 4);
    pb_bytes_put(out, law->capsules, 8);
    pb_bytes_put(out, (uint32_t)law->seen_first, 4);
    pb_bytes_put(out, (uint32_t)law->seen_last, 4);
    pb_bytes_put(out, law->row_n, 4);
    pb_bytes_put(out, law->node_n, 4);
    pb_bytes_put_double(out, law->centre);
    for (uint32_t i = 0; i < law->row_n; i++) {
        pb_bytes_put_double(out, law->rows[i].rate);
        pb_bytes_put(out, law->rows[i].node_n, 4);
    }
    for (uint32_t i = 0; i < law->node_n; i++) {
        pb_bytes_put_double(out, law->nodes[i].place);
        pb_bytes_put_double(out, law->nodes[i].weight);
    }
}

/* Could pb_ripening_fit have made it? */
static bool sound(const struct pb_ripening_law *law)
{
    uint64_t nodes = 0;
    double sum = 0;
    bool ok = law->levels <= 2 && isfinite(law->centre) && law->seen_first >= 0 &&
              law->seen_first <= law->seen_last;
    for (uint32_t i = 0; i < law->row_n; i++) {
        nodes += law->rows[i].node_n;
        ok = ok && isfinite(law->rows[i].rate) && law->rows[i].rate > 0;
    }
    for (uint32_t i = 0; i < law->node_n; i++) {
        sum += law->nodes[i].weight;
        ok = ok && isfinite(law->nodes[i].place) && law->nodes[i].weight >= 0;
    }
    return ok && nodes == law->node_n && fabs(sum - 1) < SUM_OFF;
}

enum pb_rc pb_ripening_law_unpack(const void *bytes, size_t len,
                                  struct pb_ripening_law **out, struct pb_err *err)
{
    static const char stale[] = "a stored ripening law is not of this version";
    const unsigned char *at = bytes;
    if (len < HEAD_BYTES || pb_bytes_get(&at, 4) != PB_RIPENING_MODEL)
        return pb_fail(err, PB_EPARSE, "%s", stale);
    uint32_t levels = (uint32_t)pb_bytes_get(&at, 4);
    uint64_t capsules = pb_bytes_get(&at, 8);
    uint64_t seen_first = pb_bytes_get(&at, 4), seen_last = pb_bytes_get(&at, 4);
    uint32_t row_n = (uint32_t)pb_bytes_get(&at, 4),
             node_n = (uint32_t)pb_bytes_get(&at, 4);
    if (seen_first > INT32_MAX || seen_last > INT32_MAX || row_n > PB_MAX_GRID ||
        node_n > PB_MAX_GRID ||
        len - HEAD_BYTES != (size_t)row_n * ROW_BYTES + (size_t)node_n * NODE_BYTES)
        return pb_fail(err, PB_EPARSE, "%s", stale);
    struct pb_ripening_law *law = NULL;
    struct pb_ripening_row *rows = NULL;
    struct pb_ripening_node *nodes = NULL;
    enum pb_rc rc = pb_ripening_law_new(row_n, node_n, &rows, &nodes, &law, err);
    if (rc != PB_OK)
        return rc;
    law->levels = levels;
    law->capsules = capsules;
    law->seen_first = (int32_t)seen_first;
    law->seen_last = (int32_t)seen_last;
    law->centre = pb_bytes_get_double(&at);
    for (uint32_t i = 0; i < row_n; i++) {
        rows[i].rate = pb_bytes_get_double(&at);
        rows[i].node_n = (uint32_t)pb_bytes_get(&at, 4);
    }
    for (uint32_t i = 0; i < node_n; i++) {
        nodes[i].place = pb_bytes_get_double(&at);
        nodes[i].weight = pb_bytes_get_double(&at);
    }
    if (!sound(law)) {
        pb_ripening_law_free(law);
        return pb_fail(err, PB_EPARSE, "%s", stale);
    }
    *out = law;
    return PB_OK;
}
