/* What is computed of a cross.  See timing.h. */
#include "act/timing.h"

#include "book/plants.h"

#include <inttypes.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

void pb_outlook_init(struct pb_outlook *o)
{
    memset(o, 0, sizeof(*o));
    pb_cross_view_init(&o->view);
}

void pb_outlook_clear(struct pb_outlook *o)
{
    pb_life_clear(&o->life);
    pb_tasks_clear(&o->tasks);
    free(o->room.v);
    pb_seed_timings_free(o->seeds);
    pb_outlook_init(o);
}

/* Both parents known and the same two, in either order. */
static bool same_parents(const int64_t a[2], const int64_t b[2])
{
    if (a[0] == 0 || a[1] == 0)
        return false;
    return (a[0] == b[0] && a[1] == b[1]) || (a[0] == b[1] && a[1] == b[0]);
}

enum pb_rc pb_pair_kind(struct pb_act *a, int64_t seed, int64_t pollen,
                        enum pb_cross_kind *kind, struct pb_err *err)
{
    int64_t of_seed[2] = {0, 0}, of_pollen[2] = {0, 0};
    if (seed == 0 || pollen == 0 || seed == pollen) {
        *kind = seed != pollen ? PB_CROSS_OUTCROSS : PB_CROSS_SELF;
        return PB_OK;
    }
    enum pb_rc rc = pb_genet_parents(a->book, seed, of_seed, err);
    if (rc == PB_OK)
        rc = pb_genet_parents(a->book, pollen, of_pollen, err);
    if (rc != PB_OK)
        return rc;
    bool back = of_seed[0] == pollen || of_seed[1] == pollen || of_pollen[0] == seed ||
                of_pollen[1] == seed;
    *kind = back                               ? PB_CROSS_BACKCROSS
            : same_parents(of_seed, of_pollen) ? PB_CROSS_SIB
                                               : PB_CROSS_OUTCROSS;
    return PB_OK;
}

enum pb_rc pb_cross_kind_of(struct pb_act *a, const struct pb_cross *x,
                            enum pb_cross_kind *kind, struct pb_err *err)
{
    enum pb_cross_kind all = PB_CROSS_UNKNOWN;
    for (size_t i = 0; i < x->pollen_n; i++) {
        enum pb_cross_kind one = PB_CROSS_UNKNOWN;
        enum pb_rc rc =
            pb_pair_kind(a, x->seed.genet.n, x->pollen[i].parent.genet.n, &one, err);
        if (rc != PB_OK)
            return rc;
        if (i > 0 && one != all) { /* mixed pollen of different kinds */
            *kind = PB_CROSS_UNKNOWN;
            return PB_OK;
        }
        all = one;
    }
    *kind = all;
    return PB_OK;
}

static struct pb_stage_days stage_days(const struct pb_profile_match *m,
                                       enum pb_stage stage)
{
    const struct pb_profile_stage *s =
        m->row != NULL ? pb_profile_stage(m, stage) : NULL;
    return s != NULL ? (struct pb_stage_days){s->from, s->to}
                     : (struct pb_stage_days){-1, -1};
}

static struct pb_span window(pb_day start, struct pb_stage_days days)
{
    return days.from >= 0 ? pb_span_after(start, days.from, days.to)
                          : (struct pb_span){PB_DAY_NONE, PB_DAY_NONE};
}

static enum pb_rc follow_life(const struct pb_cross *x, struct pb_outlook *o,
                              struct pb_err *err)
{
    pb_life_clear(&o->life);
    enum pb_rc rc = pb_cross_story(x, &o->room, &o->story, err);
    return rc == PB_OK ? pb_course_follow(&o->story, &o->life, &o->conflict, err) : rc;
}

/* Day of the next ripeness look that the risk asks for; ctx is the outlook. */
static pb_day next_by_risk(void *ctx, pb_day intact, pb_day latest)
{
    const struct pb_outlook *o = ctx;
    int32_t day = intact - o->timing.start;
    /* A look that was done is in the data; one that is only planned is not. */
    struct pb_hanging c = {day > 0 ? day : 0, o->is_hanging && o->hanging.in_data &&
                                                  o->hanging.intact == day};
    return pb_day_add(o->timing.start,
                      pb_lesson_next_look(&o->lesson, c, latest - o->timing.start));
}

