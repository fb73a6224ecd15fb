/*
 * Reminders from JSON to iCalendar, for the tests that let other programs read it.
 *
 *   calendar_write events|to-dos < reminders.json > file.ics
 *
 * The JSON is an array of objects with the members of struct pb_reminder; days and
 * instants are numbers.  It is what the readers compare with, so it is read leniently.
 */
#include "base/buf.h"
#include "exchange/calendar.h"

#include <jansson.h>
#include <stdio.h>
#include <string.h>

static int64_t number(const json_t *o, const char *key, int64_t absent)
{
    const json_t *v = json_object_get(o, key);
    return v != NULL ? (int64_t)json_integer_value(v) : absent;
}

static struct pb_reminder reminder_of(const json_t *o)
{
    struct pb_reminder r = {
        .summary = json_string_value(json_object_get(o, "summary")),
        .description = json_string_value(json_object_get(o, "description")),
        .category = json_string_value(json_object_get(o, "category")),
        .span = {(pb_day)number(o, "first", 0), (pb_day)number(o, "last", 0)},
        .status = (enum pb_reminder_status)number(o, "status", PB_REMINDER_PLANNED),
        .done_on = (pb_day)number(o, "done_on", PB_DAY_NONE),
        .guess = json_is_true(json_object_get(o, "guess")),
        .alarm_first = json_is_true(json_object_get(o, "alarm_first")),
        .alarm_last = json_is_true(json_object_get(o, "alarm_last")),
        .created = number(o, "created", 0),
        .stamp = number(o, "stamp", 0),
        .sequence = (int)number(o, "sequence", 0),
    };
    const char *uid = json_string_value(json_object_get(o, "uid"));
    (void)snprintf(r.uid, sizeof(r.uid), "%s", uid != NULL ? uid : "");
    return r;
}

/* Write out and empty the buffer, so that memory does not grow with the file. */
static enum pb_rc flush(struct pb_buf *out, struct pb_err *err)
{
    bool written = fwrite(pb_buf_peek(out), 1, out->len, stdout) == out->len;
    pb_buf_reset(out);
    return written ? PB_OK : pb_fail(err, PB_EIO, "standard output cannot be written");
}

static enum pb_rc write_all(struct pb_calendar *cal, enum pb_calendar_form form,
                            const json_t *all, struct pb_err *err)
{
    struct pb_buf out;
    pb_buf_init(&out, PB_CALENDAR_CHUNK);
    enum pb_rc rc = pb_calendar_begin(cal, form, &out, err);
    for (size_t i = 0; rc == PB_OK && i < json_array_size(all); i++) {
        struct pb_reminder r = reminder_of(json_array_get(all, i));
        rc = flush(&out, err);
        if (rc == PB_OK)
            rc = pb_calendar_add(cal, &r, &out, err);
    }
    if (rc == PB_OK)
        rc = pb_calendar_end(cal, &out, err);
    if (rc == PB_OK)
        rc = flush(&out, err);
    pb_buf_clear(&out);
    return rc;
}

int main(int argc, char **argv)
{
    struct pb_err err = {0};
    struct pb_calendar *cal = NULL;
    json_error_t fault;
    json_t *all = json_loadf(stdin, JSON_REJECT_DUPLICATES, &fault);
    if (argc != 2 || !json_is_array(all)) {
        (void)fprintf(stderr, "usage: calendar_write events|to-dos < array.json\n");
        json_decref(all);
        return 2;
    }
    enum pb_calendar_form form =
        strcmp(argv[1], "to-dos") == 0 ? PB_CALENDAR_TO_DOS : PB_CALENDAR_EVENTS;
    enum pb_rc rc = pb_calendar_open(&cal, &err);
    if (rc == PB_OK)
        rc = write_all(cal, form, all, &err);
    pb_calendar_close(cal);
    json_decref(all);
    if (rc != PB_OK)
        (void)fprintf(stderr, "calendar_write: %s: %s\n", err.where, err.text);
    return rc != PB_OK;
}
