/* What the book keeps beside the facts, worked out again.  See verify_caches.h. */
#include "act/verify_caches.h"

#include "act/find.h"
#include "book/absences.h"
#include "book/reminders.h"
#include "exchange/uid.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum {
    MOST_PLANNED = 4000 /* looks of one task: weekly ones of a long life */
};

static const char no_fact[] =
    "no fact of yours is touched; go back to a backup, or have it made anew: sqlite3 "
    "BOOK \"DELETE FROM reminder\", and calendars begin again";

/* ---- laws ----------------------------------------------------------------------------- */

void pb_verify_laws_open(struct pb_verify_laws *l, const struct pb_act *a)
{
    memset(l, 0, sizeof(*l));
    l->kept = l->anew = *a;
    l->kept.learner = l->anew.learner = NULL;
    l->anew.learn_anew = true;
}

void pb_verify_laws_close(struct pb_verify_laws *l)
{
    pb_learner_drop(&l->kept);
    pb_learner_drop(&l->anew);
}

static bool is_near(double a, double b)
{
    return fabs(a - b) < 1e-6;
}

static bool same_brief(struct pb_ripening_brief *a, struct pb_ripening_brief *b)
{
    double split[2][2];
    pb_ripening_brief_split(a, split[0]);
    pb_ripening_brief_split(b, split[1]);
    bool same = is_near(pb_ripening_brief_scale(a), pb_ripening_brief_scale(b)) &&
                is_near(split[0][0], split[1][0]) &&
                is_near(split[0][1], split[1][1]) && a->seen_first == b->seen_first &&
                a->seen_last == b->seen_last && a->levels == b->levels;
    for (int32_t day = 1; day < a->day_n && day < b->day_n && same; day++)
        same = is_near(pb_ripening_brief_risk(a, 0, day),
                       pb_ripening_brief_risk(b, 0, day));
    return same;
}

/* To a millionth of a day, or of a chance: another machine's libm may round otherwise. */
static enum pb_rc same_law(const struct pb_lesson *a, const struct pb_lesson *b,
                           bool *same, struct pb_err *err)
{
    static const double shares[] = {0.05, 0.5, 0.95};
    const struct pb_ripening_law *one = NULL, *other = NULL;
    if (a->brief == NULL || b->brief == NULL) {
        *same = a->brief == b->brief;
        return PB_OK;
    }
    enum pb_rc rc = pb_lesson_law(a, &one, err);
    if (rc == PB_OK)
        rc = pb_lesson_law(b, &other, err);
    if (rc != PB_OK)
        return rc;
    *same = a->capsules == b->capsules && a->clone_capsules == b->clone_capsules &&
            same_brief(a->brief, b->brief);
    for (size_t i = 0; i < sizeof(shares) / sizeof(shares[0]) && *same; i++) {
        double x = -1, y = -1;
        (void)pb_ripening_quantile(one, shares[i], &x);
        (void)pb_ripening_quantile(other, shares[i], &y);
        *same = is_near(x, y);
    }
    return PB_OK;
}

enum pb_rc pb_verify_laws(struct pb_verify_laws *l, const struct pb_cross *x,
                          pb_fault_each *each, void *ctx, struct pb_err *err)
{
    struct pb_profile_match m;
    struct pb_lesson kept, anew;
    bool same = true;
    enum pb_rc rc = pb_timing_find(&l->kept, &x->seed, x->profile, &m, err);
    if (rc != PB_OK || (l->genet == x->seed.genet.n && l->row == m.row))
        return rc;
    l->genet = x->seed.genet.n;
    l->row = m.row;
    rc = pb_learn(&l->kept, &x->seed, &m, &kept, err);
    if (rc == PB_OK)
        rc = pb_learn(&l->anew, &x->seed, &m, &anew, err);
    if (rc == PB_OK)
        rc = same_law(&kept, &anew, &same, err);
    if (rc != PB_OK || same)
        return rc;
    const struct pb_fault f = {
        PB_CHECK_LEARNT, x->head.code,
        "what its seed parent's capsules taught is not what the book remembers",
        "no fact of yours is touched; any look or harvest of that taxon makes it learn "
        "anew"};
    return each(ctx, &f, err);
}

