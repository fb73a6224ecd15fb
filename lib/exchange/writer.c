/* Steps of writing a record: members, references, the record itself.  See writer.h. */
#include "exchange/writer.h"

#include "base/text.h"
#include "core/course.h"
#include "core/instant.h"
#include "exchange/record.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

bool pb_writer_is_canonical(const struct pb_writer *w)
{
    return w->form == PB_FORM_CANONICAL || w->form == PB_FORM_CANONICAL_SHARED;
}

static bool has_notes(const struct pb_writer *w)
{
    return w->form == PB_FORM_NOTES || w->form == PB_FORM_CANONICAL;
}

/* ---- members ------------------------------------------------------------------------ */

void pb_put(struct pb_writer *w, json_t *obj, const char *key, json_t *value)
{
    if (w->rc != PB_OK)
        json_decref(value);
    else if (json_object_set_new_nocheck(obj, key, value) != 0)
        w->rc = pb_fail_memory(w->err);
}

/* A text under a key; NULL after an error. */
static json_t *new_text(struct pb_writer *w, const char *key, const char *text)
{
    struct pb_err reason = {0};
    w->rc = pb_text_check(key, text, SIZE_MAX, &reason);
    if (w->rc == PB_OK)
        return json_string_nocheck(text);
    (void)pb_fail_at(w->err, w->rc, w->code, 0, "its %s %s", key, reason.text);
    return NULL;
}

void pb_put_text(struct pb_writer *w, json_t *obj, const char *key, const char *text)
{
    if (text != NULL && text[0] != '\0' && w->rc == PB_OK)
        pb_put(w, obj, key, new_text(w, key, text));
}

void pb_put_day(struct pb_writer *w, json_t *obj, const char *key, pb_day day)
{
    char text[PB_DAY_TEXT];
    if (day != PB_DAY_NONE)
        pb_put(w, obj, key, json_string_nocheck(pb_day_format(day, text)));
}

void pb_put_int(struct pb_writer *w, json_t *obj, const char *key, int64_t number)
{
    pb_put(w, obj, key, json_integer(number));
}

void pb_put_true(struct pb_writer *w, json_t *obj, const char *key, bool value)
{
    if (value)
        pb_put(w, obj, key, json_true());
}

/* A whole number as one: 5, not 5.0. */
static void put_real(struct pb_writer *w, json_t *obj, const char *key, double number)
{
    double whole = 0;
    if (number <= PB_REAL_NONE)
        return;
    if (fabs(modf(number, &whole)) > 0) {
        w->reals = true;
        pb_put(w, obj, key, json_real(number));
    } else
        pb_put_int(w, obj, key, (int64_t)whole);
}

void pb_put_members(struct pb_writer *w, json_t *obj, const struct pb_members *members,
                    const void *base)
{
    for (size_t i = 0; i < members->n; i++) {
        const struct pb_member *member = &members->v[i];
        const void *value = (const char *)base + member->offset;
        if (member->is_private && !has_notes(w))
            continue;
        switch (member->type) {
        case PB_MEMBER_TEXT:
            pb_put_text(w, obj, member->key, *(char *const *)value);
            break;
        case PB_MEMBER_DAY:
            pb_put_day(w, obj, member->key, *(const pb_day *)value);
            break;
        case PB_MEMBER_INT:
            if (*(const int *)value >= member->low)
                pb_put_int(w, obj, member->key, *(const int *)value);
            break;
        case PB_MEMBER_COUNT:
            if (*(const int64_t *)value >= member->low)
                pb_put_int(w, obj, member->key, *(const int64_t *)value);
            break;
        case PB_MEMBER_REAL:
            put_real(w, obj, member->key, *(const double *)value);
            break;
        case PB_MEMBER_TRUE:
            pb_put_true(w, obj, member->key, *(const bool *)value);
            break;
        case PB_MEMBER_WORD:
            pb_put_text(w, obj, member->key, member->words[*(const unsigned *)value]);
            break;
        }
    }
}

json_t *pb_put_object(struct pb_writer *w, json_t *obj, const char *key)
{
    json_t *child = json_object();
    pb_put(w, obj, key, child);
    return w->rc == PB_OK ? child : NULL;
}

