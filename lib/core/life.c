/* The life of a cross: replay of looks and harvests over exchangeable flowers.
 * Representation: an array of groups of alike flowers, unordered; an event that takes part
 * of a group splits it in two, so there are at most one more groups than events. */
#include "core/life_replay.h"

#include "base/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ORDER STAND */
const char *const pb_stand_names[PB_STAND_N] = {
    "pollinated", "unchanged", "unsure",  "swollen", "holding",
    "yellowing",  "split",     "dropped", "lost",    "harvested",
};

/*
 * May an ovary that stands so be found so?  ORDER STAND down, ORDER FOUND across.
 * A swollen ovary is never unchanged again; a split one is only still to be taken.
 */
static const bool may[PB_STAND_N][PB_STEP_N] = {
  /* unchanged unsure swollen holding yellowing split dropped lost harvest */
    {1, 1, 1, 1, 1, 1, 1, 1, 1}, /* pollinated */
    {1, 1, 1, 1, 1, 1, 1, 1, 1}, /* unchanged */
    {1, 1, 1, 1, 1, 1, 1, 1, 1}, /* unsure */
    {0, 1, 1, 1, 1, 1, 1, 1, 1}, /* swollen */
    {0, 1, 1, 1, 1, 1, 1, 1, 1}, /* holding */
    {0, 1, 1, 1, 1, 1, 1, 1, 1}, /* yellowing */
    {0, 0, 0, 0, 0, 0, 0, 0, 1}, /* split */
    {0, 0, 0, 0, 0, 0, 0, 0, 0}, /* dropped */
    {0, 0, 0, 0, 0, 0, 0, 0, 0}, /* lost */
    {0, 0, 0, 0, 0, 0, 0, 0, 0}, /* harvested */
};

/* Where a finding leaves it.  ORDER FOUND */
static const enum pb_stand stand_of[PB_STEP_N] = {
    PB_STAND_UNCHANGED, PB_STAND_UNSURE,    PB_STAND_SWOLLEN,
    PB_STAND_HOLDING,   PB_STAND_YELLOWING, PB_STAND_SPLIT,
    PB_STAND_DROPPED,   PB_STAND_LOST,      PB_STAND_HARVESTED,
};

bool pb_life_is_intact(int what)
{
    return what <= PB_YELLOWING;
}

bool pb_life_is_entered(const struct pb_life_replay_run *r,
                        const struct pb_life_step *e)
{
    return r->entered != NULL && r->entered->number == e->number &&
           r->entered->harvest == (e->what == PB_STEP_HARVEST);
}

bool pb_life_ends_open(const struct pb_life_step *e, const struct pb_life_step *behind)
{
    bool as_split = behind->what == PB_STEP_HARVEST && behind->as == PB_AS_SPLIT;
    return !pb_life_is_intact(behind->what) && !(e->what == PB_SPLIT && as_split);
}

static bool is_open(enum pb_stand stand)
{
    return stand < PB_STAND_SPLIT;
}

/* Found intact that day already, but otherwise?  Findings of one day are of different ones:
 * "2 swollen" and "1 unsure" are three. */
static bool found_otherwise(const struct pb_life_group *g, const struct pb_life_step *e)
{
    return pb_life_is_intact(e->what) && g->last_intact == e->on && is_open(g->stand) &&
           g->stand != stand_of[e->what];
}

/* A capsule found split is taken as split, and as nothing else. */
static bool allowed(const struct pb_life_group *g, const struct pb_life_step *e)
{
    if (!may[g->stand][e->what] || (found_otherwise(g, e) && !e->restates))
        return false;
    return g->stand != PB_STAND_SPLIT || e->as == PB_AS_SPLIT;
}

/* Is a to be taken before b?  Intact: the latest last-intact day first, which are those
 * found the same that day already.  Ends: the earliest first; of a harvest as split the
 * ones already found split before all.  Alike by that, the furthest goes first, but the one
 * that dropped was the one least far. */
static bool goes_before(const struct pb_life_group *a, const struct pb_life_group *b,
                        const struct pb_life_step *e)
{
    if (e->what == PB_STEP_HARVEST && is_open(a->stand) != is_open(b->stand))
        return !is_open(a->stand);
    if (a->last_intact != b->last_intact)
        return pb_life_is_intact(e->what) ? a->last_intact > b->last_intact
                                          : a->last_intact < b->last_intact;
    return e->what == PB_DROPPED ? a->stand < b->stand : a->stand > b->stand;
}

