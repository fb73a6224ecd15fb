/*
 * Reminders: what the tasks ask for today, set against what the book keeps.  See remind.h.
 *
 * First every open record is asked, and each of its reminders is kept and noted as seen.
 * Then one pass over what is kept finds the planned ones that nobody asked for.  Their
 * records, which are no longer open, are asked as well: what was answered is done, and
 * what is still unseen then is withdrawn.
 */
#include "act/remind.h"

#include "act/find.h"
#include "act/remind_text.h"
#include "base/text.h"
#include "book/absences.h"
#include "book/reminders.h"
#include "exchange/reminder_pack.h"
#include "exchange/uid.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    PACKED_BYTES = 65536, /* of a reminder's content, which takes a quarter of it */
    AWAY_BYTES = 2000     /* of the codes named in one reminder */
};

/* A growing list of UIDs. */
struct uids {
    char (*v)[PB_ID_TEXT];
    size_t n, cap;
};

/* A planned reminder that nobody has asked for yet. */
struct orphan {
    struct pb_kept kept; /* its content is the orphan's own */
    char *content;
};

struct run {
    struct pb_act *a;
    const struct pb_remind_codes *codes;
    struct pb_works works;
    struct pb_remind_text text;
    struct pb_buf packed, hold;
    struct uids seen; /* sorted before it is searched */
    struct uids forgotten;
    struct orphan *orphans;
    size_t orphan_n, orphan_cap;
    struct pb_work_away *away; /* only where all records are asked */
    size_t away_n;
};

/* ---- lists ------------------------------------------------------------------------------- */

/* Room for one more in an array of n elements of a size. */
static bool grow(void **v, size_t n, size_t *cap, size_t size)
{
    if (n < *cap)
        return true;
    size_t more = *cap > 0 ? *cap * 2 : 64;
    void *p = realloc(*v, more * size);
    if (p == NULL)
        return false;
    *v = p;
    *cap = more;
    return true;
}

static enum pb_rc uids_add(struct uids *u, const char *uid, struct pb_err *err)
{
    void *v = u->v;
    if (!grow(&v, u->n, &u->cap, sizeof(*u->v)))
        return pb_fail_memory(err);
    u->v = v;
    memcpy(u->v[u->n++], uid, PB_ID_TEXT);
    return PB_OK;
}

static int by_text(const void *a, const void *b)
{
    return strcmp(a, b);
}

static void uids_sort(struct uids *u)
{
    if (u->n > 1)
        qsort(u->v, u->n, sizeof(*u->v), by_text);
}

static bool uids_have(const struct uids *u, const char *uid)
{
    return u->n > 0 && bsearch(uid, u->v, u->n, sizeof(*u->v), by_text) != NULL;
}

static enum pb_rc add_orphan(struct run *run, const struct pb_kept *k,
                             struct pb_err *err)
{
    void *v = run->orphans;
    char *content = pb_text_copy(k->content);
    if (content == NULL ||
        !grow(&v, run->orphan_n, &run->orphan_cap, sizeof(*run->orphans))) {
        free(content);
        return pb_fail_memory(err);
    }
    run->orphans = v;
    run->orphans[run->orphan_n++] = (struct orphan){*k, content};
    return PB_OK;
}

static int by_code(const void *pa, const void *pb)
{
    const struct orphan *a = pa, *b = pb;
    return pb_text_casecmp(a->kept.code, b->kept.code);
}

/* ---- one reminder ------------------------------------------------------------------------ */

/* Keep the content of r under its UID and note it as seen.  The sequence goes up and the
 * stamp forward where it is not what was said last. */
