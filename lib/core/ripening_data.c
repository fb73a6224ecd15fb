/* Records into samples.  See ripening_data.h. */
#include "core/ripening_data.h"

#include "core/special.h"

#include <inttypes.h>
#include <math.h>
#include <stdlib.h>

/* A row of the records, pooled. */
struct row {
    uint32_t clone;
    int32_t after, by;
    uint64_t count;
};

/* The rows of one clone. */
struct record {
    const struct row *rows;
    size_t n;
};

static int order(int64_t a, int64_t b)
{
    return (a > b) - (a < b);
}

static int by_days(const struct row *a, const struct row *b)
{
    int d = order(a->after, b->after);
    return d != 0 ? d : order(a->by, b->by);
}

static int by_clone(const void *pa, const void *pb)
{
    const struct row *a = pa, *b = pb;
    int d = order(a->clone, b->clone);
    return d != 0 ? d : by_days(a, b);
}

/* Order of records by what they say, so that ids do not matter. */
static int by_content(const void *pa, const void *pb)
{
    const struct record *a = pa, *b = pb;
    if (a->n != b->n)
        return a->n < b->n ? -1 : 1;
    for (size_t i = 0; i < a->n; i++) {
        int d = by_days(&a->rows[i], &b->rows[i]);
        if (d != 0)
            return d;
        if (a->rows[i].count != b->rows[i].count)
            return a->rows[i].count < b->rows[i].count ? -1 : 1;
    }
    return 0;
}

static int by_id(const void *pa, const void *pb)
{
    const struct pb_ripening_clone *a = pa, *b = pb;
    return order(a->id, b->id);
}

static int by_day(const void *pa, const void *pb)
{
    const int32_t *a = pa, *b = pb;
    return order(*a, *b);
}

static enum pb_rc check(const struct pb_ripening_prior *prior,
                        const struct pb_ripening_obs *obs, size_t n, struct pb_err *err)
{
    if (prior->first < 0 || prior->last < prior->first)
        return pb_fail(err, PB_EINVALID,
                       "expected a split window of days 0 or later, got %" PRId32
                       " to %" PRId32,
                       prior->first, prior->last);
    if (!(prior->weight >= PB_RIPENING_WEIGHT_MIN &&
          prior->weight <= PB_RIPENING_WEIGHT_MAX))
        return pb_fail(err, PB_EINVALID, "expected a weight of %g to %g, got %g",
                       PB_RIPENING_WEIGHT_MIN, PB_RIPENING_WEIGHT_MAX, prior->weight);
    for (size_t i = 0; i < n; i++)
        if (obs[i].after < 0 || obs[i].by <= obs[i].after)
            return pb_fail(err, PB_EINVALID,
                           "expected a capsule intact before it split, got intact on "
                           "day %" PRId32 " and split by day %" PRId32,
                           obs[i].after, obs[i].by);
    return PB_OK;
}

void pb_ripening_prior_shape(const struct pb_ripening_prior *prior, double spread,
                             double *m0, double *s0)
{
    double first = prior->first, last = prior->last;
    if (prior->first == prior->last) {
        first -= 0.5;
        last += 0.5;
    }
    first = log(fmax(0.5, first));
    last = log(fmax(1, last));
    *m0 = 0.5 * (first + last);
    *s0 =
        (last - first) / (2 * pb_student_quantile(prior->weight, 0.95) * sqrt(spread));
}

/* Copy, sort, pool.  Returns the number of rows. */
static size_t pool(const struct pb_ripening_obs *obs, size_t n, struct row *rows)
{
    size_t m = 0, kept = 0;
    for (size_t i = 0; i < n; i++)
        if (obs[i].count > 0 && (obs[i].after > 0 || obs[i].by != PB_RIPENING_NEVER))
            rows[m++] =
                (struct row){obs[i].clone, obs[i].after, obs[i].by, obs[i].count};
    if (m == 0)
        return 0;
    qsort(rows, m, sizeof(*rows), by_clone);
    for (size_t i = 1; i < m; i++) {
        if (by_clone(&rows[kept], &rows[i]) == 0)
            rows[kept].count += rows[i].count;
        else
            rows[++kept] = rows[i];
    }
    return kept + 1;
}

/* Cut the rows into one record a clone.  Returns the number of records. */
static size_t cut(const struct row *rows, size_t n, struct record *records)
{
    size_t m = 0;
    for (size_t i = 0; i < n; i++) {
        if (i == 0 || rows[i].clone != rows[i - 1].clone)
            records[m++] = (struct record){&rows[i], 0};
        records[m - 1].n++;
    }
    return m;
}