json_t *pb_put_array(struct pb_writer *w, json_t *obj, const char *key)
{
    json_t *child = json_array();
    pb_put(w, obj, key, child);
    return w->rc == PB_OK ? child : NULL;
}

void pb_put_lines(struct pb_writer *w, json_t *obj, const char *key, const char *lines)
{
    json_t *list = pb_put_array(w, obj, key);
    struct pb_buf line;
    pb_buf_init(&line, PB_MAX_TEXT);
    for (const char *p = lines; *p != '\0' && w->rc == PB_OK;) {
        size_t n = strcspn(p, "\n");
        pb_buf_reset(&line);
        pb_buf_add(&line, p, n);
        w->rc = pb_buf_status(&line, w->err);
        json_t *text = w->rc == PB_OK ? new_text(w, key, pb_buf_peek(&line)) : NULL;
        if (w->rc == PB_OK && json_array_append_new(list, text) != 0)
            w->rc = pb_fail_memory(w->err);
        p += n + (p[n] == '\n');
    }
    pb_buf_clear(&line);
}

json_t *pb_append_object(struct pb_writer *w, json_t *list)
{
    json_t *child = json_object();
    if (w->rc == PB_OK && json_array_append_new(list, child) != 0)
        w->rc = pb_fail_memory(w->err);
    else if (w->rc != PB_OK)
        json_decref(child);
    return w->rc == PB_OK ? child : NULL;
}

void pb_put_extra(struct pb_writer *w, json_t *obj, const char *slot)
{
    json_t *mine = json_object_get(w->extra, slot);
    if (w->rc == PB_OK && mine != NULL && json_object_update_missing(obj, mine) != 0)
        w->rc = pb_fail_memory(w->err);
}

/* ---- what a record names ------------------------------------------------------------- */

json_t *pb_put_ref(struct pb_writer *w, json_t *obj, const char *key,
                   const struct pb_ref *ref)
{
    if (ref->id[0] == '\0')
        return NULL;
    json_t *child = pb_put_object(w, obj, key);
    pb_put_text(w, child, "id", ref->id);
    if (!pb_writer_is_canonical(w))
        pb_put_text(w, child, "code", ref->code);
    return child;
}

void pb_put_ref_at(struct pb_writer *w, json_t *obj, const char *key,
                   const struct pb_ref *ref, const char *above)
{
    char slot[PB_SLOT_TEXT];
    json_t *child = pb_put_ref(w, obj, key, ref);
    if (child != NULL)
        pb_put_extra(w, child, pb_slot_name(slot, above, key));
}

/* The clone of a plant.  Which plant was its first follows from the rest of the pedigree,
 * so in canonical form only the name counts. */
void pb_put_clone(struct pb_writer *w, json_t *obj, const struct pb_ref *genet,
                  const char *name, const char *above)
{
    char slot[PB_SLOT_TEXT];
    if (pb_writer_is_canonical(w)) {
        pb_put_text(w, obj, "clone_name", name);
        return;
    }
    json_t *child = pb_put_ref(w, obj, "clone", genet);
    if (child == NULL)
        return;
    pb_put_text(w, child, "name", name);
    pb_put_extra(w, child, pb_slot_name(slot, above, "clone"));
}

void pb_put_parent(struct pb_writer *w, json_t *obj, const struct pb_parent *parent,
                   const char *slot)
{
    pb_put_text(w, obj, "id", parent->plant.id);
    if (!pb_writer_is_canonical(w)) {
        pb_put_text(w, obj, "code", parent->plant.code);
        pb_put_members(w, obj, &pb_parent_members, parent);
        pb_put_clone(w, obj, &parent->genet, parent->clone_name, slot);
        pb_put_ref_at(w, obj, "raised_from", &parent->raised_from, slot);
    }
    pb_put_extra(w, obj, slot);
}

