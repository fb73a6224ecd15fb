/*
 * The replay of a record's course.  See course.h.
 * Representation: an array of groups of alike units, unordered; an event that takes part of
 * a group splits it in two, so there are at most one more groups than events.
 */
#include "core/course_run.h"

#include <stdlib.h>
#include <string.h>

enum pb_rc pb_events_reserve(struct pb_events *room, size_t n, struct pb_err *err)
{
    if (room->v != NULL && n <= room->cap)
        return PB_OK;
    struct pb_event *more = realloc(room->v, (n + 1) * sizeof(*more));
    if (more == NULL)
        return pb_fail_memory(err);
    room->v = more;
    room->cap = n + 1;
    return PB_OK;
}

int pb_finding_find(const struct pb_course *course, const char *word)
{
    for (int i = 0; i < course->finding_n; i++)
        if (strcmp(course->findings[i].word, word) == 0)
            return i;
    return -1;
}

const struct pb_finding *pb_run_finding(const struct pb_course_run *r,
                                        const struct pb_event *e)
{
    return &r->course->findings[e->found];
}

bool pb_run_is_open(const struct pb_course_run *r, int stand)
{
    return (r->course->open & PB_BIT(stand)) != 0;
}

static bool is_seen(const struct pb_course_run *r, const struct pb_event *e)
{
    return pb_run_finding(r, e)->tally == PB_TALLY_SEEN;
}

bool pb_run_is_entered(const struct pb_course_run *r, const struct pb_event *e)
{
    return r->entered != NULL && r->entered->number == e->number &&
           r->entered->late == e->late;
}

bool pb_run_ends_open(const struct pb_course_run *r, const struct pb_event *e,
                      const struct pb_event *behind)
{
    int to = pb_run_finding(r, e)->to;
    bool taken = to != PB_STAYS && !pb_run_is_open(r, to) &&
                 (pb_run_finding(r, behind)->from & PB_BIT(to)) != 0;
    return !is_seen(r, behind) && !taken;
}

static bool can_be(const struct pb_course_run *r, const struct pb_life_group *g,
                   const struct pb_event *e)
{
    return (pb_run_finding(r, e)->from & PB_BIT(g->stand)) != 0;
}

/* Seen that day already, but otherwise?  Findings of one day are of different ones: "2
 * swollen" and "1 unsure" are three.  Of a step that follows at once they are the same. */
static bool found_otherwise(const struct pb_course_run *r,
                            const struct pb_life_group *g, const struct pb_event *e)
{
    if (!is_seen(r, e) || g->last_intact != e->on || !pb_run_is_open(r, g->stand) ||
        g->by == e->found)
        return false;
    return (pb_run_finding(r, e)->flags & PB_GOES_ON) == 0 ||
           r->course->findings[g->by].to == PB_STAYS;
}

static bool allowed(const struct pb_course_run *r, const struct pb_life_group *g,
                    const struct pb_event *e)
{
    return can_be(r, g, e) && (e->restates || !found_otherwise(r, g, e));
}

/* May a unit that stands so have become a plant of its own? */
static bool may_be_plant(const struct pb_course *c, int stand)
{
    for (int i = 0; i < c->finding_n; i++)
        if ((c->findings[i].flags & PB_ENTERS) != 0 && c->findings[i].to == stand)
            return true;
    return false;
}

/* Of two stands: does a unit of the first go first? */
static bool stand_goes_before(const struct pb_course_run *r, int a, int b,
                              const struct pb_event *e)
{
    unsigned flags = pb_run_finding(r, e)->flags;
    if ((flags & PB_PLANTS_LAST) != 0 &&
        may_be_plant(r->course, a) != may_be_plant(r->course, b))
        return may_be_plant(r->course, b);
    return (flags & PB_LEAST_FIRST) != 0 ? a < b : a > b;
}

/* Is a to be taken before b?  As seen: the latest seen first, which are those found the same
 * that day already.  New: the earliest seen first, but before all those that have ended,
 * where it may be of them.  Alike by that, the furthest goes first, or the least far where
 * the finding says so; of one stand the one that came there first.  Of a course of steps the
 * stand is asked before the day. */