static enum pb_rc keep(struct run *run, struct pb_reminder *r, const char *code,
                       const struct pb_kept *before, struct pb_err *err)
{
    struct pb_kept k = {.withdrawn_on = PB_DAY_NONE};
    int64_t now = run->a->now;
    memcpy(k.uid, r->uid, sizeof(k.uid));
    (void)snprintf(k.code, sizeof(k.code), "%s", code);
    pb_reminder_hash(r, k.hash);
    if (r->status == PB_REMINDER_WITHDRAWN)
        k.withdrawn_on = run->a->today;
    k.created = k.stamp = now;
    if (before != NULL) {
        bool same = strcmp(k.hash, before->hash) == 0;
        if (same && strcmp(k.code, before->code) == 0)
            return PB_OK;
        k.created = before->created;
        k.sequence = same ? before->sequence : before->sequence + 1;
        k.stamp = same || now < before->stamp ? before->stamp : now;
    }
    r->created = k.created;
    r->stamp = k.stamp;
    r->sequence = k.sequence;
    struct pb_err why = {0};
    enum pb_rc rc = pb_reminder_check(r, &why);
    if (rc != PB_OK)
        return pb_fail_at(err, rc, code, 0, "its reminder cannot be written: %s %s",
                          why.where, why.text);
    pb_buf_reset(&run->packed);
    rc = pb_reminder_pack(r, &run->packed, err);
    k.content = pb_buf_peek(&run->packed);
    return rc == PB_OK ? pb_reminder_keep(run->a->book, &k, err) : rc;
}

/* Was the task itself answered, or did the record only end before its time? */
static bool was_answered(const struct pb_work *w, const struct pb_task *t)
{
    bool harvested = t->kind == PB_TASK_HARVEST && w->cross->harvest_n > 0;
    return t->done && (t->done_on >= t->span.first || harvested);
}

static enum pb_rc say_task(struct run *run, const struct pb_work *w,
                           const struct pb_task *t, struct pb_err *err)
{
    struct pb_kept before;
    bool had = false;
    struct pb_reminder r = {
        .category = pb_task_names[t->kind],
        .span = t->span,
        .status = t->done ? PB_REMINDER_DONE : PB_REMINDER_PLANNED,
        .done_on = t->done ? t->done_on : PB_DAY_NONE,
        .guess = pb_remind_is_guess(w, t),
        .alarm_first = true,
        .alarm_last = t->kind == PB_TASK_HARVEST && t->span.last > t->span.first,
    };
    enum pb_rc rc =
        pb_uid_of_task(w->head->id, pb_task_names[t->kind], t->ordinal, r.uid, err);
    if (rc == PB_OK)
        rc = pb_reminder_find(run->a->book, r.uid, &before, &had, err);
    if (rc != PB_OK ||
        (t->done && !had)) /* what no calendar had need not be ticked off */
        return rc;
    rc = pb_remind_text_write(&run->text, w, t, err);
    r.summary = pb_buf_peek(&run->text.summary);
    r.description = pb_buf_peek(&run->text.description);
    if (rc == PB_OK)
        rc = uids_add(&run->seen, r.uid, err);
    return rc == PB_OK ? keep(run, &r, w->head->code, had ? &before : NULL, err) : rc;
}

/* Somebody must look: on the day before an absence that work meets. */
static enum pb_rc say_away(struct run *run, const struct pb_work_away *away,
                           struct pb_err *err)
{
    struct pb_kept before;
    bool had = false;
    pb_day eve = pb_day_add(away->absence.span.first, -1);
    struct pb_reminder r = {
        .category = "away",
        .span = {eve, eve},
        .status = PB_REMINDER_PLANNED,
        .done_on = PB_DAY_NONE,
        .alarm_first = true,
    };
    if (away->harvests.len == 0 && away->others.len == 0)
        return PB_OK;
    enum pb_rc rc = pb_uid_of_task(away->absence.id, "away", 1, r.uid, err);
    if (rc == PB_OK)
        rc = pb_reminder_find(run->a->book, r.uid, &before, &had, err);
    if (rc == PB_OK)
        rc = pb_remind_text_away(&run->text, away, err);
    r.summary = pb_buf_peek(&run->text.summary);
    r.description = pb_buf_peek(&run->text.description);
    if (rc == PB_OK)
        rc = uids_add(&run->seen, r.uid, err);
    return rc == PB_OK ? keep(run, &r, "away", had ? &before : NULL, err) : rc;
}

