/* What the book has learnt about ripening.  See learn.h. */
#include "act/learn.h"

#include "act/amend.h"
#include "base/text.h"
#include "book/learnt.h"
#include "core/intervals.h"
#include "core/taxon.h"

#include <inttypes.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    MEMO_RISKS = 128,     /* answers remembered of a law, by intact day and day */
    MEMO_NEXT = 128,      /* next looks remembered, by intact day */
    WORTH_KEEPING = 1000, /* crosses of a taxon without a capsule */
    LAW_BYTES = 1 << 20
};

struct pb_learnt_law {
    struct pb_ripening_law *own; /* read from the cache; NULL: of the taxon's fit */
    const struct pb_ripening_law *law;
    double scale, split[2]; /* as of the lesson; scale 0: not worked out yet */
    int32_t unseen_risk_day;
    struct {
        struct pb_hanging capsule;
        int32_t day; /* 0: nothing remembered */
        double risk;
    } risks[MEMO_RISKS];
    struct {
        struct pb_hanging capsule;
        int32_t latest, day; /* day 0: nothing remembered */
    } next[MEMO_NEXT];
};

/* What is known of one taxon under one profile row. */
struct taxon {
    char *name; /* its key */
    struct pb_ripening_prior prior;
    int64_t changes; /* of its crosses, when the laws were computed; -1: none are */
    struct pb_buf version; /* the two as text: the cache's key */
    uint64_t capsules;
    struct pb_ripening *fit;     /* NULL: the laws come from the cache */
    struct pb_learnt_law **laws; /* the first: of a clone without capsules */
    size_t law_n;
    struct clone {
        int64_t genet;
        struct pb_learnt_law *law; /* one of the laws; several clones may share it */
    } * clones;
    size_t clone_n;
    struct pb_intervals intervals; /* of the fit */
    size_t lives;
};

struct pb_learner {
    double tolerance;
    struct taxon **taxa;
    size_t taxon_n;
    struct taxon *last; /* asked for last */
};

static void forget_laws(struct taxon *t)
{
    for (size_t i = 0; i < t->law_n; i++) {
        pb_ripening_law_free(t->laws[i]->own);
        free(t->laws[i]);
    }
    free(t->laws);
    t->laws = NULL;
    t->law_n = 0;
    free(t->clones);
    t->clones = NULL;
    t->clone_n = 0;
    pb_ripening_free(t->fit);
    t->fit = NULL;
    free(t->intervals.v);
    memset(&t->intervals, 0, sizeof(t->intervals));
}

static void taxon_free(struct taxon *t)
{
    if (t == NULL)
        return;
    forget_laws(t);
    pb_buf_clear(&t->version);
    free(t->name);
    free(t);
}

static enum pb_rc learner_of(struct pb_act *a, struct pb_learner **out,
                             struct pb_err *err)
{
    if (a->learner == NULL) {
        struct pb_learner *made = calloc(1, sizeof(*made));
        if (made == NULL)
            return pb_fail_memory(err);
        enum pb_rc rc = pb_act_setting(a, "risk", &made->tolerance, err);
        if (rc != PB_OK) {
            free(made);
            return rc;
        }
        a->learner = made;
    }
    *out = a->learner;
    return PB_OK;
}

/* The taxon's entry, made empty where there is none. */
static enum pb_rc taxon_of(struct pb_learner *learner, const char *name,
                           struct taxon **out, struct pb_err *err)
{
    if (learner->last != NULL && strcmp(learner->last->name, name) == 0) {
        *out = learner->last; /* crosses of one taxon often come together */
        return PB_OK;
    }
    for (size_t i = 0; i < learner->taxon_n; i++)
        if (strcmp(learner->taxa[i]->name, name) == 0) {
            *out = learner->last = learner->taxa[i];
            return PB_OK;
        }
    struct taxon **more =
        realloc(learner->taxa, (learner->taxon_n + 1) * sizeof(struct taxon *));
    struct taxon *t = calloc(1, sizeof(*t));
    if (more != NULL)
        learner->taxa = more;
    if (t != NULL)
        t->name = pb_text_copy(name);
    if (more == NULL || t == NULL || t->name == NULL) {
        taxon_free(t);
        return pb_fail_memory(err);
    }
    pb_buf_init(&t->version, 200);
    t->changes = -1;
    learner->taxa[learner->taxon_n++] = t;
    *out = t;
    return PB_OK;
}

/* ---- from the book -------------------------------------------------------------------- */

