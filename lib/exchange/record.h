/*
 * Plants and crosses as JSON: one record, one object (podbook-json(5) describes the keys).
 *
 * Written: sorted keys, no blanks, a key without a value left out.  Read: strictly; an
 * unknown key is an error unless it begins "x-", and those are kept (head.extra) and
 * written again where they stood.  What is computed for the reader of a cross is written
 * when asked for and passed over when read.
 */
#ifndef PB_EXCHANGE_RECORD_H
#define PB_EXCHANGE_RECORD_H

#include "base/buf.h"
#include "core/record.h"
#include "core/view.h"

enum {
    PB_RECORD_VERSION = 1,           /* of both formats */
    PB_MAX_RECORD = PB_MAX_JSON_LINE /* bytes that a record may take when written */
};

/* What is told beside a plant: the taxa of its stated parents, which it names by reference
 * only, and what is computed for the reader. */
struct pb_plant_taxa {
    char *seed, *pollen; /* the struct's own; NULL: no such parent, or not known */
    const struct pb_doubts *doubts; /* when written; NULL: none.  Borrowed */
};

/* A record as it came. */
struct pb_record {
    enum pb_kind kind; /* which of the two: PB_PLANT, PB_CROSS */
    struct pb_plant plant;
    struct pb_plant_taxa taxa; /* of the plant's stated parents */
    struct pb_cross cross;
};

void pb_record_init(struct pb_record *rec);
void pb_record_clear(struct pb_record *rec);

/*
 * Read one record.
 *   file, line  where it comes from, for messages; NULL and 0: none
 *   text, n     its bytes, at most PB_MAX_JSON_LINE
 *   rec         in: initialised; out: what it says.  Row numbers are 0; looks and harvests
 *               are numbered as they come.  Release with pb_record_clear
 * Held here: the form, dates that exist, nothing before the pollination, no count over the
 * flowers, no look twice.  Not held: whether the looks can follow each other
 * (pb_cross_replay), whether a day lies in the future, what others say of the same id.
 * PB_EPARSE, PB_ELIMIT, PB_EINVALID  the text gives the path within the record and the
 *                                    reason; rec is empty then     PB_ENOMEM
 */
enum pb_rc pb_record_read(const char *file, long line, const char *text, size_t n,
                          struct pb_record *rec, struct pb_err *err);

/*
 * Append one record, without a line's end.
 *   taxa, view  NULL: none
 *   notes       the private texts too (note, source, papers, place)
 * PB_EPARSE  a text of it is not fit to be written: a mangled book    PB_ELIMIT, PB_ENOMEM
 */
enum pb_rc pb_plant_write(const struct pb_plant *p, const struct pb_plant_taxa *taxa,
                          bool notes, struct pb_buf *out, struct pb_err *err);
enum pb_rc pb_cross_write(const struct pb_cross *x, const struct pb_cross_view *view,
                          bool notes, struct pb_buf *out, struct pb_err *err);

/*
 * Do two records of one id say the same?  Compared in canonical form: without what is
 * computed, modified, code and origin_code; plants, crosses and clones that it names count
 * by their ids alone (with a pollen parent's lot and age), not by what is told of them.
 *   notes  private texts count too: pb_plant_keep_private, pb_cross_keep_private come first
 *   same   out
 */
enum pb_rc pb_plant_same(const struct pb_plant *a, const struct pb_plant *b, bool notes,
                         bool *same, struct pb_err *err);
enum pb_rc pb_cross_same(const struct pb_cross *a, const struct pb_cross *b, bool notes,
                         bool *same, struct pb_err *err);

#endif
