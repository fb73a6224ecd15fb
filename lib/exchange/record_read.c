/* Reading plants and crosses from JSON.  See record.h; the steps are in reader.h. */
#include "exchange/record.h"

#include "base/text.h"
#include "core/instant.h"
#include "exchange/reader.h"

#include <stdlib.h>
#include <string.h>

enum { MAX_REVISION = 1000000000 }; /* leaves room to count on */

/* ---- what a record names ------------------------------------------------------------ */

/* A record that names itself as what it came from would be its own ancestor. */
static void check_other(struct pb_reader *rd, const struct pb_json_at *at,
                        const struct pb_head *head, const struct pb_ref *ref)
{
    if (rd->rc == PB_OK && strcmp(head->id, ref->id) == 0)
        rd->rc = pb_json_fail(rd->err, PB_EINVALID, at,
                              "is the record itself; it must be another one");
}

/* Another record by id and code; above: slot of the object that holds it. */
static void read_ref(struct pb_reader *rd, const struct pb_json_at *at,
                     const char *above, enum pb_code_rule form, struct pb_ref *ref)
{
    static const char *const keys[] = {"id", "code"};
    static const struct pb_shape shape = PB_SHAPE(NULL, keys);
    char slot[PB_SLOT_TEXT];
    pb_reader_object(rd, at, &shape, pb_slot_name(slot, above, at->key), NULL);
    pb_reader_id(rd, at, ref->id);
    pb_reader_need_code(rd, at, form, ref->code);
}

/* A plant's stated parent, which carries its taxon along. */
static void read_stated(struct pb_reader *rd, const struct pb_json_at *at,
                        struct pb_ref *ref, char **taxon)
{
    static const char *const keys[] = {"id", "code", "taxon"};
    static const struct pb_shape shape = PB_SHAPE(NULL, keys);
    struct pb_json_at child;
    pb_reader_object(rd, at, &shape, at->key, NULL);
    pb_reader_id(rd, at, ref->id);
    pb_reader_need_code(rd, at, PB_RULE_PLANT, ref->code);
    if (pb_reader_get(rd, at, "taxon", true, &child))
        pb_reader_text(rd, &child, PB_MAX_NAME, taxon);
}

/* The clone of a plant: its first plant and its name. */
static void read_clone(struct pb_reader *rd, const struct pb_json_at *at,
                       const char *above, struct pb_ref *genet, char **name)
{
    static const char *const keys[] = {"id", "code", "name"};
    static const struct pb_shape shape = PB_SHAPE(NULL, keys);
    char slot[PB_SLOT_TEXT];
    struct pb_json_at clone, child;
    if (!pb_reader_get(rd, at, "clone", false, &clone))
        return;
    pb_reader_object(rd, &clone, &shape, pb_slot_name(slot, above, "clone"), NULL);
    pb_reader_id(rd, &clone, genet->id);
    pb_reader_code(rd, &clone, "code", PB_RULE_PLANT, genet->code);
    if (pb_reader_get(rd, &clone, "name", false, &child))
        pb_reader_text(rd, &child, PB_MAX_NAME, name);
}

#define HEAD_KEYS                                                             \
    "format", "version", "id", "code", "origin_code", "revision", "modified", \
        "withdrawn"
#define PARENT_KEYS "id", "code", "clone", "raised_from"

static void read_head(struct pb_reader *rd, const struct pb_json_at *at,
                      enum pb_code_rule form, struct pb_head *head)
{
    struct pb_json_at child;
    const char *text = NULL;
    struct pb_err reason = {0};
    pb_reader_id(rd, at, head->id);
    pb_reader_need_code(rd, at, form, head->code);
    pb_reader_code(rd, at, "origin_code", PB_RULE_ANY, head->origin_code);
    pb_reader_bool(rd, at, "withdrawn", &head->withdrawn);
    if (pb_reader_get(rd, at, "revision", true, &child))
        rd->rc = pb_json_int(&child, 1, MAX_REVISION, &head->revision, rd->err);
    if (!pb_reader_get(rd, at, "modified", true, &child))
        return;
    rd->rc = pb_json_text(&child, PB_MAX_NAME, &text, rd->err);
    if (rd->rc == PB_OK)
        pb_reader_reason(rd, &child,
                         pb_instant_parse(NULL, text, &head->modified, &reason),
                         &reason);
}