/* The distinct days of a record, ascending, into days of 2 n. */
static size_t distinct_days(const struct record *record, int32_t *days)
{
    size_t n = 0, kept = 0;
    for (size_t i = 0; i < record->n; i++) {
        if (record->rows[i].after > 0)
            days[n++] = record->rows[i].after;
        if (record->rows[i].by != PB_RIPENING_NEVER)
            days[n++] = record->rows[i].by;
    }
    qsort(days, n, sizeof(*days), by_day);
    for (size_t i = 1; i < n; i++)
        if (days[i] != days[kept])
            days[++kept] = days[i];
    return kept + 1;
}

static int32_t index_of(const int32_t *days, size_t n, int32_t day)
{
    const int32_t *found = bsearch(&day, days, n, sizeof(*days), by_day);
    return found != NULL ? (int32_t)(found - days) : PB_RIPENING_OPEN;
}

/* Fill one sample's spans and ends.  Returns the capsules in it. */
static uint64_t fill(const struct pb_ripening_data *data, const struct record *record,
                     int32_t *days, struct pb_ripening_span *spans, double *ends,
                     struct pb_ripening_sample *out)
{
    uint64_t capsules = 0;
    size_t n = distinct_days(record, days);
    for (size_t i = 0; i < n; i++)
        ends[i] = (log(days[i]) - data->m0) / data->s0;
    for (size_t i = 0; i < record->n; i++) {
        const struct row *row = &record->rows[i];
        spans[i] = (struct pb_ripening_span){
            index_of(days, n, row->after),
            index_of(days, n, row->by),
            (double)row->count,
        };
        capsules += row->count;
    }
    *out = (struct pb_ripening_sample){ends, data->tails, spans, n, record->n, 0};
    return capsules;
}

/* One sample for each distinct record; every clone points at its own. */
static void group(struct pb_ripening_data *data, struct record *records, size_t n,
                  int32_t *days)
{
    struct pb_ripening_span *spans = data->spans;
    double *ends = data->ends;
    if (n > 0)
        qsort(records, n, sizeof(*records), by_content);
    for (size_t i = 0; i < n; i++) {
        if (i == 0 || by_content(&records[i - 1], &records[i]) != 0) {
            struct pb_ripening_sample *s = &data->samples[data->sample_n];
            data->capsules[data->sample_n++] =
                fill(data, &records[i], days, spans, ends, s);
            spans += s->span_n;
            ends += s->end_n;
        }
        size_t at = data->sample_n - 1;
        data->samples[at].clones += 1;
        data->capsule_n += data->capsules[at];
        data->clones[i] = (struct pb_ripening_clone){records[i].rows[0].clone, at};
    }
    data->clone_n = n;
    if (n > 0)
        qsort(data->clones, n, sizeof(*data->clones), by_id);
}

enum pb_rc pb_ripening_data_init(struct pb_ripening_data *data,
                                 const struct pb_ripening_prior *prior,
                                 const struct pb_ripening_obs *obs, size_t n,
                                 struct pb_err *err)
{
    enum pb_rc rc = check(prior, obs, n, err);
    if (rc != PB_OK)
        return rc;
    size_t room = n + 1; /* never 0: an empty allocation may be NULL */
    struct row *rows = calloc(room, sizeof(*rows));
    struct record *records = calloc(room, sizeof(*records));
    int32_t *days = calloc(room, 2 * sizeof(*days));
    struct pb_ripening_data d = {
        .clones = calloc(room, sizeof(*d.clones)),
        .samples = calloc(room, sizeof(*d.samples)),
        .capsules = calloc(room, sizeof(*d.capsules)),
        .spans = calloc(room, sizeof(*d.spans)),
        .ends = calloc(room, 2 * sizeof(*d.ends)),
        .tails = calloc(room, 2 * sizeof(*d.tails)),
    };
    if (rows == NULL || records == NULL || days == NULL || d.clones == NULL ||
        d.samples == NULL || d.capsules == NULL || d.spans == NULL || d.ends == NULL ||
        d.tails == NULL) {
        pb_ripening_data_clear(&d);
        rc = pb_fail_memory(err);
    } else {
        pb_ripening_prior_shape(prior, 1 + 1 / prior->weight + 1 / PB_RIPENING_K1,
                                &d.m0, &d.s0);
        group(&d, records, cut(rows, pool(obs, n, rows), records), days);
        *data = d;
    }
    free(rows);
    free(records);
    free(days);
    return rc;
}

void pb_ripening_data_clear(struct pb_ripening_data *data)
{
    free(data->clones);
    free(data->samples);
    free(data->capsules);
    free(data->spans);
    free(data->ends);
    free(data->tails);
    *data = (struct pb_ripening_data){.clones = NULL};
}
