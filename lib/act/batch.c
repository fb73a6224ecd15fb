/* Batches.  See batch.h. */
#include "act/batch.h"

#include "act/find.h"
#include "act/stay.h"
#include "act/timing.h"
#include "base/text.h"
#include "core/scale.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

void pb_batch_outlook_clear(struct pb_batch_outlook *o)
{
    pb_life_clear(&o->life);
    pb_tasks_clear(&o->tasks);
    free(o->room.v);
    memset(o, 0, sizeof(*o));
}

/* The plant whose taxon times it: it was taken from it, or it carried the capsule. */
static enum pb_rc find_profile(struct pb_act *a, const struct pb_batch *b,
                               struct pb_profile_match *m, struct pb_err *err)
{
    const struct pb_parent p = {
        .plant = {.n = b->carrier != 0 ? b->carrier : b->plant.n}, .taxon = b->taxon};
    memset(m, 0, sizeof(*m));
    return b->taxon != NULL ? pb_timing_find(a, &p, b->profile, m, err) : PB_OK;
}

/* Seed of which none is left asks for nothing, though nobody closed the lot. */
static enum pb_rc is_spent(const struct pb_batch *b, bool *spent, struct pb_err *err)
{
    int64_t left = -1;
    enum pb_rc rc = b->kind == PB_SEED ? pb_batch_left(b, &left, err) : PB_OK;
    *spent = left == 0;
    return rc;
}

enum pb_rc pb_batch_outlook_make(struct pb_act *a, const struct pb_batch *b,
                                 struct pb_batch_outlook *o, struct pb_err *err)
{
    pb_life_clear(&o->life);
    enum pb_rc rc = find_profile(a, b, &o->match, err);
    if (rc == PB_OK)
        rc = pb_batch_story(b, &o->room, &o->story, err);
    if (rc == PB_OK)
        rc = pb_course_follow(&o->story, &o->life, &o->conflict, err);
    if (rc != PB_OK)
        return rc;
    bool spent = false;
    rc = is_spent(b, &spent, err);
    if (rc != PB_OK)
        return rc;
    pb_batch_timing(b, &o->match, &o->timing);
    bool open = o->life.open > 0 && !spent && !b->head.withdrawn && !b->elsewhere;
    return pb_course_tasks(&o->timing, &o->story, &o->life, open, &o->tasks, err);
}

const char *pb_batch_state(const struct pb_batch *b, const struct pb_life *life)
{
    const struct pb_course *c = &pb_courses[b->kind];
    int last = 0;
    if (b->head.withdrawn)
        return "withdrawn";
    for (int s = 0; s < c->stand_n; s++)
        if (life->by_stand[s] > 0) {
            bool open = (c->open & PB_BIT(s)) != 0;
            if (open || life->open == 0)
                last = s;
        }
    return c->stands[last];
}

/* ---- rules ------------------------------------------------------------------------------ */

enum pb_rc pb_look_check(const struct pb_course *course, const struct pb_look *look,
                         struct pb_err *err)
{
    const struct pb_finding *f = &course->findings[look->found];
    if (look->amount >= 0 && (f->flags & (PB_AMOUNT | PB_SAMPLE)) == 0)
        return pb_fail_at(err, PB_EINVALID, "count", 0, "%s counts nothing", f->word);
    if (look->amount < 0 && (f->flags & PB_COUNT) != 0)
        return pb_fail_at(err, PB_EINVALID, f->word, 0, "say how many: --count N");
    if (look->sample >= 0 && (f->flags & PB_SAMPLE) == 0)
        return pb_fail_at(err, PB_EINVALID, "of", 0, "%s is not said of a sample",
                          f->word);
    if ((f->flags & PB_SAMPLE) != 0 &&
        (look->amount < 0 || look->sample < 0 || look->method == NULL))
        return pb_fail_at(err, PB_EINVALID, f->word, 0,
                          "say how many of how many, and how: --count 63 --of 100 "
                          "--method \"filled, under the microscope\"");
    if (look->sample >= 0 && look->amount > look->sample)
        return pb_fail_at(err, PB_EINVALID, "count", 0,
                          "%" PRId64 " of %" PRId64 " is more than all", look->amount,
                          look->sample);
    if ((f->flags & PB_SCALE) != 0 && look->scale == NULL)
        return pb_fail_at(
            err, PB_EINVALID, "scale", 0,
            "a stage says nothing without the name of its scale: published "
            "scales differ at stage 1");
    if ((f->flags & PB_SCALE) != 0 && pb_scale_check(look->scale, err) != PB_OK)
        return PB_EINVALID;
    if (look->scale != NULL && (f->flags & PB_SCALE) == 0)
        return pb_fail_at(err, PB_EINVALID, "scale", 0, "%s is no stage of a scale",
                          f->word);
    if (look->method != NULL && (f->flags & PB_SAMPLE) == 0)
        return pb_fail_at(err, PB_EINVALID, "method", 0, "%s has no method", f->word);
    return PB_OK;
}

