/* The life of a cross.  See life.h; the replay is in course.c, the moves in courses.c. */
#include "core/life.h"

#include "base/text.h"

#include <stdlib.h>

enum pb_rc pb_cross_story(const struct pb_cross *x, struct pb_events *room,
                          struct pb_story *story, struct pb_err *err)
{
    size_t n = x->look_n + x->harvest_n;
    if (pb_events_reserve(room, n, err) != PB_OK)
        return PB_ENOMEM;
    for (size_t i = 0; i < x->look_n; i++) {
        struct pb_look *l = &x->looks[i];
        room->v[i] =
            (struct pb_event){l->on, l->found, l->number, false, &l->count, false};
    }
    for (size_t i = 0; i < x->harvest_n; i++) {
        struct pb_harvest *h = &x->harvests[i];
        room->v[x->look_n + i] = (struct pb_event){
            h->on, PB_FOUND_N + (int)h->as, h->number, true, &h->count, false};
    }
    *story = (struct pb_story){&pb_courses[PB_CROSS], x->flowers, PB_STAND_POLLINATED,
                               x->pollinated,         room->v,    n,
                               x->head.code};
    return PB_OK;
}

enum pb_rc pb_cross_replay_entered(const struct pb_cross *x, const struct pb_life *was,
                                   const struct pb_life_event *entered,
                                   struct pb_life *life, struct pb_err *err)
{
    struct pb_events room = {NULL, 0};
    struct pb_story story;
    enum pb_rc rc = pb_cross_story(x, &room, &story, err);
    if (rc == PB_OK)
        rc = pb_course_enter(&story, was, entered, life, err);
    free(room.v);
    return rc;
}

enum pb_rc pb_cross_replay(const struct pb_cross *x, struct pb_life *life,
                           struct pb_err *err)
{
    return pb_cross_replay_entered(x, NULL, NULL, life, err);
}

static bool was(const struct pb_life_group *g, enum pb_stand stand)
{
    return g->on[stand] != PB_DAY_NONE;
}

bool pb_group_held(const struct pb_life_group *g)
{
    return was(g, PB_STAND_HOLDING) || was(g, PB_STAND_YELLOWING) ||
           was(g, PB_STAND_SPLIT) || was(g, PB_STAND_HARVESTED);
}

bool pb_group_is_capsule(const struct pb_life_group *g)
{
    return was(g, PB_STAND_SWOLLEN) || pb_group_held(g);
}

enum pb_as pb_group_as(const struct pb_life_group *g)
{
    return (enum pb_as)(g->by - PB_FOUND_N);
}

pb_day pb_group_split_on(const struct pb_life_group *g)
{
    if (was(g, PB_STAND_SPLIT) || g->stand != PB_STAND_HARVESTED)
        return g->on[PB_STAND_SPLIT];
    return pb_group_as(g) == PB_AS_SPLIT ? g->on[PB_STAND_HARVESTED] : PB_DAY_NONE;
}

const char *pb_life_state(const struct pb_life *life)
{
    static const enum pb_stand order[] = {
        PB_STAND_YELLOWING, PB_STAND_HOLDING,   PB_STAND_SWOLLEN,
        PB_STAND_UNSURE,    PB_STAND_UNCHANGED, PB_STAND_POLLINATED,
        PB_STAND_HARVESTED, PB_STAND_SPLIT,     PB_STAND_LOST,
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(order); i++)
        if (life->by_stand[order[i]] > 0)
            return pb_stand_names[order[i]];
    return pb_stand_names[PB_STAND_DROPPED];
}

void pb_life_set(const struct pb_life *life, uint32_t *flowers, uint32_t *set)
{
    for (size_t i = 0; i < life->group_n; i++) {
        const struct pb_life_group *g = &life->groups[i];
        bool held = pb_group_held(g);
        if (g->stand == PB_STAND_LOST || (!held && g->stand != PB_STAND_DROPPED))
            continue;
        *flowers += (uint32_t)g->count;
        *set += held ? (uint32_t)g->count : 0;
    }
}
