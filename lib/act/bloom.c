/* Flowerings and stored pollen.  See bloom.h. */
#include "act/bloom.h"

#include "act/find.h"
#include "act/stay.h"
#include "act/timing.h"
#include "base/text.h"
#include "book/crosses.h"
#include "book/flowerings.h"
#include "book/plants.h"

#include <stdlib.h>
#include <string.h>

/* On the day a plant left its flowers may end, but none appear. */
static enum pb_rc check_leaving(const struct pb_plant *p, const struct pb_blooming *b,
                                struct pb_err *err)
{
    char day[PB_DAY_TEXT];
    if (p->gone == PB_GONE_NOT || p->gone_on != b->on || b->what >= PB_BLOOM_OVER)
        return PB_OK;
    return pb_fail_at(err, PB_EINVALID, "on", 0,
                      "%s is booked as %s on %s: no %s that day; if it is still "
                      "here, say podbook amend %s gone=",
                      p->head.code, pb_gone_names[p->gone], pb_day_format(b->on, day),
                      b->what == PB_BLOOM_SPIKE ? "spike begins" : "flower opens",
                      p->head.code);
}

static enum pb_rc bloom(struct pb_act *a, const struct pb_blooming *b,
                        struct pb_plant *p, struct pb_flowering *f, struct pb_err *err)
{
    enum pb_rc rc = pb_act_past(a, "on", b->on, err);
    if (rc == PB_OK)
        rc = pb_find_plant(a, NULL, b->code, p, err);
    if (rc == PB_OK)
        rc = pb_stay_here(p, b->on, err);
    if (rc == PB_OK)
        rc = check_leaving(p, b, err);
    if (rc == PB_OK)
        rc = pb_stay_came(a, p, b->on, err);
    if (rc == PB_OK)
        rc = pb_flowering_newest(a->book, p->head.n, f, err);
    if (rc == PB_OK)
        rc = pb_flowering_enter(f, b->what, b->on, err);
    if (rc == PB_OK)
        rc = pb_flowering_keep(a->book, f, err);
    if (rc != PB_OK)
        return rc;
    pb_act_touch(a, &p->head);
    return pb_plant_update(a->book, p, err);
}

enum pb_rc pb_act_bloom(struct pb_act *a, const struct pb_blooming *b,
                        struct pb_plant *p, struct pb_flowering *f, struct pb_err *err)
{
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = bloom(a, b, p, f, err);
    return pb_book_end(a->book, rc, err);
}

int pb_pollen_days_left(const struct pb_batch *lot, pb_day today)
{
    return lot->on + pb_pollen_good_days(pb_pollen_kept_as(lot), lot->dried) - today;
}

void pb_stage_sources(const struct pb_profile_match *m,
                      const struct pb_profile_stage *stage, struct pb_buf *out)
{
    const struct pb_profile_source *s = NULL;
    for (size_t i = 0; (s = pb_profile_source(m->table, stage->source, i)) != NULL; i++)
        pb_buf_printf(out, "%s%s", i > 0 ? "; " : "", s->text);
}

/* Days since the first flower of the flowering that was open then; -1: none was. */
static enum pb_rc days_open(struct pb_act *a, const struct pb_cross *x, int *age,
                            struct pb_err *err)
{
    struct pb_flowering f;
    pb_flowering_init(&f);
    enum pb_rc rc = pb_flowering_newest(a->book, x->seed.plant.n, &f, err);
    *age = rc == PB_OK && pb_flowering_is_open(&f, x->pollinated)
               ? x->pollinated - f.on[PB_BLOOM_OPEN]
               : -1;
    return rc;
}

enum pb_rc pb_stigma_words(struct pb_act *a, const struct pb_cross *x,
                           struct pb_buf *out, struct pb_err *err)
{
    struct pb_profile_match m;
    int age = x->flower_age;
    enum pb_rc rc = pb_timing_find(a, &x->seed, x->profile, &m, err);
    if (rc == PB_OK && age < 0)
        rc = days_open(a, x, &age, err);
    const struct pb_profile_stage *s =
        rc == PB_OK && m.row != NULL ? pb_profile_stage(&m, PB_STAGE_RECEPTIVE) : NULL;
    if (s == NULL || age < 0 || (age >= s->from && age <= s->to))
        return rc;
    pb_buf_printf(out,
                  "%s: flower day %d%s; a stigma of this group takes pollen from day "
                  "%d to day %d",
                  x->seed.plant.code, age,
                  x->flower_age < 0 ? ", counted from its first flower" : "", s->from,
                  s->to);
    if (s->best >= 0)
        pb_buf_printf(out, ", best about day %d", s->best);
    pb_buf_adds(out, " (");
    pb_stage_sources(&m, s, out);
    pb_buf_adds(out, ").\n");
    return pb_buf_status(out, err);
}

static enum pb_rc tell_gone(struct pb_act *a, const struct pb_ref *parent, pb_day on,
                            struct pb_buf *out, struct pb_err *err)
{
    struct pb_plant p;
    bool found = false;
    char day[PB_DAY_TEXT];
    pb_plant_init(&p);
    enum pb_rc rc =
        pb_plant_find(a->book, PB_PLANT_BY_CODE, parent->code, &p, &found, err);
    if (rc == PB_OK && found && p.gone_on != PB_DAY_NONE && p.gone_on < on)
        pb_buf_printf(out,
                      "%s was %s on %s: this pollen is not fresh. Where some was kept, "
                      "enter it (podbook pollen %s --on DATE) and name the lot as the "
                      "pollen parent.\n",
                      p.head.code,
                      p.gone == PB_DEAD ? "booked as dead" : pb_gone_names[p.gone],
                      pb_day_format(p.gone_on, day), p.head.code);
    pb_plant_clear(&p);
    return rc;
}

enum pb_rc pb_pollen_words(struct pb_act *a, const struct pb_cross *x,
                           struct pb_buf *out, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < x->pollen_n && rc == PB_OK; i++)
        if (x->pollen[i].lot[0] == '\0' && x->pollen[i].parent.gone)
            rc = tell_gone(a, &x->pollen[i].parent.plant, x->pollinated, out, err);
    return rc == PB_OK ? pb_buf_status(out, err) : rc;
}
