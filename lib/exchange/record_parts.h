/*
 * Parts that several kinds of record have: head, references, parents, looks.  Internal to
 * exchange; the steps they are made of are in reader.h.
 */
#ifndef PB_EXCHANGE_RECORD_PARTS_H
#define PB_EXCHANGE_RECORD_PARTS_H

#include "core/batch.h"
#include "core/doubt.h"
#include "exchange/reader.h"

/* Keys that every record may have, and a parent's; for a list of keys. */
#define PB_HEAD_KEYS                                                          \
    "format", "version", "id", "code", "origin_code", "revision", "modified", \
        "withdrawn"
#define PB_PARENT_KEYS "id", "code", "clone", "raised_from"

/* Format first, then version: what follows may look different in a later one. */
void pb_parts_format(struct pb_reader *rd, const struct pb_json_at *at,
                     enum pb_kind *kind);

void pb_parts_head(struct pb_reader *rd, const struct pb_json_at *at,
                   enum pb_code_rule form, struct pb_head *head);

/* A record that names itself as what it came from would be its own ancestor. */
void pb_parts_other(struct pb_reader *rd, const struct pb_json_at *at,
                    const struct pb_head *head, const struct pb_ref *ref);

/* Another record by id and code; above: slot of the object that holds it, NULL: the
 * record. */
void pb_parts_ref(struct pb_reader *rd, const struct pb_json_at *at, const char *above,
                  enum pb_code_rule form, struct pb_ref *ref);

/* The clone of a plant, where it is told: its first plant and its name. */
void pb_parts_clone(struct pb_reader *rd, const struct pb_json_at *at,
                    const char *above, struct pb_ref *genet, char **name);

/* A plant in the role of a parent, or that something was taken from.  head: the record's. */
void pb_parts_parent(struct pb_reader *rd, const struct pb_json_at *at,
                     const struct pb_shape *shape, const struct pb_head *head,
                     struct pb_parent *parent);

/* An array of the record as n zeroed elements; NULL and n = 0: none, or an error. */
void *pb_parts_array(struct pb_reader *rd, const struct pb_json_at *list, size_t max,
                     size_t size, size_t *n);

/* A day, and a number of units (0: none), that must fit the record they are of. */
struct pb_parts_limit {
    enum pb_kind kind;
    pb_day start; /* PB_DAY_NONE: no day is too early */
    int units;
};
void pb_parts_event(struct pb_reader *rd, const struct pb_json_at *at,
                    const struct pb_parts_limit *limit, pb_day on, int count);

/* The looks of a record, where it has some; no id twice. */
void pb_parts_looks(struct pb_reader *rd, const struct pb_json_at *at,
                    const struct pb_parts_limit *limit, struct pb_look **looks,
                    size_t *n);

/* ---- whole records ---------------------------------------------------------------------- */

void pb_parts_cross(struct pb_reader *rd, const struct pb_json_at *at,
                    struct pb_cross *x);
/* Marks that the record stands under, but for its own; what is no such mark is passed
 * over. */
void pb_parts_doubts(struct pb_reader *rd, const struct pb_json_at *at, const char *own,
                     struct pb_doubts *doubts);

/* A batch; x and parent: the cross or the plant that it carries. */
void pb_parts_batch(struct pb_reader *rd, const struct pb_json_at *at,
                    struct pb_batch *b, struct pb_cross *x, struct pb_parent *parent);

#endif
