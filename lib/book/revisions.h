/*
 * Revisions when an act is taken back.  Internal to lib/book.
 *
 * An act of one's own may have been shared, so taking it back counts up: the record as it is
 * then outvotes what went out.  What was received is in its sender's book as it came.  Taking
 * that back gives the record the revision that it had before, or what comes from us would
 * outvote the sender's own record, and his could not be received again.
 *
 * The history has two kinds of rows for it that are of no table of facts (change.tbl): one
 * "received" for an act that takes records in, and "plant.revision" and the like for each
 * record of another revision that it writes, with the revision and the instant before.
 */
#ifndef PB_BOOK_REVISIONS_H
#define PB_BOOK_REVISIONS_H

#include "book/book.h"
#include "book/schema.h"
#include "core/record.h"

/* What change.tbl of those rows is, for an SQL list. */
#define PB_REVISION_ROWS \
    "'received','plant.revision','crossing.revision','batch.revision'"

/* Before a record is written over, in a table of facts ("plant"): note its revision, if the
 * running act takes records in and brings another one. */
enum pb_rc pb_revision_note(struct pb_book *b, const char *table,
                            const struct pb_head *to, struct pb_err *err);

/* After the rows of act n were put back: the revisions of its records.  now: the instant of
 * those that count up. */
enum pb_rc pb_revisions_undo(struct pb_book *b, int64_t n, int64_t now,
                             struct pb_err *err);

#endif
