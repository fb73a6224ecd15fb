/* Undo.  See amend.h. */
#include "act/amend.h"

#include "act/enter.h"
#include "act/shoot.h"
#include "base/text.h"
#include "book/batches.h"
#include "book/crosses.h"
#include "book/history.h"
#include "book/plants.h"
#include "core/life.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MAX_CODES = 1 << 26 }; /* bytes of the codes that one act changed */

/* The records that an undo touches and whose looks held together before it; those of a
 * received one may contradict each other. */
struct touched {
    struct pb_act *a;
    char (*held)[PB_ID_TEXT];
    size_t n;
};

/* A record by its code, with its life as far as that holds; of a plant whether its looks
 * do. */
struct touched_record {
    enum pb_kind kind; /* PB_KIND_N: it is gone */
    struct pb_plant plant;
    struct pb_cross cross;
    struct pb_batch batch;
    struct pb_life life;
    bool holds;
    struct pb_err why; /* where it does not */
};

static void touched_clear(struct touched_record *t)
{
    pb_life_clear(&t->life);
    pb_cross_clear(&t->cross);
    pb_batch_clear(&t->batch);
    pb_plant_clear(&t->plant);
}

static const char *touched_id(const struct touched_record *t)
{
    return t->kind == PB_CROSS   ? t->cross.head.id
           : t->kind == PB_PLANT ? t->plant.head.id
                                 : t->batch.head.id;
}

static enum pb_rc touched_load(struct pb_act *a, const char *code,
                               struct touched_record *t, struct pb_err *err)
{
    bool cross = false, batch = false, plant = false;
    memset(t, 0, sizeof(*t));
    pb_plant_init(&t->plant);
    pb_cross_init(&t->cross);
    pb_batch_init(&t->batch, PB_SEED);
    t->kind = PB_KIND_N;
    enum pb_rc rc =
        pb_cross_find(a->book, PB_CROSS_BY_CODE, code, &t->cross, &cross, err);
    if (rc == PB_OK && !cross)
        rc = pb_batch_find(a->book, PB_BATCH_BY_CODE, code, &t->batch, &batch, err);
    if (rc == PB_OK && !cross && !batch)
        rc = pb_plant_find_alone(a->book, PB_PLANT_BY_CODE, code, &t->plant, &plant,
                                 err);
    if (rc != PB_OK || (!cross && !batch && !plant))
        return rc;
    t->kind = cross ? PB_CROSS : plant ? PB_PLANT : t->batch.kind;
    rc = cross   ? pb_cross_replay(&t->cross, &t->life, &t->why)
         : plant ? pb_shoot_check(a, &t->plant, &t->why)
                 : pb_batch_replay(&t->batch, &t->life, &t->why);
    if (rc == PB_OK && batch)
        rc = pb_batch_check(&t->batch, &t->why);
    t->holds = rc == PB_OK;
    return rc == PB_OK || rc == PB_EINVALID ? PB_OK
                                            : pb_fail(err, rc, "%s", t->why.text);
}

static enum pb_rc note_held(void *ctx, const char *code, struct pb_err *err)
{
    struct touched *t = ctx;
    struct touched_record r;
    enum pb_rc rc = touched_load(t->a, code, &r, err);
    if (rc == PB_OK && r.kind != PB_KIND_N && r.holds) {
        void *more = realloc(t->held, (t->n + 1) * sizeof(*t->held));
        if (more == NULL) {
            rc = pb_fail_memory(err);
        } else {
            t->held = more;
            memcpy(t->held[t->n++], touched_id(&r), PB_ID_TEXT);
        }
    }
    touched_clear(&r);
    return rc;
}

static bool held(const struct touched *t, const char *id)
{
    for (size_t i = 0; i < t->n; i++)
        if (strcmp(t->held[i], id) == 0)
            return true;
    return false;
}

/* Whether a record that an undo touched is open follows from what is left of it, which
 * holds together if it did before; one that did not is open. */
static enum pb_rc reopen(void *ctx, const char *code, struct pb_err *err)
{
    const struct touched *t = ctx;
    struct touched_record r;
    enum pb_rc rc = touched_load(t->a, code, &r, err);
    bool open = !r.holds || r.life.open > 0;
    if (rc == PB_OK && r.kind != PB_KIND_N && !r.holds && held(t, touched_id(&r)))
        rc = pb_fail(err, PB_ECONFLICT,
                     "cannot be taken back, %s would contradict itself: %s%s%s", code,
                     r.why.where, r.why.where[0] != '\0' ? ": " : "", r.why.text);
    if (rc == PB_OK && r.kind == PB_CROSS)
        rc = pb_cross_update(t->a->book, &r.cross, open, err);
    else if (rc == PB_OK && r.kind != PB_KIND_N && r.kind != PB_PLANT)
        rc = pb_batch_update(t->a->book, &r.batch, open, err);
    touched_clear(&r);
    return rc;
}

static enum pb_rc add_code(void *ctx, const char *code, struct pb_err *err)
{
    struct pb_buf *codes = ctx;
    pb_buf_printf(codes, "%s%s", codes->len > 0 ? "\n" : "", code);
    return pb_buf_status(codes, err);
}

static enum pb_rc undo(struct pb_act *a, int64_t n, struct pb_undone *u,
                       struct pb_err *err)
{
    struct touched touched = {.a = a};
    enum pb_rc rc = n == 0 ? pb_history_newest(a->book, &n, err) : PB_OK;
    if (rc == PB_OK && n == 0)
        rc = pb_fail(err, PB_ENOTFOUND, "there is nothing to take back");
    u->n = n;
    u->by = pb_book_act(a->book);
    if (rc == PB_OK)
        rc = pb_history_codes(a->book, n, add_code, &u->codes, err);
    if (rc == PB_OK)
        rc = pb_history_touched(a->book, n, note_held, &touched, err);
    if (rc == PB_OK)
        rc = pb_history_undo(a->book, n, a->now, &u->command, err);
    if (rc == PB_OK)
        rc = pb_history_touched(a->book, n, reopen, &touched, err);
    free(touched.held);
    return rc;
}

enum pb_rc pb_act_undo(struct pb_act *a, int64_t n, struct pb_undone *undone,
                       struct pb_err *err)
{
    struct pb_undone u = {0};
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    pb_buf_init(&u.codes, MAX_CODES);
    rc = undo(a, n, &u, err);
    rc = pb_book_end(a->book, rc, err);
    if (rc == PB_OK)
        *undone = u;
    else
        pb_undone_clear(&u);
    return rc;
}

void pb_undone_clear(struct pb_undone *undone)
{
    free(undone->command);
    pb_buf_clear(&undone->codes);
    memset(undone, 0, sizeof(*undone));
}
