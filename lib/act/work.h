/*
 * Work: what the records of the book ask of the grower, whatever their kind.
 *
 * One walk over crosses, batches and shoots, so that `due`, the calendar and absences tell
 * the same story.
 */
#ifndef PB_ACT_WORK_H
#define PB_ACT_WORK_H

#include "act/batch.h"
#include "act/shoot.h"
#include "act/timing.h"
#include "base/buf.h"
#include "book/absences.h"

/* A record and its tasks; all borrowed for the call. */
struct pb_work {
    enum pb_kind kind;
    const struct pb_head *head; /* of the record */
    const char *pot; /* code of where to go: the plant, of seed and flasks the
                                   cross */
    bool here;       /* false: nobody is asked, its seed parent is gone or elsewhere */
    const struct pb_tasks *tasks;
    const struct pb_timing *timing;
    const struct pb_life *life;
    const struct pb_profile_match *match;
    const struct pb_cross *cross; /* of a cross, else NULL */
    const struct pb_outlook *outlook;
    const struct pb_batch *batch; /* of a batch, else NULL */
    const struct pb_plant *plant; /* of a plant after its flowers, else NULL */
};

/* What a walk works with; reuse one for many. */
struct pb_works {
    struct pb_act *a;
    struct pb_outlook cross; /* brief as wanted */
    struct pb_batch_outlook batch;
    struct pb_shoot shoot;
};

void pb_works_init(struct pb_works *w, struct pb_act *a);
void pb_works_clear(struct pb_works *w);

typedef enum pb_rc pb_work_each(void *ctx, const struct pb_work *w, struct pb_err *err);

/* Each record that is open and asked about.  Cost: that of the open records. */
enum pb_rc pb_works_open(struct pb_works *w, pb_work_each *each, void *ctx,
                         struct pb_err *err);

/* The record of a code as the book writes it, open or not; nothing where there is none, or
 * it was withdrawn. */
enum pb_rc pb_works_of(struct pb_works *w, const char *code, pb_work_each *each,
                       void *ctx, struct pb_err *err);

/*
 * The stage of the profile whose days a task of no cross has; NULL: its days are of no
 * profile (by how pollen or seed is kept, an allowance of ours).
 */
const struct pb_profile_stage *pb_work_stage(const struct pb_work *w,
                                             const struct pb_task *t);

/* Why a record that is open asks for nothing, so that nobody waits for it in vain.
 * ORDER SILENCE: cmd_due.c */
enum pb_silence {
    PB_SILENT_UNTIMED, /* a cross, flask or cutting: no profile has days for where it
                            stands */
    PB_SILENT_SHOOT,   /* a plant after its flowers: no days for pups are known */
    PB_SILENT_SEED,    /* nothing says how long this seed keeps */
    PB_SILENT_COMPOT,  /* it has settled: its seedlings wait for whoever has time */
    PB_SILENT_N        /* it asks, or there is nothing to ask */
};

/* PB_ENOMEM */
enum pb_rc pb_work_silence(const struct pb_work *w, enum pb_silence *why,
                           struct pb_err *err);

/* ---- absences ------------------------------------------------------------------------ */

/* An absence to come, and what it meets. */
struct pb_work_away {
    struct pb_absence absence;
    struct pb_buf
        harvests; /* "X26-001, X26-004": crosses whose harvest windows it meets */
    struct pb_buf others; /* "C26-001 (water)": work of batches that cannot wait */
};

/*
 * The absences that are not over yet.
 *   bytes  most of the codes named of each; those that no longer fit are left out
 *   v, n   in: NULL, 0; out: release with pb_work_aways_clear, on an error too
 */
enum pb_rc pb_work_aways(struct pb_act *a, size_t bytes, struct pb_work_away **v,
                         size_t *n, struct pb_err *err);
void pb_work_aways_clear(struct pb_work_away *v, size_t n);

/* Does the harvest window of a cross meet these days, so that it cannot wait?  Capsules in a
 * bag can. */
bool pb_work_harvest_meets(const struct pb_work *w, struct pb_span days);

/*
 * Note a record with every absence that it cannot wait for: a harvest window that meets it;
 * of the batches what spoils in days (a cut, a contaminated flask) where its days meet it,
 * and what is good until a day (a capsule to be sown, pollen) where that day lies in it.
 * Looks, replating, deflasking and potting wait.
 */
enum pb_rc pb_work_aways_note(struct pb_work_away *v, size_t n, const struct pb_work *w,
                              struct pb_err *err);

/* Name one more record in a list of them, "X26-001 (why)"; as far as there is room for it, then
 * "...".  why may be NULL, 24 bytes at most.  What there is no memory for is the list's status. */
void pb_work_name(struct pb_buf *list, const char *code, const char *why);

#endif
