/*
 * A flask and the look that says it was filled are changed as one: those filled from one
 * source on one day stand behind one look on that source.  See edit.h.
 */
#include "act/edit.h"

#include "act/batch.h"

#include <stdlib.h>
#include <string.h>

/* The flasks of a source that were filled on a day. */
struct together {
    pb_day on;
    char (*id)[PB_ID_TEXT];
    size_t n;
    int64_t sum; /* things in all of them that were counted, -1: in none */
};

static enum pb_rc note_flask(void *ctx, const struct pb_batch *b, struct pb_err *err)
{
    struct together *t = ctx;
    if (b->on != t->on)
        return PB_OK;
    void *more = realloc(t->id, (t->n + 1) * sizeof(*t->id));
    if (more == NULL)
        return pb_fail_memory(err);
    t->id = more;
    memcpy(t->id[t->n++], b->head.id, PB_ID_TEXT);
    if (b->amount >= 0)
        t->sum = t->sum < 0 ? b->amount : t->sum + b->amount;
    return PB_OK;
}

/* t: on is set; its ids are to be freed, after an error too */
static enum pb_rc find_together(struct pb_act *a, int64_t source, struct together *t,
                                struct pb_err *err)
{
    const struct pb_batch_ask ask = {PB_BATCHES_OF_BATCH, PB_FLASK, source};
    return pb_batches_each(a->book, ask, note_flask, t, err);
}

/* Flasks of the old day that have stayed there go to the new one. */
static enum pb_rc move_flasks(struct pb_act *a, int64_t source, pb_day was, pb_day on,
                              struct pb_err *err)
{
    struct together t = {.on = was, .sum = -1};
    enum pb_rc rc = find_together(a, source, &t, err);
    for (size_t i = 0; i < t.n && rc == PB_OK; i++) {
        struct pb_batch b;
        bool found = false;
        pb_batch_init(&b, PB_FLASK);
        rc = pb_batch_find(a->book, PB_BATCH_BY_ID, t.id[i], &b, &found, err);
        b.on = on;
        if (rc == PB_OK && found)
            rc = pb_batch_settle(a, &b, err);
        if (rc == PB_OK && found)
            rc = pb_batch_keep(a, &b, NULL, err);
        pb_batch_clear(&b);
    }
    free(t.id);
    return rc;
}

static bool fills_flasks(const struct pb_batch *source, const struct pb_look *l)
{
    const char *by = pb_courses[source->kind].findings[l->found].command;
    return by != NULL && (strcmp(by, "sow") == 0 || strcmp(by, "replate") == 0);
}

/* Take a look out of the batch and the book. */
static enum pb_rc drop(struct pb_act *a, struct pb_batch *b, size_t i,
                       struct pb_err *err)
{
    enum pb_rc rc = pb_look_withdraw(a->book, b->looks[i].n, err);
    pb_look_clear(&b->looks[i]);
    b->look_n--;
    memmove(&b->looks[i], &b->looks[i + 1], (b->look_n - i) * sizeof(*b->looks));
    return rc;
}

/* The last look of the day says what all flasks of that day hold, as far as it was counted:
 * what is known to be gone from the source does not come back.  Without a flask there is
 * nothing to say. */
static enum pb_rc renew_looks(struct pb_act *a, struct pb_batch *source, pb_day was,
                              const struct together *t, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    bool said = t->n == 0;
    for (size_t i = source->look_n; i > 0 && rc == PB_OK; i--) {
        struct pb_look *l = &source->looks[i - 1];
        if (!fills_flasks(source, l) || (l->on != was && l->on != t->on))
            continue;
        if (said) {
            rc = drop(a, source, i - 1, err);
            continue;
        }
        said = true;
        l->on = t->on;
        l->amount = t->sum;
        rc = pb_look_keep(a->book, (struct pb_looked){source->kind, source->head.n}, l,
                          err);
    }
    return rc == PB_OK ? pb_batch_keep(a, source, NULL, err) : rc;
}

enum pb_rc pb_edit_filled(struct pb_act *a, const struct pb_batch *flask, pb_day was,
                          struct pb_err *err)
{
    struct together t = {.on = flask->on, .sum = -1};
    struct pb_batch source;
    bool found = false;
    if (flask->kind != PB_FLASK || flask->source.n == 0)
        return PB_OK;
    pb_batch_init(&source, PB_SEED);
    enum pb_rc rc =
        was != flask->on ? move_flasks(a, flask->source.n, was, flask->on, err) : PB_OK;
    if (rc == PB_OK)
        rc = find_together(a, flask->source.n, &t, err);
    if (rc == PB_OK)
        rc = pb_batch_find(a->book, PB_BATCH_BY_ID, flask->source.id, &source, &found,
                           err);
    if (rc == PB_OK && found)
        rc = renew_looks(a, &source, was, &t, err);
    pb_batch_clear(&source);
    free(t.id);
    return rc;
}
