/*
 * libical alone: the components that `podbook calendar` writes, made from their texts and
 * serialised one by one.
 *
 *   bare_calendar FILE   reminders as book_maker reminders writes them
 *
 * Linked, not loaded, and without any check of what goes in.  What libical gives is written
 * as it comes, through one buffer.
 */
#include "reminder_lines.h"

#include <libical/ical.h>
#include <stdio.h>
#include <stdlib.h>

enum { ALARM_HOUR = 9, LINE = 65536 };

static icaltimetype day_of(const char *text)
{
    icaltimetype t = icaltime_from_timet_with_zone((time_t)atol(text) * 86400, 1, NULL);
    return t;
}

static icaltimetype instant(const char *text)
{
    return icaltime_from_timet_with_zone((time_t)atoll(text), 0,
                                         icaltimezone_get_utc_timezone());
}

static void put_alarm(icalcomponent *event, const char *text, int days)
{
    struct icaltriggertype at = {
        .time = ICALTIMETYPE_INITIALIZER,
        .duration = {.days = (unsigned)days, .hours = ALARM_HOUR},
    };
    icalcomponent *alarm = icalcomponent_new(ICAL_VALARM_COMPONENT);
    icalcomponent_add_property(alarm, icalproperty_new_trigger(at));
    icalcomponent_add_property(alarm, icalproperty_new_action(ICAL_ACTION_DISPLAY));
    icalcomponent_add_property(alarm, icalproperty_new_description(text));
    icalcomponent_add_component(event, alarm);
}

static void write_event(char *const *f)
{
    icalcomponent *event = icalcomponent_new(ICAL_VEVENT_COMPONENT);
    icaltimetype stamp = instant(f[STAMP]), last = day_of(f[LAST]);
    icaltime_adjust(&last, 1, 0, 0, 0);
    icalcomponent_add_property(event, icalproperty_new_uid(f[UID]));
    icalcomponent_add_property(event, icalproperty_new_dtstamp(stamp));
    icalcomponent_add_property(event, icalproperty_new_lastmodified(stamp));
    icalcomponent_add_property(event, icalproperty_new_created(instant(f[CREATED])));
    icalcomponent_add_property(event, icalproperty_new_sequence(atoi(f[SEQUENCE])));
    icalcomponent_add_property(event, icalproperty_new_dtstart(day_of(f[FIRST])));
    icalcomponent_add_property(event, icalproperty_new_dtend(last));
    icalcomponent_add_property(
        event, icalproperty_new_status(f[TENTATIVE][0] == '1' ? ICAL_STATUS_TENTATIVE
                                                              : ICAL_STATUS_CONFIRMED));
    icalcomponent_add_property(event, icalproperty_new_transp(ICAL_TRANSP_TRANSPARENT));
    icalcomponent_add_property(event, icalproperty_new_summary(f[SUMMARY]));
    icalcomponent_add_property(event, icalproperty_new_description(f[DESCRIPTION]));
    icalcomponent_add_property(event, icalproperty_new_categories(f[CATEGORY]));
    put_alarm(event, f[SUMMARY], 0);
    if (f[ALARMS][0] == '2')
        put_alarm(event, f[SUMMARY], atoi(f[LAST]) - atoi(f[FIRST]));
    char *text = icalcomponent_as_ical_string_r(event);
    (void)fputs(text, stdout);
    icalmemory_free_buffer(text);
    icalcomponent_free(event);
}

int main(int argc, char **argv)
{
    static char line[LINE];
    char *f[FIELD_N];
    FILE *in = argc == 2 ? fopen(argv[1], "r") : NULL;
    if (in == NULL)
        return 2;
    icalerror_set_errors_are_fatal(0);
    (void)fputs("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//podbook//podbook//EN\r\n"
                "CALSCALE:GREGORIAN\r\nNAME:podbook\r\n",
                stdout);
    while (fgets(line, sizeof(line), in) != NULL) {
        if (reminder_split(line, f) != FIELD_N)
            return 2;
        write_event(f);
    }
    (void)fputs("END:VCALENDAR\r\n", stdout);
    (void)fclose(in);
    return fflush(stdout) == 0 ? 0 : 1;
}
