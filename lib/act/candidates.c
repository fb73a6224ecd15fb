/* Who can be crossed today.  See candidates.h. */
#include "act/candidates.h"

#include "act/absence.h"
#include "act/bloom.h"
#include "act/setting.h"
#include "base/text.h"
#include "book/batches.h"
#include "book/flowerings.h"
#include "book/learnt.h"
#include "book/plants.h"
#include "core/setrate.h"
#include "core/taxon.h"

#include <stdlib.h>
#include <string.h>

struct finding {
    struct pb_act *a;
    struct pb_pairs_today *t;
    double capsule_limit; /* 0: none */
};

static void candidate_clear(struct pb_candidate *c)
{
    free(c->parent.taxon);
    free(c->parent.clone_name);
    free(c->away);
    memset(c, 0, sizeof(*c));
}

void pb_candidates_clear(struct pb_candidates *list)
{
    for (size_t i = 0; i < list->n; i++)
        candidate_clear(&list->v[i]);
    free(list->v);
    memset(list, 0, sizeof(*list));
}

/* Room for one more; NULL: no memory. */
static struct pb_candidate *append(struct pb_candidates *list)
{
    if (list->n == list->cap) {
        size_t cap = list->cap > 0 ? list->cap * 2 : 16;
        struct pb_candidate *more = realloc(list->v, cap * sizeof(*more));
        if (more == NULL)
            return NULL;
        list->v = more;
        list->cap = cap;
    }
    struct pb_candidate *c = &list->v[list->n++];
    memset(c, 0, sizeof(*c));
    return c;
}

static int by_code(const void *pa, const void *pb)
{
    const struct pb_candidate *a = pa, *b = pb;
    return pb_text_casecmp(a->code, b->code);
}

/* ---- what a seed parent has to give ---------------------------------------------------- */

/* Flowers of a clone as seed parent, by [selfed, crossed]. */
struct sets {
    int64_t genet;
    uint32_t flowers[2], set[2];
};

static enum pb_rc count_life(void *ctx, struct pb_cross *x, struct pb_err *err)
{
    struct sets *s = ctx;
    struct pb_life life = {0};
    bool selfed = false, crossed = false;
    if (x->seed.genet.n != s->genet)
        return PB_OK;
    for (size_t i = 0; i < x->pollen_n; i++) {
        bool same = x->pollen[i].parent.genet.n == s->genet;
        selfed = selfed || same;
        crossed = crossed || !same;
    }
    if (selfed == crossed) /* unknown, or both at once */
        return PB_OK;
    enum pb_rc rc = pb_cross_replay(x, &life, NULL);
    if (rc == PB_EINVALID) /* a received record that contradicts itself */
        return PB_OK;
    if (rc != PB_OK)
        return pb_fail_memory(err);
    pb_life_set(&life, &s->flowers[crossed], &s->set[crossed]);
    pb_life_clear(&life);
    return PB_OK;
}

/* Capsules that a flower is expected to give: the group's published rate, and what the
 * clone's own flowers did. */
static enum pb_rc expect(struct finding *f, const struct pb_profile_match *m,
                         struct pb_candidate *c, struct pb_err *err)
{
    struct sets s = {.genet = c->parent.genet.n};
    struct pb_buf key;
    double *to[2] = {&c->set_self, &c->set_cross};
    double share = m->row != NULL && m->row->set_rate.source != NULL
                       ? m->row->set_rate.share
                       : PB_SETRATE_NONE;
    pb_buf_init(&key, PB_MAX_NAME);
    pb_taxon_key(c->parent.taxon, &key);
    enum pb_rc rc = pb_buf_status(&key, err);
    if (rc == PB_OK)
        rc = pb_taxon_lives(f->a->book, pb_buf_peek(&key), count_life, &s, err);
    pb_buf_clear(&key);
    for (int i = 0; i < 2 && rc == PB_OK; i++) {
        struct pb_setrate_belief belief;
        rc = pb_setrate_learn(pb_setrate_prior(share), s.set[i], s.flowers[i], &belief,
                              err);
        if (rc == PB_OK)
            *to[i] = belief.u / (belief.u + belief.v);
    }
    return rc;
}