static enum pb_rc not_before(const char *what, pb_day day, pb_day from,
                             const char *then, const char *code, struct pb_err *err)
{
    char on[PB_DAY_TEXT], text[PB_DAY_TEXT];
    if (from == PB_DAY_NONE || day >= from)
        return PB_OK;
    return pb_fail_at(err, PB_EINVALID, what, 0, "%s lies before %s %s, on %s",
                      pb_day_format(day, on), code, then, pb_day_format(from, text));
}

static enum pb_rc settle_source(struct pb_act *a, const struct pb_batch *b,
                                struct pb_err *err)
{
    struct pb_batch source;
    bool found = false;
    pb_batch_init(&source, PB_SEED);
    enum pb_rc rc =
        pb_batch_find(a->book, PB_BATCH_BY_ID, b->source.id, &source, &found, err);
    if (rc == PB_OK && found)
        rc = not_before("on", b->on, source.on, "began", source.head.code, err);
    pb_batch_clear(&source);
    return rc;
}

static enum pb_rc settle_cross(struct pb_act *a, const struct pb_batch *b,
                               struct pb_err *err)
{
    struct pb_cross x;
    bool found = false;
    pb_cross_init(&x);
    enum pb_rc rc =
        pb_cross_find(a->book, PB_CROSS_BY_ID, b->cross.id, &x, &found, err);
    if (rc == PB_OK && found)
        rc = not_before("on", b->on, x.pollinated, "was pollinated", x.head.code, err);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc settle_plant(struct pb_act *a, const struct pb_batch *b,
                               struct pb_err *err)
{
    struct pb_plant p;
    pb_plant_init(&p);
    enum pb_rc rc = pb_find_plant(a, NULL, b->plant.code, &p, err);
    bool came = b->head.n != 0 && p.elsewhere; /* with its record, from another book */
    if (rc == PB_OK && !came)
        rc = pb_stay_came(a, &p, b->on, err);
    if (rc == PB_OK && !came)
        rc = pb_stay_here(&p, b->on, err);
    pb_plant_clear(&p);
    return rc;
}

static enum pb_rc settle_origin(struct pb_act *a, const struct pb_batch *b,
                                struct pb_err *err)
{
    enum pb_rc rc = b->source.n != 0 ? settle_source(a, b, err) : PB_OK;
    return rc == PB_OK && b->cross.n != 0 ? settle_cross(a, b, err) : rc;
}

enum pb_rc pb_batch_check_day(struct pb_act *a, const struct pb_batch *b,
                              struct pb_err *err)
{
    enum pb_rc rc = settle_origin(a, b, err);
    return rc == PB_OK && b->plant.n != 0 ? pb_stay_parent(a, &b->plant, b->on, err)
                                          : rc;
}

enum pb_rc pb_batch_settle(struct pb_act *a, const struct pb_batch *b,
                           struct pb_err *err)
{
    enum pb_rc rc = pb_act_past(a, "on", b->on, err);
    for (size_t i = 0; i < b->look_n && rc == PB_OK; i++)
        rc = pb_act_past(a, "on", b->looks[i].on, err);
    if (rc == PB_OK && b->kind == PB_SEED)
        rc = pb_seedlife_check(&b->constants, b->celsius, err);
    if (rc == PB_OK)
        rc = settle_origin(a, b, err);
    return rc == PB_OK && b->plant.n != 0 ? settle_plant(a, b, err) : rc;
}

static enum pb_rc check_of_cross(void *ctx, const struct pb_batch *b,
                                 struct pb_err *err)
{
    const struct pb_cross *x = ctx;
    char day[PB_DAY_TEXT], began[PB_DAY_TEXT];
    if (b->on >= x->pollinated)
        return PB_OK;
    return pb_fail_at(err, PB_EINVALID, "on", 0,
                      "%s cannot have been pollinated on %s: %s is of it and began on "
                      "%s",
                      x->head.code, pb_day_format(x->pollinated, day), b->head.code,
                      pb_day_format(b->on, began));
}

enum pb_rc pb_batch_check_cross(struct pb_act *a, const struct pb_cross *x,
                                struct pb_err *err)
{
    struct pb_cross of = *x; /* walked with, not changed */
    const struct pb_batch_ask ask = {PB_BATCHES_OF_CROSS, PB_KIND_N, x->head.n};
    enum pb_rc rc = pb_batches_each(a->book, ask, check_of_cross, &of, err);
    return rc == PB_OK ? pb_stay_raised(a, x, err) : rc;
}

/* ---- writing ---------------------------------------------------------------------------- */

static enum pb_rc check_use(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    const struct pb_batch *lot = ctx;
    pb_day ended = pb_batch_ended_on(lot);
    char made[PB_DAY_TEXT], day[PB_DAY_TEXT];
    for (size_t i = 0; i < x->pollen_n; i++) {
        if (pb_text_casecmp(x->pollen[i].lot, lot->head.code) != 0)
            continue;
        if (x->pollinated < lot->on)
            return pb_fail(err, PB_EINVALID,
                           "%s was made with %s on %s; it was not taken after that, on "
                           "%s",
                           x->head.code, lot->head.code,
                           pb_day_format(x->pollinated, made),
                           pb_day_format(lot->on, day));
        if (ended != PB_DAY_NONE && x->pollinated > ended)
            return pb_fail(err, PB_EINVALID,
                           "%s was made with %s on %s; it did not end before that, on "
                           "%s",
                           x->head.code, lot->head.code,
                           pb_day_format(x->pollinated, made),
                           pb_day_format(ended, day));
    }
    return PB_OK;
}

enum pb_rc pb_batch_check_uses(struct pb_act *a, const struct pb_batch *b,
                               struct pb_err *err)
{
    struct pb_batch lot = *b; /* walked with, not changed */
    return b->kind == PB_POLLEN ? pb_crosses_each(a->book, PB_CROSSES_OF, b->plant.n,
                                                  check_use, &lot, err)
                                : PB_OK;
}

/* Replay it and hold its counts: nothing comes out that was not in. */
static enum pb_rc check_life(const struct pb_batch *b,
                             const struct pb_life_event *entered, bool *open,
                             struct pb_err *err)
{
    struct pb_life life = {0};
    enum pb_rc rc = pb_batch_replay_entered(b, entered, &life, err);
    if (rc == PB_OK) {
        *open = life.open > 0;
        rc = pb_batch_check(b, err);
    }
    pb_life_clear(&life);
    return rc;
}

enum pb_rc pb_batch_enter(struct pb_act *a, struct pb_batch *b, struct pb_err *err)
{
    bool open = true;
    enum pb_rc rc = pb_batch_settle(a, b, err);
    if (rc == PB_OK)
        rc = check_life(b, NULL, &open, err);
    if (rc == PB_OK && b->head.code[0] == '\0')
        rc = pb_book_next_code(a->book, pb_courses[b->kind].letter, b->on, b->head.code,
                               err);
    if (rc != PB_OK)
        return rc;
    pb_act_new_head(a, &b->head);
    return pb_batch_insert(a->book, b, open, err);
}

static enum pb_rc take(struct pb_act *a, struct pb_batch *b, struct pb_err *err)
{
    struct pb_plant p;
    pb_plant_init(&p);
    enum pb_rc rc = pb_find_plant(a, NULL, b->plant.code, &p, err);
    if (rc == PB_OK) {
        b->plant.n = p.head.n;
        memcpy(b->plant.id, p.head.id, sizeof(b->plant.id));
        memcpy(b->plant.code, p.head.code, sizeof(b->plant.code));
        b->genet = p.genet;
        b->ploidy = p.ploidy;
        free(b->taxon);
        b->taxon = p.taxon; /* moves over */
        p.taxon = NULL;
        rc = pb_batch_enter(a, b, err);
    }
    pb_plant_clear(&p);
    return rc;
}

enum pb_rc pb_act_take(struct pb_act *a, struct pb_batch *b, struct pb_err *err)
{
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = take(a, b, err);
    return pb_book_end(a->book, rc, err);
}

enum pb_rc pb_batch_check_out(struct pb_act *a, const struct pb_batch *b,
                              struct pb_err *err)
{
    struct pb_life life = {0};
    char(*codes)[PB_MAX_CODE + 1] = NULL;
    size_t out = 0;
    int potted = 0;
    if (b->kind != PB_CUTTING || b->head.withdrawn)
        return PB_OK;
    enum pb_rc rc = pb_batch_replay(b, &life, err);
    for (size_t i = 0; i < life.group_n; i++)
        if (life.groups[i].on[PB_CUTTING_POTTED] != PB_DAY_NONE)
            potted += life.groups[i].count;
    pb_life_clear(&life);
    if (rc == PB_OK)
        rc = pb_batch_plants(a->book, b->head.n, &codes, &out, err);
    free(codes);
    if (rc == PB_OK && out > (size_t)potted)
        rc = pb_fail(
            err, PB_EINVALID, "%zu plant%s came out of %s, of which %d %s potted", out,
            out == 1 ? "" : "s", b->head.code, potted, potted == 1 ? "was" : "were");
    return rc;
}

enum pb_rc pb_batch_keep(struct pb_act *a, struct pb_batch *b,
                         const struct pb_life_event *entered, struct pb_err *err)
{
    bool open = true;
    enum pb_rc rc = check_life(b, entered, &open, err);
    if (rc == PB_OK)
        rc = pb_batch_check_out(a, b, err);
    if (rc == PB_OK)
        rc = pb_batch_check_uses(a, b, err);
    if (rc != PB_OK)
        return rc;
    pb_act_touch(a, &b->head);
    return pb_batch_update(a->book, b, open, err);
}

enum pb_rc pb_batch_look(struct pb_act *a, struct pb_batch *b, struct pb_look *look,
                         struct pb_err *err)
{
    const struct pb_course *c = &pb_courses[b->kind];
    enum pb_rc rc = pb_act_past(a, "on", look->on, err);
    if (rc == PB_OK)
        rc = pb_look_check(c, look, err);
    if (rc == PB_OK)
        rc = pb_look_next(a->book, (struct pb_looked){b->kind, b->head.n},
                          &look->number, err);
    if (rc == PB_OK && look->number > PB_MAX_LOOKS)
        rc = pb_fail(err, PB_ELIMIT, "%s has %d looks, more do not fit", b->head.code,
                     PB_MAX_LOOKS);
    if (rc != PB_OK)
        return rc;
    struct pb_look *more = realloc(b->looks, (b->look_n + 1) * sizeof(*more));
    if (more == NULL)
        return pb_fail_memory(err);
    b->looks = more;
    pb_ids_next(a, look->id);
    struct pb_look *kept = &b->looks[b->look_n++];
    *kept = *look;
    look->scale = look->method = look->note = NULL; /* they moved */
    const struct pb_life_event entered = {false, look->number, true};
    rc = pb_batch_keep(a, b, &entered, err); /* fills in the count */
    if (rc == PB_OK)
        rc = pb_look_keep(a->book, (struct pb_looked){b->kind, b->head.n}, kept, err);
    look->n = kept->n;
    look->count = kept->count;
    return rc;
}
