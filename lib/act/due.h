/* What is due: the tasks of every open cross that is here, most urgent first. */
#ifndef PB_ACT_DUE_H
#define PB_ACT_DUE_H

#include "act/timing.h"
#include "base/buf.h"

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
    char pot[PB_MAX_CODE + 1]; /* code of the plant to go to */
    const char *what;          /* what to do, in words; static */
};

struct pb_due_list {
    struct pb_due *v; /* overdue, due, coming; inside by risk, last day, code */
    size_t n, cap;
};

/*
 * List what is due.
 *   by    tasks that begin after it are left out
 *   list  in: zeroed; out: release with pb_due_clear
 * Cost: that of the open crosses, not of the book.
 */
enum pb_rc pb_act_due(struct pb_act *a, pb_day by, struct pb_due_list *list,
                      struct pb_err *err);
void pb_due_clear(struct pb_due_list *list);

/* What a task asks for, in words of at most 42 columns; static. */
const char *pb_task_words(enum pb_task_kind task, bool no_sign);

/* Append "AR-1 × GH-2", "AR-1 × (GH-2 + GH-3)", "AR-1 × unknown". */
void pb_cross_parents(const struct pb_cross *x, struct pb_buf *out);

#endif
