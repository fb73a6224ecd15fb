/*
 * A ripening law in brief.  See ripening_brief.h.
 *
 * As bytes: levels (4), capsules (8), the first and the last day seen (4 each), the first
 * day of the table and how many there are (4 each), scale, the two days of the split, the
 * table; all little-endian (bytes.h).
 */
#include "core/ripening_brief.h"

#include "core/bytes.h"

#include <math.h>
#include <stdlib.h>

enum {
    HEAD_BYTES = 4 + 8 + 4 + 4 + 4 + 4 + 3 * 8,
    MIDDLES = 3 /* the table ends at so many times the middle of the profile's window */
};

/* As bytes it begins where so few have split, and ends behind where so few are left. */
#define NO_ONE  1e-12
#define ALL_BUT 1e-3
#define NOTHING 1e-9 /* a chance that makes no difference */

/* One block: the brief and its table, both aligned to a double. */
static struct pb_ripening_brief *new_brief(size_t day_n)
{
    struct pb_ripening_brief *b = malloc(sizeof(*b) + day_n * sizeof(double));
    if (b == NULL)
        return NULL;
    *b = (struct pb_ripening_brief){.day_n = (int32_t)day_n,
                                    .whole = (double *)(void *)(b + 1)};
    return b;
}

enum pb_rc pb_ripening_brief_new(const struct pb_ripening_law *law,
                                 enum pb_ripening_brief_reach reach,
                                 struct pb_ripening_brief **out, struct pb_err *err)
{
    double middle = exp(fmin(law->centre, log(PB_RIPENING_BRIEF_DAYS)));
    int32_t n = MIDDLES * (int32_t)ceil(middle) + 1;
    if (reach == PB_RIPENING_BRIEF_FAR || n > PB_RIPENING_BRIEF_DAYS)
        n = PB_RIPENING_BRIEF_DAYS;
    struct pb_ripening_brief *b = new_brief((size_t)n);
    if (b == NULL)
        return pb_fail_memory(err);
    b->law = law;
    b->reach = reach;
    b->capsules = law->capsules;
    b->levels = law->levels;
    b->seen_first = law->seen_first;
    b->seen_last = law->seen_last;
    for (int32_t i = 0; i < n; i++)
        b->whole[i] = -1;
    *out = b;
    return PB_OK;
}

double pb_ripening_brief_scale(struct pb_ripening_brief *brief)
{
    if (brief->scale <= 0 &&
        (!pb_ripening_scale(brief->law, &brief->scale) || !(brief->scale > 0)))
        brief->scale = 1;
    return brief->scale;
}

void pb_ripening_brief_split(struct pb_ripening_brief *brief, double days[2])
{
    double *split = brief->split;
    bool asked = split[1] > 0 || split[1] < 0;
    if (!asked && (!pb_ripening_quantile(brief->law, 0.05, &split[0]) ||
                   !pb_ripening_quantile(brief->law, 0.95, &split[1])))
        split[0] = split[1] = -1;
    days[0] = split[0];
    days[1] = split[1];
}

/* What is whole at the end of a day, or of the table's last where it lies behind. */
static double at(struct pb_ripening_brief *brief, int32_t day)
{
    int32_t last = day < brief->day_n ? day : brief->day_n - 1;
    if (last < brief->first || last == 0)
        return 1;
    double *whole = &brief->whole[last - brief->first];
    if (*whole < 0)
        *whole = pb_ripening_survival(brief->law, last);
    return *whole;
}

bool pb_ripening_brief_has(struct pb_ripening_brief *brief, int32_t intact, int32_t day)
{
    return day < brief->day_n ||
           (intact < brief->day_n &&
            at(brief, day) <= NOTHING * at(brief, intact > 0 ? intact : 0));
}

double pb_ripening_brief_risk(struct pb_ripening_brief *brief, int32_t intact,
                              int32_t day)
{
    if (day <= intact || day <= 0)
        return 0;
    double before = intact > 0 ? at(brief, intact) : 1;
    return before > 0 ? fmax(0, 1 - at(brief, day) / before) : 1;
}

int32_t pb_ripening_brief_until(struct pb_ripening_brief *brief, double share)
{
    int32_t low = 0, high = brief->day_n; /* day 0 is within, high is past or unknown */
    while (high - low > 1) {
        int32_t mid = low + (high - low) / 2;
        if (1 - at(brief, mid) <= share)
            low = mid;
        else
            high = mid;
    }
    return low;
}

