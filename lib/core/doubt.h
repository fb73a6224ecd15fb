/*
 * Doubtful parents: what is said of a plant or cross whose parents are not believed, and so
 * of all that descends from it.  Computed for a reader, stored only where it was said.
 */
#ifndef PB_CORE_DOUBT_H
#define PB_CORE_DOUBT_H

#include "base/buf.h"
#include "core/record.h"

/* One mark. */
struct pb_doubt {
    char code[PB_MAX_CODE + 1]; /* of the plant or cross that has it */
    char *why;
    bool own; /* it is the record's that was asked about */
};

/* Those that a record stands under. */
struct pb_doubts {
    struct pb_doubt *v; /* its own first, then plants, crosses by their entry */
    size_t n;
};

void pb_doubts_clear(struct pb_doubts *doubts); /* an all-zero one is allowed */

/* Append it in words: "its parents are not believed: the tag fell off", "it comes of
 * X26-001, whose parents are not believed: the tag fell off". */
void pb_doubt_words(const struct pb_doubt *doubt, struct pb_buf *out);

#endif
