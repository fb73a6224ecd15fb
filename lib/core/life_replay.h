/* Within core: a replay of a cross that runs, for life.c and what it says where an event
 * cannot be. */
#ifndef PB_CORE_LIFE_REPLAY_H
#define PB_CORE_LIFE_REPLAY_H

#include "core/life.h"

/* A harvest stands behind the findings in the table of moves. */
enum { PB_STEP_HARVEST = PB_FOUND_N, PB_STEP_N };

/* A look or a harvest. */
struct pb_life_step {
    pb_day on;
    int what; /* enum pb_found, or PB_STEP_HARVEST */
    enum pb_as as;
    int number;
    int *count;    /* in the record; 0 is filled in */
    bool restates; /* it is of ones found otherwise that day: the later word holds */
};

/* A replay that runs. */
struct pb_life_replay_run {
    struct pb_life life;
    const char *code; /* of the cross, for a message */
    pb_day start;
    struct pb_life_step *events;         /* by day */
    size_t n, at;                        /* at: the one that is run */
    const struct pb_life_event *entered; /* NULL: none in particular */
    const struct pb_life *was;           /* before the change, NULL: not known */
};

bool pb_life_is_intact(int what);

/* Is it the event that was entered? */
bool pb_life_is_entered(const struct pb_life_replay_run *r,
                        const struct pb_life_step *e);

/* Does one behind an event end ones that are open?  What is found split may be the very ones
 * that are taken as split. */
bool pb_life_ends_open(const struct pb_life_step *e, const struct pb_life_step *behind);

/*
 * Say why the event that is run cannot be: named is the one that was entered, be it that or
 * one before it, and what it contradicts.
 *   able    flowers that it could be of
 *   found   those that its day found otherwise
 *   spoken  of the able ones, those that later events end; 0: it has its own count
 * Returns PB_EINVALID; PB_ENOMEM.
 */
enum pb_rc pb_life_refuse(const struct pb_life_replay_run *r, int able, int found,
                          int spoken, struct pb_err *err);

#endif