bool pb_ripening_brief_is_beyond(const struct pb_ripening_brief *brief, int32_t from,
                                 int32_t to, int32_t usual_from, int32_t usual_to)
{
    if (brief->seen_last == 0)
        return false;
    return (from > brief->seen_last && from > usual_to) ||
           (to < brief->seen_first && to < usual_from);
}

/* The days of the table that are worth their bytes: from *first up to the one returned. */
static int32_t packed_days(struct pb_ripening_brief *brief, int32_t *first)
{
    int32_t n = 1;
    for (*first = 0; n < brief->day_n && at(brief, n) > ALL_BUT; n++)
        if (1 - at(brief, n) <= NO_ONE)
            *first = n;
    n += n / 2 + 1;
    return n < brief->day_n && brief->reach == PB_RIPENING_BRIEF_NEAR ? n
                                                                      : brief->day_n;
}

void pb_ripening_brief_pack(struct pb_ripening_brief *brief, struct pb_buf *out)
{
    double split[2], last = 1;
    int32_t first = 0, end = packed_days(brief, &first);
    pb_ripening_brief_split(brief, split);
    pb_bytes_put(out, brief->levels, 4);
    pb_bytes_put(out, brief->capsules, 8);
    pb_bytes_put(out, (uint32_t)brief->seen_first, 4);
    pb_bytes_put(out, (uint32_t)brief->seen_last, 4);
    pb_bytes_put(out, (uint32_t)first, 4);
    pb_bytes_put(out, (uint32_t)(end - first), 4);
    pb_bytes_put_double(out, pb_ripening_brief_scale(brief));
    pb_bytes_put_double(out, split[0]);
    pb_bytes_put_double(out, split[1]);
    for (int32_t day = first; day < end; day++) {
        last = fmin(last, at(brief, day)); /* rounding must not make it rise */
        pb_bytes_put_double(out, last);
    }
}

/* Could pb_ripening_brief_pack have written it? */
static bool is_sound(const struct pb_ripening_brief *b)
{
    bool ok = b->levels <= 2 && b->seen_first >= 0 && b->seen_first <= b->seen_last &&
              isfinite(b->scale) && b->scale > 0 && isfinite(b->split[0]) &&
              isfinite(b->split[1]) && b->split[0] <= b->split[1] &&
              (b->split[1] > 0 || b->split[1] < 0);
    for (int32_t i = 0; i < b->day_n - b->first && ok; i++)
        ok = b->whole[i] >= 0 && b->whole[i] <= (i > 0 ? b->whole[i - 1] : 1);
    return ok;
}

enum pb_rc pb_ripening_brief_unpack(const void *bytes, size_t len,
                                    struct pb_ripening_brief **out, struct pb_err *err)
{
    static const char stale[] = "a stored ripening law is not of this version";
    const unsigned char *byte = bytes;
    if (len <= HEAD_BYTES || (len - HEAD_BYTES) % sizeof(double) != 0 ||
        (len - HEAD_BYTES) / sizeof(double) > PB_RIPENING_BRIEF_DAYS)
        return pb_fail(err, PB_EPARSE, "%s", stale);
    struct pb_ripening_brief *b = new_brief((len - HEAD_BYTES) / sizeof(double));
    if (b == NULL)
        return pb_fail_memory(err);
    b->levels = (uint32_t)pb_bytes_get(&byte, 4);
    b->capsules = pb_bytes_get(&byte, 8);
    uint64_t first = pb_bytes_get(&byte, 4), last = pb_bytes_get(&byte, 4);
    uint64_t begins = pb_bytes_get(&byte, 4), days = pb_bytes_get(&byte, 4);
    b->scale = pb_bytes_get_double(&byte);
    b->split[0] = pb_bytes_get_double(&byte);
    b->split[1] = pb_bytes_get_double(&byte);
    for (int32_t i = 0; i < b->day_n; i++)
        b->whole[i] = pb_bytes_get_double(&byte);
    bool fits = first <= INT32_MAX && last <= INT32_MAX && days == (uint64_t)b->day_n &&
                begins < PB_RIPENING_BRIEF_DAYS;
    b->seen_first = fits ? (int32_t)first : -1;
    b->seen_last = fits ? (int32_t)last : -1;
    b->first = fits ? (int32_t)begins : 0;
    b->day_n += b->first;
    if (!is_sound(b)) {
        free(b);
        return pb_fail(err, PB_EPARSE, "%s", stale);
    }
    *out = b;
    return PB_OK;
}