static int scaled(int days, double scale)
{
    double moved = round(days * scale);
    return moved < 0 ? 0 : moved > PB_MAX_STAGE_DAYS ? PB_MAX_STAGE_DAYS : (int)moved;
}

struct pb_stage_days pb_timing_harvest(const struct pb_profile_match *match,
                                       const struct pb_lesson *lesson, bool *beyond)
{
    struct pb_stage_days usual = stage_days(match, PB_STAGE_HARVEST);
    *beyond = false;
    if (lesson->brief == NULL || lesson->capsules == 0 || usual.from < 0)
        return usual;
    struct pb_stage_days moved = {scaled(usual.from, lesson->scale),
                                  scaled(usual.to, lesson->scale)};
    *beyond = pb_ripening_brief_is_beyond(lesson->brief, moved.from, moved.to,
                                          usual.from, usual.to);
    return moved;
}

void pb_timing_beyond(const struct pb_profile_match *match,
                      const struct pb_lesson *lesson, struct pb_buf *out)
{
    bool beyond = false;
    struct pb_stage_days h = pb_timing_harvest(match, lesson, &beyond);
    if (!beyond)
        return;
    bool late = h.from > lesson->brief->seen_last;
    pb_buf_printf(out, "No capsule of yours has been seen %s than day %d: a harvest ",
                  late ? "later" : "earlier",
                  (int)(late ? lesson->brief->seen_last : lesson->brief->seen_first));
    if (h.from < h.to)
        pb_buf_printf(out, "from day %d to %d", h.from, h.to);
    else
        pb_buf_printf(out, "on day %d", h.from);
    pb_buf_adds(out, " is reckoned beyond what was seen. Go by the looks and the risk, "
                     "not by that window");
}

/* Move the windows to where the grower's own capsules were: the harvest by the median of
 * the clone, the split to the days between which nine in ten are expected. */
static void move_windows(struct pb_outlook *o)
{
    struct pb_stage_days *p = &o->timing.stages[PB_STAGE_SPLIT];
    const double *split = o->lesson.split;
    o->timing.stages[PB_STAGE_HARVEST] =
        pb_timing_harvest(&o->match, &o->lesson, &o->beyond);
    o->moved_days = o->timing.stages[PB_STAGE_HARVEST].from -
                    stage_days(&o->match, PB_STAGE_HARVEST).from;
    if (o->lesson.brief == NULL || o->lesson.capsules == 0 || p->from < 0)
        return;
    /* Where its end is not known, the profile's days would contradict the harvest's. */
    *p = split[0] >= 0
             ? (struct pb_stage_days){scaled(1, split[0]), scaled(1, split[1])}
             : (struct pb_stage_days){-1, -1};
}

/* First day by which the risk has passed the tolerance, if the harvest window is not over
 * by then. */
static pb_day risk_day(const struct pb_outlook *o)
{
    if (o->lesson.brief == NULL || !o->is_hanging ||
        o->timing.stages[PB_STAGE_HARVEST].from < 0)
        return PB_DAY_NONE;
    int32_t day = pb_lesson_risk_day(&o->lesson, o->hanging,
                                     o->timing.stages[PB_STAGE_HARVEST].to);
    return day <= o->timing.stages[PB_STAGE_HARVEST].to &&
                   day <= PB_DAY_MAX - o->timing.start
               ? pb_day_add(o->timing.start, day)
               : PB_DAY_NONE;
}

static void fill_view(const struct pb_cross *x, struct pb_outlook *o)
{
    o->view.swelling = window(x->pollinated, o->timing.stages[PB_STAGE_SWELLING]);
    o->view.harvest = window(x->pollinated, o->timing.stages[PB_STAGE_HARVEST]);
    o->view.split = window(x->pollinated, o->timing.stages[PB_STAGE_SPLIT]);
    o->view.risk_day = o->brief ? PB_DAY_NONE : risk_day(o);
    memcpy(o->view.by_stand, o->life.by_stand, sizeof(o->view.by_stand));
    o->view.open = o->life.open;
    o->view.state = x->head.withdrawn ? "withdrawn" : pb_life_state(&o->life);
}

