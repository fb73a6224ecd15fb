/*
 * Reminders as iCalendar: what is written is read by the calendar library as the same day
 * and the same texts.  Input: a byte of choices, two days, then summary, category and
 * description, each ended by a vertical tab.
 */
#include "fuzz.h"

#include "exchange/calendar.h"

#include <libical/ical.h>
#include <string.h>

enum { HEAD = 9, MAX_LINE = 75 /* RFC 5545, 3.1 */ };

static int32_t number(const uint8_t *p)
{
    uint32_t n = (uint32_t)p[0] | (uint32_t)p[1] << 8 | (uint32_t)p[2] << 16 |
                 (uint32_t)p[3] << 24;
    return (int32_t)n;
}

static const char *field(char **rest)
{
    char *begin = *rest, *end = begin != NULL ? strchr(begin, '\v') : NULL;
    if (end != NULL)
        *end = '\0';
    *rest = end != NULL ? end + 1 : NULL;
    return begin;
}

/* Lines of at most 75 bytes, ended by CRLF, without anything that controls a terminal. */
static void must_be_lines(const struct pb_buf *out)
{
    const char *p = pb_buf_peek(out), *last = p + out->len;
    while (p < last) {
        const char *end = strstr(p, "\r\n");
        MUST(end != NULL, "a line without its end");
        MUST(end - p <= MAX_LINE, "a line of %td bytes", end - p);
        /* a character may be parted by a fold */
        for (const char *c = p; c < end; c++)
            MUST((unsigned char)*c >= ' ' && *c != '\x7F', "a control character");
        p = end + 2;
    }
}

static void must_say(icalcomponent *of, icalproperty_kind kind, const char *text)
{
    icalproperty *p = icalcomponent_get_first_property(of, kind);
    const char *has = p != NULL ? icalvalue_get_text(icalproperty_get_value(p)) : NULL;
    MUST((has == NULL) == (text == NULL), "a text is missing or was not given");
    /* a text that is done or withdrawn says so before itself */
    size_t n = has != NULL ? strlen(has) : 0, wants = text != NULL ? strlen(text) : 0;
    MUST(has == NULL || (n >= wants && strcmp(has + n - wants, text) == 0),
         "\"%s\" is read as \"%s\"", text != NULL ? text : "", has != NULL ? has : "");
    MUST(p == NULL || icalcomponent_get_next_property(of, kind) == NULL, "said twice");
}

static void must_be_read(const struct pb_buf *out, const struct pb_reminder *r,
                         enum pb_calendar_form form)
{
    icalcomponent *all = icalparser_parse_string(pb_buf_peek(out));
    MUST(all != NULL, "the library reads nothing");
    icalcomponent_kind kind =
        form == PB_CALENDAR_EVENTS ? ICAL_VEVENT_COMPONENT : ICAL_VTODO_COMPONENT;
    MUST(icalcomponent_count_errors(all) == 0, "the library complains");
    MUST(icalcomponent_count_components(all, ICAL_ANY_COMPONENT) == 1 &&
             icalcomponent_count_components(all, kind) == 1,
         "not one component");
    MUST(icalcomponent_count_properties(all, ICAL_METHOD_PROPERTY) == 0, "a method");
    icalcomponent *one = icalcomponent_get_first_component(all, kind);
    must_say(one, ICAL_SUMMARY_PROPERTY, r->summary);
    must_say(one, ICAL_DESCRIPTION_PROPERTY, r->description);
    MUST(icalcomponent_count_properties(one, ICAL_ATTENDEE_PROPERTY) == 0 &&
             icalcomponent_count_properties(one, ICAL_ATTACH_PROPERTY) == 0 &&
             icalcomponent_count_properties(one, ICAL_URL_PROPERTY) == 0,
         "a property that podbook does not write");
    icalcomponent_free(all);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct pb_calendar *cal;
    struct pb_err err = {0};
    if (cal == NULL)
        MUST(pb_calendar_open(&cal, &err) == PB_OK, "%s", err.text);
    if (size < HEAD)
        return 0;
    char *texts = fuzz_text(data + HEAD, size - HEAD), *rest = texts;
    struct pb_reminder r = {
        .uid = "0195a1b2-c3d4-5e5f-8a9b-000000000001",
        .status = (enum pb_reminder_status)(data[0] % 4),
        .done_on = data[0] & 4 ? number(data + 5) : PB_DAY_NONE,
        .guess = data[0] & 8,
        .alarm_first = data[0] & 16,
        .alarm_last = data[0] & 32,
        .span = {number(data + 1), number(data + 5)},
        .created = (int64_t)FUZZ_TODAY * 86400,
        .stamp = (int64_t)FUZZ_TODAY * 86400,
        .sequence = data[0] >> 6
    };
    enum pb_calendar_form form = data[0] & 64 ? PB_CALENDAR_TO_DOS : PB_CALENDAR_EVENTS;
    struct pb_buf out;
    pb_buf_init(&out, 3 * (size_t)PB_CALENDAR_CHUNK);
    r.summary = field(&rest);
    r.category = field(&rest);
    r.description = field(&rest);
    bool fit = pb_reminder_check(&r, &err) == PB_OK;
    MUST(fit || err.text[0] != '\0', "refused without a word");
    pb_err_clear(&err);
    MUST(pb_calendar_begin(cal, form, &out, &err) == PB_OK, "%s", err.text);
    enum pb_rc rc = pb_calendar_add(cal, &r, &out, &err);
    MUST((rc == PB_OK) == fit, "fit, but not written: %s", err.text);
    MUST(pb_calendar_end(cal, &out, &err) == PB_OK, "%s", err.text);
    if (fit) {
        must_be_lines(&out);
        must_be_read(&out, &r, form);
    }
    pb_buf_clear(&out);
    free(texts);
    return 0;
}
