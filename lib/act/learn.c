/* What the book has learnt about ripening.  See learn.h. */
#include "act/learning.h"

#include "act/setting.h"
#include "base/text.h"
#include "book/learnt.h"
#include "core/intervals.h"
#include "core/ripening_built.h"
#include "core/taxon.h"

#include <inttypes.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static void forget_laws(struct pb_learnt_taxon *t)
{
    for (size_t i = 0; i < t->law_n; i++) {
        pb_ripening_law_free(t->laws[i]->own);
        free(t->laws[i]->brief);
        free(t->laws[i]->memo);
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
    t->bare = NULL;
}

static void taxon_free(struct pb_learnt_taxon *t)
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
        made->book = a->book;
        made->anew = a->learn_anew;
        a->learner = made;
    }
    *out = a->learner;
    return PB_OK;
}

/* One more, empty, in a list of them; NULL: no memory. */
static struct pb_learnt_taxon *add_taxon(struct pb_learnt_taxon ***list, size_t *n,
                                         const char *name)
{
    struct pb_learnt_taxon **more =
        realloc(*list, (*n + 1) * sizeof(struct pb_learnt_taxon *));
    struct pb_learnt_taxon *t = more != NULL ? calloc(1, sizeof(*t)) : NULL;
    if (more != NULL)
        *list = more;
    if (t != NULL)
        t->name = pb_text_copy(name);
    if (t == NULL || t->name == NULL) {
        taxon_free(t);
        return NULL;
    }
    pb_buf_init(&t->version, 200);
    t->changes = -1;
    (*list)[(*n)++] = t;
    return t;
}

/* The taxon's entry, made empty where there is none. */
static enum pb_rc taxon_of(struct pb_learner *learner, const char *name,
                           struct pb_learnt_taxon **out, struct pb_err *err)
{
    struct pb_learnt_taxon *t =
        learner->last; /* crosses of one taxon often come together */
    if (t != NULL && strcmp(t->name, name) == 0) {
        *out = t;
        return PB_OK;
    }
    t = NULL;
    for (size_t i = 0; i < learner->taxon_n && t == NULL; i++)
        if (strcmp(learner->taxa[i]->name, name) == 0)
            t = learner->taxa[i];
    if (t == NULL)
        t = add_taxon(&learner->taxa, &learner->taxon_n, name);
    if (t == NULL)
        return pb_fail_memory(err);
    *out = learner->last = t;
    return PB_OK;
}

/* ---- from the book -------------------------------------------------------------------- */