static enum pb_rc add_life(void *ctx, struct pb_cross *x, struct pb_err *err)
{
    struct taxon *t = ctx;
    struct pb_life life = {0};
    t->lives++;
    /* Looks of a received record may contradict each other: it teaches nothing. */
    enum pb_rc rc = pb_cross_replay(x, &life, NULL);
    if (rc == PB_ENOMEM)
        return pb_fail_memory(err);
    if (rc == PB_OK)
        rc = pb_life_intervals(&life, x->pollinated, (uint32_t)x->seed.genet.n,
                               &t->intervals, err);
    pb_life_clear(&life);
    return rc == PB_EINVALID ? PB_OK : rc;
}

static enum pb_rc keep_law(struct pb_book *book, const struct taxon *t, int64_t genet,
                           struct pb_err *err)
{
    const struct pb_ripening_law *law =
        genet == 0 ? pb_ripening_law_unseen(t->fit)
                   : pb_ripening_law_of(t->fit, (uint32_t)genet);
    struct pb_buf bytes;
    pb_buf_init(&bytes, LAW_BYTES);
    pb_ripening_law_pack(law, &bytes);
    enum pb_rc rc = pb_buf_status(&bytes, err);
    const struct pb_learnt kept = {t->name,
                                   genet,
                                   pb_buf_peek(&t->version),
                                   genet == 0 ? (int64_t)t->capsules
                                              : (int64_t)law->capsules,
                                   pb_buf_peek(&bytes),
                                   bytes.len};
    if (rc == PB_OK)
        rc = pb_learnt_keep(book, &kept, err);
    pb_buf_clear(&bytes);
    return rc;
}

static int by_clone(const void *pa, const void *pb)
{
    const struct pb_ripening_obs *a = pa, *b = pb;
    return (a->clone > b->clone) - (a->clone < b->clone);
}

/* Keep the fit of a taxon, for the whole and for each clone. */
static enum pb_rc keep_fit(struct pb_book *book, struct taxon *t)
{
    struct pb_ripening_obs *v = t->intervals.v;
    enum pb_rc rc = pb_learnt_drop(book, t->name, NULL);
    if (rc == PB_OK)
        rc = keep_law(book, t, 0, NULL);
    if (t->intervals.n > 1)
        qsort(v, t->intervals.n, sizeof(*v), by_clone);
    for (size_t i = 0; i < t->intervals.n && rc == PB_OK; i++)
        if (i == 0 || v[i].clone != v[i - 1].clone)
            rc = keep_law(book, t, v[i].clone, NULL);
    return rc;
}

/* Fitted now, and worth a write? */
static bool is_worth_keeping(const struct taxon *t)
{
    return t->fit != NULL && (t->capsules > 0 || t->lives >= WORTH_KEEPING);
}

static void keep_fits(struct pb_book *book, const struct pb_learner *learner)
{
    bool any = false;
    for (size_t i = 0; i < learner->taxon_n; i++)
        any = any || is_worth_keeping(learner->taxa[i]);
    if (!any || pb_book_begin_cache(book, NULL) != PB_OK)
        return;
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < learner->taxon_n && rc == PB_OK; i++)
        if (is_worth_keeping(learner->taxa[i]))
            rc = keep_fit(book, learner->taxa[i]);
    (void)pb_book_end(book, rc, NULL);
}

void pb_learner_close(struct pb_act *a)
{
    if (a->learner != NULL)
        keep_fits(a->book, a->learner);
    pb_learner_drop(a);
}

void pb_learner_drop(struct pb_act *a)
{
    struct pb_learner *learner = a->learner;
    if (learner == NULL)
        return;
    for (size_t i = 0; i < learner->taxon_n; i++)
        taxon_free(learner->taxa[i]);
    free(learner->taxa);
    free(learner);
    a->learner = NULL;
}

static enum pb_rc fit(struct pb_act *a, struct taxon *t, struct pb_err *err)
{
    t->lives = 0;
    enum pb_rc rc = pb_taxon_lives(a->book, t->name, add_life, t, err);
    if (rc == PB_OK)
        rc = pb_ripening_fit(&t->prior, t->intervals.v, t->intervals.n, &t->fit, err);
    if (rc != PB_OK)
        return rc;
    t->capsules = pb_ripening_capsules(t->fit);
    return PB_OK;
}

/* A law from the cache; *law stays NULL where none is kept under this version. */
static enum pb_rc load_law(struct pb_act *a, const struct taxon *t, int64_t genet,
                           struct pb_ripening_law **law, int64_t *capsules,
                           struct pb_err *err)
{
    struct pb_learnt kept = {t->name, genet, pb_buf_peek(&t->version), 0, NULL, 0};
    void *bytes = NULL;
    if (a->learn_anew)
        return PB_OK;
    enum pb_rc rc = pb_learnt_find(a->book, &kept, &bytes, err);
    if (rc == PB_OK && bytes != NULL) {
        /* what does not read as a law is thrown away like any stale cache */
        if (pb_ripening_law_unpack(bytes, kept.n, law, NULL) != PB_OK)
            *law = NULL;
        *capsules = kept.capsules;
    }
    free(bytes);
    return rc;
}