/* ---- reminders ------------------------------------------------------------------------ */

struct run {
    struct pb_act *a;
    pb_fault_each *each;
    void *ctx;
};

static enum pb_rc tell(struct run *run, const struct pb_kept *k, const char *what,
                       struct pb_err *err)
{
    const struct pb_fault f = {PB_CHECK_REMINDER, k->code, what, no_fact};
    return run->each(run->ctx, &f, err);
}

/* The id of the record that has the code now; empty: none has. */
static enum pb_rc id_of(struct pb_act *a, const char *code, char id[PB_ID_TEXT],
                        struct pb_err *err)
{
    struct pb_ref plant = {0, "", ""};
    struct pb_cross x;
    struct pb_batch b;
    bool withdrawn = false, found = false;
    pb_cross_init(&x);
    pb_batch_init(&b, PB_SEED);
    enum pb_rc rc = pb_cross_find(a->book, PB_CROSS_BY_CODE, code, &x, &found, err);
    if (rc == PB_OK && found)
        memcpy(id, x.head.id, PB_ID_TEXT);
    if (rc == PB_OK && !found) {
        rc = pb_batch_find(a->book, PB_BATCH_BY_CODE, code, &b, &found, err);
        if (rc == PB_OK && found)
            memcpy(id, b.head.id, PB_ID_TEXT);
    }
    if (rc == PB_OK && !found) {
        rc = pb_plant_find_ref(a->book, code, &plant, &withdrawn, &found, err);
        memcpy(id, plant.id, PB_ID_TEXT);
    }
    pb_batch_clear(&b);
    pb_cross_clear(&x);
    return rc;
}

/* Is the UID the one of the record's task, whichever of its planned looks? */
static enum pb_rc is_of(const char *id, const char *task, const char *uid, bool *is,
                        struct pb_err *err)
{
    char made[PB_ID_TEXT];
    enum pb_rc rc = PB_OK;
    *is = false;
    for (int n = 1; n <= MOST_PLANNED && rc == PB_OK && !*is; n++) {
        rc = pb_uid_of_task(id, task, n, made, err);
        *is = rc == PB_OK && strcmp(made, uid) == 0;
    }
    return rc;
}

/* A record may have got another code since, or have been taken back; then the history
 * knows the code. */
static enum pb_rc check_record(struct run *run, const struct pb_kept *k,
                               struct pb_err *err)
{
    char id[PB_ID_TEXT] = "";
    bool known = true, is = true;
    enum pb_rc rc = id_of(run->a, k->code, id, err);
    if (rc == PB_OK && id[0] == '\0')
        rc = pb_book_knows_code(run->a->book, k->code, &known, err);
    else if (rc == PB_OK && k->said.category != NULL)
        rc = is_of(id, k->said.category, k->said.uid, &is, err);
    if (rc == PB_OK && !known)
        return tell(run, k, "a reminder belongs to no record of the book", err);
    if (rc == PB_OK && !is)
        return tell(run, k, "a reminder of it has the UID of something else", err);
    return rc;
}

static enum pb_rc check_reminder(void *ctx, const struct pb_kept *k, struct pb_err *err)
{
    struct run *run = ctx;
    const struct pb_reminder *r = &k->said;
    char hash[PB_HASH_TEXT];
    if (pb_reminder_check(r, NULL) != PB_OK)
        return tell(run, k, "a reminder of it cannot be read", err);
    if (strcmp(pb_reminder_hash(r, hash), k->hash) != 0)
        return tell(run, k, "a reminder of it is not what calendars were told", err);
    if (r->stamp < r->created)
        return tell(run, k, "a reminder of it changed before it was made", err);
    return strcmp(k->code, "away") == 0 ? PB_OK : check_record(run, k, err);
}

enum pb_rc pb_verify_reminders(struct pb_act *a, pb_fault_each *each, void *ctx,
                               struct pb_err *err)
{
    struct run run = {.a = a, .each = each, .ctx = ctx};
    return pb_reminders_each(a->book, NULL, PB_KEPT_WHOLE, check_reminder, &run, err);
}
