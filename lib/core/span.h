/* Closed intervals of days: both ends belong to the span. */
#ifndef PB_CORE_SPAN_H
#define PB_CORE_SPAN_H

#include "core/civil.h"

struct pb_span {
    pb_day first, last;
};

/* The span that begins and ends a number of days after a start; from <= to. */
static inline struct pb_span pb_span_after(pb_day start, int from, int to)
{
    return (struct pb_span){pb_day_add(start, from), pb_day_add(start, to)};
}

static inline bool pb_span_has(struct pb_span s, pb_day d)
{
    return s.first <= d && d <= s.last;
}

static inline bool pb_span_meets(struct pb_span a, struct pb_span b)
{
    return a.first <= b.last && b.first <= a.last;
}

/* Days from the span's end to the day, 0 while it is not over. */
static inline int pb_span_days_over(struct pb_span s, pb_day d)
{
    return d > s.last ? d - s.last : 0;
}

#endif
