/* What a reminder says. */
#ifndef PB_ACT_REMIND_TEXT_H
#define PB_ACT_REMIND_TEXT_H

#include "act/work.h"

/* Buffers that are used again for every reminder. */
struct pb_remind_text {
    struct pb_buf summary, description;
};

void pb_remind_text_init(struct pb_remind_text *text);
void pb_remind_text_clear(struct pb_remind_text *text);

/*
 * Write the texts of a task, in place of what the buffers held.
 *   summary      what, code, parents: "Harvest: X26-001 AR-1 × GH-2"
 *   description  what to do; the parents' names; which day it is and by which profile; of
 *                a guess, what the evidence says.  No note, place or source of the grower's
 * They follow from the record and its profile alone, never from today.
 */
enum pb_rc pb_remind_text_write(struct pb_remind_text *text, const struct pb_work *w,
                                const struct pb_task *t, struct pb_err *err);

/* The same for an absence that harvest windows or other work meet. */
enum pb_rc pb_remind_text_away(struct pb_remind_text *text,
                               const struct pb_work_away *away, struct pb_err *err);

/* Do the days of the task rest on a guess? */
bool pb_remind_is_guess(const struct pb_work *w, const struct pb_task *t);

#endif
