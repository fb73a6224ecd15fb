/*
 * Fields of records by name: one table serves the options of `plant` and `cross` and the
 * FIELD=VALUE pairs of `amend`.  A value is checked here as text; what it means beside the
 * others is checked when the record is kept.
 */
#ifndef PB_ACT_FIELDS_H
#define PB_ACT_FIELDS_H

#include "act/act.h"
#include "core/batch.h"

/* One FIELD=VALUE; an empty value takes the field away. */
struct pb_field {
    const char *name, *value; /* borrowed */
};

/*
 * Is a field a book's own: private, or what the record is called here?  Two books that
 * compare a record pass it over, so a change of it makes no new revision.
 */
bool pb_field_is_own(const char *name);

/*
 * Set one field of a record in memory.
 *   today  for dates typed relative to it
 * PB_ENOTFOUND  no such field: the text lists those there are
 * PB_EPARSE, PB_ELIMIT, PB_EINVALID  the value is not fit; names the field
 */
enum pb_rc pb_field_set_plant(struct pb_plant *p, const struct pb_field *f,
                              pb_day today, struct pb_err *err);
enum pb_rc pb_field_set_cross(struct pb_cross *x, const struct pb_field *f,
                              pb_day today, struct pb_err *err);
/* A finding as typed: a word of `look`.  PB_EPARSE  the text lists those there are;
 * PB_EINVALID  a command of its own writes it */
enum pb_rc pb_field_found(const struct pb_course *course, const char *what,
                          const char *word, int *found, struct pb_err *err);
/* course: whose findings a look's are */
enum pb_rc pb_field_set_look(struct pb_look *l, const struct pb_course *course,
                             const struct pb_field *f, pb_day today,
                             struct pb_err *err);
enum pb_rc pb_field_set_harvest(struct pb_harvest *h, const struct pb_field *f,
                                pb_day today, struct pb_err *err);
/* What a batch of its kind has. */
enum pb_rc pb_field_set_batch(struct pb_batch *b, const struct pb_field *f,
                              pb_day today, struct pb_err *err);

/* What a record holds in a field that would not take it; borrowed for the call. */
struct pb_field_fault {
    const char *name; /* the field */
    const char *why;  /* as a sentence of it goes on */
    bool is_number;   /* else a text */
};
typedef enum pb_rc pb_field_fault_each(void *ctx, const struct pb_field_fault *f,
                                       struct pb_err *err);
/* Tell each text and each number of a record that its field would refuse, but for its code.
 * Errors are those of `each`. */
enum pb_rc pb_field_faults_plant(const struct pb_plant *p, pb_field_fault_each *each,
                                 void *ctx, struct pb_err *err);
enum pb_rc pb_field_faults_cross(const struct pb_cross *x, pb_field_fault_each *each,
                                 void *ctx, struct pb_err *err);
enum pb_rc pb_field_faults_look(const struct pb_look *l, const struct pb_course *course,
                                pb_field_fault_each *each, void *ctx,
                                struct pb_err *err);
enum pb_rc pb_field_faults_batch(const struct pb_batch *b, pb_field_fault_each *each,
                                 void *ctx, struct pb_err *err);

/*
 * A parent as typed: CODE, or CODE=TAXON for a plant that is entered in the same act.  The
 * reference's row number becomes 0: it is looked up when the record is kept.
 */
enum pb_rc pb_field_parent(const char *what, const char *text, struct pb_parent *parent,
                           struct pb_err *err);
/* Pollen parents as typed: one, several joined by "+", or "unknown". */
enum pb_rc pb_field_pollen(const char *what, const char *text, struct pb_cross *x,
                           struct pb_err *err);

#endif