/* A law that is not among the taxon's yet; own: NULL, or taken.  NULL: no memory. */
static struct pb_learnt_law *new_law(struct taxon *t, const struct pb_ripening_law *law,
                                     struct pb_ripening_law *own)
{
    struct pb_learnt_law **more =
        realloc(t->laws, (t->law_n + 1) * sizeof(struct pb_learnt_law *));
    struct pb_learnt_law *l = more != NULL ? calloc(1, sizeof(*l)) : NULL;
    if (more != NULL)
        t->laws = more;
    if (l == NULL) {
        pb_ripening_law_free(own);
        return NULL;
    }
    l->law = law;
    l->own = own;
    t->laws[t->law_n++] = l;
    return l;
}

/* The laws anew: from the cache, else by a fit. */
static enum pb_rc reload(struct pb_act *a, struct taxon *t, struct pb_err *err)
{
    int64_t capsules = 0;
    struct pb_ripening_law *kept = NULL;
    forget_laws(t);
    pb_buf_reset(&t->version);
    pb_buf_printf(&t->version, "%d/%" PRId32 "-%" PRId32 "/%.0f/%" PRId64,
                  PB_RIPENING_MODEL, t->prior.first, t->prior.last,
                  t->prior.weight * 1000, t->changes);
    enum pb_rc rc = pb_buf_status(&t->version, err);
    if (rc == PB_OK)
        rc = load_law(a, t, 0, &kept, &capsules, err);
    if (rc == PB_OK && kept != NULL)
        t->capsules = (uint64_t)capsules;
    else if (rc == PB_OK)
        rc = fit(a, t, err);
    if (rc != PB_OK) {
        pb_ripening_law_free(kept);
        t->changes = -1;
        return rc;
    }
    const struct pb_ripening_law *unseen =
        kept != NULL ? kept : pb_ripening_law_unseen(t->fit);
    if (new_law(t, unseen, kept) != NULL)
        return PB_OK;
    t->changes = -1;
    return pb_fail_memory(err);
}

/* Have the taxon's laws at hand; fresh ones stay. */
static enum pb_rc refresh(struct pb_act *a, struct taxon *t,
                          const struct pb_ripening_prior *prior, struct pb_err *err)
{
    int64_t changes = 0;
    enum pb_rc rc = pb_taxon_changes(a->book, t->name, &changes, err);
    bool same = t->prior.first == prior->first && t->prior.last == prior->last &&
                !(t->prior.weight < prior->weight) &&
                !(t->prior.weight > prior->weight);
    if (rc != PB_OK || (same && t->changes == changes))
        return rc;
    t->prior = *prior;
    t->changes = changes;
    return reload(a, t, err);
}

/* The law of a clone as the fit or the cache has it; one without capsules shares that of
 * the unseen, and its answers. */
static enum pb_rc find_law(struct pb_act *a, struct taxon *t, int64_t genet,
                           struct pb_learnt_law **out, struct pb_err *err)
{
    int64_t capsules = 0;
    struct pb_ripening_law *own = NULL;
    const struct pb_ripening_law *law = t->laws[0]->law;
    enum pb_rc rc = PB_OK;
    if (t->fit != NULL)
        law = pb_ripening_law_of(t->fit, (uint32_t)genet);
    else
        rc = load_law(a, t, genet, &own, &capsules, err);
    if (own != NULL)
        law = own;
    for (size_t i = 0; rc == PB_OK && i < t->law_n; i++)
        if (t->laws[i]->law == law) {
            *out = t->laws[i];
            return PB_OK;
        }
    if (rc == PB_OK)
        *out = new_law(t, law, own);
    return rc != PB_OK || *out != NULL ? rc : pb_fail_memory(err);
}

static enum pb_rc law_of(struct pb_act *a, struct taxon *t, int64_t genet,
                         struct pb_learnt_law **out, struct pb_err *err)
{
    for (size_t i = 0; i < t->clone_n; i++)
        if (t->clones[i].genet == genet) {
            *out = t->clones[i].law;
            return PB_OK;
        }
    struct pb_learnt_law *law = NULL;
    enum pb_rc rc = find_law(a, t, genet, &law, err);
    if (rc != PB_OK)
        return rc;
    struct clone *more = realloc(t->clones, (t->clone_n + 1) * sizeof(*more));
    if (more == NULL)
        return pb_fail_memory(err);
    t->clones = more;
    t->clones[t->clone_n++] = (struct clone){genet, law};
    *out = law;
    return PB_OK;
}