struct load {
    int64_t plant;
    int open;
};

static enum pb_rc count_open(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct load *l = ctx;
    struct pb_life life = {0};
    if (x->seed.plant.n != l->plant)
        return PB_OK;
    enum pb_rc rc = pb_cross_replay(x, &life, NULL);
    if (rc == PB_OK)
        l->open += life.open;
    pb_life_clear(&life);
    return rc == PB_ENOMEM ? pb_fail_memory(err) : PB_OK;
}

/* Windows of a cross that would be made today. */
static enum pb_rc look_ahead(struct finding *f, struct pb_candidate *c,
                             struct pb_err *err)
{
    struct pb_outlook o;
    struct pb_cross x;
    struct load load = {c->parent.plant.n, 0};
    pb_outlook_init(&o);
    pb_cross_init(&x);
    x.seed = c->parent; /* borrowed */
    x.flowers = 1;
    x.pollinated = f->a->today;
    enum pb_rc rc = pb_outlook_make(f->a, &x, &o, err);
    if (rc == PB_OK) {
        const struct pb_profile_stage *s =
            o.match.row != NULL ? pb_profile_stage(&o.match, PB_STAGE_RECEPTIVE) : NULL;
        c->receptive = s != NULL ? *s : (struct pb_profile_stage){.best = -1};
        c->match = o.match;
        c->harvest = o.view.harvest;
        rc = pb_away_meets(f->a, c->harvest, &c->away, &c->away_n, err);
    }
    if (rc == PB_OK)
        rc = expect(f, &o.match, c, err);
    if (rc == PB_OK)
        rc = pb_crosses_each(f->a->book, PB_CROSSES_OF, load.plant, count_open, &load,
                             err);
    c->carries = load.open;
    memset(&x.seed, 0, sizeof(x.seed));
    pb_cross_clear(&x);
    pb_outlook_clear(&o);
    return rc;
}

/* ---- who is left out, and why ---------------------------------------------------------- */

/* Is the stigma receptive, and may it carry more?  What speaks against goes to out. */
static bool is_ready(const struct finding *f, const struct pb_candidate *c)
{
    struct pb_buf *out = &f->t->out;
    const struct pb_profile_stage *r = &c->receptive;
    if (r->source != NULL && (c->flower_age < r->from || c->flower_age > r->to)) {
        pb_buf_printf(out,
                      "%s not as seed parent%s: flower day %d, a stigma takes pollen ",
                      c->code, c->flower_age < r->from ? " yet" : "", c->flower_age);
        if (c->flower_age < r->from)
            pb_buf_printf(out, "from day %d (", r->from);
        else
            pb_buf_printf(out, "until day %d (", r->to);
        pb_stage_sources(&c->match, r, out);
        pb_buf_printf(out, ")%s\n",
                      c->flower_age < r->from
                          ? ""
                          : "; a younger flower of the spike may still do, and podbook "
                            "cross takes it");
        return false;
    }
    if (f->capsule_limit > 0 && c->carries >= f->capsule_limit) {
        pb_buf_printf(
            out, "%s not as seed parent: it carries %d, your capsule-limit is %g\n",
            c->code, c->carries, f->capsule_limit);
        return false;
    }
    return true;
}

static enum pb_rc load_candidate(struct finding *f, int64_t plant,
                                 struct pb_candidate *c, struct pb_err *err)
{
    enum pb_rc rc = pb_parent_load(f->a->book, plant, &c->parent, err);
    memcpy(c->plant, c->parent.plant.code, sizeof(c->plant));
    memcpy(c->code, c->plant, sizeof(c->code));
    return rc;
}

