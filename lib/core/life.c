/* The life of a cross: replay of looks and harvests over exchangeable flowers.
 * Representation: an array of groups of alike flowers, unordered; an event that takes part
 * of a group splits it in two, so there are at most one more groups than events. */
#include "core/life.h"

#include "base/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ORDER STAND */
const char *const pb_stand_names[PB_STAND_N] = {
    "pollinated", "unchanged", "unsure",  "swollen", "holding",
    "yellowing",  "split",     "dropped", "lost",    "harvested",
};

/* A harvest stands behind the findings in the table of moves. */
enum { EVENT_HARVEST = PB_FOUND_N, EVENT_N };

/*
 * May an ovary that stands so be found so?  ORDER STAND down, ORDER FOUND across.
 * A swollen ovary is never unchanged again; a split one is only still to be taken.
 */
static const bool may[PB_STAND_N][EVENT_N] = {
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
static const enum pb_stand stand_of[EVENT_N] = {
    PB_STAND_UNCHANGED, PB_STAND_UNSURE,    PB_STAND_SWOLLEN,
    PB_STAND_HOLDING,   PB_STAND_YELLOWING, PB_STAND_SPLIT,
    PB_STAND_DROPPED,   PB_STAND_LOST,      PB_STAND_HARVESTED,
};

struct event {
    pb_day on;
    int what; /* enum pb_found, or EVENT_HARVEST */
    enum pb_as as;
    int number;
    int *count; /* in the record; 0 is filled in */
};

static bool is_intact(int what)
{
    return what <= PB_YELLOWING;
}

static bool is_open(enum pb_stand stand)
{
    return stand < PB_STAND_SPLIT;
}

/* A capsule found split is taken as split, and as nothing else. */
static bool allowed(const struct pb_life_group *g, const struct event *e)
{
    if (!may[g->stand][e->what])
        return false;
    return g->stand != PB_STAND_SPLIT || e->as == PB_AS_SPLIT;
}

/* Findings of one day are of different ones: "2 swollen" and "1 unsure" are three.  So the
 * ones found the same that day go first, those found otherwise that day last. */
static int turn_of_day(const struct pb_life_group *g, const struct event *e)
{
    if (g->last_intact != e->on)
        return 1;
    return g->stand == stand_of[e->what] ? 0 : 2;
}

/* Is a to be taken before b?  Intact: the latest last-intact day first, but for what the
 * same day has found already.  Ends: the earliest first; of a harvest as split the ones
 * already found split before all.  Alike by that, the furthest goes first, but the one that
 * dropped was the one least far. */
static bool goes_before(const struct pb_life_group *a, const struct pb_life_group *b,
                        const struct event *e)
{
    if (is_intact(e->what) && turn_of_day(a, e) != turn_of_day(b, e))
        return turn_of_day(a, e) < turn_of_day(b, e);
    if (e->what == EVENT_HARVEST && is_open(a->stand) != is_open(b->stand))
        return !is_open(a->stand);
    if (a->last_intact != b->last_intact)
        return is_intact(e->what) ? a->last_intact > b->last_intact
                                  : a->last_intact < b->last_intact;
    return e->what == PB_DROPPED ? a->stand < b->stand : a->stand > b->stand;
}

static void apply(struct pb_life_group *g, const struct event *e)
{
    bool was_split = g->stand == PB_STAND_SPLIT;
    g->stand = stand_of[e->what];
    if (e->what >= PB_SWOLLEN && e->what <= PB_SPLIT)
        g->capsule = true;
    if (e->what >= PB_HOLDING && e->what <= PB_SPLIT)
        g->held = true;
    if (is_intact(e->what)) {
        g->last_intact = e->on;
        return;
    }
    g->ended_on = e->on;
    if (e->what == EVENT_HARVEST) {
        g->capsule = g->held = true;
        g->as = e->as;
    }
    bool splits =
        e->what == PB_SPLIT || (e->what == EVENT_HARVEST && e->as == PB_AS_SPLIT);
    if (splits && !was_split)
        g->split_on = e->on;
}

static void describe(const struct pb_life *life, char text[160])
{
    struct pb_buf b;
    pb_buf_init(&b, 140);
    static const enum pb_stand ended[] = {PB_STAND_SPLIT, PB_STAND_DROPPED,
                                          PB_STAND_LOST, PB_STAND_HARVESTED};
    for (size_t i = 0; i < PB_ARRAY_LEN(ended); i++)
        if (life->by_stand[ended[i]] > 0)
            pb_buf_printf(&b, "%s%d %s", b.len > 0 ? ", " : "",
                          life->by_stand[ended[i]], pb_stand_names[ended[i]]);
    (void)snprintf(text, 160, "%s%s%s", b.len > 0 ? " (" : "", pb_buf_peek(&b),
                   b.len > 0 ? ")" : "");
    pb_buf_clear(&b);
}

static enum pb_rc refuse(const struct pb_life *life, const struct event *e, int able,
                         struct pb_err *err)
{
    char on[PB_DAY_TEXT], ended[160], event[48];
    (void)pb_day_format(e->on, on);
    describe(life, ended);
    (void)snprintf(event, sizeof(event), "%s %d",
                   e->what == EVENT_HARVEST ? "harvest" : "look", e->number);
    const char *what = e->what == EVENT_HARVEST ? "harvested" : pb_found_names[e->what];
    int wanted = *e->count > 0 ? *e->count : 1;
    if (e->what == PB_UNCHANGED && wanted <= life->open)
        return pb_fail_at(err, PB_EINVALID, event, 0,
                          "%s: an ovary found swollen before is not unchanged; say "
                          "holding, or amend the earlier look",
                          on);
    return pb_fail_at(err, PB_EINVALID, event, 0,
                      "%s: %d cannot be %s, of %d flower%s %d %s still open%s", on,
                      wanted, what, life->flowers, life->flowers == 1 ? "" : "s", able,
                      able == 1 ? "is" : "are", ended);
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
static int able_of(const struct pb_life *life, const struct event *e)
{
    int able = 0;
    for (size_t i = 0; i < life->group_n; i++)
        if (allowed(&life->groups[i], e))
            able += life->groups[i].count;
    return able;
}

/* How many of the open ones the n events behind this one end: "all that are still open"
 * are the others.  What is found split may be the very ones that are taken as split. */
static int spoken_for(const struct event *e, size_t n)
{
    int count = 0;
    if (is_intact(e->what))
        return 0;
    for (size_t i = 1; i <= n; i++) {
        bool taken_as_split = e[i].what == EVENT_HARVEST && e[i].as == PB_AS_SPLIT;
        if (!is_intact(e[i].what) && !(e->what == PB_SPLIT && taken_as_split))
            count += *e[i].count;
    }
    return count;
}

/* Run an event, behind which n more come. */
static enum pb_rc run_event(struct pb_life *life, const struct event *e, size_t n,
                            pb_day start, struct pb_err *err)
{
    int able = able_of(life, e);
    if (*e->count == 0)
        able -= spoken_for(e, n);
    if (e->on < start) {
        char on[PB_DAY_TEXT], from[PB_DAY_TEXT];
        return pb_fail(err, PB_EINVALID, "%s on %s lies before the pollination on %s",
                       e->what == EVENT_HARVEST ? "a harvest" : "a look",
                       pb_day_format(e->on, on), pb_day_format(start, from));
    }
    if (able <= 0 || *e->count > able)
        return refuse(life, e, able > 0 ? able : 0, err);
    if (*e->count == 0)
        *e->count = able;
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
    const struct event *a = pa, *b = pb;
    if (a->on != b->on)
        return a->on < b->on ? -1 : 1;
    bool ha = a->what == EVENT_HARVEST, hb = b->what == EVENT_HARVEST;
    if (ha != hb)
        return ha ? 1 : -1;
    return (a->number > b->number) - (a->number < b->number);
}

static void list_events(const struct pb_cross *x, struct event *events)
{
    for (size_t i = 0; i < x->look_n; i++) {
        struct pb_look *l = &x->looks[i];
        events[i] =
            (struct event){l->on, (int)l->found, PB_AS_CLOSED, l->number, &l->count};
    }
    for (size_t i = 0; i < x->harvest_n; i++) {
        struct pb_harvest *h = &x->harvests[i];
        events[x->look_n + i] =
            (struct event){h->on, EVENT_HARVEST, h->as, h->number, &h->count};
    }
}

enum pb_rc pb_life_replay(const struct pb_cross *x, struct pb_life *life,
                          struct pb_err *err)
{
    size_t n = x->look_n + x->harvest_n;
    enum pb_rc rc = PB_OK;
    struct pb_life out = {.flowers = x->flowers, .last_on = PB_DAY_NONE};
    struct event *events = calloc(n + 1, sizeof(*events));
    out.groups = calloc(n + 1, sizeof(*out.groups));
    if (events == NULL || out.groups == NULL) {
        rc = pb_fail_memory(err);
        goto out;
    }
    list_events(x, events);
    qsort(events, n, sizeof(*events), by_day);
    out.groups[0] = (struct pb_life_group){.count = x->flowers,
                                           .last_intact = PB_DAY_NONE,
                                           .split_on = PB_DAY_NONE,
                                           .ended_on = PB_DAY_NONE};
    out.group_n = 1;
    recount(&out);
    for (size_t i = 0; i < n && rc == PB_OK; i++)
        rc = run_event(&out, &events[i], n - 1 - i, x->pollinated, err);
out:
    free(events);
    if (rc == PB_OK)
        *life = out;
    else
        free(out.groups);
    return rc;
}

void pb_life_clear(struct pb_life *life)
{
    free(life->groups);
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
