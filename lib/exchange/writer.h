/*
 * Steps of writing a record: members and objects.  Internal to exchange.
 *
 * A writer carries the first error with it; every step does nothing once there is one, so
 * steps stand in a row and the one check is in pb_writer_finish.  Objects are built as
 * jansson trees and written once, sorted; a tree that could not be built is NULL and is
 * passed over.
 */
#ifndef PB_EXCHANGE_WRITER_H
#define PB_EXCHANGE_WRITER_H

#include "base/buf.h"
#include "exchange/json_read.h"
#include "exchange/record_keys.h"

enum pb_form {
    PB_FORM_SHARE, /* what leaves the book by default */
    PB_FORM_NOTES, /* with private texts */
    /* what two records of one revision must have in common, with private texts, without */
    PB_FORM_CANONICAL,
    PB_FORM_CANONICAL_SHARED
};

struct pb_writer {
    enum pb_form form;
    const char *code; /* of the record, for messages */
    json_t *extra;    /* x- keys by slot; NULL: none */
    bool reals;       /* something beside the x- keys may hold real numbers */
    unsigned before;  /* failures of jansson's memory until now */
    enum pb_rc rc;
    struct pb_err *err;
};

bool pb_writer_is_canonical(const struct pb_writer *w);

/* A writer for one record, and the object to fill. */
json_t *pb_writer_begin(struct pb_writer *w, enum pb_form form,
                        const struct pb_head *head, struct pb_err *err);
/* Append the object to out and release what begin made. */
enum pb_rc pb_writer_finish(struct pb_writer *w, json_t *obj, struct pb_buf *out);
/* Put it under a key of another record instead, whose writer is w. */
void pb_writer_put_into(struct pb_writer *w, json_t *obj, const char *key,
                        struct pb_writer *inner, json_t *child);

/* ---- members: what is not given is left out ------------------------------------------ */

/* Takes the value, which is NULL where memory ran out. */
void pb_put(struct pb_writer *w, json_t *obj, const char *key, json_t *value);
/* One that is not fit to be written can only come from a mangled book. */
void pb_put_text(struct pb_writer *w, json_t *obj, const char *key, const char *text);
void pb_put_day(struct pb_writer *w, json_t *obj, const char *key, pb_day day);
void pb_put_int(struct pb_writer *w, json_t *obj, const char *key, int64_t number);
/* Only true says something. */
void pb_put_true(struct pb_writer *w, json_t *obj, const char *key, bool value);
void pb_put_members(struct pb_writer *w, json_t *obj, const struct pb_members *members,
                    const void *base);

/* A new object or array under a key, an object behind an array; borrowed, NULL after an
 * error. */
json_t *pb_put_object(struct pb_writer *w, json_t *obj, const char *key);
json_t *pb_put_array(struct pb_writer *w, json_t *obj, const char *key);
json_t *pb_append_object(struct pb_writer *w, json_t *list);
/* An array of the lines of a text. */
void pb_put_lines(struct pb_writer *w, json_t *obj, const char *key, const char *lines);

/* The x- keys that were put by under this slot go back into their object. */
void pb_put_extra(struct pb_writer *w, json_t *obj, const char *slot);

/* ---- what records have in common -------------------------------------------------------- */

void pb_put_head(struct pb_writer *w, json_t *obj, enum pb_kind kind,
                 const struct pb_head *head);
/* Another record, where there is one; in canonical form it counts by its id alone. */
json_t *pb_put_ref(struct pb_writer *w, json_t *obj, const char *key,
                   const struct pb_ref *ref);
/* With its x- keys; above: slot of the object that holds it, NULL: the record. */
void pb_put_ref_at(struct pb_writer *w, json_t *obj, const char *key,
                   const struct pb_ref *ref, const char *above);
/* The clone of a plant. */
void pb_put_clone(struct pb_writer *w, json_t *obj, const struct pb_ref *genet,
                  const char *name, const char *above);
void pb_put_parent(struct pb_writer *w, json_t *obj, const struct pb_parent *parent,
                   const char *slot);
/* Looks of a kind of record. */
void pb_put_looks(struct pb_writer *w, json_t *obj, enum pb_kind kind,
                  const struct pb_look *looks, size_t n);

#endif