/* ---- plants ------------------------------------------------------------------------- */

/* What an origin rests on. */
enum basis { BASIS_NONE, BASIS_SOURCE, BASIS_CROSS, BASIS_PARENTS };

static enum basis basis_of(enum pb_origin origin)
{
    if (pb_origin_is_vegetative(origin))
        return BASIS_SOURCE;
    return origin == PB_ORIGIN_CROSS     ? BASIS_CROSS
           : origin == PB_ORIGIN_PARENTS ? BASIS_PARENTS
                                         : BASIS_NONE;
}

static void read_origin(struct pb_reader *rd, const struct pb_json_at *at,
                        struct pb_plant *p, struct pb_plant_taxa *taxa)
{
    const struct {
        const char *key;
        enum basis basis;
        enum pb_code_rule form;
        struct pb_ref *ref;
        char **taxon; /* NULL: it carries none */
    } rows[] = {
        {"source_plant",  BASIS_SOURCE,  PB_RULE_PLANT, &p->source,        NULL       },
        {"from_cross",    BASIS_CROSS,   PB_RULE_CROSS, &p->from_cross,    NULL       },
        {"seed_parent",   BASIS_PARENTS, PB_RULE_PLANT, &p->seed_parent,   &taxa->seed},
        {"pollen_parent", BASIS_PARENTS, PB_RULE_PLANT, &p->pollen_parent,
         &taxa->pollen                                                                },
    };
    struct pb_json_at child;
    size_t origin = PB_ORIGIN_UNKNOWN;
    if (pb_reader_get(rd, at, "origin", false, &child))
        rd->rc = pb_json_word(&child, pb_origin_names, PB_ORIGIN_N, &origin, rd->err);
    p->origin = (enum pb_origin)origin;
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        bool wanted = rows[i].basis == basis_of(p->origin);
        bool required = wanted && rows[i].basis != BASIS_PARENTS;
        if (!pb_reader_get(rd, at, rows[i].key, required, &child))
            continue;
        if (!wanted)
            rd->rc = pb_json_fail(rd->err, PB_EINVALID, &child,
                                  "does not go with the origin \"%s\"",
                                  pb_origin_names[p->origin]);
        else if (rows[i].taxon != NULL)
            read_stated(rd, &child, rows[i].ref, rows[i].taxon);
        else
            read_ref(rd, &child, NULL, rows[i].form, rows[i].ref);
        check_other(rd, &child, &p->head, rows[i].ref);
    }
    if (rd->rc == PB_OK && p->origin == PB_ORIGIN_PARENTS &&
        p->seed_parent.id[0] == '\0' && p->pollen_parent.id[0] == '\0')
        rd->rc = pb_json_fail(rd->err, PB_EINVALID, at,
                              "the origin \"parents\" wants \"seed_parent\", "
                              "\"pollen_parent\" or both");
}

static void read_plant(struct pb_reader *rd, const struct pb_json_at *at,
                       struct pb_record *rec)
{
    /* the last is computed: known, and passed over whatever it holds */
    static const char *const keys[] = {HEAD_KEYS,      "clone",         "origin",
                                       "source_plant", "from_cross",    "seed_parent",
                                       "gone",         "pollen_parent", "doubts"};
    static const struct pb_shape shape = PB_SHAPE(&pb_plant_members, keys);
    struct pb_plant *p = &rec->plant;
    struct pb_json_at child;
    size_t gone = PB_GONE_NOT;
    pb_reader_object(rd, at, &shape, NULL, p);
    read_head(rd, at, PB_RULE_PLANT, &p->head);
    read_clone(rd, at, NULL, &p->genet, &p->clone_name);
    read_origin(rd, at, p, &rec->taxa);
    if (pb_reader_get(rd, at, "gone", false, &child))
        rd->rc = pb_json_word(&child, pb_gone_names, PB_GONE_N, &gone, rd->err);
    p->gone = (enum pb_gone)gone;
    if (p->gone == PB_GONE_NOT && pb_reader_get(rd, at, "gone_on", false, &child))
        rd->rc = pb_json_fail(rd->err, PB_EINVALID, &child,
                              "says when, but no \"gone\" says what has become of it");
}

