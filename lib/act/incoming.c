/* What every received record is held against.  See incoming.h. */
#include "act/incoming.h"

#include "act/batch.h"
#include "act/enter.h"
#include "act/stay.h"
#include "book/arrive.h"

#include <stdio.h>
#include <string.h>

enum pb_rc pb_incoming_day(const struct pb_incoming *in, const char *what, pb_day day,
                           struct pb_err *err)
{
    char on[PB_DAY_TEXT], today[PB_DAY_TEXT];
    if (day == PB_DAY_NONE || day <= pb_day_add(in->a->today, 1))
        return PB_OK;
    return pb_fail_at(err, PB_EINVALID, what, 0,
                      "%s lies in the future (today is %s); is a clock wrong?",
                      pb_day_format(day, on), pb_day_format(in->a->today, today));
}

enum pb_rc pb_incoming_id(struct pb_incoming *in, enum pb_kind kind, const char *id,
                          bool *here, struct pb_err *err)
{
    char code[PB_MAX_CODE + 1] = "";
    enum pb_kind there = kind;
    enum pb_rc rc = pb_book_kind_of(in->a->book, id, &there, code, err);
    if (rc == PB_OK && there != kind && there != PB_KIND_N)
        rc = pb_fail_at(err, PB_ECONFLICT, "id", 0,
                        "%s is the id of %s %s here, not of a %s", id,
                        pb_courses[there].noun, code, pb_courses[kind].noun);
    *here = there == kind;
    return rc;
}

enum pb_rc pb_incoming_ring(struct pb_incoming *in, int64_t plant, const char *code,
                            struct pb_err *err)
{
    bool ring = false;
    enum pb_rc rc = pb_pedigree_is_ring(in->a->book, plant, &ring, err);
    if (rc == PB_OK && ring)
        rc = pb_fail(err, PB_EINVALID, "it would make %s its own ancestor", code);
    return rc;
}

static enum pb_rc refuse(void *ctx, const struct pb_fault *f, struct pb_err *err)
{
    (void)ctx;
    return pb_fail(err, PB_ECONFLICT, "it contradicts the book: %s", f->what);
}

enum pb_rc pb_incoming_origin(struct pb_incoming *in, enum pb_provenance of,
                              int64_t row, struct pb_err *err)
{
    return pb_provenance_faults(in->a->book, of, row, refuse, NULL, err);
}

static enum pb_rc tell_capsules(void *ctx, const struct pb_fault *f, struct pb_err *err)
{
    struct pb_incoming *in = ctx;
    (void)err;
    if (in->receipt->why != NULL)
        return PB_OK;
    (void)snprintf(in->why, sizeof(in->why), "%s; its own record may put that right",
                   f->what);
    in->receipt->why = in->why;
    return PB_OK;
}

enum pb_rc pb_incoming_capsules(struct pb_incoming *in, enum pb_provenance of,
                                int64_t row, struct pb_err *err)
{
    return pb_provenance_faults(in->a->book, of, row, tell_capsules, in, err);
}

void pb_incoming_conflict(struct pb_incoming *in, const struct pb_err *why)
{
    (void)snprintf(in->why, sizeof(in->why), "%s: %s", why->where, why->text);
    in->receipt->conflict = true;
    in->receipt->why = in->why;
}

void pb_incoming_parted(struct pb_incoming *in, bool is_new, const char *gone,
                        pb_day on)
{
    char day[PB_DAY_TEXT];
    const char *when = on != PB_DAY_NONE ? pb_day_format(on, day) : "";
    const char *lead = on != PB_DAY_NONE ? " on " : "";
    if (is_new)
        (void)snprintf(in->why, sizeof(in->why),
                       "was %s there%s%s; if it came to you, undo this and say podbook "
                       "receive --here",
                       gone, lead, when);
    else
        (void)snprintf(in->why, sizeof(in->why),
                       "was %s there%s%s; here it stays as it is", gone, lead, when);
    in->receipt->why = in->why;
}

/* What a rule said of a record that is kept all the same.
 *   lead  goes before its text */
static enum pb_rc tell_misfit(struct pb_incoming *in, enum pb_rc rc, const char *lead,
                              const struct pb_err *why, struct pb_err *err)
{
    if (rc != PB_EINVALID)
        return rc == PB_OK ? PB_OK
                           : pb_fail_at(err, rc, why->where, 0, "%s", why->text);
    (void)snprintf(in->why, sizeof(in->why), "%s%s", lead, why->text);
    in->receipt->why = in->why;
    return PB_OK;
}

static const char days[] = "its days cannot all be right: ";

static enum pb_rc fits_plant(struct pb_incoming *in, const struct pb_plant *p,
                             struct pb_err *err)
{
    struct pb_err why = {0};
    if (!in->changed || in->receipt->why != NULL)
        return PB_OK;
    return tell_misfit(in, pb_stay_check(in->a, p, &why), days, &why, err);
}

