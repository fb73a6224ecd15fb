/* Records as JSON: what reader and writer share.  See record.h. */
#include "exchange/record.h"

#include "base/text.h"
#include "exchange/json_read.h"
#include "exchange/record_keys.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ORDER KIND */
const char *const pb_format_names[PB_KIND_N] = {
    "podbook-plant", "podbook-cross",   "podbook-seed",
    "podbook-flask", "podbook-cutting", "podbook-pollen",
};

#define ROW(s, m, key, type, low, high, req, priv, words)             \
    {                                                                 \
        key, offsetof(struct s, m), type, low, high, req, priv, words \
    }
#define TEXT(s, m, key, max, req, priv) \
    ROW(s, m, key, PB_MEMBER_TEXT, 0, max, req, priv, NULL)
#define DAY(s, m, key, req) ROW(s, m, key, PB_MEMBER_DAY, 0, 0, req, false, NULL)
#define INT(s, m, key, low, high, req) \
    ROW(s, m, key, PB_MEMBER_INT, low, high, req, false, NULL)
#define COUNT(s, m, key, low) \
    ROW(s, m, key, PB_MEMBER_COUNT, low, PB_MAX_COUNTED, false, false, NULL)
#define REAL(s, m, key, low, high) \
    ROW(s, m, key, PB_MEMBER_REAL, low, high, false, false, NULL)
#define TRUE(s, m, key) ROW(s, m, key, PB_MEMBER_TRUE, 0, 0, false, false, NULL)
#define WORD(s, m, key, n, words) \
    ROW(s, m, key, PB_MEMBER_WORD, 0, n, false, false, words)
#define MEMBERS(rows)            \
    {                            \
        rows, PB_ARRAY_LEN(rows) \
    }

static const struct pb_member plant_rows[] = {
    TEXT(pb_plant, taxon, "taxon", PB_MAX_NAME, true, false),
    INT(pb_plant, ploidy, "ploidy", 1, PB_MAX_PLOIDY, false),
    DAY(pb_plant, got, "got", false),
    DAY(pb_plant, gone_on, "gone_on", false),
    TEXT(pb_plant, doubtful, "doubtful", PB_MAX_TEXT, false, false),
    TEXT(pb_plant, source_text, "source", PB_MAX_TEXT, false, true),
    TEXT(pb_plant, papers, "papers", PB_MAX_TEXT, false, true),
    TEXT(pb_plant, place, "place", PB_MAX_TEXT, false, true),
    TEXT(pb_plant, note, "note", PB_MAX_TEXT, false, true),
};
const struct pb_members pb_plant_members = MEMBERS(plant_rows);

static const struct pb_member cross_rows[] = {
    DAY(pb_cross, pollinated, "pollinated", true),
    INT(pb_cross, flowers, "flowers", 1, PB_MAX_FLOWERS, true),
    INT(pb_cross, flower_age, "flower_age_days", 0, PB_MAX_FLOWER_AGE, false),
    TEXT(pb_cross, at, "at", PB_MAX_NAME, false, false),
    TEXT(pb_cross, grex, "grex", PB_MAX_NAME, false, false),
    TEXT(pb_cross, profile, "profile", PB_MAX_NAME, false, false),
    TEXT(pb_cross, doubtful, "doubtful", PB_MAX_TEXT, false, false),
    DAY(pb_cross, bagged, "bagged", false),
    TEXT(pb_cross, note, "note", PB_MAX_TEXT, false, true),
};
const struct pb_members pb_cross_members = MEMBERS(cross_rows);

static const struct pb_member parent_rows[] = {
    TEXT(pb_parent, taxon, "taxon", PB_MAX_NAME, true, false),
    INT(pb_parent, ploidy, "ploidy", 1, PB_MAX_PLOIDY, false),
};
const struct pb_members pb_parent_members = MEMBERS(parent_rows);

static const struct pb_member pollen_rows[] = {
    INT(pb_pollen_parent, age_days, "pollen_age_days", 0, PB_MAX_POLLEN_AGE, false),
};
const struct pb_members pb_pollen_members = MEMBERS(pollen_rows);

