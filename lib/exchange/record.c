/* Plants and crosses as JSON: what reader and writer share.  See record.h. */
#include "exchange/record.h"

#include "base/text.h"
#include "exchange/json_read.h"
#include "exchange/record_keys.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ORDER KIND: seed lots have no format of their own yet */
const char *const pb_format_names[PB_KIND_N] = {"podbook-plant", "podbook-cross", NULL};

#define TEXT(s, m, key, max, req, priv)                               \
    {                                                                 \
        key, offsetof(struct s, m), PB_MEMBER_TEXT, 0, max, req, priv \
    }
#define DAY(s, m, key, req)                                         \
    {                                                               \
        key, offsetof(struct s, m), PB_MEMBER_DAY, 0, 0, req, false \
    }
#define INT(s, m, key, low, high, req)                                   \
    {                                                                    \
        key, offsetof(struct s, m), PB_MEMBER_INT, low, high, req, false \
    }
#define MEMBERS(rows)            \
    {                            \
        rows, PB_ARRAY_LEN(rows) \
    }

static const struct pb_member plant_rows[] = {
    TEXT(pb_plant, taxon, "taxon", PB_MAX_NAME, true, false),
    INT(pb_plant, ploidy, "ploidy", 1, PB_MAX_PLOIDY, false),
    TEXT(pb_plant, doubtful, "doubtful", PB_MAX_TEXT, false, false),
    DAY(pb_plant, got, "got", false),
    DAY(pb_plant, gone_on, "gone_on", false),
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

static const struct pb_member harvest_rows[] = {
    DAY(pb_harvest, on, "on", true),
    INT(pb_harvest, count, "count", 1, PB_MAX_FLOWERS, true),
};
const struct pb_members pb_harvest_members = MEMBERS(harvest_rows);

const char *pb_slot_name(char slot[PB_SLOT_TEXT], const char *above, const char *below)
{
    (void)snprintf(slot, PB_SLOT_TEXT, "%s%s%s", above != NULL ? above : "",
                   above != NULL ? "/" : "", below);
    return slot;
}

const char *pb_slot_item(char slot[PB_SLOT_TEXT], const char *array, size_t index)
{
    (void)snprintf(slot, PB_SLOT_TEXT, "%s/%zu", array, index);
    return slot;
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

void pb_record_init(struct pb_record *rec)
{
    rec->kind = PB_PLANT;
    pb_plant_init(&rec->plant);
    rec->taxa = (struct pb_plant_taxa){NULL, NULL, NULL};
    pb_cross_init(&rec->cross);
}

void pb_record_clear(struct pb_record *rec)
{
    pb_plant_clear(&rec->plant);
    free(rec->taxa.seed);
    free(rec->taxa.pollen);
    rec->taxa = (struct pb_plant_taxa){NULL, NULL, NULL};
    pb_cross_clear(&rec->cross);
}
