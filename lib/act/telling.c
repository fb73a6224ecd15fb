/* A life that is being told.  See telling.h. */
#include "act/telling.h"

#include "base/text.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { TEXT_BYTES = 4096 }; /* of one line */

void pb_telling_begin(struct pb_telling *t, struct pb_act *a, struct pb_lifeline *list,
                      const struct pb_plant *plant)
{
    *t = (struct pb_telling){.a = a, .list = list, .plant = plant};
    pb_buf_init(&t->text, TEXT_BYTES);
}

const char *pb_plural(int64_t n)
{
    return n == 1 ? "" : "s";
}

enum pb_rc pb_tell(struct pb_telling *t, enum pb_at at, pb_day on, const char *code,
                   struct pb_err *err)
{
    struct pb_lifeline *l = t->list;
    enum pb_rc rc = pb_buf_status(&t->text, err);
    if (rc != PB_OK)
        return rc;
    if (l->n == l->cap) {
        size_t cap = l->cap > 0 ? 2 * l->cap : 32;
        struct pb_happening *more = realloc(l->v, cap * sizeof(*more));
        if (more == NULL)
            return pb_fail_memory(err);
        l->v = more;
        l->cap = cap;
    }
    struct pb_happening *h = &l->v[l->n];
    *h = (struct pb_happening){.on = on, .stage = (int)at, .rank = l->n};
    (void)snprintf(h->code, sizeof(h->code), "%s", code);
    h->text = pb_text_copy(pb_buf_peek(&t->text));
    if (h->text == NULL)
        return pb_fail_memory(err);
    l->n++;
    pb_buf_reset(&t->text);
    return PB_OK;
}

/* What is told of how a flask was emptied. */
static const struct {
    int found;
    enum pb_at stage;
    const char *before, *things, *behind;
} emptied[] = {
    {PB_FLASK_TO_COMPOT,         PB_AT_COMPOT,  "",               "seedling",  " put into a compot"},
    {PB_FLASK_RESCUED_TO_COMPOT, PB_AT_COMPOT,  "contaminated: ", "seedling",
     " rescued into a compot"                                                                      },
    {PB_FLASK_RESCUED_TO_FLASKS, PB_AT_RESCUED, "contaminated: ", "protocorm",
     " rescued into flasks"                                                                        },
    {PB_FLASK_RESCUED,           PB_AT_RESCUED, "contaminated: ", "seedling",  " rescued"          },
};

enum pb_rc pb_tell_emptied(struct pb_telling *t, const struct pb_batch *b, pb_day by,
                           struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < b->look_n && b->kind == PB_FLASK && rc == PB_OK; i++) {
        const struct pb_look *l = &b->looks[i];
        size_t k = 0;
        while (k < PB_ARRAY_LEN(emptied) && emptied[k].found != l->found)
            k++;
        if (k == PB_ARRAY_LEN(emptied) || l->on > by)
            continue;
        pb_buf_adds(&t->text, emptied[k].before);
        if (l->amount >= 0)
            pb_buf_printf(&t->text, "%" PRId64 " %s%s", l->amount, emptied[k].things,
                          pb_plural(l->amount));
        else
            pb_buf_printf(&t->text, "its %ss", emptied[k].things);
        pb_buf_adds(&t->text, emptied[k].behind);
        t->compot = t->compot || emptied[k].stage == PB_AT_COMPOT;
        rc = pb_tell(t, emptied[k].stage, l->on, b->head.code, err);
    }
    return rc;
}

static int by_day(const void *pa, const void *pb)
{
    const struct pb_happening *a = pa, *b = pb;
    bool dated_a = a->on != PB_DAY_NONE, dated_b = b->on != PB_DAY_NONE;
    if (dated_a != dated_b)
        return dated_a ? -1 : 1;
    if (a->on != b->on)
        return a->on < b->on ? -1 : 1;
    if (a->stage != b->stage)
        return a->stage < b->stage ? -1 : 1;
    return (a->rank > b->rank) - (a->rank < b->rank);
}

enum pb_rc pb_telling_end(struct pb_telling *t, enum pb_rc rc)
{
    pb_buf_clear(&t->text);
    if (rc == PB_OK && t->list->n > 1)
        qsort(t->list->v, t->list->n, sizeof(*t->list->v), by_day);
    return rc;
}

void pb_lifeline_clear(struct pb_lifeline *list)
{
    for (size_t i = 0; i < list->n; i++)
        free(list->v[i].text);
    free(list->v);
    memset(list, 0, sizeof(*list));
}