static const struct pb_member look_rows[] = {
    DAY(pb_look, on, "on", true),
    INT(pb_look, count, "count", 1, PB_MAX_FLOWERS, true),
    TEXT(pb_look, note, "note", PB_MAX_TEXT, false, true),
};
const struct pb_members pb_look_members = MEMBERS(look_rows);

static const struct pb_member counting_look_rows[] = {
    DAY(pb_look, on, "on", true),
    COUNT(pb_look, amount, "count", 0),
    COUNT(pb_look, sample, "of", 1),
    TEXT(pb_look, scale, "scale", PB_MAX_NAME, false, false),
    TEXT(pb_look, method, "method", PB_MAX_NAME, false, false),
    TEXT(pb_look, note, "note", PB_MAX_TEXT, false, true),
};
const struct pb_members pb_counting_look_members = MEMBERS(counting_look_rows);

/* ORDER BLOOM */
static const struct pb_member flowering_rows[] = {
    DAY(pb_flowering, on[PB_BLOOM_SPIKE], "spike", false),
    DAY(pb_flowering, on[PB_BLOOM_OPEN], "open", false),
    DAY(pb_flowering, on[PB_BLOOM_OVER], "over", false),
    DAY(pb_flowering, on[PB_BLOOM_DYING], "dying_back", false),
};
const struct pb_members pb_flowering_members = MEMBERS(flowering_rows);

enum {
    COLDEST = -200,
    WARMEST = 100,
    CONSTANT = 1000,
    MAX_MINUTES = 1440,
    MAX_NODES = 100
};

static const struct pb_member seed_rows[] = {
    DAY(pb_batch, on, "on", true),
    INT(pb_batch, capsules, "capsules", 1, PB_MAX_FLOWERS, false),
    COUNT(pb_batch, amount, "seeds", 0),
    WORD(pb_batch, form, "form", PB_FORM_N, pb_form_names),
    REAL(pb_batch, celsius, "celsius", COLDEST, WARMEST),
    REAL(pb_batch, constants.moisture, "moisture", 0, 100),
    REAL(pb_batch, constants.viability, "viability", 0, 100),
    REAL(pb_batch, constants.below, "below", 0, 100),
    REAL(pb_batch, constants.ke, "ke", -CONSTANT, CONSTANT),
    REAL(pb_batch, constants.cw, "cw", -CONSTANT, CONSTANT),
    REAL(pb_batch, constants.ch, "ch", -CONSTANT, CONSTANT),
    REAL(pb_batch, constants.cq, "cq", -CONSTANT, CONSTANT),
    TEXT(pb_batch, constants.source, "constants", PB_MAX_TEXT, false, false),
    TEXT(pb_batch, place, "place", PB_MAX_TEXT, false, true),
    TEXT(pb_batch, note, "note", PB_MAX_TEXT, false, true),
};
static const struct pb_member flask_rows[] = {
    DAY(pb_batch, on, "on", true),
    COUNT(pb_batch, amount, "seeds", 0),
    TEXT(pb_batch, medium, "medium", PB_MAX_NAME, false, false),
    TEXT(pb_batch, agent, "agent", PB_MAX_NAME, false, false),
    REAL(pb_batch, chlorine, "chlorine_percent", 0, 100),
    INT(pb_batch, minutes, "minutes", 0, MAX_MINUTES, false),
    WORD(pb_batch, light, "light", PB_LIGHT_N, pb_light_names),
    TEXT(pb_batch, place, "place", PB_MAX_TEXT, false, true),
    TEXT(pb_batch, note, "note", PB_MAX_TEXT, false, true),
};
static const struct pb_member cutting_rows[] = {
    DAY(pb_batch, on, "on", true),
    INT(pb_batch, units, "count", 1, PB_MAX_FLOWERS, true),
    INT(pb_batch, nodes, "nodes", 1, MAX_NODES, false),
    TEXT(pb_batch, medium, "medium", PB_MAX_NAME, false, false),
    TEXT(pb_batch, place, "place", PB_MAX_TEXT, false, true),
    TEXT(pb_batch, note, "note", PB_MAX_TEXT, false, true),
};
static const struct pb_member pollen_lot_rows[] = {
    DAY(pb_batch, on, "on", true),
    WORD(pb_batch, kept, "kept", PB_KEPT_N, pb_kept_names),
    TRUE(pb_batch, dried, "dried"),
    TRUE(pb_batch, cap_removed, "cap_removed"),
    REAL(pb_batch, celsius, "celsius", COLDEST, WARMEST),
    TEXT(pb_batch, place, "place", PB_MAX_TEXT, false, true),
    TEXT(pb_batch, note, "note", PB_MAX_TEXT, false, true),
};
const struct pb_members pb_batch_members[PB_KIND_N] = {
    [PB_SEED] = MEMBERS(seed_rows),
    [PB_FLASK] = MEMBERS(flask_rows),
    [PB_CUTTING] = MEMBERS(cutting_rows),
    [PB_POLLEN] = MEMBERS(pollen_lot_rows),
};

