/*
 * Reminders: what the tasks ask for today, set against what the book keeps.  See remind.h.
 *
 * First every open record is asked; each of its reminders is kept, and noted as asked for.
 * Then the planned ones that nobody asked for are gone through.  Their records, which are no
 * longer open, are asked as well: what was answered is done, and what nobody has asked for
 * even then is withdrawn.
 */
#include "act/remind.h"

#include "act/find.h"
#include "act/remind_text.h"
#include "act/reminded.h"
#include "base/text.h"
#include "book/absences.h"
#include "exchange/uid.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    HOLD_BYTES = 4 * PB_MAX_TEXT, /* of a reminder's texts, which take half of it */
    AWAY_BYTES = 2000,            /* of the codes named in one reminder */
    FIRST_CAP = 64,
    PAGES_KIB = 3072 /* of the book in memory: all is passed over once */
};

/* A planned reminder that nobody has asked for yet. */
struct orphan {
    struct pb_reminded *reminded; /* borrowed */
    char code[PB_MAX_CODE + 1];
};

struct run {
    struct pb_act *a;
    const struct pb_remind_codes *codes;
    struct pb_works works;
    struct pb_remind_text text;
    struct pb_buf hold;
    struct pb_reminded_list before;
    struct orphan *orphans;
    size_t orphan_n, orphan_cap;
    struct pb_work_away *away; /* only where all records are asked */
    size_t away_n;
};

/* ---- one reminder ------------------------------------------------------------------------ */

static bool is_asked(const struct pb_reminded *r)
{
    return (r->mark & PB_REMINDED_ASKED) != 0;
}

/* Was the UID told before?  Somebody asks for it now. */
static enum pb_rc ask(struct run *run, const char *uid, bool *had, struct pb_err *err)
{
    struct pb_kept k;
    struct pb_reminded *before = pb_reminded_find(&run->before, uid);
    *had = before != NULL;
    if (before != NULL)
        before->mark |= PB_REMINDED_ASKED;
    else if (!run->before.all)
        return pb_reminder_find(run->a->book, uid, &k, NULL, had, err);
    return PB_OK;
}

/* Keep r under its UID.  The sequence goes up and the stamp forward where it is not what
 * was said last. */
static enum pb_rc keep(struct run *run, const struct pb_reminder *r, const char *code,
                       bool had, struct pb_err *err)
{
    struct pb_kept k = {.said = *r, .withdrawn_on = PB_DAY_NONE}, before;
    const struct pb_reminded *known = pb_reminded_find(&run->before, r->uid);
    struct pb_err why = {0};
    enum pb_rc rc = PB_OK;
    (void)snprintf(k.code, sizeof(k.code), "%s", code);
    pb_reminder_hash(r, k.hash);
    if (known != NULL &&
        known->mark == (pb_reminded_mark(k.code, k.hash) | PB_REMINDED_ASKED))
        return PB_OK;
    if (r->status == PB_REMINDER_WITHDRAWN)
        k.withdrawn_on = run->a->today;
    k.said.created = k.said.stamp = run->a->now;
    k.said.sequence = 0;
    if (had)
        rc = pb_reminder_find(run->a->book, r->uid, &before, NULL, &had, err);
    if (rc == PB_OK && had) {
        const struct pb_reminder *was = &before.said;
        bool same = strcmp(k.hash, before.hash) == 0;
        k.said.created = was->created;
        k.said.sequence = same ? was->sequence : was->sequence + 1;
        k.said.stamp = same || run->a->now < was->stamp ? was->stamp : run->a->now;
    }
    if (rc == PB_OK && (rc = pb_reminder_check(&k.said, &why)) != PB_OK)
        rc = pb_fail_at(err, rc, code, 0, "its reminder cannot be written: %s %s",
                        why.where, why.text);
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
        rc = ask(run, r.uid, &had, err);
    if (rc != PB_OK ||
        (t->done && !had)) /* what no calendar had need not be ticked off */
        return rc;
    rc = pb_remind_text_write(&run->text, w, t, err);
    r.summary = pb_buf_peek(&run->text.summary);
    r.description = pb_buf_peek(&run->text.description);
    return rc == PB_OK ? keep(run, &r, w->head->code, had, err) : rc;
}