/* What is of it can have come before it only where it was here. */
static enum pb_rc fits_cross(struct pb_incoming *in, const struct pb_cross *x,
                             struct pb_err *err)
{
    struct pb_err why = {0};
    if (!in->changed || in->receipt->why != NULL || x->head.withdrawn)
        return PB_OK;
    enum pb_rc rc = in->unsure ? pb_cross_parents_came(in->a, x, &why) : PB_OK;
    if (rc == PB_OK)
        rc = pb_cross_lots_were_there(in->a, x, &why);
    if (rc == PB_OK && in->receipt->ours > 0)
        rc = pb_batch_check_cross(in->a, x, &why);
    return tell_misfit(in, rc, days, &why, err);
}

/* Plants came out of cuttings, which is told with the cuttings, for plants come before them:
 * of those in the book, be they theirs or ours. */
static enum pb_rc fits_plants_out(struct pb_incoming *in, const struct pb_batch *theirs,
                                  struct pb_err *err)
{
    struct pb_err why = {0};
    struct pb_batch b;
    bool found = false;
    if (theirs->kind != PB_CUTTING || in->receipt->merge == PB_MERGE_SAME ||
        in->receipt->why != NULL)
        return PB_OK;
    pb_batch_init(&b, PB_CUTTING);
    enum pb_rc rc =
        pb_batch_find(in->a->book, PB_BATCH_BY_ID, theirs->head.id, &b, &found, &why);
    if (rc == PB_OK && found)
        rc = pb_batch_check_out(in->a, &b, &why);
    pb_batch_clear(&b);
    return tell_misfit(in, rc, "", &why, err);
}

static enum pb_rc fits_batch(struct pb_incoming *in, const struct pb_batch *b,
                             struct pb_err *err)
{
    struct pb_err why = {0};
    enum pb_rc rc = PB_OK;
    if (in->changed && in->receipt->why == NULL && !b->head.withdrawn) {
        rc = pb_batch_check_day(in->a, b, &why);
        if (rc == PB_OK)
            rc = pb_batch_check_uses(in->a, b, &why);
        rc = tell_misfit(in, rc, days, &why, err);
    }
    return rc == PB_OK ? fits_plants_out(in, b, err) : rc;
}

enum pb_rc pb_incoming_fits(struct pb_incoming *in, const struct pb_record *rec,
                            struct pb_err *err)
{
    if (rec->kind == PB_PLANT)
        return fits_plant(in, &rec->plant, err);
    if (rec->kind == PB_CROSS)
        return fits_cross(in, &rec->cross, err);
    enum pb_rc rc = fits_cross(in->carried, &rec->cross, err);
    return rc == PB_OK ? fits_batch(in, &rec->batch, err) : rc;
}

enum pb_rc pb_incoming_code(struct pb_incoming *in, char letter, pb_day on,
                            struct pb_head *head, struct pb_err *err)
{
    bool is_free = false;
    enum pb_rc rc = pb_book_take_code(in->a->book, head->code, head->id, &is_free, err);
    if (rc == PB_OK && !is_free)
        rc = pb_book_next_code(in->a->book, letter, on, head->code, err);
    return rc;
}

/*
 * Of two records of one revision: are the private texts of ours the later ones, by the
 * instants of the last change?  Equal instants: ours stay.  theirs' instant becomes that of
 * ours then.
 */
static bool is_later(const struct pb_head *ours, struct pb_head *theirs)
{
    if (ours->modified < theirs->modified)
        return false;
    theirs->modified = ours->modified; /* of what both come to */
    return true;
}

/* How far they say the same; theirs gets the private texts that it is to have here. */
static enum pb_rc compare(const struct pb_incoming_two *two, enum pb_content *content,
                          struct pb_err *err)
{
    bool shared = false, same = false;
    enum pb_rc rc = PB_OK;
    if (two->ours->revision == two->theirs->revision)
        rc = two->same(two->ctx, false, &shared, err);
    bool later = shared && is_later(two->ours, two->theirs);
    if (rc == PB_OK)
        rc = two->keep_private(two->ctx, later, err);
    if (rc == PB_OK && shared)
        rc = two->same(two->ctx, true, &same, err);
    *content = same ? PB_CONTENT_SAME : shared ? PB_CONTENT_TEXTS : PB_CONTENT_OTHER;
    return rc;
}

enum pb_rc pb_incoming_weigh(struct pb_incoming *in, const struct pb_incoming_two *two,
                             bool *write, struct pb_err *err)
{
    enum pb_content content = PB_CONTENT_OTHER;
    struct pb_receipt *receipt = in->receipt;
    enum pb_rc rc = two->found ? compare(two, &content, err) : PB_OK;
    *write = false;
    if (rc != PB_OK)
        return rc;
    receipt->ours = two->named_only ? 0 : two->ours->revision;
    receipt->merge = pb_merge_decide(receipt->ours, two->theirs->revision, content);
    memcpy(receipt->code, two->ours->code, sizeof(receipt->code));
    *write = receipt->merge == PB_MERGE_ADD || receipt->merge == PB_MERGE_REPLACE;
    return PB_OK;
}
