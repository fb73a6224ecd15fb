/* A received seed lot, flask, cutting or pollen lot.  See incoming.h. */
#include "act/incoming.h"

#include "act/batch.h"
#include "base/text.h"
#include "book/arrive.h"
#include "book/crosses.h"

#include <stdlib.h>
#include <string.h>

static struct pb_look_list looks_of(const struct pb_batch *b)
{
    return (struct pb_look_list){b->looks, b->look_n};
}

/* Nothing of it lies in the future, and each look says what it must. */
static enum pb_rc check(const struct pb_incoming *in, const struct pb_batch *b,
                        struct pb_err *err)
{
    enum pb_rc rc = pb_incoming_day(in, "on", b->on, err);
    if (rc == PB_OK)
        rc = pb_incoming_look_days(in, looks_of(b), err);
    for (size_t i = 0; rc == PB_OK && i < b->look_n; i++)
        rc = pb_look_check(&pb_courses[b->kind], &b->looks[i], err);
    if (rc == PB_OK && b->kind == PB_SEED)
        rc = pb_seedlife_check(&b->constants, b->celsius, err);
    return rc;
}

/* ---- what it names -------------------------------------------------------------------- */

/* The cross that it carries is received first, as a record of its own. */
static enum pb_rc take_cross(struct pb_incoming *in, struct pb_record *rec,
                             struct pb_err *err)
{
    struct pb_incoming *carried = in->carried;
    struct pb_head *head = &rec->cross.head;
    carried->receipt->kind = PB_CROSS;
    carried->receipt->revision = head->revision;
    memcpy(carried->receipt->there, head->code, sizeof(carried->receipt->there));
    return pb_incoming_cross(carried, &rec->cross, err);
}

/* Rows for the records that it names.  What it came from may be in another book for good,
 * or come later: then its id is kept. */
static enum pb_rc resolve(struct pb_incoming *in, struct pb_record *rec,
                          struct pb_err *err)
{
    struct pb_batch *b = &rec->batch;
    struct pb_cross x;
    struct pb_batch source;
    bool found = false;
    if (b->cross.id[0] == '\0')
        return pb_incoming_parent(in, &rec->parent, PB_DAY_NONE, &b->plant.n, err);
    pb_cross_init(&x);
    pb_batch_init(&source, PB_SEED);
    enum pb_rc rc =
        pb_cross_find(in->a->book, PB_CROSS_BY_ID, b->cross.id, &x, &found, err);
    b->cross.n = x.head.n;
    if (rc == PB_OK && b->source.id[0] != '\0')
        rc = pb_batch_find(in->a->book, PB_BATCH_BY_ID, b->source.id, &source, &found,
                           err);
    if (rc == PB_OK && source.head.n != 0 && source.kind != b->source_kind)
        rc = pb_fail_at(err, PB_ECONFLICT, "source", 0, "%s is a %s here",
                        source.head.code, pb_courses[source.kind].noun);
    b->source.n = source.head.n;
    pb_cross_clear(&x);
    pb_batch_clear(&source);
    return rc;
}

/* ---- the batch itself ------------------------------------------------------------------- */

/* Whether anything of it is open.  Looks that contradict each other, or take out more than
 * was in, are kept, told, and leave it open, so that somebody sees it. */
static enum pb_rc follow(struct pb_incoming *in, const struct pb_batch *b, bool *open,
                         struct pb_err *err)
{
    struct pb_life life = {0};
    struct pb_err why = {0};
    enum pb_rc rc = pb_batch_replay(b, &life, &why);
    if (rc == PB_OK) {
        *open = life.open > 0;
        rc = pb_batch_check(b, &why);
    }
    pb_life_clear(&life);
    if (rc != PB_EINVALID)
        return rc == PB_OK ? PB_OK : pb_fail(err, rc, "%s", why.text);
    *open = true;
    pb_incoming_conflict(in, &why);
    return PB_OK;
}

/* What our records rest on is not taken away by another book. */
static enum pb_rc check_withdrawn(struct pb_incoming *in, const struct pb_batch *ours,
                                  struct pb_err *err)
{
    bool used = false;
    char who[PB_MAX_CODE + 1] = "";
    enum pb_rc rc = pb_batch_is_used(in->a->book, ours, &used, who, err);
    if (rc == PB_OK && used)
        rc = pb_fail(err, PB_ECONFLICT,
                     "%s was withdrawn there, but %s rests on it here; withdraw that "
                     "first",
                     ours->head.code, who);
    return rc;
}

