/*
 * A cross as the open Breeding API has them.  See crossings.h.
 *
 * A value that could not be built is NULL: it fails its writer, and whether memory or a
 * text was at fault is asked once at the end.
 */
#include "exchange/crossings.h"

#include "core/instant.h"
#include "exchange/json_memory.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

struct writer {
    const struct pb_cross *x;
    const struct pb_crossing *told;
    bool failed;
};

/* ---- members ------------------------------------------------------------------------ */

/* Put a member; takes the value. */
static void put(struct writer *w, json_t *obj, const char *key, json_t *value)
{
    w->failed = json_object_set_new_nocheck(obj, key, value) != 0 || w->failed;
}

static void append(struct writer *w, json_t *list, json_t *value)
{
    w->failed = json_array_append_new(list, value) != 0 || w->failed;
}

static void put_text(struct writer *w, json_t *obj, const char *key, const char *text)
{
    if (text != NULL && text[0] != '\0')
        put(w, obj, key, json_string(text));
}

static void put_private(struct writer *w, json_t *obj, const char *key,
                        const char *text)
{
    if (w->told->notes)
        put_text(w, obj, key, text);
}

static void put_day(struct writer *w, json_t *obj, const char *key, pb_day day)
{
    char text[PB_DAY_TEXT];
    if (day != PB_DAY_NONE)
        put_text(w, obj, key, pb_day_format(day, text));
}

static void put_number(struct writer *w, json_t *obj, const char *key, int64_t number)
{
    if (number >= 0)
        put(w, obj, key, json_integer(number));
}

/* Put a new object or list under a key and give it back, borrowed. */
static json_t *put_new(struct writer *w, json_t *obj, const char *key, json_t *child)
{
    put(w, obj, key, child);
    return w->failed ? NULL : child;
}

static json_t *append_new(struct writer *w, json_t *list)
{
    json_t *child = json_object();
    append(w, list, child);
    return w->failed ? NULL : child;
}

/* ---- parents ------------------------------------------------------------------------ */

static void put_raised_from(struct writer *w, json_t *obj, const struct pb_ref *cross)
{
    if (cross->id[0] == '\0')
        return;
    json_t *child = put_new(w, obj, "raisedFrom", json_object());
    put_text(w, child, "crossDbId", cross->id);
    put_text(w, child, "crossName", cross->code);
}

/* What its parent object has no key for. */
static void tell_parent(struct writer *w, json_t *obj, const struct pb_parent *parent)
{
    put_text(w, obj, "observationUnitDbId", parent->plant.id);
    put_text(w, obj, "observationUnitName", parent->plant.code);
    put_text(w, obj, "taxon", parent->taxon);
    put_text(w, obj, "cloneName", parent->clone_name);
    if (parent->ploidy > 0)
        put_number(w, obj, "ploidy", parent->ploidy);
    put_raised_from(w, obj, &parent->raised_from);
}

/* The clone is the germplasm; one that the book does not know is the plant itself.  One id
 * has one name: that of the clone may be known of one of its plants alone. */
static void put_parent(struct writer *w, json_t *cross, const char *key,
                       const struct pb_parent *parent, const char *type)
{
    char name[PB_MAX_NAME + PB_MAX_CODE + 2];
    const struct pb_ref *germplasm =
        parent->genet.id[0] != '\0' ? &parent->genet : &parent->plant;
    json_t *obj = put_new(w, cross, key, json_object());
    (void)snprintf(name, sizeof(name), "%s %s", parent->taxon, germplasm->code);
    put_text(w, obj, "germplasmDbId", germplasm->id);
    put_text(w, obj, "germplasmName", name);
    put_text(w, obj, "observationUnitDbId", parent->plant.id);
    put_text(w, obj, "observationUnitName", parent->plant.code);
    put_text(w, obj, "parentType", type);
}

/* Pollen of several plants on one stigma: a population, its plants in additionalInfo. */
static void put_mixture(struct writer *w, json_t *cross)
{
    char name[PB_MAX_POLLEN_PARENTS * (PB_MAX_CODE + 3) + 1];
    size_t n = 0;
    for (size_t i = 0; i < w->x->pollen_n; i++)
        n += (size_t)snprintf(name + n, sizeof(name) - n, "%s%s", i > 0 ? " + " : "",
                              w->x->pollen[i].parent.plant.code);
    json_t *obj = put_new(w, cross, "parent2", json_object());
    put_text(w, obj, "germplasmName", name);
    put_text(w, obj, "parentType", "POPULATION");
}

static void put_parents(struct writer *w, json_t *cross)
{
    put_parent(w, cross, "parent1", &w->x->seed, "FEMALE");
    if (w->x->pollen_n == 1)
        put_parent(w, cross, "parent2", &w->x->pollen[0].parent, "MALE");
    else if (w->x->pollen_n > 1)
        put_mixture(w, cross);
}

/* NULL: not one of its words, where the pollen parent is not known. */
static const char *type_of(const struct writer *w)
{
    if (w->x->pollen_n == 0)
        return NULL;
    if (w->x->pollen_n > 1)
        return "BULK";
    return w->told->view->kind == PB_CROSS_SELF ? "SELF" : "BIPARENTAL";
}

/* ---- what happened ------------------------------------------------------------------ */

/* It wants an instant; which part of it is known stands in additionalInfo. */
static void put_pollination(struct writer *w, json_t *cross)
{
    char day[PB_DAY_TEXT], stamp[PB_DAY_TEXT + 16];
    json_t *list = put_new(w, cross, "pollinationEvents", json_array());
    json_t *event = append_new(w, list);
    (void)snprintf(stamp, sizeof(stamp), "%sT00:00:00Z",
                   pb_day_format(w->x->pollinated, day));
    put_text(w, event, "pollinationNumber", "1");
    put_text(w, event, "pollinationTimeStamp", stamp);
    if (w->told->success != PB_SUCCESS_PENDING)
        put(w, event, "pollinationSuccessful",
            json_boolean(w->told->success == PB_SUCCESS_YES));
}