/* What every cross of the clone asks for, once. */
static void work_out(struct pb_learnt_law *l, double tolerance)
{
    double day = 0;
    if (l->scale > 0)
        return;
    if (!pb_ripening_scale(l->law, &l->scale) || !(l->scale > 0))
        l->scale = 1;
    if (!pb_ripening_quantile(l->law, 0.05, &l->split[0]) ||
        !pb_ripening_quantile(l->law, 0.95, &l->split[1]))
        l->split[0] = l->split[1] = -1;
    l->unseen_risk_day = pb_ripening_quantile(l->law, tolerance, &day)
                             ? (int32_t)floor(day)
                             : PB_RIPENING_DAYS;
}

enum pb_rc pb_learn(struct pb_act *a, const struct pb_parent *seed,
                    const struct pb_profile_match *match, struct pb_lesson *lesson,
                    struct pb_err *err)
{
    const struct pb_profile_stage *stage =
        match->row != NULL ? pb_profile_ripening(match) : NULL;
    struct pb_learner *learner = NULL;
    struct taxon *t = NULL;
    struct pb_buf name;
    enum pb_rc rc = learner_of(a, &learner, err);
    memset(lesson, 0, sizeof(*lesson));
    lesson->scale = 1;
    if (learner == NULL || stage == NULL)
        return rc;
    lesson->tolerance = learner->tolerance;
    const struct pb_ripening_prior prior = {stage->from, stage->to,
                                            pb_profile_weight(match, stage)};
    pb_buf_init(&name, PB_MAX_NAME);
    pb_taxon_key(seed->taxon, &name);
    rc = pb_buf_status(&name, err);
    if (rc == PB_OK)
        rc = taxon_of(learner, pb_buf_peek(&name), &t, err);
    pb_buf_clear(&name);
    struct pb_learnt_law *l = NULL;
    if (t == NULL)
        return rc;
    rc = refresh(a, t, &prior, err);
    if (rc == PB_OK)
        rc = law_of(a, t, seed->genet.n, &l, err);
    if (l == NULL || l->law == NULL)
        return rc;
    work_out(l, learner->tolerance);
    lesson->memo = l;
    lesson->law = l->law;
    lesson->capsules = t->capsules;
    lesson->clone_capsules = l->law->capsules;
    lesson->scale = t->capsules > 0 ? l->scale : 1;
    memcpy(lesson->split, l->split, sizeof(lesson->split));
    lesson->unseen_risk_day = l->unseen_risk_day;
    return PB_OK;
}

/* ---- questions ------------------------------------------------------------------------ */

static double risk_of(const struct pb_ripening_law *law, struct pb_hanging c,
                      int32_t day)
{
    return c.in_data ? pb_ripening_risk(law, c.intact, day)
                     : pb_ripening_risk_apart(law, c.intact, day);
}

double pb_lesson_risk(const struct pb_lesson *lesson, struct pb_hanging c, int32_t day)
{
    struct pb_learnt_law *l = lesson->memo;
    size_t slot = (size_t)(uint32_t)(c.intact * 31 + day * 7 + c.in_data) % MEMO_RISKS;
    if (day <= 0)
        return 0;
    if (l->risks[slot].day != day || l->risks[slot].capsule.intact != c.intact ||
        l->risks[slot].capsule.in_data != c.in_data) {
        l->risks[slot].capsule = c;
        l->risks[slot].day = day;
        l->risks[slot].risk = risk_of(lesson->law, c, day);
    }
    return l->risks[slot].risk;
}

int32_t pb_lesson_risk_day(const struct pb_lesson *lesson, struct pb_hanging c,
                           int32_t latest)
{
    int32_t low = c.intact,
            high = latest + 1; /* low is within, high is past or unknown */
    while (high - low > 1) {
        int32_t mid = low + (high - low) / 2;
        if (risk_of(lesson->law, c, mid) <= lesson->tolerance)
            low = mid;
        else
            high = mid;
    }
    return high;
}

int32_t pb_lesson_next_look(const struct pb_lesson *lesson, struct pb_hanging c,
                            int32_t latest)
{
    struct pb_learnt_law *l = lesson->memo;
    size_t slot = (size_t)(uint32_t)(c.intact * 2 + c.in_data) % MEMO_NEXT;
    if (l->next[slot].day == 0 || l->next[slot].capsule.intact != c.intact ||
        l->next[slot].capsule.in_data != c.in_data || l->next[slot].latest != latest) {
        int32_t day = pb_lesson_risk_day(lesson, c, latest) - 1;
        l->next[slot].capsule = c;
        l->next[slot].latest = latest;
        l->next[slot].day = day > c.intact ? day : c.intact + 1;
    }
    return l->next[slot].day;
}
