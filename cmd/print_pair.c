/* What is said at once of two parents and of the harvest that they are to give. */
#include "act/absence.h"
#include "act/bloom.h"
#include "act/kin.h"
#include "out.h"
#include "print.h"

#include <stdlib.h>

/* ORDER CROSS_KIND */
static const char *const kind_words[PB_CROSS_KIND_N] = {
    NULL,
    NULL,
    "A selfing: both parents are one clone.",
    "A sib cross: both parents were raised from the same two clones.",
    "A backcross: one parent is a child of the other.",
};

/* A plant of the book that descends from itself: of a cross that is kept already it is said
 * and no more, for the cross is none the worse. */
static enum pb_rc kin_words(struct env *env, const struct pb_cross *x,
                            struct pb_buf *out, struct pb_err *err)
{
    struct pb_err why = {0};
    enum pb_rc rc = pb_kin_cautions(&env->act, x, out, &why);
    if (rc == PB_EINVALID && x->head.n != 0) {
        remark(
            "how close the parents of %s are cannot be told: %s; podbook verify tells "
            "what to do",
            x->head.code, why.text);
        return PB_OK;
    }
    return rc == PB_OK ? PB_OK : pb_fail_at(err, rc, why.where, 0, "%s", why.text);
}

enum pb_rc pair_words(struct env *env, const struct pb_cross *x,
                      enum pb_cross_kind kind, struct pb_buf *out, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    if (kind_words[kind] != NULL)
        pb_buf_printf(out, "%s\n", kind_words[kind]);
    if (x->head.n != 0)
        rc = pb_stigma_words(&env->act, x, out, err);
    if (rc == PB_OK && x->head.n != 0)
        rc = pb_pollen_words(&env->act, x, out, err);
    return rc == PB_OK ? kin_words(env, x, out, err) : rc;
}

enum pb_rc away_words(struct env *env, struct pb_span harvest, struct pb_buf *out,
                      struct pb_err *err)
{
    struct pb_absence *away = NULL;
    size_t n = 0;
    char first[DAY_TEXT], last[DAY_TEXT];
    enum pb_rc rc = pb_away_meets(&env->act, harvest, &away, &n, err);
    for (size_t i = 0; i < n; i++)
        pb_buf_printf(out, "You are away %s to %s: the harvest window meets it.\n",
                      day_text(away[i].span.first, first),
                      day_text(away[i].span.last, last));
    free(away);
    return rc == PB_OK ? pb_buf_status(out, err) : rc;
}

void print_words(struct pb_buf *lines)
{
    char *rest = has_text(lines) ? lines->data : NULL;
    for (char *line; (line = take_line(&rest)) != NULL;)
        say_wrapped("", 2, line);
}
