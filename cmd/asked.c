/* The plants that a command was asked about.  See asked.h. */
#include "asked.h"

#include "act/find.h"

#include <stdlib.h>

bool asked_again(const struct asked *q, size_t i)
{
    size_t k = 0;
    while (k < i && q->rows[k] != q->rows[i])
        k++;
    return k < i;
}

void asked_clear(struct asked *q)
{
    for (size_t i = 0; i < q->n; i++)
        pb_plant_clear(&q->v[i]);
    free(q->v);
    free(q->rows);
}

enum pb_rc asked_find(struct env *env, const struct args *args, struct asked *q,
                      struct pb_err *err)
{
    q->v = calloc(args->word_n, sizeof(*q->v));
    q->rows = calloc(args->word_n, sizeof(*q->rows));
    enum pb_rc rc = q->v != NULL && q->rows != NULL ? PB_OK : pb_fail_memory(err);
    for (size_t i = 0; i < args->word_n && rc == PB_OK; i++) {
        const size_t at = q->n++;
        pb_plant_init(&q->v[at]);
        rc = pb_find_plant(&env->act, NULL, args->words[i], &q->v[at], err);
        q->rows[at] = q->v[at].head.n;
        if (rc == PB_OK && args->word_n > 2 && asked_again(q, at))
            pb_plant_clear(&q->v[--q->n]);
    }
    return rc;
}
