/*
 * What to do with a received record: the pure decision.
 *
 * Records are the same one when their ids are.  Revisions are compared as numbers; what
 * two records of one revision say is compared by the caller (pb_plant_same,
 * pb_cross_same, pb_batch_same of exchange/record.h), because only there is a canonical form.
 */
#ifndef PB_CORE_MERGE_H
#define PB_CORE_MERGE_H

#include "core/batch.h"

/* ORDER MERGE: pb_merge_names */
enum pb_merge {
    PB_MERGE_ADD, /* ours does not exist */
    PB_MERGE_REPLACE, /* theirs, or its private texts, are newer; ours goes to the history */
    PB_MERGE_OLDER, /* theirs is older; ours stays */
    PB_MERGE_SAME,  /* nothing to do */
    PB_MERGE_CLASH, /* same revision, other content; ours stays and it is said */
    PB_MERGE_N
};
extern const char *const pb_merge_names[PB_MERGE_N];

/* How far two records of one revision say the same. */
enum pb_content {
    PB_CONTENT_OTHER,
    PB_CONTENT_TEXTS, /* but for private texts, which are no part of a revision */
    PB_CONTENT_SAME
};

/*
 *   ours     revision of our record; 0: we have none
 *   theirs   revision of the received one, from 1
 *   content  read only where the revisions are equal; after keep_private
 */
enum pb_merge pb_merge_decide(int64_t ours, int64_t theirs, enum pb_content content);

/*
 * A record that came without notes says nothing about them: leaving private texts out is
 * not deleting them.  Copies into theirs each private text (note, source, papers, place;
 * the note of a look with the same id) that it lacks and ours has.  Before a comparison
 * and before a replacement.
 *   later  ours were written later: they stand where both have one
 * PB_ENOMEM  theirs holds some of the texts then
 */
enum pb_rc pb_plant_keep_private(struct pb_plant *theirs, const struct pb_plant *ours,
                                 bool later, struct pb_err *err);
enum pb_rc pb_cross_keep_private(struct pb_cross *theirs, const struct pb_cross *ours,
                                 bool later, struct pb_err *err);
enum pb_rc pb_batch_keep_private(struct pb_batch *theirs, const struct pb_batch *ours,
                                 bool later, struct pb_err *err);

/* The looks of a record, however it is kept. */
struct pb_look_list {
    struct pb_look *v;
    size_t n;
};
enum pb_rc pb_looks_keep_private(struct pb_look_list theirs, struct pb_look_list ours,
                                 bool later, struct pb_err *err);

#endif
