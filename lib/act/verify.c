/*
 * Every record followed from its facts.  See verify.h.
 *
 * The rules are those that the acts hold records to when they are entered; here they are
 * asked of what is stored, and a refusal is a fault that is told.
 */
#include "act/verify.h"

#include "act/batch.h"
#include "act/enter.h"
#include "act/shoot.h"
#include "act/stay.h"
#include "act/timing.h"
#include "act/verify_caches.h"
#include "act/verify_values.h"
#include "book/flowerings.h"
#include "book/plants.h"
#include "book/provenance.h"
#include "book/rings.h"

#include <stdlib.h>
#include <string.h>

struct run {
    struct pb_act *a;
    pb_fault_each *each;
    void *ctx;
    struct pb_verified v;
    struct pb_verify_laws laws;
};

static enum pb_rc tell(void *ctx, const struct pb_fault *f, struct pb_err *err)
{
    struct run *run = ctx;
    run->v.faults++;
    return run->each(run->ctx, f, err);
}

/* What a rule said of a record: a refusal is told, what stops the walk is handed on. */
static enum pb_rc judge(struct run *run, enum pb_check check, const char *code,
                        enum pb_rc rc, const struct pb_err *why, struct pb_err *err)
{
    static const char *const remedies[PB_CHECK_N] = {
        [PB_CHECK_DAY] = "put the day right: podbook amend",
        [PB_CHECK_LOOKS] =
            "put a look right, or take it out: podbook amend CODE/NUMBER",
        [PB_CHECK_COUNT] = "put a count right: podbook amend",
    };
    if (rc == PB_OK || rc == PB_ENOMEM)
        return rc == PB_OK ? rc : pb_fail_memory(err);
    if (rc == PB_EIO)
        return pb_fail_at(err, rc, why->where, why->line, "%s", why->text);
    const struct pb_fault f = {check, code, why->text, remedies[check]};
    return tell(run, &f, err);
}

/* Is a record open that should not be, or the other way round? */
static enum pb_rc check_open(struct run *run, enum pb_kind kind,
                             const struct pb_head *head, bool open, struct pb_err *err)
{
    bool says = false;
    enum pb_rc rc = pb_book_says_open(run->a->book, kind, head->n, &says, err);
    if (rc != PB_OK || says == open)
        return rc;
    const struct pb_fault f = {
        PB_CHECK_OPEN, head->code,
        says ? "the book follows it, though nothing of it is open"
             : "the book does not follow it, though it is open: it is never due",
        "amend it, for instance its note: whether it is open is worked out again then"};
    return tell(run, &f, err);
}

/* ---- plants --------------------------------------------------------------------------- */

/* Days that have come; a spike opens, then it is over or dies back, whichever comes first. */
static enum pb_rc check_flowering(void *ctx, const struct pb_flowering *f,
                                  struct pb_err *err)
{
    struct run *run = ctx;
    pb_day last = PB_DAY_NONE;
    if (pb_flowering_last(f) == PB_BLOOM_N)
        return pb_fail(err, PB_EINVALID, "its flowering %d has no day", f->number);
    for (int i = 0; i < PB_BLOOM_N; i++) {
        if (f->on[i] == PB_DAY_NONE)
            continue;
        if (last != PB_DAY_NONE && f->on[i] < last)
            return pb_fail(
                err, PB_EINVALID, "its flowering %d is %s before it is %s", f->number,
                pb_bloom_names[i],
                pb_bloom_names[f->on[PB_BLOOM_OPEN] == last ? PB_BLOOM_OPEN
                                                            : PB_BLOOM_SPIKE]);
        enum pb_rc rc = pb_act_past(run->a, "flowering", f->on[i], err);
        if (rc != PB_OK)
            return rc;
        if (i < PB_BLOOM_OVER)
            last = f->on[i];
    }
    return PB_OK;
}

static enum pb_rc check_plant_days(struct run *run, const struct pb_plant *p,
                                   struct pb_err *err)
{
    struct pb_err why = {0};
    enum pb_rc rc =
        p->got != PB_DAY_NONE ? pb_act_past(run->a, "got", p->got, &why) : PB_OK;
    if (rc == PB_OK && p->gone_on != PB_DAY_NONE)
        rc = pb_act_past(run->a, "gone-on", p->gone_on, &why);
    if (rc == PB_OK)
        rc = pb_stay_check(run->a, p, &why);
    rc = judge(run, PB_CHECK_DAY, p->head.code, rc, &why, err);
    if (rc != PB_OK)
        return rc;
    pb_err_clear(&why);
    rc = pb_flowerings_of(run->a->book, p->head.n, check_flowering, run, &why);
    return judge(run, PB_CHECK_DAY, p->head.code, rc, &why, err);
}

