/* What a learner has fitted, kept in the book and found there again.  See learning.h. */
#include "act/learning.h"

#include "book/learnt.h"

#include <stdlib.h>

enum {
    WORTH_KEEPING = 1000, /* crosses of a taxon without a capsule */
    LAW_BYTES = 1 << 20
};

/* The law in brief and as a whole, as bytes; both buffers are cleared by the caller. */
static enum pb_rc pack(const struct pb_ripening_law *law, struct pb_buf *brief,
                       struct pb_buf *whole, struct pb_err *err)
{
    struct pb_ripening_brief *made = NULL;
    enum pb_rc rc = pb_ripening_brief_new(law, PB_RIPENING_BRIEF_NEAR, &made, err);
    if (rc != PB_OK)
        return rc;
    pb_ripening_brief_pack(made, brief);
    free(made);
    pb_ripening_law_pack(law, whole);
    rc = pb_buf_status(brief, err);
    return rc == PB_OK ? pb_buf_status(whole, err) : rc;
}

static enum pb_rc keep_law(struct pb_book *book, const struct pb_learnt_taxon *t,
                           int64_t genet, struct pb_err *err)
{
    const struct pb_ripening_law *law =
        genet == 0 ? pb_ripening_law_unseen(t->fit)
                   : pb_ripening_law_of(t->fit, (uint32_t)genet);
    const struct pb_learnt kept = {t->name, genet, pb_buf_peek(&t->version),
                                   genet == 0 ? (int64_t)t->capsules
                                              : (int64_t)law->capsules};
    struct pb_buf brief, whole;
    pb_buf_init(&brief, LAW_BYTES);
    pb_buf_init(&whole, LAW_BYTES);
    enum pb_rc rc = pack(law, &brief, &whole, err);
    if (rc == PB_OK)
        rc =
            pb_learnt_keep(book, &kept, (struct pb_learnt_bytes){brief.data, brief.len},
                           (struct pb_learnt_bytes){whole.data, whole.len}, err);
    pb_buf_clear(&whole);
    pb_buf_clear(&brief);
    return rc;
}

static int by_clone(const void *pa, const void *pb)
{
    const struct pb_ripening_obs *a = pa, *b = pb;
    return (a->clone > b->clone) - (a->clone < b->clone);
}

/* Keep the fit of a taxon, for the whole and for each clone. */
static enum pb_rc keep_fit(struct pb_book *book, struct pb_learnt_taxon *t)
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

bool pb_learnt_is_worth(const struct pb_learnt_taxon *t)
{
    return t->fit != NULL && (t->capsules > 0 || t->lives >= WORTH_KEEPING);
}

static void keep_fits(struct pb_book *book, const struct pb_learner *learner)
{
    bool any = false;
    for (size_t i = 0; i < learner->taxon_n; i++)
        any = any || pb_learnt_is_worth(learner->taxa[i]);
    if (!any || pb_book_begin_cache(book, NULL) != PB_OK)
        return;
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < learner->taxon_n && rc == PB_OK; i++)
        if (pb_learnt_is_worth(learner->taxa[i]))
            rc = keep_fit(book, learner->taxa[i]);
    (void)pb_book_end(book, rc, NULL);
}

void pb_learner_close(struct pb_act *a)
{
    if (a->learner != NULL)
        keep_fits(a->book, a->learner);
    pb_learner_drop(a);
}

/* What does not read as what was kept is thrown away like any stale cache. */
static enum pb_rc unless_stale(enum pb_rc rc, struct pb_err *err)
{
    if (rc != PB_EPARSE)
        return rc;
    pb_err_clear(err);
    return PB_OK;
}

enum pb_rc pb_learnt_load_brief(struct pb_learner *learner,
                                const struct pb_learnt_taxon *t, int64_t genet,
                                struct pb_ripening_brief **brief, int64_t *capsules,
                                struct pb_err *err)
{
    struct pb_learnt kept = {t->name, genet, pb_buf_peek(&t->version), 0};
    struct pb_learnt_bytes bytes = {NULL, 0};
    if (learner->anew)
        return PB_OK;
    enum pb_rc rc = pb_learnt_brief(learner->book, &kept, &bytes, err);
    if (rc == PB_OK && bytes.v != NULL) {
        rc = pb_ripening_brief_unpack(bytes.v, bytes.n, brief, err);
        *capsules = kept.capsules;
    }
    free(bytes.v);
    return unless_stale(rc, err);
}

/* The whole of a law from the cache; *law stays NULL where it is not there any more. */
enum pb_rc pb_learnt_load_law(struct pb_learner *learner, const struct pb_learnt_law *l,
                              struct pb_ripening_law **law, struct pb_err *err)
{
    const struct pb_learnt kept = {l->taxon->name, l->genet,
                                   pb_buf_peek(&l->taxon->version), 0};
    struct pb_learnt_bytes bytes = {NULL, 0};
    enum pb_rc rc = pb_learnt_law(learner->book, &kept, &bytes, err);
    if (rc == PB_OK && bytes.v != NULL)
        rc = pb_ripening_law_unpack(bytes.v, bytes.n, law, err);
    free(bytes.v);
    return unless_stale(rc, err);
}