static enum pb_rc write_over(struct pb_incoming *in, struct pb_batch *b,
                             const struct pb_batch *ours, bool open, struct pb_err *err)
{
    bool ring = false;
    b->head.n = ours->head.n;
    b->elsewhere = ours->elsewhere;
    memcpy(b->head.code, ours->head.code, sizeof(b->head.code));
    memcpy(b->head.origin_code, ours->head.origin_code, sizeof(b->head.origin_code));
    enum pb_rc rc = pb_batch_update(in->a->book, b, open, err);
    for (size_t i = 0; rc == PB_OK && i < b->look_n; i++)
        rc = pb_look_keep(in->a->book, (struct pb_looked){b->kind, b->head.n},
                          &b->looks[i], err);
    if (rc == PB_OK)
        rc = pb_batch_is_ring(in->a->book, b->head.n, &ring, err);
    if (rc == PB_OK && ring)
        rc = pb_fail(err, PB_EINVALID, "it would make %s come out of itself",
                     b->head.code);
    return rc;
}

static enum pb_rc enter_new(struct pb_incoming *in, struct pb_batch *b, bool open,
                            struct pb_err *err)
{
    bool ring = false;
    b->elsewhere = in->stay;
    enum pb_rc rc =
        pb_incoming_code(in, pb_courses[b->kind].letter, b->on, &b->head, err);
    if (rc == PB_OK)
        rc = pb_batch_insert(in->a->book, b, open, err);
    if (rc == PB_OK)
        rc = pb_batch_link(in->a->book, b, err);
    if (rc == PB_OK)
        rc = pb_batch_is_ring(in->a->book, b->head.n, &ring, err);
    if (rc == PB_OK && ring)
        rc = pb_fail(err, PB_EINVALID, "it would make %s come out of itself",
                     b->head.code);
    return rc;
}

/* Its cross is that of what it came from and of what came out of it here; its capsules may
 * be put right by a record that is still to come. */
static enum pb_rc check_origin(struct pb_incoming *in, const struct pb_batch *b,
                               const struct pb_batch *ours, struct pb_err *err)
{
    bool same = ours->head.n != 0 && strcmp(b->cross.id, ours->cross.id) == 0 &&
                strcmp(b->source.id, ours->source.id) == 0;
    enum pb_rc rc =
        same ? PB_OK : pb_incoming_origin(in, PB_PROVENANCE_BATCH, b->head.n, err);
    return rc == PB_OK && b->kind == PB_SEED
               ? pb_incoming_capsules(in, PB_PROVENANCE_LOT, b->head.n, err)
               : rc;
}

/* Write theirs over ours, or enter it; our code stays, a taken one gets a new one. */
static enum pb_rc keep_batch(struct pb_incoming *in, struct pb_record *rec,
                             const struct pb_batch *ours, struct pb_err *err)
{
    struct pb_batch *b = &rec->batch;
    bool open = true;
    enum pb_rc rc = PB_OK;
    if (b->head.withdrawn && ours->head.n != 0 && !ours->head.withdrawn)
        rc = check_withdrawn(in, ours, err);
    if (rc == PB_OK)
        rc = resolve(in, rec, err);
    if (rc == PB_OK)
        rc = pb_incoming_looks(in, (struct pb_looked){b->kind, ours->head.n},
                               looks_of(b), looks_of(ours), err);
    if (rc == PB_OK)
        rc = follow(in, b, &open, err);
    if (rc != PB_OK)
        return rc;
    if (b->head.origin_code[0] == '\0')
        memcpy(b->head.origin_code, b->head.code, sizeof(b->head.origin_code));
    in->changed = true;
    rc = ours->head.n != 0 ? write_over(in, b, ours, open, err)
                           : enter_new(in, b, open, err);
    if (rc == PB_OK)
        rc = check_origin(in, b, ours, err);
    memcpy(in->receipt->code, b->head.code, sizeof(in->receipt->code));
    return rc;
}

/* ---- given ---------------------------------------------------------------------------- */

/* The look by which a thing of one unit was given, NULL: none. */
static struct pb_look *given_look(const struct pb_batch *b)
{
    const struct pb_course *course = &pb_courses[b->kind];
    int given = pb_finding_find(course, "given");
    for (size_t i = 0; i < b->look_n && !course->many; i++)
        if (b->looks[i].found == given)
            return &b->looks[i];
    return NULL;
}

