/* Reading JSON strictly, with the place of every fault.  See json_read.h. */
#include "exchange/json_read.h"

#include "base/buf.h"
#include "base/limits.h"
#include "base/text.h"

#include <limits.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum {
    PATH_BYTES = 400,  /* of a path in a message */
    SHOWN_COLS = 40,   /* of a key or text in a message */
    SHOWN_BYTES = 2000 /* of it before it is cut to columns */
};

/* ---- what a message shows ---------------------------------------------------------- */

/* The text without control characters, cut to a line's worth. */
static void show(struct pb_buf *out, const char *text)
{
    char head[SHOWN_BYTES / 10];
    struct pb_buf plain;
    (void)snprintf(head, sizeof(head), "%s", text);
    pb_buf_init(&plain, SHOWN_BYTES);
    pb_text_escape(&plain, head);
    pb_text_clip(out, pb_buf_peek(&plain), SHOWN_COLS);
    pb_buf_clear(&plain);
}

static bool plain_key(const char *key)
{
    static const char letters[] = "abcdefghijklmnopqrstuvwxyz"
                                  "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-";
    return key[0] != '\0' && key[strspn(key, letters)] == '\0' &&
           strlen(key) <= SHOWN_COLS;
}

/* a.b[2]["odd key"], nothing for the document itself. */
static void add_path(struct pb_buf *out, const struct pb_json_at *at)
{
    const struct pb_json_at *way[PB_MAX_JSON_DEPTH + 1];
    size_t n = 0;
    for (; at->up != NULL && n < PB_ARRAY_LEN(way); at = at->up)
        way[n++] = at;
    for (; n > 0; n--) {
        const struct pb_json_at *step = way[n - 1];
        if (step->key == NULL) {
            pb_buf_printf(out, "[%zu]", step->index);
        } else if (plain_key(step->key)) {
            pb_buf_adds(out, out->len > 0 ? "." : "");
            pb_buf_adds(out, step->key);
        } else {
            pb_buf_adds(out, "[\"");
            show(out, step->key);
            pb_buf_adds(out, "\"]");
        }
    }
}

enum pb_rc pb_json_fail(struct pb_err *err, enum pb_rc rc, const struct pb_json_at *at,
                        const char *fmt, ...)
{
    char reason[sizeof(err->text)];
    struct pb_buf path;
    va_list ap;
    va_start(ap, fmt);
    (void)vsnprintf(reason, sizeof(reason), fmt, ap);
    va_end(ap);
    pb_buf_init(&path, PATH_BYTES);
    add_path(&path, at);
    (void)pb_fail_at(err, rc, at->origin->file, at->origin->line, "%s%s%s",
                     pb_buf_peek(&path), path.len > 0 ? ": " : "", reason);
    pb_buf_clear(&path);
    return rc;
}

static const char *type_name(const json_t *value)
{
    switch (json_typeof(value)) {
    case JSON_OBJECT:
        return "an object";
    case JSON_ARRAY:
        return "an array";
    case JSON_STRING:
        return "a text";
    case JSON_INTEGER:
        return "a whole number";
    case JSON_REAL:
        return "a number with a point or exponent";
    case JSON_TRUE:
    case JSON_FALSE:
        return "true or false";
    case JSON_NULL:
        return "null (leave the key out instead)";
    }
    return "nothing";
}

static enum pb_rc wrong_type(const struct pb_json_at *at, const char *expected,
                             struct pb_err *err)
{
    return pb_json_fail(err, PB_EPARSE, at, "expected %s, got %s", expected,
                        type_name(at->value));
}

/* ---- the document ------------------------------------------------------------------ */

/* The parser recurses, so the depth is held before it runs.  Quotes are followed so that
 * brackets inside a text do not count. */
static enum pb_rc check_depth(const struct pb_json_origin *origin, const char *text,
                              size_t n, struct pb_err *err)
{
    static const bool marks[UCHAR_MAX + 1] = {
        ['"'] = true, ['\\'] = true, ['['] = true, ['{'] = true,
        [']'] = true, ['}'] = true,  ['\n'] = true};
    size_t depth = 0;
    long line = 1;
    bool quoted = false;
    for (size_t i = 0; i < n; i++) {
        char c = text[i];
        if (!marks[(unsigned char)c])
            continue;
        line += c == '\n';
        if (quoted && c == '\\')
            i++;
        else if (c == '"')
            quoted = !quoted;
        else if (!quoted && (c == '[' || c == '{'))
            depth++;
        else if (!quoted && (c == ']' || c == '}') && depth > 0)
            depth--;
        if (depth > PB_MAX_JSON_DEPTH)
            return pb_fail_at(err, PB_ELIMIT, origin->file,
                              origin->line > 0 ? origin->line : line,
                              "is nested deeper than %d levels", PB_MAX_JSON_DEPTH);
    }
    return PB_OK;
}

