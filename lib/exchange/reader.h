/*
 * Steps of reading a record: members and objects.  Internal to exchange.
 *
 * A reader carries the first error with it; every step does nothing once there is one, so
 * steps stand in a row and the one check (rc) is at the end.  What a step reads it writes
 * at once; whoever holds the record empties it after a failure.
 */
#ifndef PB_EXCHANGE_READER_H
#define PB_EXCHANGE_READER_H

#include "base/text.h"
#include "core/code_rule.h"
#include "exchange/json_read.h"
#include "exchange/record_keys.h"

struct pb_reader {
    json_t *extra; /* x- keys by slot; the owner of the reader releases it */
    enum pb_rc rc;
    struct pb_err *err;
};

/* What an object may hold beside x- keys: its members, and keys with steps of their own. */
struct pb_shape {
    const struct pb_members *members; /* NULL: none */
    const char *const *keys;
    size_t key_n;
};
#define PB_SHAPE(members, keys)           \
    {                                     \
        members, keys, PB_ARRAY_LEN(keys) \
    }

/* Is there something to read?  A key that must be there and is not is the error. */
bool pb_reader_get(struct pb_reader *rd, const struct pb_json_at *at, const char *key,
                   bool required, struct pb_json_at *child);

/* The reason of a checker that knows no path, under the path; rc PB_OK: nothing. */
void pb_reader_reason(struct pb_reader *rd, const struct pb_json_at *at, enum pb_rc rc,
                      const struct pb_err *reason);

/* A text of at most max bytes, copied: the owner of the record's. */
void pb_reader_text(struct pb_reader *rd, const struct pb_json_at *at, size_t max,
                    char **text);

/* Members that may be missing: the value stays as it is then. */
void pb_reader_bool(struct pb_reader *rd, const struct pb_json_at *at, const char *key,
                    bool *value);
void pb_reader_code(struct pb_reader *rd, const struct pb_json_at *at, const char *key,
                    enum pb_code_rule form, char code[PB_MAX_CODE + 1]);

/* Members that must be there. */
void pb_reader_id(struct pb_reader *rd, const struct pb_json_at *at,
                  char id[PB_ID_TEXT]);
void pb_reader_need_code(struct pb_reader *rd, const struct pb_json_at *at,
                         enum pb_code_rule form, char code[PB_MAX_CODE + 1]);

/* Its parts one by one: it is an object of this shape; its x- keys go under the slot
 * (NULL: the record itself); its members go into base. */
void pb_reader_shape(struct pb_reader *rd, const struct pb_json_at *at,
                     const struct pb_shape *shape);
void pb_reader_extra(struct pb_reader *rd, const struct pb_json_at *at,
                     const char *slot);
void pb_reader_members(struct pb_reader *rd, const struct pb_json_at *at,
                       const struct pb_members *members, void *base);

/* All three. */
void pb_reader_object(struct pb_reader *rd, const struct pb_json_at *at,
                      const struct pb_shape *shape, const char *slot, void *base);

/*
 * The x- keys as the text that a record keeps; NULL where there are none.
 *   at    the record, for the path
 *   text  out: the record's (free)
 * An error where they take more than PB_MAX_EXTRA bytes or hold a control character.
 */
void pb_reader_take_extra(struct pb_reader *rd, const struct pb_json_at *at,
                          char **text);

#endif