static void drop_look(struct pb_batch *b, struct pb_look *look)
{
    pb_look_clear(look);
    for (struct pb_look *last = b->looks + --b->look_n; look < last; look++)
        *look = look[1];
}

static enum pb_rc add_look(struct pb_batch *b, const struct pb_look *look,
                           struct pb_err *err)
{
    struct pb_look *v = realloc(b->looks, (b->look_n + 1) * sizeof(*v));
    if (v == NULL)
        return pb_fail_memory(err);
    b->looks = v;
    v[b->look_n] = *look;
    v[b->look_n].scale = v[b->look_n].method = NULL; /* those go with a count */
    v[b->look_n].note = pb_text_copy(look->note);
    b->look_n++;
    return look->note == NULL || v[b->look_n - 1].note != NULL ? PB_OK
                                                               : pb_fail_memory(err);
}

/* Each book has its own word of a thing that is or was there; of one that stands elsewhere
 * it takes theirs.  What was given here and is followed on there stands elsewhere from now
 * on.
 *   told  out: the day that a reader should know of; PB_DAY_NONE: nothing */
static enum pb_rc settle_given(const struct pb_incoming *in, struct pb_batch *ours,
                               struct pb_batch *theirs, pb_day *told,
                               struct pb_err *err)
{
    struct pb_look *there = given_look(theirs), *here = given_look(ours);
    bool is_new = ours->head.n == 0;
    *told = PB_DAY_NONE;
    if (there != NULL && (is_new ? !in->here : here == NULL && !ours->elsewhere))
        *told = there->on;
    if (there != NULL && (is_new ? in->here : here == NULL && !ours->elsewhere))
        drop_look(theirs, there);
    if (there != NULL || here == NULL)
        return PB_OK;
    if (theirs->head.revision <= ours->head.revision)
        return add_look(theirs, here, err);
    ours->elsewhere = true;
    return PB_OK;
}

/* ---- ours and theirs -------------------------------------------------------------------- */

struct two {
    struct pb_batch ours, *theirs;
};

static enum pb_rc same(void *ctx, bool whole, bool *is_same, struct pb_err *err)
{
    struct two *two = ctx;
    return pb_batch_same(&two->ours, two->theirs, whole, is_same, err);
}

static enum pb_rc keep_private(void *ctx, bool later, struct pb_err *err)
{
    struct two *two = ctx;
    return pb_batch_keep_private(two->theirs, &two->ours, later, err);
}

enum pb_rc pb_incoming_batch(struct pb_incoming *in, struct pb_record *rec,
                             struct pb_err *err)
{
    struct two two = {.theirs = &rec->batch};
    struct pb_head *head = &rec->batch.head;
    bool here = false, found = false, write = false;
    pb_day told = PB_DAY_NONE;
    pb_batch_init(&two.ours, rec->batch.kind);
    enum pb_rc rc = pb_incoming_id(in, two.theirs->kind, head->id, &here, err);
    if (rc == PB_OK)
        rc = check(in, two.theirs, err);
    if (rc == PB_OK && two.theirs->cross.id[0] != '\0')
        rc = take_cross(in, rec, err);
    if (rc == PB_OK) /* again: a parent of that cross may have taken it */
        rc = pb_incoming_id(in, two.theirs->kind, head->id, &here, err);
    if (rc == PB_OK && here)
        rc = pb_batch_find(in->a->book, PB_BATCH_BY_ID, head->id, &two.ours, &found,
                           err);
    const bool was_elsewhere = two.ours.elsewhere;
    if (rc == PB_OK)
        rc = settle_given(in, &two.ours, two.theirs, &told, err);
    if (rc == PB_OK)
        rc = pb_incoming_weigh(in,
                               &(struct pb_incoming_two){&two.ours.head, head, found,
                                                         false, &two, same,
                                                         keep_private},
                               &write, err);
    if (rc == PB_OK && write)
        rc = keep_batch(in, rec, &two.ours, err);
    if (rc == PB_OK && write && told != PB_DAY_NONE && !in->receipt->conflict)
        pb_incoming_parted(in, !found, pb_gone_names[PB_GIVEN], told);
    else if (rc == PB_OK && write && two.ours.elsewhere && !was_elsewhere &&
             in->receipt->why == NULL)
        in->receipt->why =
            "was given here and is followed on there: it is elsewhere now";
    pb_batch_clear(&two.ours);
    return rc;
}