/* Somebody must look: on the day before an absence that work meets. */
static enum pb_rc say_away(struct run *run, const struct pb_work_away *away,
                           struct pb_err *err)
{
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
        rc = ask(run, r.uid, &had, err);
    if (rc == PB_OK)
        rc = pb_remind_text_away(&run->text, away, err);
    r.summary = pb_buf_peek(&run->text.summary);
    r.description = pb_buf_peek(&run->text.description);
    return rc == PB_OK ? keep(run, &r, "away", had, err) : rc;
}

/* Ask a record for its reminders. */
static enum pb_rc say_work(void *ctx, const struct pb_work *w, struct pb_err *err)
{
    struct run *run = ctx;
    enum pb_rc rc = pb_work_aways_note(run->away, run->away_n, w, err);
    for (size_t i = 0; rc == PB_OK && i < w->tasks->n; i++) {
        const struct pb_task *t = &w->tasks->v[i];
        if (t->done ? was_answered(w, t) : w->here)
            rc = say_task(run, w, t, err);
    }
    return rc;
}

static enum pb_rc say_all(struct run *run, struct pb_err *err)
{
    enum pb_rc rc = pb_reminded_load(&run->before, run->a->book, run->codes, err);
    if (rc == PB_OK && run->codes->n == 0)
        rc = pb_work_aways(run->a, AWAY_BYTES, &run->away, &run->away_n, err);
    if (rc == PB_OK && run->codes->n == 0)
        rc = pb_works_open(&run->works, say_work, run, err);
    for (size_t i = 0; rc == PB_OK && i < run->away_n; i++)
        rc = say_away(run, &run->away[i], err);
    for (size_t i = 0; rc == PB_OK && i < run->codes->n; i++)
        rc = pb_works_of(&run->works, run->codes->v[i], say_work, run, err);
    return rc;
}

/* ---- what is kept and was not asked for --------------------------------------------------- */

/* What other hands have made of it, if that is why something failed. */
static enum pb_rc blame(const struct pb_kept *k, enum pb_rc rc, struct pb_err *err)
{
    struct pb_err why = {0};
    enum pb_rc bad =
        rc != PB_OK && rc != PB_ENOMEM ? pb_reminder_check(&k->said, &why) : PB_OK;
    return bad == PB_OK
               ? rc
               : pb_fail_at(err, bad, k->code, 0,
                            "the reminder %s of the book is damaged: its %s %s",
                            k->said.uid, why.where, why.text);
}

/* The day on which a reminder's work was over; PB_DAY_NONE while it waits. */
static pb_day over_on(const struct pb_kept *k)
{
    return k->withdrawn_on != PB_DAY_NONE ? k->withdrawn_on : k->said.done_on;
}

static enum pb_rc add_orphan(struct run *run, struct pb_reminded *r, const char *code,
                             struct pb_err *err)
{
    if (run->orphan_n == run->orphan_cap) {
        size_t cap = run->orphan_cap > 0 ? run->orphan_cap * 2 : FIRST_CAP;
        void *v = realloc(run->orphans, cap * sizeof(*run->orphans));
        if (v == NULL)
            return pb_fail_memory(err);
        run->orphans = v;
        run->orphan_cap = cap;
    }
    struct orphan *o = &run->orphans[run->orphan_n++];
    o->reminded = r;
    (void)snprintf(o->code, sizeof(o->code), "%s", code);
    return PB_OK;
}

static int by_code(const void *pa, const void *pb)
{
    const struct orphan *a = pa, *b = pb;
    return pb_text_casecmp(a->code, b->code);
}

/* What nobody asked for: its time is over, or it is an orphan. */
static enum pb_rc sort_out(struct run *run, struct pb_reminded *r, struct pb_err *err)
{
    char uid[PB_ID_TEXT];
    struct pb_kept k;
    bool found = false;
    enum pb_rc rc = pb_reminder_find(run->a->book, pb_uid_unpack(r->uid, uid), &k, NULL,
                                     &found, err);
    if (rc != PB_OK || !found)
        return rc;
    pb_day over = over_on(&k);
    if (over == PB_DAY_NONE)
        return add_orphan(run, r, k.code, err);
    if (run->a->today > pb_day_add(over, PB_REMIND_KEPT_DAYS))
        return pb_reminder_forget(run->a->book, uid, err);
    return PB_OK;
}

