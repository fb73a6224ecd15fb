/* A replay that runs, for course.c and what it says where an event cannot be.  Internal. */
#ifndef PB_CORE_COURSE_RUN_H
#define PB_CORE_COURSE_RUN_H

#include "core/course.h"

struct pb_course_run {
    struct pb_life life;
    const struct pb_course *course;
    struct pb_story *story;              /* its events by day */
    size_t at;                           /* the event that is run */
    const struct pb_life_event *entered; /* NULL: none in particular */
    const struct pb_life *was;           /* before the change, NULL: not known */
};

const struct pb_finding *pb_run_finding(const struct pb_course_run *r,
                                        const struct pb_event *e);
bool pb_run_is_open(const struct pb_course_run *r, int stand);

/* Is it the event that was entered? */
bool pb_run_is_entered(const struct pb_course_run *r, const struct pb_event *e);

/* Does one behind an event end units that are open?  What is found split may be the very
 * ones that are taken as split. */
bool pb_run_ends_open(const struct pb_course_run *r, const struct pb_event *e,
                      const struct pb_event *behind);

/* How many units an event has. */
struct pb_course_room {
    int able;  /* that it could be of */
    int found; /* that its day found otherwise */
    int spoken; /* of the able ones, those that later events end; 0: it has its own count */
};

/*
 * Say why the event that is run cannot be: named is the one that was entered, be it that or
 * one before it, and what it contradicts.
 * Returns PB_EINVALID; PB_ENOMEM.
 */
enum pb_rc pb_run_refuse(const struct pb_course_run *r, struct pb_course_room room,
                         struct pb_err *err);

#endif
