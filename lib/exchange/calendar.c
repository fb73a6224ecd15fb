/*
 * Reminders as iCalendar, through libical, one component at a time.  See calendar.h.
 *
 * libical checks next to nothing: a day that does not exist, control characters and
 * broken UTF-8 go straight into the file, a comma or semicolon in a category stays bare,
 * an empty text becomes an error on reading.  So pb_reminder_check comes first.  What
 * libical writes is unfolded and folded again here, because its own lines often end in a
 * blank, which a mail program or an editor may strip, and because its choice of places
 * changes between versions.
 *
 * Times are either whole days or UTC: libical 3.0 drops the zone of any other.
 */
#include "exchange/calendar.h"

#include "base/text.h"
#include "exchange/ical_calls.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

enum {
    LINE_OCTETS = 75, /* of a line without its break: RFC 5545, section 3.1 */
    ALARM_HOUR = 9
};

static const char prodid[] = "-//podbook//podbook//EN";
static const char calendar_name[] = "podbook";

struct pb_calendar {
    struct pb_ical_calls ical;
    const icaltimezone *utc;
    enum pb_calendar_form form;
    char last_uid[PB_ID_TEXT]; /* of this file; empty: none yet */
    bool begun;                /* a file is being written */
};

/* ORDER REMINDER_STATUS */
static const struct {
    enum icalproperty_status event, to_do;
    const char *event_prefix, *to_do_prefix;
} statuses[] = {
    {ICAL_STATUS_CONFIRMED, ICAL_STATUS_NEEDSACTION, "",            ""           },
    {ICAL_STATUS_CONFIRMED, ICAL_STATUS_COMPLETED,   "Done: ",      ""           },
    {ICAL_STATUS_CANCELLED, ICAL_STATUS_CANCELLED,   "Withdrawn: ", "Withdrawn: "},
};
_Static_assert(PB_ARRAY_LEN(statuses) == PB_REMINDER_STATUS_N, "ORDER REMINDER_STATUS");

enum pb_rc pb_calendar_open(struct pb_calendar **cal, struct pb_err *err)
{
    struct pb_calendar *made = calloc(1, sizeof(*made));
    if (made == NULL)
        return pb_fail_memory(err);
    enum pb_rc rc = pb_ical_load(PB_LIBICAL_SONAME, &made->ical, err);
    if (rc != PB_OK) {
        free(made);
        return rc;
    }
    made->ical.icalerror_set_errors_are_fatal(0);
    made->utc = made->ical.icaltimezone_get_utc_timezone();
    *cal = made;
    return PB_OK;
}

void pb_calendar_close(struct pb_calendar *cal)
{
    if (cal == NULL)
        return;
    cal->ical.icaltimezone_free_builtin_timezones();
    cal->ical.icalmemory_free_ring();
    free(cal);
}

/* ---- lines ------------------------------------------------------------------------- */

/* Where to break a text of more than room octets: after a whole character, and where
 * there is such a place not after a blank, nor inside an escape. */
static size_t fold_at(const char *p, size_t room)
{
    size_t whole = 0;
    for (size_t at = room; at > 0; at--) {
        if (((unsigned char)p[at] & 0xC0U) == 0x80U)
            continue;
        if (p[at - 1] != ' ' && p[at - 1] != '\\')
            return at;
        if (whole == 0)
            whole = at;
    }
    return whole;
}

static void add_folded(struct pb_buf *out, const struct pb_buf *line)
{
    const char *p = pb_buf_peek(line);
    size_t left = line->len, room = LINE_OCTETS;
    while (left > room) {
        size_t n = fold_at(p, room);
        pb_buf_add(out, p, n);
        pb_buf_adds(out, "\r\n ");
        p += n;
        left -= n;
        room = LINE_OCTETS - 1; /* the blank that marks a continuation counts */
    }
    pb_buf_add(out, p, left);
    pb_buf_adds(out, "\r\n");
}

/* libical folds a line without blanks between the two bytes of its end, too: is that so here,
 * behind the fold?  Then what is before it is a whole line. */
static bool ends_in_fold(struct pb_buf *line, const char *rest, const char *end)
{
    if (rest == end || *rest != '\n' || line->len == 0 ||
        line->data[line->len - 1] != '\r')
        return false;
    line->data[--line->len] = '\0';
    return true;
}

/* Append n bytes of whole lines as libical folded them, folded anew. */
static enum pb_rc add_lines(struct pb_buf *out, const char *text, size_t n,
                            struct pb_err *err)
{
    struct pb_buf line;
    pb_buf_init(&line, PB_CALENDAR_CHUNK);
    enum pb_rc rc = PB_OK;
    for (const char *p = text, *end = text + n; rc == PB_OK && p < end;) {
        const char *stop = strstr(p, "\r\n");
        if (stop == NULL || stop > end)
            stop = end;
        pb_buf_add(&line, p, (size_t)(stop - p));
        p = stop < end ? stop + 2 : end;
        if (p < end && *p == ' ') {
            p++;
            if (!ends_in_fold(&line, p, end))
                continue;
            p++;
        }
        rc = pb_buf_status(&line, err);
        if (rc == PB_OK)
            add_folded(out, &line);
        pb_buf_reset(&line);
    }
    pb_buf_clear(&line);
    return rc != PB_OK ? rc : pb_buf_status(out, err);
}