/* ---- crosses ------------------------------------------------------------------------ */

static void read_parent(struct pb_reader *rd, const struct pb_json_at *at,
                        const struct pb_shape *shape, const struct pb_head *head,
                        struct pb_parent *parent)
{
    char slot[PB_SLOT_TEXT];
    struct pb_json_at child;
    if (at->key == NULL)
        (void)pb_slot_item(slot, "pollen_parents", at->index);
    else
        (void)pb_slot_name(slot, NULL, at->key);
    pb_reader_object(rd, at, shape, slot, parent);
    pb_reader_id(rd, at, parent->plant.id);
    pb_reader_need_code(rd, at, PB_RULE_PLANT, parent->plant.code);
    check_other(rd, at, head, &parent->plant);
    read_clone(rd, at, slot, &parent->genet, &parent->clone_name);
    if (!pb_reader_get(rd, at, "raised_from", false, &child))
        return;
    read_ref(rd, &child, slot, PB_RULE_CROSS, &parent->raised_from);
    check_other(rd, &child, head, &parent->raised_from);
}

static void read_parents(struct pb_reader *rd, const struct pb_json_at *at,
                         struct pb_cross *x)
{
    static const char *const seed_keys[] = {PARENT_KEYS};
    static const char *const pollen_keys[] = {PARENT_KEYS, "pollen_lot",
                                              "pollen_age_days"};
    static const struct pb_shape seed_shape = PB_SHAPE(&pb_parent_members, seed_keys);
    static const struct pb_shape pollen_shape =
        PB_SHAPE(&pb_parent_members, pollen_keys);
    struct pb_json_at list, child;
    size_t n = 0;
    if (pb_reader_get(rd, at, "seed_parent", true, &child))
        read_parent(rd, &child, &seed_shape, &x->head, &x->seed);
    if (!pb_reader_get(rd, at, "pollen_parents", true, &list))
        return;
    rd->rc = pb_json_array(&list, 0, PB_MAX_POLLEN_PARENTS, &n, rd->err);
    for (size_t i = 0; rd->rc == PB_OK && i < n; i++) {
        struct pb_json_at item = pb_json_item(&list, i);
        struct pb_pollen_parent *pollen = &x->pollen[x->pollen_n++];
        read_parent(rd, &item, &pollen_shape, &x->head, &pollen->parent);
        pb_reader_members(rd, &item, &pb_pollen_members, pollen);
        pb_reader_code(rd, &item, "pollen_lot", PB_RULE_POLLEN, pollen->lot);
        for (size_t k = 0; rd->rc == PB_OK && k < i; k++)
            if (strcmp(x->pollen[k].parent.plant.id, pollen->parent.plant.id) == 0)
                rd->rc = pb_json_fail(rd->err, PB_EINVALID, &item,
                                      "is the same plant as an earlier one");
    }
}

/* A day and a count of the cross against its pollination and flowers. */
static void check_event(struct pb_reader *rd, const struct pb_json_at *at,
                        const struct pb_cross *x, pb_day on, int count)
{
    struct pb_json_at child;
    char day[PB_DAY_TEXT], start[PB_DAY_TEXT];
    if (on < x->pollinated && pb_reader_get(rd, at, "on", true, &child))
        rd->rc = pb_json_fail(
            rd->err, PB_EINVALID, &child, "%s is before the pollination, %s",
            pb_day_format(on, day), pb_day_format(x->pollinated, start));
    if (count > x->flowers && pb_reader_get(rd, at, "count", true, &child))
        rd->rc = pb_json_fail(rd->err, PB_EINVALID, &child,
                              "counts %d, but %d flowers were pollinated", count,
                              x->flowers);
}

