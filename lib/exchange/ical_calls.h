/*
 * libical, loaded when it is first needed.  Internal to exchange: includes libical, so no
 * other folder and no public header includes it.
 *
 * The library brings ICU with it, tens of megabytes to map, and only a calendar needs it.
 * So the program does not link it: every call goes through a table that is filled at run
 * time, each entry of the type that the library's own header gives the function.
 *
 * libical is for one thread at a time.
 */
#ifndef PB_EXCHANGE_ICAL_CALLS_H
#define PB_EXCHANGE_ICAL_CALLS_H

#include "base/err.h"

#include <libical/ical.h>

/* Every function of libical that we call: X(name). */
#define PB_ICAL_CALLS(X)                   \
    X(icalcomponent_add_component)         \
    X(icalcomponent_add_property)          \
    X(icalcomponent_as_ical_string_r)      \
    X(icalcomponent_free)                  \
    X(icalcomponent_new)                   \
    X(icalerrno_return)                    \
    X(icalerror_set_errors_are_fatal)      \
    X(icalerror_strerror)                  \
    X(icalmemory_free_buffer)              \
    X(icalmemory_free_ring)                \
    X(icalparameter_new_related)           \
    X(icalproperty_add_parameter)          \
    X(icalproperty_new_action)             \
    X(icalproperty_new_calscale)           \
    X(icalproperty_new_categories)         \
    X(icalproperty_new_completed)          \
    X(icalproperty_new_created)            \
    X(icalproperty_new_description)        \
    X(icalproperty_new_dtend)              \
    X(icalproperty_new_dtstamp)            \
    X(icalproperty_new_dtstart)            \
    X(icalproperty_new_due)                \
    X(icalproperty_new_lastmodified)       \
    X(icalproperty_new_name)               \
    X(icalproperty_new_percentcomplete)    \
    X(icalproperty_new_prodid)             \
    X(icalproperty_new_sequence)           \
    X(icalproperty_new_status)             \
    X(icalproperty_new_summary)            \
    X(icalproperty_new_transp)             \
    X(icalproperty_new_trigger)            \
    X(icalproperty_new_uid)                \
    X(icalproperty_new_version)            \
    X(icaltimezone_free_builtin_timezones) \
    X(icaltimezone_get_utc_timezone)

#define PB_ICAL_MEMBER(name) __typeof__ (&(name))(name);
struct pb_ical_calls {
    PB_ICAL_CALLS(PB_ICAL_MEMBER)
};
#undef PB_ICAL_MEMBER

/*
 * Load the library, once in the life of the process, and fill the table.
 *   soname  its file name with the version of the header, such as "libical.so.3"
 * PB_EIO  it is not installed, or lacks a function; the message names the package
 */
enum pb_rc pb_ical_load(const char *soname, struct pb_ical_calls *calls,
                        struct pb_err *err);

#endif