void pb_put_head(struct pb_writer *w, json_t *obj, enum pb_kind kind,
                 const struct pb_head *head)
{
    char text[PB_INSTANT_TEXT];
    pb_put_text(w, obj, "format", pb_format_names[kind]);
    pb_put_int(w, obj, "version", PB_RECORD_VERSION);
    pb_put_text(w, obj, "id", head->id);
    pb_put_int(w, obj, "revision", head->revision);
    pb_put_true(w, obj, "withdrawn", head->withdrawn);
    if (pb_writer_is_canonical(w))
        return;
    pb_put_text(w, obj, "code", head->code);
    pb_put_text(w, obj, "origin_code", head->origin_code);
    pb_put_text(w, obj, "modified", pb_instant_format(head->modified, text));
}

void pb_put_looks(struct pb_writer *w, json_t *obj, enum pb_kind kind,
                  const struct pb_look *looks, size_t n)
{
    const struct pb_course *course = &pb_courses[kind];
    char slot[PB_SLOT_TEXT];
    json_t *list = pb_put_array(w, obj, "looks");
    for (size_t i = 0; w->rc == PB_OK && i < n; i++) {
        const struct pb_look *look = &looks[i];
        json_t *item = pb_append_object(w, list);
        pb_put_text(w, item, "id", look->id);
        pb_put_text(w, item, "found", course->findings[look->found].word);
        pb_put_members(
            w, item, course->many ? &pb_look_members : &pb_counting_look_members, look);
        pb_put_extra(w, item, pb_slot_name(slot, "looks", look->id));
    }
}

/* ---- the record ----------------------------------------------------------------------- */

/* The record's own x- keys, beside which those of inner objects stand under their slots. */
static void put_own_extra(struct pb_writer *w, json_t *obj)
{
    const char *key;
    json_t *value;
    json_object_foreach(w->extra, key, value)
    {
        if (strncmp(key, "x-", 2) == 0)
            pb_put(w, obj, key, json_incref(value));
    }
}

/* Append the object as text, in one go where the buffer has room.  False: no memory. */
static bool dump(const json_t *obj, size_t flags, struct pb_buf *out)
{
    enum { USUAL = 2048 }; /* bytes that are there for most records at once */
    size_t left = out->max - out->len, room = left < USUAL ? left : USUAL, n = 0;
    char *to = pb_buf_room(out, room);
    while (to != NULL && (n = json_dumpb(obj, to, room, flags)) > room) {
        room = n;
        to = pb_buf_room(out, room);
    }
    if (to != NULL)
        pb_buf_filled(out, n);
    return to == NULL || n > 0;
}

json_t *pb_writer_begin(struct pb_writer *w, enum pb_form form,
                        const struct pb_head *head, struct pb_err *err)
{
    static const struct pb_json_origin nowhere = {NULL, 0};
    *w = (struct pb_writer){
        .form = form, .code = head->code, .before = pb_json_failures(), .err = err};
    json_t *obj = json_object();
    if (obj == NULL)
        w->rc = PB_ENOMEM;
    else if (head->extra != NULL)
        w->rc =
            pb_json_load(&nowhere, head->extra, strlen(head->extra), &w->extra, NULL);
    if (w->rc == PB_ENOMEM)
        (void)pb_fail_memory(err);
    else if (w->rc != PB_OK || (w->extra != NULL && !json_is_object(w->extra)))
        w->rc =
            pb_fail_at(err, PB_EPARSE, head->code, 0, "its x- keys are not good JSON");
    put_own_extra(w, obj);
    return obj;
}

enum pb_rc pb_writer_finish(struct pb_writer *w, json_t *obj, struct pb_buf *out)
{
    size_t flags = 0;
    if (w->rc == PB_OK && (!pb_extra_flags(w->reals ? obj : w->extra, &flags) ||
                           !dump(obj, flags, out) || pb_json_failures() != w->before))
        w->rc = pb_fail_memory(w->err);
    if (w->rc == PB_OK)
        w->rc = pb_buf_status(out, w->err);
    json_decref(obj);
    json_decref(w->extra);
    return w->rc;
}

void pb_writer_put_into(struct pb_writer *w, json_t *obj, const char *key,
                        struct pb_writer *inner, json_t *child)
{
    w->reals = w->reals || inner->reals || json_object_size(inner->extra) > 0;
    if (w->rc == PB_OK)
        w->rc = inner->rc;
    pb_put(w, obj, key, child);
    json_decref(inner->extra);
}