/* Its looks after a flowering; there are some. */
static enum pb_rc check_plant_looks(struct run *run, const struct pb_plant *p,
                                    struct pb_look_list looks, struct pb_err *err)
{
    struct pb_err why = {0}, day = {0}, count = {0};
    enum pb_rc rc = judge(run, PB_CHECK_LOOKS, p->head.code,
                          pb_shoot_check(run->a, p, &why), &why, err);
    enum pb_rc past = PB_OK, fit = PB_OK;
    for (size_t i = 0; i < looks.n && past == PB_OK; i++)
        past = pb_act_past(run->a, "on", looks.v[i].on, &day);
    for (size_t i = 0; i < looks.n && fit == PB_OK; i++)
        fit = pb_look_check(&pb_courses[PB_PLANT], &looks.v[i], &count);
    if (rc == PB_OK)
        rc = judge(run, PB_CHECK_DAY, p->head.code, past, &day, err);
    return rc == PB_OK ? judge(run, PB_CHECK_COUNT, p->head.code, fit, &count, err)
                       : rc;
}

static enum pb_rc check_with_looks(struct run *run, const struct pb_plant *p,
                                   struct pb_look_list looks, struct pb_err *err)
{
    enum pb_rc rc = pb_verify_values_plant(p, tell, run, err);
    if (rc == PB_OK)
        rc = pb_verify_values_looks(&p->head, &pb_courses[PB_PLANT], looks, tell, run,
                                    err);
    if (rc != PB_OK || p->head.withdrawn)
        return rc;
    run->v.plants++;
    rc = check_plant_days(run, p, err);
    return rc == PB_OK && looks.n > 0 ? check_plant_looks(run, p, looks, err) : rc;
}

static enum pb_rc check_plant(void *ctx, const struct pb_plant *p, struct pb_err *err)
{
    struct run *run = ctx;
    struct pb_look_list looks = {NULL, 0};
    enum pb_rc rc = pb_looks_load(run->a->book, (struct pb_looked){PB_PLANT, p->head.n},
                                  &looks.v, &looks.n, err);
    if (rc == PB_OK)
        rc = check_with_looks(run, p, looks, err);
    for (size_t i = 0; i < looks.n; i++)
        pb_look_clear(&looks.v[i]);
    free(looks.v);
    return rc;
}

/* ---- crosses -------------------------------------------------------------------------- */

/* A look or harvest after today. */
static enum pb_rc check_events(struct run *run, const struct pb_cross *x,
                               struct pb_err *why)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < x->look_n && rc == PB_OK; i++)
        rc = pb_act_past(run->a, "on", x->looks[i].on, why);
    for (size_t i = 0; i < x->harvest_n && rc == PB_OK; i++)
        rc = pb_act_past(run->a, "on", x->harvests[i].on, why);
    return rc;
}

/* The rules for a cross that is entered.  A profile that it names may be one of another
 * grower's: then it has no timing, and no fault. */
static enum pb_rc check_entry(struct run *run, const struct pb_cross *x,
                              struct pb_err *why)
{
    struct pb_cross mine = *x; /* ages are worked out in it; nothing else is written */
    int entered = 0;
    enum pb_rc rc = pb_cross_settle(run->a, &mine, &entered, why);
    if (rc == PB_OK)
        rc = pb_cross_parents_came(run->a, &mine, why);
    return rc == PB_ENOTFOUND ? PB_OK : rc;
}

static enum pb_rc check_cross(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct run *run = ctx;
    struct pb_life life = {0};
    struct pb_err why = {0}, day = {0};
    bool holds = false;
    enum pb_rc rc = pb_verify_values_cross(x, tell, run, err);
    if (rc != PB_OK)
        return rc;
    if (x->head.withdrawn)
        return check_open(run, PB_CROSS, &x->head, false, err);
    run->v.crosses++;
    rc = pb_cross_life(x, &life, &holds, &why);
    bool open = !holds || life.open > 0;
    pb_life_clear(&life);
    rc = judge(run, PB_CHECK_LOOKS, x->head.code,
               rc == PB_OK && !holds ? PB_EINVALID : rc, &why, err);
    if (rc == PB_OK)
        rc = check_open(run, PB_CROSS, &x->head, open, err);
    if (rc != PB_OK)
        return rc;
    rc = check_events(run, x, &day);
    if (rc == PB_OK)
        rc = check_entry(run, x, &day);
    rc = judge(run, PB_CHECK_DAY, x->head.code, rc, &day, err);
    return rc == PB_OK ? pb_verify_laws(&run->laws, x, tell, run, err) : rc;
}

