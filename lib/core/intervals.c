/* From looks to intervals.  See intervals.h. */
#include "core/intervals.h"

#include <stdlib.h>

enum {
    COMING_DAYS = 2
}; /* a capsule taken "about to split" would have split within them */

/* What one group says; false: nothing. */
static bool interval_of(const struct pb_life_group *g, pb_day start,
                        struct pb_ripening_obs *obs)
{
    int32_t intact = g->last_intact != PB_DAY_NONE ? g->last_intact - start : 0;
    obs->count = (uint32_t)g->count;
    obs->after = intact;
    obs->by = PB_RIPENING_NEVER;
    pb_day split_on = pb_group_split_on(g);
    if (!pb_group_is_capsule(g))
        return false;
    if (split_on != PB_DAY_NONE) {
        int32_t split = split_on - start;
        obs->by = split > 0 ? split : 1; /* on the day of the pollination: by its end */
        obs->after = intact < obs->by ? intact : obs->by - 1;
        return true;
    }
    if (g->stand == PB_STAND_HARVESTED) {
        obs->after = g->on[PB_STAND_HARVESTED] - start;
        if (pb_group_as(g) == PB_AS_ABOUT_TO_SPLIT)
            obs->by = obs->after + COMING_DAYS;
    }
    return obs->after > 0 || obs->by != PB_RIPENING_NEVER;
}

enum pb_rc pb_life_intervals(const struct pb_life *life, pb_day start, uint32_t clone,
                             struct pb_intervals *list, struct pb_err *err)
{
    size_t first = list->n;
    for (size_t i = 0; i < life->group_n; i++) {
        struct pb_ripening_obs obs = {clone, 0, 0, 0};
        if (!interval_of(&life->groups[i], start, &obs))
            continue;
        size_t k = first;
        while (k < list->n &&
               (list->v[k].after != obs.after || list->v[k].by != obs.by))
            k++;
        if (k < list->n) {
            list->v[k].count += obs.count;
            continue;
        }
        if (list->n == list->cap) {
            size_t cap = list->cap > 0 ? list->cap * 2 : 64;
            struct pb_ripening_obs *more = realloc(list->v, cap * sizeof(*more));
            if (more == NULL)
                return pb_fail_memory(err);
            list->v = more;
            list->cap = cap;
        }
        list->v[list->n++] = obs;
    }
    return PB_OK;
}
