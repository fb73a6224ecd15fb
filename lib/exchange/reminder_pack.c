/* The content of a reminder as one line of JSON.  See reminder_pack.h. */
#include "exchange/reminder_pack.h"

#include "base/limits.h"
#include "base/text.h"
#include "exchange/json_memory.h"
#include "exchange/json_read.h"

#include <string.h>

/* ORDER REMINDER_STATUS */
static const char *const status_names[] = {"planned", "done", "withdrawn"};
_Static_assert(PB_ARRAY_LEN(status_names) == PB_REMINDER_STATUS_N,
               "ORDER REMINDER_STATUS");

static const char *const keys[] = {
    "alarm_first", "alarm_last", "category", "description", "done_on",
    "first",       "guess",      "last",     "status",      "summary",
};

/* ---- writing: every setter takes the value over and reports NULL as no memory ---------- */

static bool put(json_t *o, const char *key, json_t *value)
{
    return json_object_set_new(o, key, value) == 0;
}

static bool put_day(json_t *o, const char *key, pb_day day)
{
    char text[PB_DAY_TEXT];
    return day == PB_DAY_NONE || put(o, key, json_string(pb_day_format(day, text)));
}

static bool put_flag(json_t *o, const char *key, bool on)
{
    return !on || put(o, key, json_true());
}

static bool put_lines(json_t *o, const char *key, const char *text)
{
    if (text == NULL)
        return true;
    json_t *lines = json_array();
    bool ok = lines != NULL;
    for (const char *from = text; ok && from != NULL;) {
        const char *end = strchr(from, '\n');
        size_t n = end != NULL ? (size_t)(end - from) : strlen(from);
        ok = json_array_append_new(lines, json_stringn(from, n)) == 0;
        from = end != NULL ? end + 1 : NULL;
    }
    return put(o, key, lines) && ok;
}

static int append(const char *bytes, size_t n, void *out)
{
    pb_buf_add(out, bytes, n);
    return 0;
}

enum pb_rc pb_reminder_pack(const struct pb_reminder *r, struct pb_buf *out,
                            struct pb_err *err)
{
    unsigned failures = pb_json_failures(); /* a member may be dropped in silence */
    json_t *o = json_object();
    bool ok = o != NULL && put(o, "summary", json_string(r->summary)) &&
              put_lines(o, "description", r->description) &&
              (r->category == NULL || put(o, "category", json_string(r->category))) &&
              put_day(o, "first", r->span.first) && put_day(o, "last", r->span.last) &&
              put(o, "status", json_string(status_names[r->status])) &&
              put_day(o, "done_on", r->done_on) && put_flag(o, "guess", r->guess) &&
              put_flag(o, "alarm_first", r->alarm_first) &&
              put_flag(o, "alarm_last", r->alarm_last);
    ok = ok && json_dump_callback(o, append, out, JSON_COMPACT | JSON_SORT_KEYS) == 0;
    ok = ok && pb_json_failures() == failures;
    json_decref(o);
    return ok ? pb_buf_status(out, err) : pb_fail_memory(err);
}

/* ---- reading ----------------------------------------------------------------------------- */

static enum pb_rc get_day(const struct pb_json_at *o, const char *key, bool needed,
                          pb_day *day, struct pb_err *err)
{
    struct pb_json_at at;
    const char *text = NULL;
    *day = PB_DAY_NONE;
    if (!needed && !pb_json_get(o, key, &at))
        return PB_OK;
    enum pb_rc rc = pb_json_need(o, key, &at, err);
    if (rc == PB_OK)
        rc = pb_json_text(&at, PB_DAY_TEXT - 1, &text, err);
    return rc == PB_OK ? pb_day_parse_iso(key, text, day, err) : rc;
}

static enum pb_rc get_flag(const struct pb_json_at *o, const char *key, bool *on,
                           struct pb_err *err)
{
    struct pb_json_at at;
    *on = false;
    return pb_json_get(o, key, &at) ? pb_json_bool(&at, on, err) : PB_OK;
}

