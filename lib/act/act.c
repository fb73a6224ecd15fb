/* What all acts share: ids, heads, days that have been.  See act.h. */
#include "act/act.h"

#include "base/hash.h"

#include <stdio.h>
#include <string.h>

/* The mixing means to wrap; clang's check of unsigned arithmetic is told so. */
#if defined(__clang__)
#define WRAPS __attribute__((no_sanitize("unsigned-integer-overflow")))
#else
#define WRAPS
#endif

/* Source: Steele, Lea & Flood (2014), Fast splittable pseudorandom number generators,
 * OOPSLA '14 (the finalizer of SplitMix64). */
WRAPS static uint64_t mix(uint64_t z)
{
    z = pb_wrap_mul(z ^ (z >> 30), 0xBF58476D1CE4E5B9U);
    z = pb_wrap_mul(z ^ (z >> 27), 0x94D049BB133111EBU);
    return z ^ (z >> 31);
}

WRAPS void pb_ids_next(struct pb_act *a, char id[PB_ID_TEXT])
{
    uint64_t turn =
        pb_wrap_add(pb_wrap_mul((uint64_t)pb_book_act(a->book), 0x9E3779B97F4A7C15U),
                    ++a->ids.made);
    uint64_t high = mix(pb_wrap_add(a->ids.key[0], mix(turn))),
             low = mix(pb_wrap_add(a->ids.key[1], mix(~turn)));
    uint64_t ms = (uint64_t)(a->now < 0 ? 0 : a->now) * 1000U;
    (void)snprintf(id, PB_ID_TEXT, "%08x-%04x-7%03x-%04x-%012llx",
                   (unsigned)((ms >> 16) & 0xFFFFFFFFU), (unsigned)(ms & 0xFFFFU),
                   (unsigned)(high & 0xFFFU),
                   (unsigned)(0x8000U | ((high >> 12) & 0x3FFFU)),
                   (unsigned long long)(low & 0xFFFFFFFFFFFFU));
}

void pb_act_new_head(struct pb_act *a, struct pb_head *head)
{
    pb_ids_next(a, head->id);
    head->n = 0;
    head->revision = 1;
    head->modified = a->now;
}

void pb_act_touch(const struct pb_act *a, struct pb_head *head)
{
    head->revision += a->own_only ? 0 : 1;
    head->modified = a->now;
}

enum pb_rc pb_act_past(const struct pb_act *a, const char *what, pb_day day,
                       struct pb_err *err)
{
    char on[PB_DAY_TEXT], today[PB_DAY_TEXT];
    if (day <= a->today)
        return PB_OK;
    return pb_fail_at(
        err, PB_EINVALID, what, 0,
        "%s lies in the future (today is %s); record it when it has happened",
        pb_day_format(day, on), pb_day_format(a->today, today));
}