static void apply(struct pb_life_group *g, const struct pb_life_step *e)
{
    bool was_split = g->stand == PB_STAND_SPLIT;
    g->stand = stand_of[e->what];
    if (e->what >= PB_SWOLLEN && e->what <= PB_SPLIT)
        g->capsule = true;
    if (e->what >= PB_HOLDING && e->what <= PB_SPLIT)
        g->held = true;
    if (pb_life_is_intact(e->what)) {
        g->last_intact = e->on;
        return;
    }
    g->ended_on = e->on;
    if (e->what == PB_STEP_HARVEST) {
        g->capsule = g->held = true;
        g->as = e->as;
    }
    bool splits =
        e->what == PB_SPLIT || (e->what == PB_STEP_HARVEST && e->as == PB_AS_SPLIT);
    if (splits && !was_split)
        g->split_on = e->on;
}

static void recount(struct pb_life *life)
{
    memset(life->by_stand, 0, sizeof(life->by_stand));
    life->open = 0;
    for (size_t i = 0; i < life->group_n; i++) {
        life->by_stand[life->groups[i].stand] += life->groups[i].count;
        if (is_open(life->groups[i].stand))
            life->open += life->groups[i].count;
    }
}

/* How many the event could take. */
static int able_of(const struct pb_life *life, const struct pb_life_step *e)
{
    int able = 0;
    for (size_t i = 0; i < life->group_n; i++)
        if (allowed(&life->groups[i], e))
            able += life->groups[i].count;
    return able;
}

/* Of how many it could be, were they not found otherwise that day. */
static int found_otherwise_of(const struct pb_life *life, const struct pb_life_step *e)
{
    int found = 0;
    for (size_t i = 0; i < life->group_n; i++)
        if (may[life->groups[i].stand][e->what] && found_otherwise(&life->groups[i], e))
            found += life->groups[i].count;
    return found;
}

/* How many of the open ones the events behind this one end: "all that are still open" are
 * the others.  Those taken as split are first the ones that were found split. */
static int spoken_for(const struct pb_life_replay_run *r)
{
    const struct pb_life_step *e = &r->events[r->at];
    int count = 0, split = r->life.by_stand[PB_STAND_SPLIT];
    if (pb_life_is_intact(e->what))
        return 0;
    for (size_t i = r->at + 1; i < r->n; i++) {
        const struct pb_life_step *behind = &r->events[i];
        int own = 0;
        if (!pb_life_ends_open(e, behind))
            continue;
        if (behind->what == PB_SPLIT)
            split += *behind->count;
        if (behind->what == PB_STEP_HARVEST && behind->as == PB_AS_SPLIT)
            own = *behind->count < split ? *behind->count : split;
        split -= own;
        count += *behind->count - own;
    }
    return count;
}

static bool was_restated(const struct pb_life *was, int number)
{
    for (size_t i = 0; i < was->restated_n; i++)
        if (was->restated[i] == number)
            return true;
    return false;
}

/* When it was booked, were there as many that nothing else had been found of that day?
 * Numbers tell the order of looks; harvests are taken to have been there. */
static bool was_apart(const struct pb_life_replay_run *r, const struct pb_life_step *e,
                      int wanted)
{
    int64_t room = r->life.flowers;
    int found[PB_FOUND_N] = {0};
    for (size_t i = 0; i < r->n; i++) {
        const struct pb_life_step *o = &r->events[i];
        bool before =
            o->what == PB_STEP_HARVEST ? o->on < e->on : o->number < e->number;
        if (!before || o->on > e->on)
            continue;
        if (!pb_life_is_intact(o->what))
            room -= *o->count;
        else if (o->on == e->on && o->what != e->what && found[o->what] < *o->count)
            found[o->what] = *o->count;
    }
    for (int f = 0; f < PB_FOUND_N; f++)
        room -= found[f];
    return wanted <= room;
}

/*
 * May a look be of ones that its day found otherwise?  Where all were seen that day, the
 * later word holds, of some or of all; but no other record may make it one that is.
 *   able, found  the ones that are free, the ones found otherwise
 */
static bool may_restate(const struct pb_life_replay_run *r, int able, int found)
{
    const struct pb_life_step *e = &r->events[r->at];
    int wanted = *e->count > 0 ? *e->count : able + found;
    if (found == 0 || wanted > able + found || wanted <= able)
        return false;
    if ((able > 0 && wanted < able + found) || was_apart(r, e, wanted))
        return false;
    return r->was == NULL || pb_life_is_entered(r, e) ||
           was_restated(r->was, e->number);
}

