/*
 * Keys of the records: what the reader and the writer share.  Internal to exchange.
 *
 * A member of a record that is one text, day or number is a row of a table, so both sides
 * run the same rows.  Words, codes and references have each their own few lines.
 */
#ifndef PB_EXCHANGE_RECORD_KEYS_H
#define PB_EXCHANGE_RECORD_KEYS_H

#include "core/bloom.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

enum pb_member_type {
    PB_MEMBER_TEXT,
    PB_MEMBER_DAY,
    PB_MEMBER_INT,
    PB_MEMBER_COUNT, /* things counted */
    PB_MEMBER_REAL,
    PB_MEMBER_TRUE, /* said only where it is so */
    PB_MEMBER_WORD
};

struct pb_member {
    const char *key;
    size_t
        offset; /* of a char *, pb_day, int, int64_t, double, bool or enum in the struct */
    enum pb_member_type type;
    int low,
        high; /* of a number; below low: not given.  high: bytes of a text, words */
    bool required;
    bool is_private;          /* leaves only with notes */
    const char *const *words; /* of an enum; the first is NULL: not given */
};

struct pb_members {
    const struct pb_member *v;
    size_t n;
};

extern const struct pb_members pb_plant_members;  /* of struct pb_plant */
extern const struct pb_members pb_cross_members;  /* of struct pb_cross */
extern const struct pb_members pb_parent_members; /* of struct pb_parent */
extern const struct pb_members pb_pollen_members; /* of struct pb_pollen_parent */
/* Of struct pb_look: where units are counted, where things are. */
extern const struct pb_members pb_look_members, pb_counting_look_members;
extern const struct pb_members pb_flowering_members; /* of struct pb_flowering */
/* Of struct pb_batch; index is enum pb_kind, none of the first two.  ORDER KIND */
extern const struct pb_members pb_batch_members[PB_KIND_N];
extern const struct pb_members pb_harvest_members; /* of struct pb_harvest */

/* Names of the formats.  ORDER KIND */
extern const char *const pb_format_names[PB_KIND_N];

/*
 * The x- keys of a record are kept as one object: those of the record itself as they are,
 * those of an object within it under that object's slot: "seed_parent",
 * "seed_parent/clone", "looks/ID", "harvests/0".
 */
enum { PB_SLOT_TEXT = 64 };

/* Slot below a slot; NULL above: of the record.  Returns slot. */
const char *pb_slot_name(char slot[PB_SLOT_TEXT], const char *above, const char *below);

/* The same for an element of an array. */
const char *pb_slot_item(char slot[PB_SLOT_TEXT], const char *array, size_t index);

/* Flags to write a record with: sorted, compact, each real among its x- keys with the
 * fewest digits (15 or 17) that all of them come back from.  False: out of memory. */
bool pb_extra_flags(const json_t *extra, size_t *flags);

#endif