static bool goes_before(const struct pb_course_run *r, const struct pb_life_group *a,
                        const struct pb_life_group *b, const struct pb_event *e)
{
    bool open_a = pb_run_is_open(r, a->stand), open_b = pb_run_is_open(r, b->stand);
    if (open_a != open_b)
        return !open_a;
    if (r->course->staged && a->stand != b->stand)
        return stand_goes_before(r, a->stand, b->stand, e);
    if (a->last_intact != b->last_intact)
        return is_seen(r, e) ? a->last_intact > b->last_intact
                             : a->last_intact < b->last_intact;
    if (a->stand == b->stand)
        return a->on[a->stand] < b->on[b->stand];
    return stand_goes_before(r, a->stand, b->stand, e);
}

static void apply(const struct pb_course_run *r, struct pb_life_group *g,
                  const struct pb_event *e)
{
    int to = pb_run_finding(r, e)->to;
    if (is_seen(r, e))
        g->last_intact = e->on;
    g->by = e->found;
    if (to == PB_STAYS)
        return;
    g->stand = to;
    if (g->on[to] == PB_DAY_NONE)
        g->on[to] = e->on;
}

static void recount(struct pb_course_run *r)
{
    struct pb_life *life = &r->life;
    memset(life->by_stand, 0, sizeof(life->by_stand));
    life->open = 0;
    for (size_t i = 0; i < life->group_n; i++) {
        life->by_stand[life->groups[i].stand] += life->groups[i].count;
        if (pb_run_is_open(r, life->groups[i].stand))
            life->open += life->groups[i].count;
    }
}

/* How many the event could take. */
static int able_of(const struct pb_course_run *r, const struct pb_event *e)
{
    int able = 0;
    for (size_t i = 0; i < r->life.group_n; i++)
        if (allowed(r, &r->life.groups[i], e))
            able += r->life.groups[i].count;
    return able;
}

/* Of how many it could be, were they not found otherwise that day. */
static int found_otherwise_of(const struct pb_course_run *r, const struct pb_event *e)
{
    int found = 0;
    for (size_t i = 0; i < r->life.group_n; i++) {
        const struct pb_life_group *g = &r->life.groups[i];
        if (can_be(r, g, e) && found_otherwise(r, g, e))
            found += g->count;
    }
    return found;
}

/* Take as many as the event wants from those that have ended already and can be found so
 * all the same; returns how many.
 *   there  by stand; changed */
static int take_ended(const struct pb_course_run *r, const struct pb_event *e,
                      int there[PB_STANDS_MAX])
{
    int taken = 0;
    for (int s = 0; s < r->course->stand_n; s++) {
        if (pb_run_is_open(r, s) || (pb_run_finding(r, e)->from & PB_BIT(s)) == 0)
            continue;
        int left = *e->count - taken;
        int own = there[s] < left ? there[s] : left;
        there[s] -= own;
        taken += own;
    }
    return taken;
}

/* How many of the open ones the events behind this one end: "all that are still open" are
 * the others.  Those taken though they had ended are first the ones that had. */
