/*
 * Records as JSON: one record, one object (podbook-json(5) describes the keys).
 *
 * Written: sorted keys, no blanks, a key without a value left out.  Read: strictly; an
 * unknown key is an error unless it begins "x-", and those are kept (head.extra) and
 * written again where they stood.  What is computed for the reader of a record is written
 * when asked for and passed over when read.  A seed lot and a flask carry their whole cross
 * as an object within, cuttings and pollen the plant they were taken from.
 */
#ifndef PB_EXCHANGE_RECORD_H
#define PB_EXCHANGE_RECORD_H

#include "base/buf.h"
#include "core/bloom.h"
#include "core/doubt.h"
#include "core/view.h"

enum {
    PB_RECORD_VERSION = 1,           /* of every format */
    PB_MAX_RECORD = PB_MAX_JSON_LINE /* bytes that a record may take when written */
};

/* What is told with a plant and is not in its struct; all zero: nothing. */
struct pb_plant_more {
    char *seed_taxon,
        *pollen_taxon; /* of its stated parents; NULL: none, or not known */
    struct pb_flowering *flowerings; /* by number */
    size_t flowering_n;
    struct pb_look *looks; /* after its flowers, by number */
    size_t look_n;
};
void pb_plant_more_clear(struct pb_plant_more *more);

/* A record as it came. */
struct pb_record {
    enum pb_kind kind;
    struct pb_plant plant;
    struct pb_plant_more more; /* of the plant */
    struct pb_cross cross;     /* also that of a seed lot or flask */
    struct pb_batch batch;
    struct pb_parent parent; /* of cuttings or pollen: the plant */
    struct pb_doubts doubts; /* marks that it stands under there, as far as they can be
                                read: they are computed, and no part of it */
};

void pb_record_init(struct pb_record *rec);
void pb_record_clear(struct pb_record *rec);
/* The head of what it holds; borrowed. */
struct pb_head *pb_record_head(struct pb_record *rec);

/*
 * Read one record.
 *   file, line  where it comes from, for messages; NULL and 0: none
 *   text, n     its bytes, at most PB_MAX_JSON_LINE
 *   rec         in: initialised; out: what it says.  Row numbers are 0; looks, flowerings
 *               and harvests are numbered as they come.  Release with pb_record_clear
 * Held here: the form, dates that exist, nothing before the record's own day, no count over
 * the flowers or cuttings, no look twice.  Not held: whether the looks can follow each
 * other and say what they must (pb_course_replay), whether a day lies in the future, what
 * others say of the same id.
 * PB_EPARSE, PB_ELIMIT, PB_EINVALID  the text gives the path within the record and the
 *                                    reason; rec is empty then     PB_ENOMEM
 */
enum pb_rc pb_record_read(const char *file, long line, const char *text, size_t n,
                          struct pb_record *rec, struct pb_err *err);

/* A plant with all that is told with it. */
struct pb_plant_doc {
    const struct pb_plant *plant;
    const struct pb_plant_more *more; /* NULL: nothing */
    const struct pb_doubts *doubts; /* marks that it stands under; NULL: not computed */
};

/* A batch with what is told of where it comes from. */
struct pb_batch_doc {
    const struct pb_batch *batch;
    const struct pb_cross *cross;           /* of a seed lot, a flask */
    const struct pb_cross_view *cross_view; /* NULL: not computed */
    const struct pb_parent *plant;          /* of cuttings, pollen */
    const struct pb_batch_view *view;       /* NULL: not computed */
};

/*
 * Append one record, without a line's end.
 *   view   NULL: none
 *   notes  the private texts too (note, source, papers, place)
 * PB_EPARSE  a text of it is not fit to be written: a mangled book    PB_ELIMIT, PB_ENOMEM
 */
enum pb_rc pb_plant_write(struct pb_plant_doc doc, bool notes, struct pb_buf *out,
                          struct pb_err *err);
enum pb_rc pb_cross_write(const struct pb_cross *x, const struct pb_cross_view *view,
                          bool notes, struct pb_buf *out, struct pb_err *err);
enum pb_rc pb_batch_write(const struct pb_batch_doc *doc, bool notes,
                          struct pb_buf *out, struct pb_err *err);

/*
 * Do two records of one id say the same?  Compared in canonical form: without what is
 * computed, modified, code and origin_code; plants, crosses, batches and clones that it
 * names count by their ids alone (with a pollen parent's lot and age), not by what is told
 * of them.
 *   notes  private texts count too: pb_..._keep_private of core/merge.h comes first
 *   same   out
 */
enum pb_rc pb_plant_same(struct pb_plant_doc a, struct pb_plant_doc b, bool notes,
                         bool *same, struct pb_err *err);
enum pb_rc pb_cross_same(const struct pb_cross *a, const struct pb_cross *b, bool notes,
                         bool *same, struct pb_err *err);
enum pb_rc pb_batch_same(const struct pb_batch *a, const struct pb_batch *b, bool notes,
                         bool *same, struct pb_err *err);

#endif