/* ---- a component under construction -------------------------------------------------- */

struct draft {
    const struct pb_calendar *cal;
    icalcomponent *top; /* owns all that was put into it */
    bool no_memory;     /* libical gave NULL for a part */
};

static struct draft draft_new(struct pb_calendar *cal, icalcomponent_kind kind)
{
    *cal->ical.icalerrno_return() = ICAL_NO_ERROR;
    struct draft d = {cal, cal->ical.icalcomponent_new(kind), false};
    d.no_memory = d.top == NULL;
    return d;
}

static void put_into(struct draft *d, icalcomponent *into, icalproperty *part)
{
    if (part != NULL && into != NULL)
        d->cal->ical.icalcomponent_add_property(into, part);
    else
        d->no_memory = true;
}

static void put(struct draft *d, icalproperty *part)
{
    put_into(d, d->top, part);
}

/* Append the draft's text, up to the line that begins with stop (NULL: all), and release
 * the draft. */
static enum pb_rc draft_write(struct draft *d, const char *stop, struct pb_buf *out,
                              struct pb_err *err)
{
    const struct pb_ical_calls *ical = &d->cal->ical;
    char *text = d->no_memory ? NULL : ical->icalcomponent_as_ical_string_r(d->top);
    icalerrorenum fault = *ical->icalerrno_return();
    enum pb_rc rc;
    if (text == NULL) {
        rc = pb_fail_memory(err);
    } else if (fault != ICAL_NO_ERROR) {
        rc = pb_fail(err, PB_EIO, "the calendar library refuses: %s",
                     ical->icalerror_strerror(fault));
    } else {
        const char *end = stop != NULL ? strstr(text, stop) : NULL;
        size_t n = end != NULL ? (size_t)(end - text) : strlen(text);
        rc = add_lines(out, text, n, err);
    }
    if (text != NULL)
        ical->icalmemory_free_buffer(text);
    if (d->top != NULL)
        ical->icalcomponent_free(d->top);
    d->top = NULL;
    return rc;
}

/* ---- days and instants --------------------------------------------------------------- */

static icaltimetype whole_day(pb_day day)
{
    icaltimetype t = ICALTIMETYPE_INITIALIZER;
    pb_day_to_ymd(day, &t.year, &t.month, &t.day);
    t.is_date = 1;
    return t;
}

static icaltimetype instant(const struct pb_calendar *cal, int64_t seconds)
{
    int64_t day = seconds / 86400, rest = seconds % 86400;
    if (rest < 0) {
        rest += 86400;
        day--;
    }
    icaltimetype t = whole_day((pb_day)day);
    t.is_date = 0;
    t.hour = (int)(rest / 3600);
    t.minute = (int)(rest / 60 % 60);
    t.second = (int)(rest % 60);
    t.zone = cal->utc;
    return t;
}

/* ---- one reminder -------------------------------------------------------------------- */

/* Days after the component's start, or (from_end) on the day that a to-do is due. */
static void put_alarm(struct draft *d, const char *text, int days, bool from_end)
{
    const struct pb_ical_calls *ical = &d->cal->ical;
    icalcomponent *alarm = ical->icalcomponent_new(ICAL_VALARM_COMPONENT);
    if (alarm == NULL || d->top == NULL) {
        d->no_memory = true;
        return;
    }
    ical->icalcomponent_add_component(d->top, alarm);
    struct icaltriggertype at = {
        .time = ICALTIMETYPE_INITIALIZER,
        .duration = {.days = (unsigned)days, .hours = ALARM_HOUR},
    };
    icalproperty *trigger = ical->icalproperty_new_trigger(at);
    icalparameter *related =
        from_end ? ical->icalparameter_new_related(ICAL_RELATED_END) : NULL;
    d->no_memory = d->no_memory || (from_end && related == NULL);
    if (trigger != NULL && related != NULL)
        ical->icalproperty_add_parameter(trigger, related);
    put_into(d, alarm, trigger);
    put_into(d, alarm, ical->icalproperty_new_action(ICAL_ACTION_DISPLAY));
    put_into(d, alarm, ical->icalproperty_new_description(text));
}

static void put_alarms(struct draft *d, const struct pb_reminder *r, const char *text)
{
    bool to_do = d->cal->form == PB_CALENDAR_TO_DOS;
    int days = r->span.last - r->span.first;
    if (r->status != PB_REMINDER_PLANNED)
        return;
    if (r->alarm_first)
        put_alarm(d, text, 0, to_do && days == 0);
    if (r->alarm_last && (days > 0 || !r->alarm_first))
        put_alarm(d, text, to_do ? 0 : days, to_do);
}