static void put_attribute(struct writer *w, json_t *list, const char *name,
                          const char *value)
{
    if (value == NULL || value[0] == '\0')
        return;
    json_t *item = append_new(w, list);
    put_text(w, item, "crossAttributeName", name);
    put_text(w, item, "crossAttributeValue", value);
}

static void put_count(struct writer *w, json_t *list, const char *name, int count)
{
    char text[16];
    (void)snprintf(text, sizeof(text), "%d", count);
    if (count >= 0)
        put_attribute(w, list, name, text);
}

/* The names are those of our own keys; all values are texts. */
static void put_attributes(struct writer *w, json_t *cross)
{
    const struct pb_cross *x = w->x;
    char day[PB_DAY_TEXT] = "";
    json_t *list = put_new(w, cross, "crossAttributes", json_array());
    put_count(w, list, "flowers", x->flowers);
    put_count(w, list, "flower_age_days", x->flower_age);
    put_attribute(w, list, "kind", pb_cross_kind_names[w->told->view->kind]);
    put_attribute(w, list, "at", x->at);
    put_attribute(w, list, "own_pollen", pb_own_pollen_names[x->own_pollen]);
    put_attribute(w, list, "grex", x->grex);
    put_attribute(w, list, "profile", x->profile);
    put_attribute(w, list, "state", w->told->view->state);
    if (x->bagged != PB_DAY_NONE)
        put_attribute(w, list, "bagged", pb_day_format(x->bagged, day));
    put_count(w, list, "capsules_harvested",
              w->told->view->by_stand[PB_STAND_HARVESTED]);
}

static void put_looks(struct writer *w, json_t *info)
{
    json_t *list = put_new(w, info, "looks", json_array());
    for (size_t i = 0; i < w->x->look_n; i++) {
        const struct pb_look *look = &w->x->looks[i];
        json_t *item = append_new(w, list);
        put_text(w, item, "id", look->id);
        put_day(w, item, "on", look->on);
        put_text(w, item, "found", pb_found_names[look->found]);
        put_number(w, item, "count", look->count);
        put_private(w, item, "note", look->note);
    }
}

static void put_harvests(struct writer *w, json_t *info)
{
    json_t *list = put_new(w, info, "harvests", json_array());
    for (size_t i = 0; i < w->x->harvest_n; i++) {
        const struct pb_harvest *h = &w->x->harvests[i];
        json_t *item = append_new(w, list);
        put_day(w, item, "on", h->on);
        put_number(w, item, "count", h->count);
        put_text(w, item, "as", pb_as_names[h->as]);
        put_text(w, item, "seedLot", h->lot);
        if (h->held_cold)
            put(w, item, "heldCold", json_true());
    }
}

static void put_info(struct writer *w, json_t *cross)
{
    char text[PB_INSTANT_TEXT];
    const struct pb_cross *x = w->x;
    json_t *info = put_new(w, cross, "additionalInfo", json_object());
    put_day(w, info, "pollinated", x->pollinated);
    put_text(w, info, "pollinationTimeStampPrecision", "day");
    put_number(w, info, "revision", x->head.revision);
    put_text(w, info, "modified", pb_instant_format(x->head.modified, text));
    put_text(w, info, "originCode", x->head.origin_code);
    put_text(w, info, "doubtful", w->told->doubtful);
    put_private(w, info, "note", x->note);
    tell_parent(w, put_new(w, info, "seedParent", json_object()), &x->seed);
    json_t *list = put_new(w, info, "pollenParents", json_array());
    for (size_t i = 0; i < x->pollen_n; i++) {
        json_t *item = append_new(w, list);
        tell_parent(w, item, &x->pollen[i].parent);
        put_text(w, item, "pollenLot", x->pollen[i].lot);
        put_number(w, item, "pollenAgeDays", x->pollen[i].age_days);
    }
    put_looks(w, info);
    put_harvests(w, info);
}

/* ---- the object --------------------------------------------------------------------- */

static void put_reference(struct writer *w, json_t *cross)
{
    char uri[PB_ID_TEXT + 16];
    json_t *list = put_new(w, cross, "externalReferences", json_array());
    json_t *item = append_new(w, list);
    (void)snprintf(uri, sizeof(uri), "urn:uuid:%s", w->x->head.id);
    put_text(w, item, "referenceId", uri);
    put_text(w, item, "referenceSource", "podbook");
}

enum pb_rc pb_crossing_write(const struct pb_cross *x, const struct pb_crossing *told,
                             struct pb_buf *out, struct pb_err *err)
{
    struct writer w = {.x = x, .told = told};
    const unsigned before = pb_json_failures();
    json_t *cross = json_object();
    put_text(&w, cross, "crossDbId", x->head.id);
    put_text(&w, cross, "crossName", x->head.code);
    put_text(&w, cross, "crossType", type_of(&w));
    put_reference(&w, cross);
    put_parents(&w, cross);
    put_pollination(&w, cross);
    put_attributes(&w, cross);
    put_info(&w, cross);
    if (!w.failed)
        w.failed = json_dump_callback(cross, pb_json_append, out,
                                      JSON_COMPACT | JSON_SORT_KEYS) != 0;
    json_decref(cross);
    if (pb_json_failures() != before)
        return pb_fail_memory(err);
    if (w.failed)
        return pb_fail_at(err, PB_EPARSE, x->head.code, 0, "a text of it is not UTF-8");
    return pb_buf_status(out, err);
}