static int spoken_for(const struct pb_course_run *r)
{
    const struct pb_event *e = &r->story->events[r->at];
    int count = 0, there[PB_STANDS_MAX];
    if (is_seen(r, e))
        return 0;
    memcpy(there, r->life.by_stand, sizeof(there));
    for (size_t i = r->at + 1; i < r->story->n; i++) {
        const struct pb_event *behind = &r->story->events[i];
        if (!pb_run_ends_open(r, e, behind))
            continue;
        int own = take_ended(r, behind, there);
        int to = pb_run_finding(r, behind)->to;
        if (to != PB_STAYS)
            there[to] += *behind->count;
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
 * Numbers tell the order of looks; late ones are taken to have been there. */
static bool was_apart(const struct pb_course_run *r, const struct pb_event *e,
                      int wanted)
{
    int64_t room = r->life.units;
    int found[PB_FINDINGS_MAX] = {0};
    for (size_t i = 0; i < r->story->n; i++) {
        const struct pb_event *o = &r->story->events[i];
        bool before = o->late ? o->on < e->on : o->number < e->number;
        if (!before || o->on > e->on)
            continue;
        if (!is_seen(r, o))
            room -= *o->count;
        else if (o->on == e->on && o->found != e->found && found[o->found] < *o->count)
            found[o->found] = *o->count;
    }
    for (int f = 0; f < r->course->finding_n; f++)
        room -= found[f];
    return wanted <= room;
}

/*
 * May a look be of ones that its day found otherwise?  Where all were seen that day, the
 * later word holds, of some or of all; but no other record may make it one that is.
 *   able, found  the ones that are free, the ones found otherwise
 */
static bool may_restate(const struct pb_course_run *r, int able, int found)
{
    const struct pb_event *e = &r->story->events[r->at];
    int wanted = *e->count > 0 ? *e->count : able + found;
    if (found == 0 || wanted > able + found || wanted <= able)
        return false;
    if ((able > 0 && wanted < able + found) || was_apart(r, e, wanted))
        return false;
    return r->was == NULL || pb_run_is_entered(r, e) || was_restated(r->was, e->number);
}

/* Run an event. */
static enum pb_rc run_event(struct pb_course_run *r, struct pb_err *err)
{
    struct pb_life *life = &r->life;
    struct pb_event *e = &r->story->events[r->at];
    int able = able_of(r, e), found = found_otherwise_of(r, e);
    int spoken = *e->count == 0 ? spoken_for(r) : 0;
    if (may_restate(r, able, found)) {
        e->restates = true;
        life->restated[life->restated_n++] = e->number;
        able += found;
    }
    if (e->on < r->story->start || able - spoken <= 0 || *e->count > able) {
        const struct pb_course_room room = {able, found, spoken};
        return pb_run_refuse(r, room, err);
    }
    if (*e->count == 0)
        *e->count = able - spoken;
    /* Each taken group is marked by moving it in front of `taken`, so that what this event
     * has just changed is not taken twice. */
    size_t taken = 0;
    for (int left = *e->count; left > 0; taken++) {
        size_t best = life->group_n;
        for (size_t i = taken; i < life->group_n; i++)
            if (allowed(r, &life->groups[i], e) &&
                (best == life->group_n ||
                 goes_before(r, &life->groups[i], &life->groups[best], e)))
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
        apply(r, &g, e);
        life->groups[taken] = g;
    }
    recount(r);
    life->last_on = e->on;
    return PB_OK;
}

static int by_day(const void *pa, const void *pb)
{
    const struct pb_event *a = pa, *b = pb;
    if (a->on != b->on)
        return a->on < b->on ? -1 : 1;
    if (a->late != b->late)
        return a->late ? 1 : -1;
    return (a->number > b->number) - (a->number < b->number);
}

void pb_story_sort(struct pb_story *story)
{
    if (story->n > 1)
        qsort(story->events, story->n, sizeof(*story->events), by_day);
}

enum pb_rc pb_course_enter(struct pb_story *story, const struct pb_life *was,
                           const struct pb_life_event *entered, struct pb_life *life,
                           struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    struct pb_course_run r = {
        .life = {.units = story->units, .last_on = PB_DAY_NONE},
        .course = story->course,
        .story = story,
        .entered = entered,
        .was = was,
    };
    r.life.groups = calloc(story->n + 1, sizeof(*r.life.groups));
    r.life.restated = calloc(story->n + 1, sizeof(*r.life.restated));
    if (r.life.groups == NULL || r.life.restated == NULL) {
        pb_life_clear(&r.life);
        return pb_fail_memory(err);
    }
    pb_story_sort(story);
    struct pb_life_group *all = &r.life.groups[r.life.group_n++];
    all->count = story->units;
    all->by = -1;
    all->last_intact = PB_DAY_NONE;
    all->stand = story->stand;
    for (int s = 0; s < PB_STANDS_MAX; s++)
        all->on[s] = PB_DAY_NONE;
    all->on[story->stand] = story->start;
    recount(&r);
    for (; r.at < story->n && rc == PB_OK; r.at++) {
        story->events[r.at].restates = false;
        rc = run_event(&r, err);
    }
    if (rc == PB_OK)
        *life = r.life;
    else
        pb_life_clear(&r.life);
    return rc;
}

enum pb_rc pb_course_replay(struct pb_story *story, struct pb_life *life,
                            struct pb_err *err)
{
    return pb_course_enter(story, NULL, NULL, life, err);
}

enum pb_rc pb_course_follow(struct pb_story *story, struct pb_life *life,
                            bool *conflict, struct pb_err *err)
{
    struct pb_err why = {0};
    struct pb_story bare = *story;
    enum pb_rc rc = pb_course_replay(story, life, &why);
    *conflict = rc == PB_EINVALID;
    if (rc == PB_OK)
        return PB_OK;
    if (!*conflict)
        return pb_fail(err, rc, "%s", why.text);
    bare.n = 0;
    return pb_course_replay(&bare, life, err);
}

void pb_life_clear(struct pb_life *life)
{
    free(life->groups);
    free(life->restated);
    memset(life, 0, sizeof(*life));
}
