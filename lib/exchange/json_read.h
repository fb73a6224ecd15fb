/*
 * Reading JSON strictly, with the place of every fault.  Internal to exchange: includes
 * jansson, so no other folder and no public header includes it.
 *
 * A pb_json_at is one value together with the way that led to it.  It lives on the
 * reader's stack and points to the one above it, so going down costs nothing and the
 * path ("profiles[3].stages.harvest.from") is written only when something is wrong.
 * Every error names the file, the line (JSON Lines, or a fault of the syntax), the path
 * and the reason.  All values are borrowed from the document: valid until json_decref.
 *
 * A null is a value of the wrong type everywhere: what has no value is left out.
 */
#ifndef PB_EXCHANGE_JSON_READ_H
#define PB_EXCHANGE_JSON_READ_H

#include "base/err.h"
#include "exchange/json_memory.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Where the document came from; outlives every pb_json_at of it. */
struct pb_json_origin {
    const char *file; /* as the grower knows it; NULL: none */
    long line;        /* of JSON Lines, from 1; 0: a whole file */
};

struct pb_json_at {
    json_t *value;
    const struct pb_json_origin *origin;
    const struct pb_json_at *up; /* NULL: the document itself */
    const char *key;             /* of the object above; NULL in an array */
    size_t index;                /* in the array above, from 0 */
};

/* ---- the document -------------------------------------------------------------- */

/*
 * Parse one document, an object or an array.
 *   text, n  its bytes; the caller has held n to its own ceiling
 *   doc      out: yours to json_decref
 * PB_EPARSE  not JSON, not UTF-8, a key twice in an object, a byte order mark
 * PB_ELIMIT  nested deeper than PB_MAX_JSON_DEPTH    PB_ENOMEM
 */
enum pb_rc pb_json_load(const struct pb_json_origin *origin, const char *text, size_t n,
                        json_t **doc, struct pb_err *err);

/* The place of the whole document. */
struct pb_json_at pb_json_root(const struct pb_json_origin *origin, json_t *doc);

/* ---- going down: at stays in place while its children are in use ----------------- */

/* The member of an object; false: no such key.  A null member is found. */
bool pb_json_get(const struct pb_json_at *at, const char *key,
                 struct pb_json_at *child);

/* The same where the key must be there; PB_EPARSE names the missing key. */
enum pb_rc pb_json_need(const struct pb_json_at *at, const char *key,
                        struct pb_json_at *child, struct pb_err *err);

/* Element i of an array, i < its length. */
struct pb_json_at pb_json_item(const struct pb_json_at *at, size_t i);

/*
 * Member by member, in the order of the file:
 *   for (void *it = pb_json_first(&at, &m); it != NULL; it = pb_json_next(&at, it, &m))
 * m.key is the key's text.
 */
void *pb_json_first(const struct pb_json_at *at, struct pb_json_at *child);
void *pb_json_next(const struct pb_json_at *at, void *it, struct pb_json_at *child);

/* ---- values --------------------------------------------------------------------- */

/*
 * It is an object and has none but these keys.
 *   keys, n  the keys that are known
 *   x_keys   keys that begin "x-" are let through as well
 * PB_EPARSE  another type; an unknown key, with the one that was perhaps meant
 */
enum pb_rc pb_json_object(const struct pb_json_at *at, const char *const *keys,
                          size_t n, bool x_keys, struct pb_err *err);

/* It is an object, whatever its keys (a map), of at most max members. */
enum pb_rc pb_json_map(const struct pb_json_at *at, size_t max, size_t *n,
                       struct pb_err *err);

/* It is an array of low to high elements; n out. */
enum pb_rc pb_json_array(const struct pb_json_at *at, size_t low, size_t high,
                         size_t *n, struct pb_err *err);

/* A text that pb_text_check accepts, of at most max bytes; borrowed. */
enum pb_rc pb_json_text(const struct pb_json_at *at, size_t max, const char **text,
                        struct pb_err *err);

/* The key that led here, under the same rules (keys of maps). */
enum pb_rc pb_json_key(const struct pb_json_at *at, size_t max, struct pb_err *err);

/* A text that is one of n words (NULL words are holes); its number. */
enum pb_rc pb_json_word(const struct pb_json_at *at, const char *const *words, size_t n,
                        size_t *which, struct pb_err *err);

/* A JSON integer in [low, high]; 4.0 is not one. */
enum pb_rc pb_json_int(const struct pb_json_at *at, int64_t low, int64_t high,
                       int64_t *value, struct pb_err *err);

/* A JSON number in [low, high]. */
enum pb_rc pb_json_number(const struct pb_json_at *at, double low, double high,
                          double *value, struct pb_err *err);

enum pb_rc pb_json_bool(const struct pb_json_at *at, bool *value, struct pb_err *err);

/* Record a fault of this place: the path, then the text.  Returns rc, always. */
enum pb_rc pb_json_fail(struct pb_err *err, enum pb_rc rc, const struct pb_json_at *at,
                        const char *fmt, ...) PB_PRINTF(4, 5);

#endif