static enum pb_rc add_life(void *ctx, struct pb_cross *x, struct pb_err *err)
{
    struct pb_learnt_taxon *t = ctx;
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

void pb_learner_drop(struct pb_act *a)
{
    struct pb_learner *learner = a->learner;
    if (learner == NULL)
        return;
    for (size_t i = 0; i < learner->taxon_n; i++)
        taxon_free(learner->taxa[i]);
    for (size_t i = 0; i < learner->bare_n; i++)
        taxon_free(learner->bare[i]);
    free(learner->taxa);
    free(learner->bare);
    free(learner);
    a->learner = NULL;
}

/* One without a name stands for all of which nothing was seen. */
static bool is_bare(const struct pb_learnt_taxon *t)
{
    return t->name[0] == '\0';
}

static enum pb_rc fit(struct pb_learner *learner, struct pb_learnt_taxon *t,
                      struct pb_err *err)
{
    t->lives = 0;
    enum pb_rc rc =
        is_bare(t) ? PB_OK : pb_taxon_lives(learner->book, t->name, add_life, t, err);
    if (rc == PB_OK)
        rc = pb_ripening_fit(&t->prior, t->intervals.v, t->intervals.n, &t->fit, err);
    if (rc != PB_OK)
        return rc;
    t->capsules = pb_ripening_capsules(t->fit);
    return PB_OK;
}

const struct pb_ripening_law *pb_learnt_whole(struct pb_learnt_law *l)
{
    struct pb_learner *learner = l->learner;
    struct pb_learnt_taxon *t = l->taxon;
    enum pb_rc rc = learner->fault.rc;
    if (l->law != NULL || rc != PB_OK)
        return l->law;
    if (t->fit == NULL && !is_bare(t))
        rc = pb_learnt_load_law(learner, l, &l->own, &learner->fault);
    l->law = l->own;
    if (rc == PB_OK && l->law == NULL && t->fit == NULL)
        rc = fit(learner, t, &learner->fault);
    if (rc == PB_OK && l->law == NULL)
        l->law = l->genet == 0 ? pb_ripening_law_unseen(t->fit)
                               : pb_ripening_law_of(t->fit, (uint32_t)l->genet);
    return l->law;
}

/* One more law of a taxon.
 *   brief  taken, on an error too
 *   law    NULL where it stays in the cache until it is asked for */
static enum pb_rc add_law(struct pb_learner *learner, struct pb_learnt_taxon *t,
                          struct pb_ripening_brief *brief,
                          const struct pb_ripening_law *law, struct pb_err *err)
{
    struct pb_learnt_law **more =
        realloc(t->laws, (t->law_n + 1) * sizeof(struct pb_learnt_law *));
    struct pb_learnt_law *l = more != NULL ? calloc(1, sizeof(*l)) : NULL;
    if (more != NULL)
        t->laws = more;
    if (l == NULL) {
        free(brief);
        return pb_fail_memory(err);
    }
    l->learner = learner;
    l->taxon = t;
    l->brief = brief;
    l->law = law;
    t->laws[t->law_n++] = l;
    return PB_OK;
}

/* One more law, of the taxon's fit. */
static enum pb_rc add_fitted(struct pb_learner *learner, struct pb_learnt_taxon *t,
                             const struct pb_ripening_law *law, struct pb_err *err)
{
    struct pb_ripening_brief *brief = NULL;
    enum pb_rc rc = pb_ripening_brief_new(law, PB_RIPENING_BRIEF_NEAR, &brief, err);
    return rc == PB_OK ? add_law(learner, t, brief, law, err) : rc;
}

/* What is believed of a taxon of which nothing was ever seen: the prior alone. */
static enum pb_rc bare_of(struct pb_learner *learner,
                          const struct pb_ripening_prior *prior,
                          struct pb_learnt_taxon **out, struct pb_err *err)
{
    for (size_t i = 0; i < learner->bare_n; i++)
        if (pb_ripening_prior_is(&learner->bare[i]->prior, prior) &&
            learner->bare[i]->law_n > 0) {
            *out = learner->bare[i];
            return PB_OK;
        }
    struct pb_learnt_taxon *t = add_taxon(&learner->bare, &learner->bare_n, "");
    if (t == NULL)
        return pb_fail_memory(err);
    t->prior = *prior;
    const struct pb_ripening_built *built =
        learner->anew ? NULL : pb_ripening_built_find(prior);
    struct pb_ripening_brief *brief = NULL;
    enum pb_rc rc = PB_OK;
    if (built != NULL)
        rc = pb_ripening_brief_unpack(built->bytes, built->n, &brief, err);
    else
        rc = fit(learner, t, err);
    if (rc == PB_OK)
        rc = built != NULL
                 ? add_law(learner, t, brief, NULL, err)
                 : add_fitted(learner, t, pb_ripening_law_unseen(t->fit), err);
    if (rc == PB_OK)
        *out = t;
    return rc;
}

/* By a fit; nothing was seen of it: the prior's. */
static enum pb_rc fit_anew(struct pb_learner *learner, struct pb_learnt_taxon *t,
                           struct pb_err *err)
{
    enum pb_rc rc = fit(learner, t, err);
    if (rc != PB_OK || t->intervals.n > 0 || pb_learnt_is_worth(t))
        return rc == PB_OK ? add_fitted(learner, t, pb_ripening_law_unseen(t->fit), err)
                           : rc;
    forget_laws(t);
    return bare_of(learner, &t->prior, &t->bare, err);
}

/* The laws anew: from the cache, else by a fit.  Every look and harvest counts as a change
 * of its taxon, so that of none nothing need be read. */
static enum pb_rc reload(struct pb_learner *learner, struct pb_learnt_taxon *t,
                         struct pb_err *err)
{
    int64_t capsules = 0;
    struct pb_ripening_brief *kept = NULL;
    forget_laws(t);
    t->capsules = 0;
    pb_buf_reset(&t->version);
    pb_buf_printf(&t->version, "%d/%" PRId32 "-%" PRId32 "/%.0f/%" PRId64,
                  PB_RIPENING_MODEL, t->prior.first, t->prior.last,
                  t->prior.weight * 1000, t->changes);
    enum pb_rc rc = pb_buf_status(&t->version, err);
    if (rc == PB_OK && t->changes == 0 && !learner->anew)
        return bare_of(learner, &t->prior, &t->bare, err);
    if (rc == PB_OK)
        rc = pb_learnt_load_brief(learner, t, 0, &kept, &capsules, err);
    if (rc != PB_OK || kept == NULL)
        return rc == PB_OK ? fit_anew(learner, t, err) : rc;
    t->capsules = (uint64_t)capsules;
    return add_law(learner, t, kept, NULL, err);
}

/* Have the taxon's laws at hand; fresh ones stay. */
static enum pb_rc refresh(struct pb_learner *learner, struct pb_learnt_taxon *t,
                          const struct pb_ripening_prior *prior, struct pb_err *err)
{
    int64_t changes = 0;
    enum pb_rc rc = pb_taxon_changes(learner->book, t->name, &changes, err);
    if (rc != PB_OK ||
        (t->changes == changes && pb_ripening_prior_is(&t->prior, prior)))
        return rc;
    t->prior = *prior;
    t->changes = changes;
    rc = reload(learner, t, err);
    if (rc != PB_OK)
        t->changes = -1;
    return rc;
}

/* The law of a clone as the fit or the cache has it; one without capsules shares that of
 * the unseen. */
static enum pb_rc find_law(struct pb_learner *learner, struct pb_learnt_taxon *t,
                           int64_t genet, struct pb_learnt_law **out,
                           struct pb_err *err)
{
    int64_t capsules = 0;
    struct pb_ripening_brief *brief = NULL;
    enum pb_rc rc = PB_OK;
    if (t->fit != NULL) {
        const struct pb_ripening_law *law = pb_ripening_law_of(t->fit, (uint32_t)genet);
        for (size_t i = 0; i < t->law_n; i++)
            if (t->laws[i]->law == law) {
                *out = t->laws[i];
                return PB_OK;
            }
        rc = add_fitted(learner, t, law, err);
    } else {
        rc = pb_learnt_load_brief(learner, t, genet, &brief, &capsules, err);
        if (rc == PB_OK && brief == NULL) {
            *out = t->laws[0];
            return PB_OK;
        }
        if (rc == PB_OK)
            rc = add_law(learner, t, brief, NULL, err);
    }
    if (rc != PB_OK)
        return rc;
    *out = t->laws[t->law_n - 1];
    (*out)->genet = genet;
    return PB_OK;
}

static enum pb_rc law_of(struct pb_learner *learner, struct pb_learnt_taxon *t,
                         int64_t genet, struct pb_learnt_law **out, struct pb_err *err)
{
    if (t->bare != NULL) {
        *out = t->bare->laws[0];
        return PB_OK;
    }
    for (size_t i = 0; i < t->clone_n; i++)
        if (t->clones[i].genet == genet) {
            *out = t->clones[i].law;
            return PB_OK;
        }
    struct pb_learnt_law *law = NULL;
    enum pb_rc rc = find_law(learner, t, genet, &law, err);
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

/* The lesson of a seed parent, from its law. */
static struct pb_lesson lesson_of(const struct pb_learner *learner,
                                  const struct pb_learnt_taxon *t,
                                  struct pb_learnt_law *l)
{
    struct pb_lesson lesson = {
        .brief = l->brief,
        .law = l,
        .capsules = t->capsules,
        .clone_capsules = l->brief->capsules,
        .scale = 1,
        .split = {-1, -1},
        .tolerance = learner->tolerance,
        .unseen_risk_day = pb_ripening_brief_until(l->brief, learner->tolerance),
    };
    if (t->capsules > 0) {
        lesson.scale = pb_ripening_brief_scale(l->brief);
        pb_ripening_brief_split(l->brief, lesson.split);
    }
    return lesson;
}

enum pb_rc pb_learn(struct pb_act *a, const struct pb_parent *seed,
                    const struct pb_profile_match *match, struct pb_lesson *lesson,
                    struct pb_err *err)
{
    const struct pb_profile_stage *stage =
        match->row != NULL ? pb_profile_ripening(match) : NULL;
    struct pb_learner *learner = NULL;
    struct pb_learnt_taxon *t = NULL;
    struct pb_learnt_law *l = NULL;
    struct pb_buf name;
    enum pb_rc rc = learner_of(a, &learner, err);
    memset(lesson, 0, sizeof(*lesson));
    lesson->scale = 1;
    if (rc != PB_OK || stage == NULL)
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
    if (t == NULL)
        return rc;
    rc = refresh(learner, t, &prior, err);
    if (rc == PB_OK)
        rc = law_of(learner, t, seed->genet.n, &l, err);
    if (l != NULL)
        *lesson = lesson_of(learner, t, l);
    return rc;
}

static enum pb_rc fault_of(const struct pb_learner *learner, struct pb_err *err)
{
    const struct pb_err *f = &learner->fault;
    return f->rc == PB_OK ? PB_OK
                          : pb_fail_at(err, f->rc, f->where, f->line, "%s", f->text);
}

enum pb_rc pb_lesson_law(const struct pb_lesson *lesson,
                         const struct pb_ripening_law **law, struct pb_err *err)
{
    const struct pb_ripening_law *whole = pb_learnt_whole(lesson->law);
    if (whole == NULL)
        return fault_of(lesson->law->learner, err);
    *law = whole;
    return PB_OK;
}

enum pb_rc pb_learn_status(const struct pb_act *a, struct pb_err *err)
{
    return a->learner != NULL ? fault_of(a->learner, err) : PB_OK;
}