static const struct pb_member harvest_rows[] = {
    DAY(pb_harvest, on, "on", true),
    INT(pb_harvest, count, "count", 1, PB_MAX_FLOWERS, true),
};
const struct pb_members pb_harvest_members = MEMBERS(harvest_rows);

/* Append to a slot of n bytes what has room there; its length then.  By hand: a slot is
 * named for every object of a record. */
static size_t join(char slot[PB_SLOT_TEXT], size_t n, const char *text)
{
    while (n + 1 < PB_SLOT_TEXT && *text != '\0')
        slot[n++] = *text++;
    slot[n] = '\0';
    return n;
}

const char *pb_slot_name(char slot[PB_SLOT_TEXT], const char *above, const char *below)
{
    size_t n = 0;
    if (above != NULL) {
        n = join(slot, n, above);
        n = join(slot, n, "/");
    }
    (void)join(slot, n, below);
    return slot;
}

const char *pb_slot_item(char slot[PB_SLOT_TEXT], const char *array, size_t index)
{
    char digits[24], *p = digits + sizeof(digits) - 1;
    *p = '\0';
    do
        *--p = (char)('0' + index % 10);
    while ((index /= 10) > 0);
    return pb_slot_name(slot, array, p);
}

bool pb_extra_flags(const json_t *extra, size_t *flags)
{
    static const struct pb_json_origin nowhere = {NULL, 0};
    json_t *back = NULL;
    *flags = JSON_COMPACT | JSON_SORT_KEYS;
    if (json_object_size(extra) == 0)
        return true;
    const unsigned before = pb_json_failures();
    char *text = json_dumps(extra, *flags | JSON_REAL_PRECISION(15));
    bool read = text != NULL && pb_json_failures() == before &&
                pb_json_load(&nowhere, text, strlen(text), &back, NULL) == PB_OK;
    free(text);
    if (!read)
        return false;
    *flags |=
        json_equal(extra, back) ? JSON_REAL_PRECISION(15) : JSON_REAL_PRECISION(17);
    json_decref(back);
    return true;
}

void pb_plant_more_clear(struct pb_plant_more *more)
{
    free(more->seed_taxon);
    free(more->pollen_taxon);
    free(more->flowerings);
    for (size_t i = 0; i < more->look_n; i++)
        pb_look_clear(&more->looks[i]);
    free(more->looks);
    memset(more, 0, sizeof(*more));
}

void pb_record_init(struct pb_record *rec)
{
    memset(rec, 0, sizeof(*rec));
    rec->kind = PB_PLANT;
    pb_plant_init(&rec->plant);
    pb_cross_init(&rec->cross);
    pb_batch_init(&rec->batch, PB_SEED);
}

void pb_record_clear(struct pb_record *rec)
{
    pb_plant_clear(&rec->plant);
    pb_plant_more_clear(&rec->more);
    pb_cross_clear(&rec->cross);
    pb_batch_clear(&rec->batch);
    free(rec->parent.taxon);
    free(rec->parent.clone_name);
    memset(&rec->parent, 0, sizeof(rec->parent));
    pb_doubts_clear(&rec->doubts);
}

struct pb_head *pb_record_head(struct pb_record *rec)
{
    return rec->kind == PB_PLANT   ? &rec->plant.head
           : rec->kind == PB_CROSS ? &rec->cross.head
                                   : &rec->batch.head;
}
