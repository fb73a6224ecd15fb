/* A plant after its last flower.  See shoot.h. */
#include "act/shoot.h"

#include "act/batch.h"
#include "act/stay.h"
#include "act/timing.h"
#include "book/flowerings.h"
#include "book/looks.h"
#include "book/plants.h"

#include <stdlib.h>
#include <string.h>

enum { TASKS_OF_ONE = 100 }; /* more than the weekly looks of PB_SHOOT_DAYS */

/* Flowerings that have ended, in their order, and what was parted from the plant. */
struct ended {
    struct pb_flowering *v;
    size_t n;
    struct pb_parting *partings;
    size_t parting_n;
};

static pb_day ended_on(const struct pb_flowering *f)
{
    pb_day over = f->on[PB_BLOOM_OVER], dying = f->on[PB_BLOOM_DYING];
    if (over == PB_DAY_NONE || dying == PB_DAY_NONE)
        return over != PB_DAY_NONE ? over : dying;
    return over < dying ? over : dying;
}

static enum pb_rc note_ended(void *ctx, const struct pb_flowering *f,
                             struct pb_err *err)
{
    struct ended *e = ctx;
    if (ended_on(f) == PB_DAY_NONE)
        return PB_OK;
    struct pb_flowering *more = realloc(e->v, (e->n + 1) * sizeof(*more));
    if (more == NULL)
        return pb_fail_memory(err);
    e->v = more;
    e->v[e->n++] = *f;
    return PB_OK;
}

static void ended_clear(struct ended *e)
{
    free(e->v);
    free(e->partings);
}

static enum pb_rc ended_load(struct pb_act *a, int64_t plant, struct ended *e,
                             struct pb_err *err)
{
    enum pb_rc rc = pb_flowerings_of(a->book, plant, note_ended, e, err);
    if (rc == PB_OK && e->n > 0)
        rc = pb_plant_partings(a->book, plant, &e->partings, &e->parting_n, err);
    return rc;
}

/* The first and last day of what is told of flowering k. */
static struct pb_span days_of(const struct ended *e, size_t k)
{
    pb_day next = k + 1 < e->n ? ended_on(&e->v[k + 1]) : PB_DAY_MAX;
    return (struct pb_span){ended_on(&e->v[k]), pb_day_add(next, -1)};
}

static void drop_looks(struct pb_shoot *s)
{
    for (size_t i = 0; i < s->look_n; i++)
        pb_look_clear(&s->looks[i]);
    free(s->looks);
    s->looks = NULL;
    s->look_n = 0;
}

void pb_shoot_clear(struct pb_shoot *s)
{
    drop_looks(s);
    pb_life_clear(&s->life);
    pb_tasks_clear(&s->tasks);
    free(s->room.v);
    memset(s, 0, sizeof(*s));
}

/* The story of flowering k. */
static enum pb_rc tell(const struct pb_plant *p, const struct ended *e, size_t k,
                       struct pb_shoot *s, struct pb_err *err)
{
    const struct pb_span days = days_of(e, k);
    size_t most = s->look_n + e->parting_n, n = 0;
    if (pb_events_reserve(&s->room, most, err) != PB_OK)
        return PB_ENOMEM;
    for (size_t i = 0; i < s->look_n; i++) {
        struct pb_look *l = &s->looks[i];
        if (pb_span_has(days, l->on))
            s->room.v[n++] =
                (struct pb_event){l->on, l->found, l->number, false, &l->count, false};
    }
    for (size_t i = 0; i < e->parting_n; i++) {
        const struct pb_parting *g = &e->partings[i];
        int found = g->pup ? PB_SHOOT_WAS_PARTED : PB_SHOOT_WAS_CUT;
        if (pb_span_has(days, g->on))
            s->room.v[n++] =
                (struct pb_event){g->on, found, (int)i + 1, true, &s->one, false};
    }
    s->one = 1;
    s->flowering = e->v[k];
    s->start = days.first;
    s->story = (struct pb_story){
        &pb_courses[PB_PLANT], 1, PB_SHOOT_OVER, s->start, s->room.v, n, p->head.code};
    return PB_OK;
}

static enum pb_rc plan(struct pb_act *a, const struct pb_plant *p, struct pb_shoot *s,
                       struct pb_err *err)
{
    struct pb_parent parent = {
        .plant = {p->head.n, "", ""},
          .taxon = p->taxon
    };
    bool open = p->gone == PB_GONE_NOT && !p->elsewhere && !p->head.withdrawn &&
                a->today <= pb_day_add(s->start, PB_SHOOT_DAYS);
    enum pb_rc rc = pb_timing_find(a, &parent, NULL, &s->match, err);
    if (rc != PB_OK)
        return rc;
    const struct pb_profile_stage *stage =
        s->match.row != NULL ? pb_profile_stage(&s->match, PB_STAGE_PUPS) : NULL;
    pb_timing_init(&s->timing, s->start);
    if (stage != NULL)
        s->timing.stages[PB_STAGE_PUPS] =
            (struct pb_stage_days){stage->from, stage->to};
    rc = pb_course_tasks(&s->timing, &s->story, &s->life, open, &s->tasks, err);
    for (size_t i = 0; i < s->tasks.n && rc == PB_OK; i++)
        s->tasks.v[i].ordinal += TASKS_OF_ONE * (s->flowering.number - 1);
    return rc;
}