/* ---- batches -------------------------------------------------------------------------- */

static enum pb_rc check_days(struct run *run, const struct pb_batch *b,
                             struct pb_err *why)
{
    enum pb_rc rc = pb_act_past(run->a, "on", b->on, why);
    for (size_t i = 0; i < b->look_n && rc == PB_OK; i++)
        rc = pb_act_past(run->a, "on", b->looks[i].on, why);
    return rc == PB_OK ? pb_batch_check_day(run->a, b, why) : rc;
}

static enum pb_rc check_counts(struct run *run, const struct pb_batch *b,
                               struct pb_err *why)
{
    enum pb_rc rc = pb_batch_check(b, why);
    for (size_t i = 0; i < b->look_n && rc == PB_OK; i++)
        rc = pb_look_check(&pb_courses[b->kind], &b->looks[i], why);
    return rc == PB_OK ? pb_batch_check_out(run->a, b, why) : rc;
}

static enum pb_rc check_batch(void *ctx, const struct pb_batch *b, struct pb_err *err)
{
    struct run *run = ctx;
    struct pb_life life = {0};
    struct pb_err why = {0}, day = {0}, count = {0};
    enum pb_rc rc = pb_verify_values_batch(b, tell, run, err);
    if (rc != PB_OK)
        return rc;
    if (b->head.withdrawn)
        return check_open(run, b->kind, &b->head, false, err);
    run->v.batches++;
    rc = pb_batch_replay(b, &life, &why);
    bool holds = rc == PB_OK, open = (!holds || life.open > 0) && !b->elsewhere;
    pb_life_clear(&life);
    rc = judge(run, PB_CHECK_LOOKS, b->head.code, rc, &why, err);
    if (rc == PB_OK)
        rc = check_open(run, b->kind, &b->head, open, err);
    if (rc == PB_OK)
        rc =
            judge(run, PB_CHECK_DAY, b->head.code, check_days(run, b, &day), &day, err);
    if (rc == PB_OK && holds)
        rc = judge(run, PB_CHECK_COUNT, b->head.code, check_counts(run, b, &count),
                   &count, err);
    return rc;
}

/* ---- the whole ------------------------------------------------------------------------ */

/* A row that no podbook wrote is told, and ends the walk. */
static enum pb_rc walked(struct run *run, enum pb_rc rc, const struct pb_err *why,
                         struct pb_err *err)
{
    const struct pb_fault f = {
        PB_CHECK_FILE, NULL, why->text,
        "go back to a backup; what comes behind it was not looked at"};
    if (rc == PB_OK || rc == PB_ENOMEM)
        return rc == PB_OK ? rc : pb_fail_memory(err);
    return tell(run, &f, err);
}

static enum pb_rc walk(struct run *run, struct pb_err *err)
{
    static const struct pb_batch_ask every = {PB_BATCHES_EVERY, PB_KIND_N, 0};
    struct pb_book *book = run->a->book;
    struct pb_err why = {0};
    enum pb_rc rc = pb_book_rings(book, tell, run, &why);
    if (rc == PB_OK)
        rc = pb_provenance_faults(book, PB_PROVENANCE_ALL, 0, tell, run, &why);
    if (rc == PB_OK)
        rc = pb_plants_each(book, PB_PLANTS_EVERY, check_plant, run, &why);
    if (rc == PB_OK)
        rc = pb_crosses_each(book, PB_CROSSES_EVERY, 0, check_cross, run, &why);
    if (rc == PB_OK)
        rc = pb_batches_each(book, every, check_batch, run, &why);
    if (rc == PB_OK)
        rc = pb_verify_reminders(run->a, tell, run, &why);
    return walked(run, rc, &why, err);
}

enum pb_rc pb_act_verify(struct pb_act *a, pb_fault_each *each, void *ctx,
                         struct pb_verified *v, struct pb_err *err)
{
    struct run run = {.a = a, .each = each, .ctx = ctx};
    if (!pb_book_is_there(a->book))
        return pb_fail(err, PB_ENOTFOUND,
                       "there is no book; name the right file with --book");
    pb_verify_laws_open(&run.laws, a);
    enum pb_rc rc = pb_book_faults(a->book, tell, &run, &run.v.damaged, err);
    if (rc == PB_OK && !run.v.damaged)
        rc = walk(&run, err);
    pb_verify_laws_close(&run.laws);
    if (rc == PB_OK)
        *v = run.v;
    return rc;
}