static enum pb_rc withdraw(struct run *run, const struct pb_reminded *o,
                           struct pb_err *err)
{
    char uid[PB_ID_TEXT];
    struct pb_kept k;
    bool found = false;
    enum pb_rc rc = pb_reminder_find(run->a->book, pb_uid_unpack(o->uid, uid), &k,
                                     &run->hold, &found, err);
    if (rc == PB_ELIMIT)
        return pb_fail_at(err, PB_EPARSE, uid, 0,
                          "this reminder of the book is damaged: it is too long");
    if (rc != PB_OK || !found)
        return rc;
    struct pb_reminder r = k.said;
    r.status = PB_REMINDER_WITHDRAWN;
    return blame(&k, keep(run, &r, k.code, true, err), err);
}

static enum pb_rc settle_orphans(struct run *run, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    struct orphan *v = run->orphans;
    if (run->orphan_n > 1)
        qsort(v, run->orphan_n, sizeof(*v), by_code);
    for (size_t i = 0; rc == PB_OK && i < run->orphan_n; i++)
        if (i == 0 || by_code(&v[i - 1], &v[i]) != 0)
            rc = pb_works_of(&run->works, v[i].code, say_work, run, err);
    for (size_t i = 0; rc == PB_OK && i < run->orphan_n; i++)
        if (!is_asked(v[i].reminded))
            rc = withdraw(run, v[i].reminded, err);
    return rc;
}

static enum pb_rc update(struct run *run, struct pb_err *err)
{
    enum pb_rc rc = say_all(run, err);
    for (size_t i = 0; rc == PB_OK && i < run->before.n; i++)
        if (!is_asked(&run->before.v[i]))
            rc = sort_out(run, &run->before.v[i], err);
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
    pb_book_set_pages(a->book, PAGES_KIB);
    enum pb_rc rc = pb_book_begin_cache(a->book, err);
    if (rc != PB_OK)
        return rc;
    pb_works_init(&run.works, a);
    pb_remind_text_init(&run.text);
    pb_buf_init(&run.hold, HOLD_BYTES);
    rc = update(&run, err);
    free(run.orphans);
    pb_work_aways_clear(run.away, run.away_n);
    pb_reminded_clear(&run.before);
    pb_buf_clear(&run.hold);
    pb_remind_text_clear(&run.text);
    pb_works_clear(&run.works);
    return pb_book_end(a->book, rc, err);
}

struct reading {
    struct pb_act *a;
    const struct pb_remind_codes *codes;
    pb_remind_each *each;
    void *ctx;
};

static enum pb_rc read_one(void *ctx, const struct pb_kept *k, struct pb_err *err)
{
    struct reading *reading = ctx;
    bool asked = reading->codes->n == 0;
    for (size_t i = 0; i < reading->codes->n && !asked; i++)
        asked = pb_text_casecmp(reading->codes->v[i], k->code) == 0;
    if (!asked)
        return PB_OK;
    pb_day over = over_on(k);
    bool shown = over == PB_DAY_NONE ||
                 reading->a->today <= pb_day_add(over, PB_REMIND_SHOWN_DAYS);
    return blame(k, reading->each(reading->ctx, &k->said, shown, err), err);
}

enum pb_rc pb_act_reminders(struct pb_act *a, const struct pb_remind_codes *codes,
                            pb_remind_each *each, void *ctx, struct pb_err *err)
{
    struct reading reading = {.a = a, .codes = codes, .each = each, .ctx = ctx};
    pb_book_set_pages(a->book, PAGES_KIB);
    enum pb_rc rc = check_codes(a, codes, err);
    if (rc == PB_OK)
        rc = pb_reminders_each(a->book, NULL, PB_KEPT_WHOLE, read_one, &reading, err);
    return rc;
}