enum pb_rc pb_json_load(const struct pb_json_origin *origin, const char *text, size_t n,
                        json_t **doc, struct pb_err *err)
{
    if (n >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0)
        return pb_fail_at(
            err, PB_EPARSE, origin->file, origin->line,
            "begins with a byte order mark; save it as UTF-8 without one");
    enum pb_rc rc = check_depth(origin, text, n, err);
    if (rc != PB_OK)
        return rc;
    json_error_t fault;
    bool no_memory = false;
    json_t *value = pb_json_loadb(text, n, JSON_REJECT_DUPLICATES, &fault, &no_memory);
    if (no_memory)
        return pb_fail_memory(err);
    if (value != NULL) {
        *doc = value;
        return PB_OK;
    }
    struct pb_buf reason;
    pb_buf_init(&reason, SHOWN_BYTES);
    pb_text_escape(&reason, fault.text);
    (void)pb_fail_at(
        err, PB_EPARSE, origin->file, origin->line > 0 ? origin->line : fault.line,
        "is not good JSON at column %d: %s", fault.column, pb_buf_peek(&reason));
    pb_buf_clear(&reason);
    return PB_EPARSE;
}

struct pb_json_at pb_json_root(const struct pb_json_origin *origin, json_t *doc)
{
    return (struct pb_json_at){.value = doc, .origin = origin};
}

/* ---- going down -------------------------------------------------------------------- */

static struct pb_json_at below(const struct pb_json_at *at, json_t *value,
                               const char *key, size_t index)
{
    return (struct pb_json_at){value, at->origin, at, key, index};
}

bool pb_json_get(const struct pb_json_at *at, const char *key, struct pb_json_at *child)
{
    json_t *value = json_object_get(at->value, key);
    if (value == NULL)
        return false;
    *child = below(at, value, key, 0);
    return true;
}

enum pb_rc pb_json_need(const struct pb_json_at *at, const char *key,
                        struct pb_json_at *child, struct pb_err *err)
{
    if (!pb_json_get(at, key, child))
        return pb_json_fail(err, PB_EPARSE, at, "\"%s\" is missing", key);
    return PB_OK;
}

struct pb_json_at pb_json_item(const struct pb_json_at *at, size_t i)
{
    return below(at, json_array_get(at->value, i), NULL, i);
}

static void *at_iter(const struct pb_json_at *at, void *it, struct pb_json_at *child)
{
    if (it != NULL)
        *child = below(at, json_object_iter_value(it), json_object_iter_key(it), 0);
    return it;
}

void *pb_json_first(const struct pb_json_at *at, struct pb_json_at *child)
{
    return at_iter(at, json_object_iter(at->value), child);
}

void *pb_json_next(const struct pb_json_at *at, void *it, struct pb_json_at *child)
{
    return at_iter(at, json_object_iter_next(at->value, it), child);
}

/* ---- values ------------------------------------------------------------------------ */

/* "what "text"; did you mean ..., or: expected a, b, c" */
static enum pb_rc unknown(const struct pb_json_at *at, const char *what,
                          const char *text, const char *const *words, size_t n,
                          struct pb_err *err)
{
    const char *meant = pb_text_nearest(text, words, n);
    struct pb_buf msg;
    pb_buf_init(&msg, SHOWN_BYTES);
    pb_buf_printf(&msg, "%s \"", what);
    show(&msg, text);
    pb_buf_adds(&msg, "\"; ");
    if (meant != NULL)
        pb_buf_printf(&msg, "did you mean \"%s\"", meant);
    else
        pb_buf_adds(&msg, "expected one of:");
    for (size_t i = 0; meant == NULL && i < n; i++)
        if (words[i] != NULL)
            pb_buf_printf(&msg, " %s", words[i]);
    (void)pb_json_fail(err, PB_EPARSE, at, "%s", pb_buf_peek(&msg));
    pb_buf_clear(&msg);
    return PB_EPARSE;
}