/* Flowerings, read before anything is asked about them: what is learnt on the way is kept
 * in the book, which must not happen while its rows are being read. */
struct flowerings {
    struct pb_flowering *v;
    size_t n, cap;
};

static enum pb_rc note_flowering(void *ctx, const struct pb_flowering *f,
                                 struct pb_err *err)
{
    struct flowerings *l = ctx;
    if (l->n == l->cap) {
        size_t cap = l->cap > 0 ? l->cap * 2 : 16;
        struct pb_flowering *more = realloc(l->v, cap * sizeof(*more));
        if (more == NULL)
            return pb_fail_memory(err);
        l->v = more;
        l->cap = cap;
    }
    l->v[l->n++] = *f;
    return PB_OK;
}

static enum pb_rc add_flowering(struct finding *f, const struct pb_flowering *fl,
                                struct pb_err *err)
{
    struct pb_candidate *pollen = append(&f->t->pollen);
    struct pb_candidate *seed = append(&f->t->seed);
    if (pollen == NULL || seed == NULL)
        return pb_fail_memory(err);
    enum pb_rc rc = load_candidate(f, fl->plant, pollen, err);
    if (rc == PB_OK)
        rc = load_candidate(f, fl->plant, seed, err);
    if (rc != PB_OK)
        return rc;
    pollen->flower_age = seed->flower_age = f->a->today - fl->on[PB_BLOOM_OPEN];
    seed->dying = fl->on[PB_BLOOM_DYING] != PB_DAY_NONE;
    rc = look_ahead(f, seed, err);
    if (rc == PB_OK && !is_ready(f, seed)) {
        candidate_clear(seed);
        f->t->seed.n--;
    }
    return rc;
}

static enum pb_rc add_lot(void *ctx, const struct pb_batch *lot, struct pb_err *err)
{
    struct finding *f = ctx;
    int left = pb_pollen_days_left(lot, f->a->today);
    if (pb_pollen_good_days(pb_pollen_kept_as(lot), lot->dried) == 0) {
        pb_buf_printf(&f->t->out, "%s of %s not: frozen undried\n", lot->head.code,
                      lot->plant.code);
        return PB_OK;
    }
    if (left < 0) {
        pb_buf_printf(
            &f->t->out, "%s of %s not: %d days old, past what growers count on by %d\n",
            lot->head.code, lot->plant.code, (int)(f->a->today - lot->on), -left);
        return PB_OK;
    }
    struct pb_candidate *c = append(&f->t->pollen);
    if (c == NULL)
        return pb_fail_memory(err);
    enum pb_rc rc = load_candidate(f, lot->plant.n, c, err);
    memcpy(c->code, lot->head.code, sizeof(c->code));
    c->flower_age = -1;
    c->pollen_age = f->a->today - lot->on;
    c->pollen_left = left;
    return rc;
}

enum pb_rc pb_candidates_find(struct pb_act *a, struct pb_pairs_today *today,
                              struct pb_err *err)
{
    struct finding f = {.a = a, .t = today};
    struct flowerings open = {0};
    enum pb_rc rc = pb_act_setting(a, "capsule-limit", &f.capsule_limit, err);
    if (rc == PB_OK)
        rc = pb_flowerings_open(a->book, a->today, note_flowering, &open, err);
    for (size_t i = 0; i < open.n && rc == PB_OK; i++)
        rc = add_flowering(&f, &open.v[i], err);
    free(open.v);
    if (rc == PB_OK)
        rc = pb_batches_each(a->book,
                             (struct pb_batch_ask){PB_BATCHES_OPEN, PB_POLLEN, 0},
                             add_lot, &f, err);
    if (rc == PB_OK && today->seed.n > 0)
        qsort(today->seed.v, today->seed.n, sizeof(*today->seed.v), by_code);
    if (rc == PB_OK && today->pollen.n > 0)
        qsort(today->pollen.v, today->pollen.n, sizeof(*today->pollen.v), by_code);
    return rc;
}