/* Append a text and its NUL to hold; *at: where it begins. */
static enum pb_rc hold_text(const struct pb_json_at *value, size_t max,
                            struct pb_buf *hold, size_t *at, struct pb_err *err)
{
    const char *text = NULL;
    enum pb_rc rc = pb_json_text(value, max, &text, err);
    *at = hold->len;
    if (rc == PB_OK)
        pb_buf_add(hold, text, strlen(text) + 1);
    return rc;
}

static enum pb_rc hold_lines(const struct pb_json_at *value, struct pb_buf *hold,
                             size_t *at, struct pb_err *err)
{
    size_t n = 0, line = 0;
    enum pb_rc rc = pb_json_array(value, 1, PB_MAX_TEXT, &n, err);
    *at = hold->len;
    for (size_t i = 0; rc == PB_OK && i < n; i++) {
        struct pb_json_at item = pb_json_item(value, i);
        rc = hold_text(&item, PB_MAX_TEXT, hold, &line, err);
        if (rc == PB_OK && hold->rc == PB_OK && i + 1 < n)
            hold->data[hold->len - 1] = '\n';
    }
    return rc;
}

static enum pb_rc get_texts(const struct pb_json_at *o, struct pb_reminder *r,
                            struct pb_buf *hold, struct pb_err *err)
{
    size_t summary = 0, description = 0, category = 0;
    struct pb_json_at at;
    bool described = pb_json_get(o, "description", &at);
    enum pb_rc rc = described ? hold_lines(&at, hold, &description, err) : PB_OK;
    bool sorted = rc == PB_OK && pb_json_get(o, "category", &at);
    if (sorted)
        rc = hold_text(&at, PB_MAX_NAME, hold, &category, err);
    if (rc == PB_OK)
        rc = pb_json_need(o, "summary", &at, err);
    if (rc == PB_OK)
        rc = hold_text(&at, PB_MAX_TEXT, hold, &summary, err);
    if (rc == PB_OK)
        rc = pb_buf_status(hold, err);
    if (rc != PB_OK)
        return rc;
    r->summary = hold->data + summary;
    r->description = described ? hold->data + description : NULL;
    r->category = sorted ? hold->data + category : NULL;
    return PB_OK;
}

static enum pb_rc get_fields(const struct pb_json_at *o, struct pb_reminder *r,
                             struct pb_err *err)
{
    struct pb_json_at at;
    size_t status = 0;
    enum pb_rc rc = pb_json_need(o, "status", &at, err);
    if (rc == PB_OK)
        rc = pb_json_word(&at, status_names, PB_ARRAY_LEN(status_names), &status, err);
    if (rc == PB_OK)
        rc = get_day(o, "first", true, &r->span.first, err);
    if (rc == PB_OK)
        rc = get_day(o, "last", true, &r->span.last, err);
    if (rc == PB_OK)
        rc = get_day(o, "done_on", false, &r->done_on, err);
    if (rc == PB_OK)
        rc = get_flag(o, "guess", &r->guess, err);
    if (rc == PB_OK)
        rc = get_flag(o, "alarm_first", &r->alarm_first, err);
    if (rc == PB_OK)
        rc = get_flag(o, "alarm_last", &r->alarm_last, err);
    r->status = (enum pb_reminder_status)status;
    return rc;
}

enum pb_rc pb_reminder_unpack(const char *line, struct pb_reminder *r,
                              struct pb_buf *hold, struct pb_err *err)
{
    static const struct pb_json_origin origin = {"reminder", 0};
    json_t *doc = NULL;
    struct pb_reminder made = *r;
    pb_buf_reset(hold);
    enum pb_rc rc = pb_json_load(&origin, line, strlen(line), &doc, err);
    if (rc != PB_OK)
        return rc;
    struct pb_json_at o = pb_json_root(&origin, doc);
    rc = pb_json_object(&o, keys, PB_ARRAY_LEN(keys), false, err);
    if (rc == PB_OK)
        rc = get_fields(&o, &made, err);
    if (rc == PB_OK)
        rc = get_texts(&o, &made, hold, err);
    json_decref(doc);
    if (rc == PB_OK)
        *r = made;
    return rc;
}
