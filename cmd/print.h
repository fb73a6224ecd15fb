/* How records look to a person; shared by the commands that print them. */
#ifndef PB_CMD_PRINT_H
#define PB_CMD_PRINT_H

#include "act/timing.h"
#include "core/bloom.h"
#include "env.h"

/* The record of a code, a look's with its cross: JSON, or all there is to tell of it. */
enum pb_rc print_record(struct env *env, const char *code, struct pb_err *err);

/* A plant as one record: JSON, or lines. */
enum pb_rc print_plant(struct env *env, const struct pb_plant *p, struct pb_err *err);

/* The marks of doubtful parents that a record stands under, a field each; nothing where
 * there are none. */
enum pb_rc print_doubts(struct env *env, enum pb_kind kind, int64_t row,
                        struct pb_err *err);

/* A flowering in a line: "  flowering 2   spike on Mon 2026-02-02, open on ...". */
void print_flowering(const struct pb_flowering *f);

/* The JSON record of a cross with its private texts, as `cross`, `look` and `show` print
 * it. */
enum pb_rc print_cross_json(struct env *env, const struct pb_cross *x,
                            const struct pb_outlook *o, struct pb_err *err);

/* The tag: code, parents in words, date, so that a slip can be found. */
void print_tag(const struct pb_cross *x);

/* Append what is said of a pair of parents at once, a line each; of a cross that is only
 * planned (row 0) nothing of its flowers. */
enum pb_rc pair_words(struct env *env, const struct pb_cross *x,
                      enum pb_cross_kind kind, struct pb_buf *out, struct pb_err *err);

/* Append the absences that a harvest window meets, a line each. */
enum pb_rc away_words(struct env *env, struct pb_span harvest, struct pb_buf *out,
                      struct pb_err *err);

/* Print such lines; they are changed. */
void print_words(struct pb_buf *lines);

/* The windows with weekday and date, and what they rest on. */
void print_windows(const struct pb_cross *x, const struct pb_outlook *o);

/* "goodyera-tropical, by species": the profile of a match that has one, and why it. */
void match_text(const struct pb_profile_match *m, struct pb_buf *out);

/* "2 holding, 1 dropped (of 3 flowers)". */
void life_text(const struct pb_life *life, struct pb_buf *out);

/* Why nothing of a cross is due, in a few words; false: it is here.  Appends. */
bool print_absent(const struct pb_cross *x, struct pb_buf *out);

/* " (overdue)" behind a task whose last day is over, else nothing. */
const char *late_text(const struct pb_task *t, pb_day today);

/* The next thing to do on a cross, in a line; prints nothing when it is closed. */
void print_next(const struct pb_cross *x, const struct pb_outlook *o, pb_day today);

/* What happened after something was recorded on a cross: state, next work; or JSON. */
enum pb_rc print_cross_after(struct env *env, const struct pb_cross *x,
                             struct pb_err *err);

#endif
