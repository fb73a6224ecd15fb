/* Steps of reading a record: members and objects.  See reader.h. */
#include "exchange/reader.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

enum { MAX_KEYS = 40 }; /* of one shape; the longest has 30 */

/* ---- members ----------------------------------------------------------------------- */

bool pb_reader_get(struct pb_reader *rd, const struct pb_json_at *at, const char *key,
                   bool required, struct pb_json_at *child)
{
    if (rd->rc != PB_OK)
        return false;
    if (pb_json_get(at, key, child))
        return true;
    if (required)
        rd->rc = pb_json_need(at, key, child, rd->err);
    return false;
}

void pb_reader_reason(struct pb_reader *rd, const struct pb_json_at *at, enum pb_rc rc,
                      const struct pb_err *reason)
{
    if (rc != PB_OK)
        rd->rc = pb_json_fail(rd->err, rc, at, "%s", reason->text);
}

void pb_reader_text(struct pb_reader *rd, const struct pb_json_at *at, size_t max,
                    char **text)
{
    const char *value = NULL;
    rd->rc = pb_json_text(at, max, &value, rd->err);
    if (rd->rc != PB_OK)
        return;
    *text = pb_text_copy(value);
    if (*text == NULL)
        rd->rc = pb_fail_memory(rd->err);
}

static void read_day(struct pb_reader *rd, const struct pb_json_at *at, pb_day *day)
{
    const char *text = NULL;
    struct pb_err reason = {0};
    rd->rc = pb_json_text(at, PB_MAX_NAME, &text, rd->err);
    if (rd->rc == PB_OK)
        pb_reader_reason(rd, at, pb_day_parse_iso(NULL, text, day, &reason), &reason);
}

static void read_int(struct pb_reader *rd, const struct pb_json_at *at, int low,
                     int high, int *number)
{
    int64_t value = 0;
    rd->rc = pb_json_int(at, low, high, &value, rd->err);
    if (rd->rc == PB_OK)
        *number = (int)value;
}

static void read_real(struct pb_reader *rd, const struct pb_json_at *at,
                      const struct pb_member *member, double *number)
{
    double value = 0;
    rd->rc = pb_json_number(at, member->low, member->high, &value, rd->err);
    if (rd->rc == PB_OK)
        *number = value + 0.0; /* no -0: it is written as 0 */
}

/* An enum is as wide as an int, and no less than 0 here. */
static void read_word(struct pb_reader *rd, const struct pb_json_at *at,
                      const struct pb_member *member, unsigned *word)
{
    size_t which = 0;
    rd->rc = pb_json_word(at, member->words, (size_t)member->high, &which, rd->err);
    if (rd->rc == PB_OK)
        *word = (unsigned)which;
}

void pb_reader_bool(struct pb_reader *rd, const struct pb_json_at *at, const char *key,
                    bool *value)
{
    struct pb_json_at child;
    if (pb_reader_get(rd, at, key, false, &child))
        rd->rc = pb_json_bool(&child, value, rd->err);
}

void pb_reader_id(struct pb_reader *rd, const struct pb_json_at *at,
                  char id[PB_ID_TEXT])
{
    struct pb_json_at child;
    const char *text = NULL;
    if (!pb_reader_get(rd, at, "id", true, &child))
        return;
    text = json_string_value(child.value);
    if (text != NULL && pb_id_is_valid(text)) {
        memcpy(id, text, PB_ID_TEXT);
        return;
    }
    rd->rc = pb_json_text(&child, PB_MAX_NAME, &text, rd->err);
    if (rd->rc == PB_OK)
        rd->rc = pb_json_fail(rd->err, PB_EPARSE, &child,
                              "expected a UUID in lower case, got \"%s\"", text);
}

static void read_code(struct pb_reader *rd, const struct pb_json_at *at,
                      enum pb_code_rule form, char code[PB_MAX_CODE + 1])
{
    const char *text = NULL;
    struct pb_err reason = {0};
    rd->rc = pb_json_text(at, PB_MAX_CODE, &text, rd->err);
    if (rd->rc == PB_OK)
        pb_reader_reason(rd, at, pb_code_fits(form, text, &reason), &reason);
    if (rd->rc == PB_OK)
        memcpy(code, text, strlen(text) + 1);
}

void pb_reader_code(struct pb_reader *rd, const struct pb_json_at *at, const char *key,
                    enum pb_code_rule form, char code[PB_MAX_CODE + 1])
{
    struct pb_json_at child;
    if (pb_reader_get(rd, at, key, false, &child))
        read_code(rd, &child, form, code);
}

void pb_reader_need_code(struct pb_reader *rd, const struct pb_json_at *at,
                         enum pb_code_rule form, char code[PB_MAX_CODE + 1])
{
    struct pb_json_at child;
    if (pb_reader_get(rd, at, "code", true, &child))
        read_code(rd, &child, form, code);
}