static void read_look(struct pb_reader *rd, const struct pb_json_at *at,
                      const struct pb_cross *x, struct pb_look *look)
{
    static const char *const keys[] = {"id", "found"};
    static const struct pb_shape shape = PB_SHAPE(&pb_look_members, keys);
    char slot[PB_SLOT_TEXT];
    struct pb_json_at child;
    size_t found = 0;
    pb_look_init(look);
    pb_reader_shape(rd, at, &shape);
    pb_reader_id(rd, at, look->id);
    pb_reader_extra(rd, at, pb_slot_name(slot, "looks", look->id));
    pb_reader_members(rd, at, &pb_look_members, look);
    if (pb_reader_get(rd, at, "found", true, &child))
        rd->rc = pb_json_word(&child, pb_found_names, PB_FOUND_N, &found, rd->err);
    look->found = (int)found;
    check_event(rd, at, x, look->on, look->count);
}

/* Put an id among those seen; false: it was there. */
static bool is_new(struct pb_reader *rd, json_t *seen, const char *id)
{
    if (json_object_get(seen, id) != NULL)
        return false;
    if (json_object_set_new(seen, id, json_true()) != 0)
        rd->rc = pb_fail_memory(rd->err);
    return true;
}

/* An array of the record as n zeroed elements; NULL and n = 0: none, or an error. */
static void *read_array(struct pb_reader *rd, const struct pb_json_at *list, size_t max,
                        size_t size, size_t *n)
{
    rd->rc = pb_json_array(list, 0, max, n, rd->err);
    if (rd->rc != PB_OK || *n == 0) {
        *n = 0;
        return NULL;
    }
    void *v = calloc(*n, size);
    if (v == NULL) {
        *n = 0;
        rd->rc = pb_fail_memory(rd->err);
    }
    return v;
}

static void read_looks(struct pb_reader *rd, const struct pb_json_at *at,
                       struct pb_cross *x)
{
    struct pb_json_at list;
    if (!pb_reader_get(rd, at, "looks", false, &list))
        return;
    x->looks = read_array(rd, &list, PB_MAX_LOOKS, sizeof(*x->looks), &x->look_n);
    json_t *seen = json_object();
    for (size_t i = 0; rd->rc == PB_OK && i < x->look_n; i++) {
        struct pb_json_at item = pb_json_item(&list, i);
        struct pb_look *look = &x->looks[i];
        look->number = (int)i + 1;
        read_look(rd, &item, x, look);
        if (rd->rc == PB_OK && !is_new(rd, seen, look->id))
            rd->rc = pb_json_fail(rd->err, PB_EINVALID, &item,
                                  "has the id of an earlier look");
    }
    json_decref(seen);
}

static void read_harvests(struct pb_reader *rd, const struct pb_json_at *at,
                          struct pb_cross *x)
{
    static const char *const keys[] = {"as", "held_cold"};
    static const struct pb_shape shape = PB_SHAPE(&pb_harvest_members, keys);
    struct pb_json_at list, child;
    char slot[PB_SLOT_TEXT];
    if (!pb_reader_get(rd, at, "harvests", false, &list))
        return;
    x->harvests =
        read_array(rd, &list, PB_MAX_HARVESTS, sizeof(*x->harvests), &x->harvest_n);
    for (size_t i = 0; rd->rc == PB_OK && i < x->harvest_n; i++) {
        struct pb_json_at item = pb_json_item(&list, i);
        struct pb_harvest *h = &x->harvests[i];
        size_t as = PB_AS_CLOSED;
        h->number = (int)i + 1;
        pb_reader_object(rd, &item, &shape, pb_slot_item(slot, "harvests", i), h);
        if (pb_reader_get(rd, &item, "as", true, &child))
            rd->rc = pb_json_word(&child, pb_as_names, PB_AS_N, &as, rd->err);
        h->as = (enum pb_as)as;
        pb_reader_bool(rd, &item, "held_cold", &h->held_cold);
        check_event(rd, &item, x, h->on, h->count);
    }
}