enum pb_rc pb_json_object(const struct pb_json_at *at, const char *const *keys,
                          size_t n, bool x_keys, struct pb_err *err)
{
    if (!json_is_object(at->value))
        return wrong_type(at, "an object", err);
    struct pb_json_at m;
    for (void *it = pb_json_first(at, &m); it != NULL; it = pb_json_next(at, it, &m)) {
        bool known = x_keys && strncmp(m.key, "x-", 2) == 0;
        for (size_t i = 0; !known && i < n; i++)
            known = m.key[0] == keys[i][0] && strcmp(m.key, keys[i]) == 0;
        if (!known)
            return unknown(at, "unknown key", m.key, keys, n, err);
    }
    return PB_OK;
}

static enum pb_rc check_count(const struct pb_json_at *at, size_t count, size_t low,
                              size_t high, struct pb_err *err)
{
    if (count < low)
        return pb_json_fail(err, PB_EPARSE, at, "expected at least %zu, got %zu", low,
                            count);
    if (count > high)
        return pb_json_fail(err, PB_ELIMIT, at, "expected at most %zu, got %zu", high,
                            count);
    return PB_OK;
}

enum pb_rc pb_json_map(const struct pb_json_at *at, size_t max, size_t *n,
                       struct pb_err *err)
{
    if (!json_is_object(at->value))
        return wrong_type(at, "an object", err);
    size_t count = json_object_size(at->value);
    enum pb_rc rc = check_count(at, count, 0, max, err);
    if (rc == PB_OK)
        *n = count;
    return rc;
}

enum pb_rc pb_json_array(const struct pb_json_at *at, size_t low, size_t high,
                         size_t *n, struct pb_err *err)
{
    if (!json_is_array(at->value))
        return wrong_type(at, "an array", err);
    size_t count = json_array_size(at->value);
    enum pb_rc rc = check_count(at, count, low, high, err);
    if (rc == PB_OK)
        *n = count;
    return rc;
}

/* pb_text_check, its reason under the path. */
static enum pb_rc check_text(const struct pb_json_at *at, const char *text, size_t max,
                             struct pb_err *err)
{
    struct pb_err fault = {0};
    enum pb_rc rc = pb_text_check(NULL, text, max, &fault);
    if (rc != PB_OK)
        return pb_json_fail(err, rc, at, "%s", fault.text);
    return PB_OK;
}

enum pb_rc pb_json_text(const struct pb_json_at *at, size_t max, const char **text,
                        struct pb_err *err)
{
    if (!json_is_string(at->value))
        return wrong_type(at, "a text", err);
    enum pb_rc rc = check_text(at, json_string_value(at->value), max, err);
    if (rc == PB_OK)
        *text = json_string_value(at->value);
    return rc;
}

enum pb_rc pb_json_key(const struct pb_json_at *at, size_t max, struct pb_err *err)
{
    return check_text(at, at->key, max, err);
}

enum pb_rc pb_json_word(const struct pb_json_at *at, const char *const *words, size_t n,
                        size_t *which, struct pb_err *err)
{
    if (!json_is_string(at->value))
        return wrong_type(at, "a text", err);
    const char *text = json_string_value(at->value);
    for (size_t i = 0; i < n; i++)
        if (words[i] != NULL && strcmp(text, words[i]) == 0) {
            *which = i;
            return PB_OK;
        }
    return unknown(at, "unknown word", text, words, n, err);
}

enum pb_rc pb_json_int(const struct pb_json_at *at, int64_t low, int64_t high,
                       int64_t *value, struct pb_err *err)
{
    if (!json_is_integer(at->value))
        return wrong_type(at, "a whole number", err);
    json_int_t v = json_integer_value(at->value);
    if (v < low || v > high)
        return pb_json_fail(err, PB_ELIMIT, at,
                            "expected a whole number from %lld to %lld, got %lld",
                            (long long)low, (long long)high, (long long)v);
    *value = v;
    return PB_OK;
}

enum pb_rc pb_json_number(const struct pb_json_at *at, double low, double high,
                          double *value, struct pb_err *err)
{
    if (!json_is_number(at->value))
        return wrong_type(at, "a number", err);
    double v = json_number_value(at->value);
    if (!(v >= low && v <= high)) {
        char from[PB_NUMBER_TEXT], to[PB_NUMBER_TEXT], got[PB_NUMBER_TEXT];
        return pb_json_fail(err, PB_ELIMIT, at,
                            "expected a number from %s to %s, got %s",
                            pb_text_number(low, from), pb_text_number(high, to),
                            pb_text_number(v, got));
    }
    *value = v;
    return PB_OK;
}

enum pb_rc pb_json_bool(const struct pb_json_at *at, bool *value, struct pb_err *err)
{
    if (!json_is_boolean(at->value))
        return wrong_type(at, "true or false", err);
    *value = json_is_true(at->value);
    return PB_OK;
}
