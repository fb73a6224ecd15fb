/* Parts that several kinds of record have.  See record_parts.h. */
#include "exchange/record_parts.h"

#include "base/limits.h"
#include "base/text.h"
#include "core/instant.h"
#include "core/life.h"
#include "exchange/record.h"

#include <stdlib.h>
#include <string.h>

enum { MAX_REVISION = 1000000000 }; /* leaves room to count on */

void pb_parts_format(struct pb_reader *rd, const struct pb_json_at *at,
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
                         "unknown format \"%s\"; this podbook reads podbook-plant, "
                         "-cross, -seed, -flask, -cutting and -pollen",
                         text);
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

void pb_parts_head(struct pb_reader *rd, const struct pb_json_at *at,
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

void pb_parts_other(struct pb_reader *rd, const struct pb_json_at *at,
                    const struct pb_head *head, const struct pb_ref *ref)
{
    if (rd->rc == PB_OK && strcmp(head->id, ref->id) == 0)
        rd->rc = pb_json_fail(rd->err, PB_EINVALID, at,
                              "is the record itself; it must be another one");
}

void pb_parts_ref(struct pb_reader *rd, const struct pb_json_at *at, const char *above,
                  enum pb_code_rule form, struct pb_ref *ref)
{
    static const char *const keys[] = {"id", "code"};
    static const struct pb_shape shape = PB_SHAPE(NULL, keys);
    char slot[PB_SLOT_TEXT];
    pb_reader_object(rd, at, &shape, pb_slot_name(slot, above, at->key), NULL);
    pb_reader_id(rd, at, ref->id);
    pb_reader_need_code(rd, at, form, ref->code);
}

void pb_parts_clone(struct pb_reader *rd, const struct pb_json_at *at,
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

void pb_parts_parent(struct pb_reader *rd, const struct pb_json_at *at,
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
    pb_parts_other(rd, at, head, &parent->plant);
    pb_parts_clone(rd, at, slot, &parent->genet, &parent->clone_name);
    if (!pb_reader_get(rd, at, "raised_from", false, &child))
        return;
    pb_parts_ref(rd, &child, slot, PB_RULE_CROSS, &parent->raised_from);
    pb_parts_other(rd, &child, head, &parent->raised_from);
}

void *pb_parts_array(struct pb_reader *rd, const struct pb_json_at *list, size_t max,
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

/* ---- looks ---------------------------------------------------------------------------- */

void pb_parts_event(struct pb_reader *rd, const struct pb_json_at *at,
                    const struct pb_parts_limit *limit, pb_day on, int count)
{
    const struct pb_course *c = &pb_courses[limit->kind];
    struct pb_json_at child;
    char day[PB_DAY_TEXT], start[PB_DAY_TEXT];
    if (on < limit->start && pb_reader_get(rd, at, "on", true, &child))
        rd->rc = pb_json_fail(rd->err, PB_EINVALID, &child, "%s is before the %s, %s",
                              pb_day_format(on, day), c->start,
                              pb_day_format(limit->start, start));
    if (c->many && count > limit->units && pb_reader_get(rd, at, "count", true, &child))
        rd->rc = pb_json_fail(
            rd->err, PB_EINVALID, &child, "counts %d, but %d %ss were %s", count,
            limit->units, c->unit, limit->kind == PB_CROSS ? "pollinated" : "taken");
}

/* The word of a finding.  A cross is harvested in a list of its own; what was taken from a
 * plant is told by what was. */
static void read_found(struct pb_reader *rd, const struct pb_json_at *at,
                       enum pb_kind kind, int *found)
{
    const struct pb_course *c = &pb_courses[kind];
    const char *words[PB_FINDINGS_MAX];
    size_t n = kind == PB_CROSS ? PB_FOUND_N : (size_t)c->finding_n, which = 0;
    struct pb_json_at child;
    for (size_t i = 0; i < n; i++)
        words[i] = kind == PB_PLANT && c->findings[i].command != NULL
                       ? NULL
                       : c->findings[i].word;
    if (pb_reader_get(rd, at, "found", true, &child))
        rd->rc = pb_json_word(&child, words, n, &which, rd->err);
    *found = (int)which;
}

static void read_look(struct pb_reader *rd, const struct pb_json_at *at,
                      const struct pb_parts_limit *limit, struct pb_look *look)
{
    static const char *const keys[] = {"id", "found"};
    static const struct pb_shape many = PB_SHAPE(&pb_look_members, keys);
    static const struct pb_shape one = PB_SHAPE(&pb_counting_look_members, keys);
    const struct pb_shape *shape = pb_courses[limit->kind].many ? &many : &one;
    char slot[PB_SLOT_TEXT];
    pb_look_init(look);
    look->count = 1; /* of one unit it is always that */
    pb_reader_shape(rd, at, shape);
    pb_reader_id(rd, at, look->id);
    pb_reader_extra(rd, at, pb_slot_name(slot, "looks", look->id));
    pb_reader_members(rd, at, shape->members, look);
    read_found(rd, at, limit->kind, &look->found);
    pb_parts_event(rd, at, limit, look->on, look->count);
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

void pb_parts_looks(struct pb_reader *rd, const struct pb_json_at *at,
                    const struct pb_parts_limit *limit, struct pb_look **looks,
                    size_t *n)
{
    struct pb_json_at list;
    if (!pb_reader_get(rd, at, "looks", false, &list))
        return;
    struct pb_look *v = pb_parts_array(rd, &list, PB_MAX_LOOKS, sizeof(*v), n);
    *looks = v;
    json_t *seen = *n > 0 ? json_object() : NULL;
    for (size_t i = 0; v != NULL && rd->rc == PB_OK && i < *n; i++) {
        struct pb_json_at item = pb_json_item(&list, i);
        read_look(rd, &item, limit, &v[i]);
        v[i].number = (int)i + 1;
        if (rd->rc == PB_OK && !is_new(rd, seen, v[i].id))
            rd->rc = pb_json_fail(rd->err, PB_EINVALID, &item,
                                  "has the id of an earlier look");
    }
    json_decref(seen);
}

/* ---- doubts ----------------------------------------------------------------------------- */

static enum pb_rc read_doubt(const struct pb_json_at *at, struct pb_doubt *doubt)
{
    struct pb_json_at code, why;
    const char *text = NULL;
    struct pb_err reason = {0};
    if (!json_is_object(at->value) || !pb_json_get(at, "code", &code) ||
        !pb_json_get(at, "why", &why))
        return PB_EPARSE;
    enum pb_rc rc = pb_json_text(&code, PB_MAX_CODE, &text, &reason);
    if (rc == PB_OK)
        memcpy(doubt->code, text, strlen(text) + 1);
    if (rc == PB_OK)
        rc = pb_json_text(&why, PB_MAX_TEXT, &text, &reason);
    if (rc != PB_OK)
        return rc;
    doubt->why = pb_text_copy(text);
    return doubt->why != NULL ? PB_OK : PB_ENOMEM;
}

void pb_parts_doubts(struct pb_reader *rd, const struct pb_json_at *at, const char *own,
                     struct pb_doubts *doubts)
{
    struct pb_json_at list;
    if (!pb_reader_get(rd, at, "doubts", false, &list) || !json_is_array(list.value))
        return;
    size_t n = json_array_size(list.value);
    n = n < PB_MAX_DOUBTS ? n : PB_MAX_DOUBTS;
    doubts->v = calloc(n + 1, sizeof(*doubts->v));
    if (doubts->v == NULL)
        rd->rc = pb_fail_memory(rd->err);
    for (size_t i = 0; i < n && rd->rc == PB_OK; i++) {
        const struct pb_json_at item = pb_json_item(&list, i);
        struct pb_doubt *doubt = &doubts->v[doubts->n];
        enum pb_rc rc = read_doubt(&item, doubt);
        if (rc == PB_ENOMEM)
            rd->rc = pb_fail_memory(rd->err);
        else if (rc == PB_OK && strcmp(doubt->code, own) != 0)
            doubts->n++;
        else if (rc == PB_OK)
            free(doubt->why);
    }
}