/* Run an event. */
static enum pb_rc run_event(struct pb_life_replay_run *r, struct pb_err *err)
{
    struct pb_life *life = &r->life;
    struct pb_life_step *e = &r->events[r->at];
    int able = able_of(life, e), found = found_otherwise_of(life, e);
    int spoken = *e->count == 0 ? spoken_for(r) : 0;
    if (may_restate(r, able, found)) {
        e->restates = true;
        life->restated[life->restated_n++] = e->number;
        able += found;
    }
    if (e->on < r->start || able - spoken <= 0 || *e->count > able)
        return pb_life_refuse(r, able, found, spoken, err);
    if (*e->count == 0)
        *e->count = able - spoken;
    /* Each taken group is marked by moving it in front of `taken`, so that what this event
     * has just changed is not taken twice. */
    size_t taken = 0;
    for (int left = *e->count; left > 0; taken++) {
        size_t best = life->group_n;
        for (size_t i = taken; i < life->group_n; i++)
            if (allowed(&life->groups[i], e) &&
                (best == life->group_n ||
                 goes_before(&life->groups[i], &life->groups[best], e)))
                best = i;
        struct pb_life_group g = life->groups[best];
        life->groups[best] = life->groups[taken];
        if (g.count > left) {
            struct pb_life_group rest = g;
            rest.count = g.count - left;
            life->groups[life->group_n++] = rest;
            g.count = left;
        }
        left -= g.count;
        apply(&g, e);
        life->groups[taken] = g;
    }
    recount(life);
    life->last_on = e->on;
    return PB_OK;
}

static int by_day(const void *pa, const void *pb)
{
    const struct pb_life_step *a = pa, *b = pb;
    if (a->on != b->on)
        return a->on < b->on ? -1 : 1;
    bool ha = a->what == PB_STEP_HARVEST, hb = b->what == PB_STEP_HARVEST;
    if (ha != hb)
        return ha ? 1 : -1;
    return (a->number > b->number) - (a->number < b->number);
}

static void list_events(const struct pb_cross *x, struct pb_life_step *events)
{
    for (size_t i = 0; i < x->look_n; i++) {
        struct pb_look *l = &x->looks[i];
        events[i] = (struct pb_life_step){l->on,     (int)l->found, PB_AS_CLOSED,
                                          l->number, &l->count,     false};
    }
    for (size_t i = 0; i < x->harvest_n; i++) {
        struct pb_harvest *h = &x->harvests[i];
        events[x->look_n + i] = (struct pb_life_step){
            h->on, PB_STEP_HARVEST, h->as, h->number, &h->count, false};
    }
}

enum pb_rc pb_life_enter(const struct pb_cross *x, const struct pb_life *was,
                         const struct pb_life_event *entered, struct pb_life *life,
                         struct pb_err *err)
{
    size_t n = x->look_n + x->harvest_n;
    enum pb_rc rc = PB_OK;
    struct pb_life_step *events = calloc(n + 1, sizeof(*events));
    struct pb_life_replay_run r = {
        .life = {.flowers = x->flowers, .last_on = PB_DAY_NONE},
        .code = x->head.code,
        .start = x->pollinated,
        .events = events,
        .n = n,
        .entered = entered,
        .was = was,
    };
    r.life.groups = calloc(n + 1, sizeof(*r.life.groups));
    r.life.restated = calloc(x->look_n + 1, sizeof(*r.life.restated));
    if (events == NULL || r.life.groups == NULL || r.life.restated == NULL) {
        rc = pb_fail_memory(err);
        goto out;
    }
    list_events(x, events);
    qsort(events, n, sizeof(*events), by_day);
    r.life.groups[0] = (struct pb_life_group){.count = x->flowers,
                                              .last_intact = PB_DAY_NONE,
                                              .split_on = PB_DAY_NONE,
                                              .ended_on = PB_DAY_NONE};
    r.life.group_n = 1;
    recount(&r.life);
    for (; r.at < n && rc == PB_OK; r.at++)
        rc = run_event(&r, err);
out:
    free(events);
    if (rc == PB_OK)
        *life = r.life;
    else
        pb_life_clear(&r.life);
    return rc;
}

enum pb_rc pb_life_replay(const struct pb_cross *x, struct pb_life *life,
                          struct pb_err *err)
{
    return pb_life_enter(x, NULL, NULL, life, err);
}

void pb_life_clear(struct pb_life *life)
{
    free(life->groups);
    free(life->restated);
    memset(life, 0, sizeof(*life));
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
        if (g->stand == PB_STAND_LOST || (!g->held && g->stand != PB_STAND_DROPPED))
            continue;
        *flowers += (uint32_t)g->count;
        *set += g->held ? (uint32_t)g->count : 0;
    }
}