/* Ask a record for its reminders. */
static enum pb_rc say_work(void *ctx, const struct pb_work *w, struct pb_err *err)
{
    struct run *run = ctx;
    enum pb_rc rc = PB_OK;
    pb_work_aways_note(run->away, run->away_n, w);
    for (size_t i = 0; rc == PB_OK && i < w->tasks->n; i++) {
        const struct pb_task *t = &w->tasks->v[i];
        if (t->done ? was_answered(w, t) : w->here)
            rc = say_task(run, w, t, err);
    }
    return rc;
}

static enum pb_rc say_all(struct run *run, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    if (run->codes->n == 0)
        rc = pb_work_aways(run->a, AWAY_BYTES, &run->away, &run->away_n, err);
    if (rc == PB_OK && run->codes->n == 0)
        rc = pb_works_open(&run->works, say_work, run, err);
    for (size_t i = 0; rc == PB_OK && i < run->away_n; i++)
        rc = say_away(run, &run->away[i], err);
    for (size_t i = 0; rc == PB_OK && i < run->codes->n; i++)
        rc = pb_works_of(&run->works, run->codes->v[i], say_work, run, err);
    uids_sort(&run->seen);
    return rc;
}

/* ---- what is kept and was not asked for --------------------------------------------------- */

/* Fill a reminder from what is kept; its texts live in hold until the next call. */
static enum pb_rc unpack(const struct pb_kept *k, struct pb_buf *hold,
                         struct pb_reminder *r, struct pb_err *err)
{
    struct pb_err why = {0};
    memset(r, 0, sizeof(*r));
    memcpy(r->uid, k->uid, sizeof(r->uid));
    r->created = k->created;
    r->stamp = k->stamp;
    r->sequence = k->sequence;
    enum pb_rc rc = pb_reminder_unpack(k->content, r, hold, &why);
    if (rc != PB_OK)
        rc = pb_fail_at(err, rc, k->code, 0,
                        "the reminder %s of the book is damaged: %s", k->uid, why.text);
    return rc;
}

/* The day on which a reminder's work was over; PB_DAY_NONE while it waits. */
static pb_day over_on(const struct pb_kept *k, const struct pb_reminder *r)
{
    return k->withdrawn_on != PB_DAY_NONE ? k->withdrawn_on : r->done_on;
}

static enum pb_rc sort_out(void *ctx, const struct pb_kept *k, struct pb_err *err)
{
    struct run *run = ctx;
    struct pb_reminder r;
    enum pb_rc rc = unpack(k, &run->hold, &r, err);
    if (rc != PB_OK || uids_have(&run->seen, k->uid))
        return rc;
    pb_day over = over_on(k, &r);
    if (over == PB_DAY_NONE)
        return add_orphan(run, k, err);
    if (run->a->today > pb_day_add(over, PB_REMIND_KEPT_DAYS))
        return uids_add(&run->forgotten, k->uid, err);
    return PB_OK;
}

/* Every kept reminder of the records asked about, code by code. */
static enum pb_rc each_kept(struct run *run, pb_kept_each *each, struct pb_err *err)
{
    if (run->codes->n == 0)
        return pb_reminders_each(run->a->book, NULL, each, run, err);
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; rc == PB_OK && i < run->codes->n; i++)
        rc = pb_reminders_each(run->a->book, run->codes->v[i], each, run, err);
    return rc;
}

static enum pb_rc withdraw(struct run *run, const struct orphan *o, struct pb_err *err)
{
    struct pb_reminder r;
    struct pb_kept k = o->kept;
    k.content = o->content;
    enum pb_rc rc = unpack(&k, &run->hold, &r, err);
    r.status = PB_REMINDER_WITHDRAWN;
    return rc == PB_OK ? keep(run, &r, k.code, &k, err) : rc;
}