/* ---- objects ----------------------------------------------------------------------- */

void pb_reader_shape(struct pb_reader *rd, const struct pb_json_at *at,
                     const struct pb_shape *shape)
{
    const char *keys[MAX_KEYS];
    size_t n = 0;
    if (rd->rc != PB_OK)
        return;
    for (size_t i = 0; i < shape->key_n && n < MAX_KEYS; i++)
        keys[n++] = shape->keys[i];
    for (size_t i = 0; shape->members != NULL && i < shape->members->n && n < MAX_KEYS;
         i++)
        keys[n++] = shape->members->v[i].key;
    rd->rc = pb_json_object(at, keys, n, true, rd->err);
}

void pb_reader_extra(struct pb_reader *rd, const struct pb_json_at *at,
                     const char *slot)
{
    if (rd->rc != PB_OK)
        return;
    json_t *mine = slot == NULL ? json_incref(rd->extra) : json_object();
    struct pb_json_at m;
    int bad = mine == NULL;
    for (void *it = pb_json_first(at, &m); it != NULL; it = pb_json_next(at, it, &m))
        if (bad == 0 && strncmp(m.key, "x-", 2) == 0)
            bad = json_object_set(mine, m.key, m.value);
    if (bad == 0 && slot != NULL && json_object_size(mine) > 0)
        bad = json_object_set(rd->extra, slot, mine);
    json_decref(mine);
    if (bad != 0)
        rd->rc = pb_fail_memory(rd->err);
}

static void read_member(struct pb_reader *rd, const struct pb_json_at *at,
                        const struct pb_member *member, void *base)
{
    struct pb_json_at child;
    if (!pb_reader_get(rd, at, member->key, member->required, &child))
        return;
    void *value = (char *)base + member->offset;
    switch (member->type) {
    case PB_MEMBER_TEXT:
        pb_reader_text(rd, &child, (size_t)member->high, value);
        return;
    case PB_MEMBER_DAY:
        read_day(rd, &child, value);
        return;
    case PB_MEMBER_INT:
        read_int(rd, &child, member->low, member->high, value);
        return;
    case PB_MEMBER_COUNT:
        rd->rc = pb_json_int(&child, member->low, member->high, value, rd->err);
        return;
    case PB_MEMBER_REAL:
        read_real(rd, &child, member, value);
        return;
    case PB_MEMBER_TRUE:
        rd->rc = pb_json_bool(&child, value, rd->err);
        return;
    case PB_MEMBER_WORD:
        read_word(rd, &child, member, value);
        return;
    }
}

void pb_reader_members(struct pb_reader *rd, const struct pb_json_at *at,
                       const struct pb_members *members, void *base)
{
    for (size_t i = 0; i < members->n; i++)
        read_member(rd, at, &members->v[i], base);
}

void pb_reader_object(struct pb_reader *rd, const struct pb_json_at *at,
                      const struct pb_shape *shape, const char *slot, void *base)
{
    pb_reader_shape(rd, at, shape);
    pb_reader_extra(rd, at, slot);
    if (shape->members != NULL)
        pb_reader_members(rd, at, shape->members, base);
}

/*
 * Is JSON text that jansson wrote free of control characters?  It writes those below a
 * blank escaped, all others as they are; \b \f \n \r \t are harmless words, \u is not.
 */
static bool is_plain(const char *json, size_t n)
{
    for (size_t i = 0; i < n;) {
        uint32_t cp = 0;
        size_t len = pb_text_decode(json + i, n - i, &cp);
        if (len == 0 || pb_text_is_control(cp))
            return false;
        if (cp == '\\' && json[i + 1] == 'u')
            return false;
        i += cp == '\\' ? 2 : len;
    }
    return true;
}

void pb_reader_take_extra(struct pb_reader *rd, const struct pb_json_at *at,
                          char **text)
{
    if (rd->rc != PB_OK || json_object_size(rd->extra) == 0)
        return;
    size_t flags = 0;
    const unsigned before = pb_json_failures();
    char *json =
        pb_extra_flags(rd->extra, &flags) ? json_dumps(rd->extra, flags) : NULL;
    size_t n = json != NULL ? strlen(json) : 0;
    if (json == NULL || pb_json_failures() != before)
        rd->rc = pb_fail_memory(rd->err);
    else if (n > PB_MAX_EXTRA)
        rd->rc =
            pb_json_fail(rd->err, PB_ELIMIT, at,
                         "the x- keys take %zu bytes, at most %d fit", n, PB_MAX_EXTRA);
    else if (!is_plain(json, n))
        rd->rc = pb_json_fail(rd->err, PB_EPARSE, at,
                              "an x- key or its value holds a control character");
    if (rd->rc == PB_OK)
        *text = json;
    else
        free(json);
}
