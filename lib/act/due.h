/* What is due: the tasks of every open record that is here, most urgent first. */
#ifndef PB_ACT_DUE_H
#define PB_ACT_DUE_H

#include "act/work.h"

/* One line of work. */
struct pb_due {
    char code[PB_MAX_CODE + 1];
    enum pb_kind kind;
    enum pb_task_kind task;
    struct pb_span span;
    enum pb_task_state state;
    int days_over; /* today less the last day, 0 while it is not over */
    bool has_risk; /* is there a chance to give? */
    double risk;   /* that an uncut capsule has split by the end of today, 0..1 */
    bool bagged;
    char pot[PB_MAX_CODE +
             1];      /* code of the plant to go to; of seed and flasks the cross */
    char what[64];    /* what to do, in words of at most 42 columns */
    uint64_t urgency; /* internal: the list's order, before that by code and task */
};

struct pb_due_list {
    /* overdue, due, coming; inside bagged ones last, then by risk, last day, code */
    struct pb_due *v;
    size_t n, cap;
    struct pb_buf
        silent[PB_SILENT_N]; /* codes of the open records that ask for nothing */
    /* crosses without a bag whose risk passes the tolerance by then, before their harvest
     * window opens: "X26-001 (from 2026-03-14)" */
    struct pb_buf early;
    pb_day opens; /* first day of the next harvest ahead that is not listed, though it
                         opens by then; PB_DAY_NONE: none does */
    double tolerance; /* of early; setting `risk` */
    struct pb_work_away *away;
    size_t away_n;
};

/* How far to look ahead. */
struct pb_due_ask {
    pb_day by;     /* tasks that begin after it are left out */
    bool harvests; /* also harvests, else shown from the first day of their window */
};

/*
 * List what is due.
 *   list  in: zeroed; out: release with pb_due_clear
 * Cost: that of the open records, not of the book.
 */
enum pb_rc pb_act_due(struct pb_act *a, struct pb_due_ask ask, struct pb_due_list *list,
                      struct pb_err *err);
void pb_due_clear(struct pb_due_list *list);

/* What a task asks for, in words of at most 42 columns; static. */
const char *pb_task_words(enum pb_task_kind task, bool no_sign);

/*
 * The same for a cross as it stands: says where looks would be due more than once a day,
 * and that a bag catches the seed.  Chances are those of the day of the look, of a late one
 * today's: it is made today at the earliest.
 *   o  the outlook that t is a task of
 *   text  out, room for 64 bytes
 */
void pb_task_words_for(const struct pb_cross *x, const struct pb_outlook *o,
                       const struct pb_task *t, pb_day today, char text[64]);

/* The same for a batch as it stands: what is wrong with it, and how many of them want it. */
void pb_batch_words(const struct pb_batch *b, const struct pb_life *life,
                    const struct pb_task *t, char text[64]);

/* The same for whatever record it is. */
void pb_work_words(const struct pb_work *w, const struct pb_task *t, pb_day today,
                   char text[64]);

/* Words of its own that a kind of batch has for a task; NULL: the task's do. */
struct pb_task_say {
    const char *words; /* what to do */
    const char *title; /* of its reminder */
};
const struct pb_task_say *pb_batch_task(const struct pb_batch *b,
                                        const struct pb_task *t);

/* Append "AR-1 × GH-2", "AR-1 × (GH-2 + GH-3)", "AR-1 × unknown". */
void pb_cross_parents(const struct pb_cross *x, struct pb_buf *out);

#endif