enum pb_rc pb_shoot_make(struct pb_act *a, const struct pb_plant *p, struct pb_shoot *s,
                         struct pb_err *err)
{
    struct ended e = {0};
    drop_looks(s);
    pb_life_clear(&s->life);
    s->tasks.n = 0;
    s->story.n = 0;
    s->conflict = false;
    s->start = PB_DAY_NONE;
    pb_flowering_init(&s->flowering);
    enum pb_rc rc = pb_looks_load(a->book, (struct pb_looked){PB_PLANT, p->head.n},
                                  &s->looks, &s->look_n, err);
    if (rc == PB_OK)
        rc = ended_load(a, p->head.n, &e, err);
    if (rc == PB_OK && e.n > 0) {
        rc = tell(p, &e, e.n - 1, s, err);
        if (rc == PB_OK)
            rc = pb_course_follow(&s->story, &s->life, &s->conflict, err);
        if (rc == PB_OK)
            rc = plan(a, p, s, err);
    }
    ended_clear(&e);
    return rc;
}

const char *pb_shoot_state(const struct pb_shoot *s)
{
    const struct pb_course *c = &pb_courses[PB_PLANT];
    for (int i = 0; i < c->stand_n && s->flowering.number > 0; i++)
        if (s->life.by_stand[i] > 0)
            return c->stands[i];
    return "";
}

enum pb_rc pb_shoots_each(struct pb_act *a, pb_shoot_each *each, void *ctx,
                          struct pb_err *err)
{
    struct pb_shoot s = {0};
    char(*codes)[PB_MAX_CODE + 1] = NULL;
    size_t n = 0;
    enum pb_rc rc = pb_flowerings_ended(a->book, pb_day_add(a->today, -PB_SHOOT_DAYS),
                                        &codes, &n, err);
    for (size_t i = 0; i < n && rc == PB_OK; i++) {
        struct pb_plant p;
        bool found = false;
        pb_plant_init(&p);
        rc = pb_plant_find(a->book, PB_PLANT_BY_CODE, codes[i], &p, &found, err);
        if (rc == PB_OK && found)
            rc = pb_shoot_make(a, &p, &s, err);
        if (rc == PB_OK && found && s.flowering.number > 0)
            rc = each(ctx, &p, &s, err);
        pb_plant_clear(&p);
    }
    free(codes);
    pb_shoot_clear(&s);
    return rc;
}

/* ---- rules ------------------------------------------------------------------------------ */

/* Is there a flowering that a look of that day can be of? */
static enum pb_rc check_day(const struct pb_plant *p, const struct ended *e,
                            const struct pb_look *l, struct pb_err *err)
{
    char day[PB_DAY_TEXT], first[PB_DAY_TEXT];
    if (e->n == 0)
        return pb_fail(
            err, PB_EINVALID,
            "looks on a plant are for the time after its flowering, and none "
            "of %s is over; say podbook bloom %s over first",
            p->head.code, p->head.code);
    if (l->on >= ended_on(&e->v[0]))
        return PB_OK;
    return pb_fail_at(err, PB_EINVALID, "on", 0,
                      "%s lies before the end of the flowering of %s, on %s",
                      pb_day_format(l->on, day), p->head.code,
                      pb_day_format(ended_on(&e->v[0]), first));
}

enum pb_rc pb_shoot_check(struct pb_act *a, const struct pb_plant *p,
                          struct pb_err *err)
{
    struct pb_shoot s = {0};
    struct ended e = {0};
    enum pb_rc rc = pb_looks_load(a->book, (struct pb_looked){PB_PLANT, p->head.n},
                                  &s.looks, &s.look_n, err);
    if (rc == PB_OK && s.look_n > 0)
        rc = ended_load(a, p->head.n, &e, err);
    for (size_t i = 0; i < s.look_n && rc == PB_OK; i++)
        rc = check_day(p, &e, &s.looks[i], err);
    for (size_t k = 0; s.look_n > 0 && k < e.n && rc == PB_OK; k++) {
        pb_life_clear(&s.life);
        rc = tell(p, &e, k, &s, err);
        if (rc == PB_OK)
            rc = pb_course_replay(&s.story, &s.life, err);
    }
    ended_clear(&e);
    pb_shoot_clear(&s);
    return rc;
}

enum pb_rc pb_shoot_keep(struct pb_act *a, struct pb_plant *p, struct pb_look *look,
                         struct pb_err *err)
{
    enum pb_rc rc = pb_act_past(a, "on", look->on, err);
    if (rc == PB_OK)
        rc = pb_look_check(&pb_courses[PB_PLANT], look, err);
    if (rc == PB_OK)
        rc = pb_stay_here(p, look->on, err);
    if (rc == PB_OK)
        rc = pb_look_keep(a->book, (struct pb_looked){PB_PLANT, p->head.n}, look, err);
    if (rc == PB_OK)
        rc = pb_shoot_check(a, p, err);
    if (rc != PB_OK)
        return rc;
    pb_act_touch(a, &p->head);
    return pb_plant_update(a->book, p, err);
}

enum pb_rc pb_shoot_look(struct pb_act *a, struct pb_plant *p, struct pb_look *look,
                         struct pb_err *err)
{
    enum pb_rc rc = pb_look_next(a->book, (struct pb_looked){PB_PLANT, p->head.n},
                                 &look->number, err);
    if (rc == PB_OK && look->number > PB_MAX_LOOKS)
        rc = pb_fail(err, PB_ELIMIT, "%s has %d looks, more do not fit", p->head.code,
                     PB_MAX_LOOKS);
    if (rc != PB_OK)
        return rc;
    look->count = 1; /* it is one shoot */
    pb_ids_next(a, look->id);
    return pb_shoot_keep(a, p, look, err);
}