static void put_event_fields(struct draft *d, const struct pb_reminder *r)
{
    const struct pb_ical_calls *ical = &d->cal->ical;
    bool guess = r->guess && r->status == PB_REMINDER_PLANNED;
    put(d, ical->icalproperty_new_dtstart(whole_day(r->span.first)));
    put(d, ical->icalproperty_new_dtend(whole_day(r->span.last + 1)));
    put(d, ical->icalproperty_new_status(guess ? ICAL_STATUS_TENTATIVE
                                               : statuses[r->status].event));
    put(d, ical->icalproperty_new_transp(ICAL_TRANSP_TRANSPARENT));
}

static void put_to_do_fields(struct draft *d, const struct pb_reminder *r)
{
    const struct pb_ical_calls *ical = &d->cal->ical;
    if (r->span.first < r->span.last)
        put(d, ical->icalproperty_new_dtstart(whole_day(r->span.first)));
    put(d, ical->icalproperty_new_due(whole_day(r->span.last)));
    put(d, ical->icalproperty_new_status(statuses[r->status].to_do));
    if (r->status == PB_REMINDER_DONE) {
        /* Only the day is known: noon UTC is on that day from UTC-12 to UTC+11. */
        int64_t noon = r->done_on * INT64_C(86400) + 43200;
        put(d, ical->icalproperty_new_completed(instant(d->cal, noon)));
        put(d, ical->icalproperty_new_percentcomplete(100));
    }
}

static void put_fields(struct draft *d, const struct pb_reminder *r,
                       const char *summary)
{
    const struct pb_ical_calls *ical = &d->cal->ical;
    put(d, ical->icalproperty_new_uid(r->uid));
    put(d, ical->icalproperty_new_dtstamp(instant(d->cal, r->stamp)));
    put(d, ical->icalproperty_new_lastmodified(instant(d->cal, r->stamp)));
    put(d, ical->icalproperty_new_created(instant(d->cal, r->created)));
    put(d, ical->icalproperty_new_sequence(r->sequence));
    if (d->cal->form == PB_CALENDAR_EVENTS)
        put_event_fields(d, r);
    else
        put_to_do_fields(d, r);
    put(d, ical->icalproperty_new_summary(summary));
    if (r->description != NULL)
        put(d, ical->icalproperty_new_description(r->description));
    if (r->category != NULL)
        put(d, ical->icalproperty_new_categories(r->category));
    put_alarms(d, r, summary);
}

enum pb_rc pb_calendar_add(struct pb_calendar *cal, const struct pb_reminder *r,
                           struct pb_buf *out, struct pb_err *err)
{
    assert(cal->begun);
    enum pb_rc rc = pb_reminder_check(r, err);
    if (rc != PB_OK)
        return rc;
    if (strcmp(r->uid, cal->last_uid) <= 0)
        return pb_fail_at(err, PB_EINVALID, "uid", 0, "%s does not come after %s",
                          r->uid, cal->last_uid);
    bool events = cal->form == PB_CALENDAR_EVENTS;
    struct pb_buf summary;
    pb_buf_init(&summary, PB_CALENDAR_CHUNK);
    pb_buf_adds(&summary, events ? statuses[r->status].event_prefix
                                 : statuses[r->status].to_do_prefix);
    pb_buf_adds(&summary, r->summary);
    rc = pb_buf_status(&summary, err);
    if (rc == PB_OK) {
        struct draft d =
            draft_new(cal, events ? ICAL_VEVENT_COMPONENT : ICAL_VTODO_COMPONENT);
        put_fields(&d, r, pb_buf_peek(&summary));
        rc = draft_write(&d, NULL, out, err);
    }
    if (rc == PB_OK)
        memcpy(cal->last_uid, r->uid, sizeof(cal->last_uid));
    pb_buf_clear(&summary);
    return rc;
}

/* ---- the file ------------------------------------------------------------------------ */

static const char file_end[] = "END:VCALENDAR";

enum pb_rc pb_calendar_begin(struct pb_calendar *cal, enum pb_calendar_form form,
                             struct pb_buf *out, struct pb_err *err)
{
    assert(!cal->begun);
    cal->begun = true;
    cal->form = form;
    cal->last_uid[0] = '\0';
    struct draft d = draft_new(cal, ICAL_VCALENDAR_COMPONENT);
    put(&d, cal->ical.icalproperty_new_version("2.0"));
    put(&d, cal->ical.icalproperty_new_prodid(prodid));
    put(&d, cal->ical.icalproperty_new_calscale("GREGORIAN"));
    put(&d, cal->ical.icalproperty_new_name(calendar_name));
    return draft_write(&d, file_end, out, err);
}

enum pb_rc pb_calendar_end(struct pb_calendar *cal, struct pb_buf *out,
                           struct pb_err *err)
{
    assert(cal->begun);
    cal->begun = false;
    pb_buf_adds(out, file_end);
    pb_buf_adds(out, "\r\n");
    return pb_buf_status(out, err);
}