static enum pb_rc settle_orphans(struct run *run, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    struct orphan *v = run->orphans;
    if (run->orphan_n > 1)
        qsort(v, run->orphan_n, sizeof(*v), by_code);
    for (size_t i = 0; rc == PB_OK && i < run->orphan_n; i++)
        if (i == 0 || by_code(&v[i - 1], &v[i]) != 0)
            rc = pb_works_of(&run->works, v[i].kept.code, say_work, run, err);
    uids_sort(&run->seen);
    for (size_t i = 0; rc == PB_OK && i < run->orphan_n; i++)
        if (!uids_have(&run->seen, v[i].kept.uid))
            rc = withdraw(run, &v[i], err);
    return rc;
}

static enum pb_rc update(struct run *run, struct pb_err *err)
{
    enum pb_rc rc = say_all(run, err);
    if (rc == PB_OK)
        rc = each_kept(run, sort_out, err);
    for (size_t i = 0; rc == PB_OK && i < run->forgotten.n; i++)
        rc = pb_reminder_forget(run->a->book, run->forgotten.v[i], err);
    return rc == PB_OK ? settle_orphans(run, err) : rc;
}

/* ---- the acts ---------------------------------------------------------------------------- */

static enum pb_rc check_codes(struct pb_act *a, const struct pb_remind_codes *codes,
                              struct pb_err *err)
{
    struct pb_looked of;
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; rc == PB_OK && i < codes->n; i++)
        rc = pb_find_record(a, "CODE", codes->v[i], &of, err);
    return rc;
}

enum pb_rc pb_act_remind(struct pb_act *a, const struct pb_remind_codes *codes,
                         struct pb_err *err)
{
    struct run run = {.a = a, .codes = codes};
    enum pb_rc rc = pb_book_begin_cache(a->book, err);
    if (rc != PB_OK)
        return rc;
    pb_works_init(&run.works, a);
    pb_remind_text_init(&run.text);
    pb_buf_init(&run.packed, PACKED_BYTES);
    pb_buf_init(&run.hold, PACKED_BYTES);
    rc = update(&run, err);
    for (size_t i = 0; i < run.orphan_n; i++)
        free(run.orphans[i].content);
    free(run.orphans);
    pb_work_aways_clear(run.away, run.away_n);
    free(run.seen.v);
    free(run.forgotten.v);
    pb_buf_clear(&run.hold);
    pb_buf_clear(&run.packed);
    pb_remind_text_clear(&run.text);
    pb_works_clear(&run.works);
    return pb_book_end(a->book, rc, err);
}

struct reading {
    struct pb_act *a;
    const struct pb_remind_codes *codes;
    pb_remind_each *each;
    void *ctx;
    struct pb_buf hold;
};

static enum pb_rc read_one(void *ctx, const struct pb_kept *k, struct pb_err *err)
{
    struct reading *reading = ctx;
    struct pb_reminder r;
    bool asked = reading->codes->n == 0;
    for (size_t i = 0; i < reading->codes->n && !asked; i++)
        asked = pb_text_casecmp(reading->codes->v[i], k->code) == 0;
    if (!asked)
        return PB_OK;
    enum pb_rc rc = unpack(k, &reading->hold, &r, err);
    if (rc != PB_OK)
        return rc;
    pb_day over = over_on(k, &r);
    bool shown = over == PB_DAY_NONE ||
                 reading->a->today <= pb_day_add(over, PB_REMIND_SHOWN_DAYS);
    return reading->each(reading->ctx, &r, shown, err);
}

enum pb_rc pb_act_reminders(struct pb_act *a, const struct pb_remind_codes *codes,
                            pb_remind_each *each, void *ctx, struct pb_err *err)
{
    struct reading reading = {.a = a, .codes = codes, .each = each, .ctx = ctx};
    pb_buf_init(&reading.hold, PACKED_BYTES);
    enum pb_rc rc = check_codes(a, codes, err);
    if (rc == PB_OK)
        rc = pb_reminders_each(a->book, NULL, read_one, &reading, err);
    pb_buf_clear(&reading.hold);
    return rc;
}