bool pb_life_hanging(const struct pb_life *life, pb_day start,
                     struct pb_hanging *capsule)
{
    bool found = false;
    for (size_t i = 0; i < life->group_n; i++) {
        const struct pb_life_group *g = &life->groups[i];
        if (g->stand >= PB_STAND_SPLIT)
            continue;
        int32_t intact = g->last_intact != PB_DAY_NONE ? g->last_intact - start : 0;
        if (found && intact >= capsule->intact)
            continue;
        *capsule = (struct pb_hanging){intact, pb_group_is_capsule(g) && intact > 0};
        found = true;
    }
    return found;
}

enum pb_rc pb_outlook_make(struct pb_act *a, const struct pb_cross *x,
                           struct pb_outlook *o, struct pb_err *err)
{
    pb_cross_view_init(&o->view);
    struct pb_seed_timing by_seed;
    enum pb_rc rc = pb_seed_timing_find(o->again ? &o->seeds : NULL, a, &x->seed,
                                        x->profile, &by_seed, err);
    o->again = true;
    if (rc == PB_OK)
        rc = follow_life(x, o, err);
    if (rc != PB_OK)
        return rc;
    o->match = by_seed.match;
    o->lesson = by_seed.lesson;
    pb_timing_init(&o->timing, x->pollinated);
    for (int s = PB_STAGE_SWELLING; s <= PB_STAGE_SPLIT; s++)
        o->timing.stages[s] = stage_days(&o->match, (enum pb_stage)s);
    o->timing.next_only = o->brief;
    move_windows(o);
    o->is_hanging = pb_life_hanging(&o->life, x->pollinated, &o->hanging);
    if (o->lesson.brief != NULL)
        o->timing.rule = (struct pb_look_rule){next_by_risk, o};
    bool open = o->life.open > 0 && !x->head.withdrawn;
    rc = pb_course_tasks(&o->timing, &o->story, &o->life, open, &o->tasks, err);
    if (rc == PB_OK && !o->brief)
        rc = pb_cross_kind_of(a, x, &o->view.kind, err);
    fill_view(x, o);
    return rc == PB_OK ? pb_learn_status(a, err) : rc;
}

/* Did the last harvest day move, by the rounding of the two? */
static bool end_moved(const struct pb_outlook *o)
{
    const struct pb_profile_stage *h = pb_profile_stage(&o->match, PB_STAGE_HARVEST);
    return h != NULL && o->timing.stages[PB_STAGE_HARVEST].to != h->to;
}

void pb_outlook_learnt(const struct pb_outlook *o, struct pb_buf *out)
{
    const struct pb_lesson *l = &o->lesson;
    int days = o->moved_days;
    if (l->brief == NULL || l->capsules == 0)
        return;
    pb_buf_printf(out,
                  "%" PRIu64 " of your capsules, %" PRIu64 " of this seed parent, ",
                  l->capsules, l->clone_capsules);
    if (days == 0)
        pb_buf_printf(out, "left the %sharvest window where it was",
                      end_moved(o) ? "first day of the " : "");
    else
        pb_buf_printf(out, "moved the harvest window %d day%s %s", abs(days),
                      abs(days) == 1 ? "" : "s", days > 0 ? "later" : "sooner");
    if (o->beyond)
        pb_buf_adds(out, ". ");
    pb_timing_beyond(&o->match, l, out);
}

double pb_outlook_a_day(const struct pb_outlook *o, pb_day look)
{
    const struct pb_hanging whole = {look - o->timing.start, false};
    return o->lesson.brief != NULL ? pb_lesson_risk(&o->lesson, whole, whole.intact + 1)
                                   : 0;
}

bool pb_outlook_early(const struct pb_outlook *o, pb_day latest, pb_day *day)
{
    int32_t last = o->timing.stages[PB_STAGE_HARVEST].from - 1;
    if (o->lesson.brief == NULL || !o->is_hanging ||
        o->timing.stages[PB_STAGE_HARVEST].from < 0)
        return false;
    if (latest - o->timing.start < last)
        last = latest - o->timing.start;
    /* to have been seen intact only lowers the risk */
    if (last <= o->lesson.unseen_risk_day)
        return false;
    int32_t passes = pb_lesson_risk_day(&o->lesson, o->hanging, last);
    if (passes > last)
        return false;
    *day = pb_day_add(o->timing.start, passes);
    return true;
}