static void read_cross(struct pb_reader *rd, const struct pb_json_at *at,
                       struct pb_cross *x)
{
    /* the last five are computed: known, and passed over whatever they hold */
    static const char *const keys[] = {
        HEAD_KEYS, "seed_parent", "pollen_parents", "own_pollen", "looks", "harvests",
        "kind",    "windows",     "capsules",       "state",      "doubts"};
    static const struct pb_shape shape = PB_SHAPE(&pb_cross_members, keys);
    struct pb_json_at child;
    char day[PB_DAY_TEXT];
    size_t own = PB_OWN_NOT_SAID;
    pb_reader_object(rd, at, &shape, NULL, x);
    read_head(rd, at, PB_RULE_CROSS, &x->head);
    read_parents(rd, at, x);
    if (pb_reader_get(rd, at, "own_pollen", false, &child))
        rd->rc = pb_json_word(&child, pb_own_pollen_names, PB_OWN_N, &own, rd->err);
    x->own_pollen = (enum pb_own_pollen)own;
    if (x->bagged != PB_DAY_NONE && x->bagged < x->pollinated &&
        pb_reader_get(rd, at, "bagged", true, &child))
        rd->rc =
            pb_json_fail(rd->err, PB_EINVALID, &child, "is before the pollination, %s",
                         pb_day_format(x->pollinated, day));
    read_looks(rd, at, x);
    read_harvests(rd, at, x);
}

/* ---- the record --------------------------------------------------------------------- */

/* Format first, then version: what follows may look different in a later one. */
static void read_format(struct pb_reader *rd, const struct pb_json_at *at,
                        enum pb_kind *kind)
{
    struct pb_json_at child;
    const char *text = NULL;
    int64_t version = 0;
    if (!json_is_object(at->value))
        rd->rc = pb_json_object(at, NULL, 0, false, rd->err);
    if (!pb_reader_get(rd, at, "format", true, &child))
        return;
    rd->rc = pb_json_text(&child, PB_MAX_NAME, &text, rd->err);
    if (rd->rc != PB_OK)
        return;
    int which = pb_name_find(pb_format_names, PB_KIND_N, text);
    if (which < 0) {
        rd->rc =
            pb_json_fail(rd->err, PB_EPARSE, &child,
                         "unknown format \"%s\"; this podbook reads %s and %s", text,
                         pb_format_names[PB_PLANT], pb_format_names[PB_CROSS]);
        return;
    }
    *kind = (enum pb_kind)which;
    if (pb_reader_get(rd, at, "version", true, &child))
        rd->rc = pb_json_int(&child, 1, INT64_MAX, &version, rd->err);
    if (rd->rc == PB_OK && version > PB_RECORD_VERSION)
        rd->rc = pb_json_fail(rd->err, PB_EINVALID, &child,
                              "%lld is newer than this podbook reads (%d); "
                              "receive it with a newer podbook",
                              (long long)version, PB_RECORD_VERSION);
}

enum pb_rc pb_record_read(const char *file, long line, const char *text, size_t n,
                          struct pb_record *rec, struct pb_err *err)
{
    const struct pb_json_origin origin = {file, line};
    struct pb_reader rd = {.err = err};
    json_t *doc = NULL;
    if (n > PB_MAX_JSON_LINE)
        return pb_fail_at(err, PB_ELIMIT, file, line, "is longer than %d bytes",
                          PB_MAX_JSON_LINE);
    rd.rc = pb_json_load(&origin, text, n, &doc, err);
    if (rd.rc != PB_OK)
        return rd.rc;
    struct pb_json_at at = pb_json_root(&origin, doc);
    rd.extra = json_object();
    if (rd.extra == NULL)
        rd.rc = pb_fail_memory(err);
    else
        read_format(&rd, &at, &rec->kind);
    if (rd.rc == PB_OK && rec->kind == PB_PLANT) {
        read_plant(&rd, &at, rec);
        pb_reader_take_extra(&rd, &at, &rec->plant.head.extra);
    } else if (rd.rc == PB_OK) {
        read_cross(&rd, &at, &rec->cross);
        pb_reader_take_extra(&rd, &at, &rec->cross.head.extra);
    }
    json_decref(rd.extra);
    json_decref(doc);
    if (rd.rc != PB_OK)
        pb_record_clear(rec);
    return rd.rc;
}
