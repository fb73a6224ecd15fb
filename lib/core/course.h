/*
 * The course of a record: what can be found of it, where a finding leaves it, and what it
 * asks of the grower and when.  One engine serves every kind of record; a kind is one row
 * of pb_courses (courses.c), not code.
 *
 * A record has one unit or many alike ones: the flowers of a cross, the cuttings taken in
 * one go; a flask, a seed lot, a flowering are one.  Units are exchangeable: looks give
 * counts, not names.  A finding is either a count as seen that day, which renews the units
 * seen last (different findings of one day are of different units unless all were seen that
 * day, when the later word holds), or newly found that day: these add up and take the units
 * that were seen longest ago.  Where the stands are steps one after the other (as of
 * cuttings), how far a unit is comes before when it was seen: a finding takes the furthest,
 * so that what is potted is what has rooted.
 */
#ifndef PB_CORE_COURSE_H
#define PB_CORE_COURSE_H

#include "core/profile.h"
#include "core/record.h"
#include "core/task.h"

enum {
    PB_STANDS_MAX = 12,   /* stands of one course */
    PB_FINDINGS_MAX = 24, /* findings of one course */
    PB_STAYS = -1         /* of a finding: the unit stands where it stood */
};

/* Where a unit stands, as a bit of a set of stands; so for findings. */
#define PB_BIT(i) (UINT32_C(1) << (i))

enum pb_tally {
    PB_TALLY_SEEN, /* a count as seen that day */
    PB_TALLY_NEW   /* newly found that day; adds up */
};

/* What goes with a finding. */
enum {
    PB_LEAST_FIRST = 1,  /* of units alike otherwise it takes the least far one */
    PB_AMOUNT = 2,       /* may say how many things were counted (seeds, protocorms) */
    PB_SAMPLE = 4,       /* must say how many of how many, and by which method */
    PB_SCALE = 8,        /* must name the scale that its stage is of */
    PB_ENTERS = 16,      /* may enter plants: they came out of it */
    PB_COUNT = 32,       /* with PB_AMOUNT: must say how many */
    PB_PLANTS_LAST = 64, /* it takes what may have become a plant (PB_ENTERS) last */
    PB_GOES_ON = 128 /* done to what came that far the same day, not seen of another */
};

struct pb_finding {
    const char *word; /* as typed, stored and shared */
    uint32_t from;    /* stands of a unit that can be found so */
    int to;           /* the stand it leaves; PB_STAYS */
    enum pb_tally tally;
    unsigned flags;
    const char *command; /* that writes it; NULL: it is a word of `look` */
    const char
        *instead; /* of many: what to do where an earlier look bars it, "@" stands
                            for that look; NULL: nothing is said */
    const char
        *ended; /* what to do where only ended ones are left that the same command
                            can take otherwise; "@" stands for the record's code */
};

/* What to do where one unit, of a course that has no more, stands where some findings cannot
 * be.  "@" stands for the record's code. */
struct pb_advice {
    uint32_t stands, findings;
    const char *text;
};

/* How the days of a task are counted.  ORDER HOW: course_tasks.c */
enum pb_how {
    PB_HOW_WINDOW, /* once: the days of its stage */
    PB_HOW_STEPS,  /* from the stage's first day again and again, while it is wanted:
                        half of the stage's days, 7 to 28, after the last look */
    PB_HOW_WEEKLY, /* `from` days of its stage after the last look, while it is wanted */
    PB_HOW_HOLDING,  /* of a cross: task.h */
    PB_HOW_RIPENESS, /* of a cross: task.h */
    PB_HOW_N
};

/* One thing that a record asks for. */
struct pb_plan {
    enum pb_task_kind task;
    enum pb_how how;
    enum pb_stage stage; /* whose days; PB_STAGE_N: its own below */
    int from, to; /* days where the profile has none; from -1: then it asks nothing */
    uint32_t wanted;  /* stands of the units that want it */
    uint32_t since;   /* the days count from when a unit came to one of these stands;
                            0: from the start */
    uint32_t answers; /* findings that answer it; 0: only leaving what wants it */
};

struct pb_course {
    enum pb_kind kind;
    char letter;       /* of podbook's own codes, '\0': the grower's */
    const char *noun;  /* "flask" */
    const char *unit;  /* what is counted: "flower"; of one unit the noun */
    const char *start; /* what happened on its first day: "pollination" */
    bool many;         /* several units: looks count them */
    bool staged; /* its stands are steps: which units a finding takes, see above */
    const char *const *stands;
    int stand_n;
    uint32_t open; /* stands in which a unit is still followed */
    const struct pb_finding *findings;
    int finding_n;
    const struct pb_plan *plans;
    int plan_n;
    const struct pb_advice *advice;
    int advice_n;
};
/* ORDER KIND.  That of a plant is the course of one flowering, from its last flower on. */
extern const struct pb_course pb_courses[PB_KIND_N];

/* A finding by its word, or -1. */
int pb_finding_find(const struct pb_course *course, const char *word);

/* ---- replay ------------------------------------------------------------------------- */

/* One thing that happened to a record. */
struct pb_event {
    pb_day on;
    int found;  /* row of the course's findings */
    int number; /* order among those of one day */
    bool late;  /* of one day it comes after those that are not */
    int *count; /* units; 0 is filled in: all that it can be said of.  Of the record */
    bool restates; /* out: it is of units that its day found otherwise */
};

/* Room for a record's events; reuse one for many records. */
struct pb_events {
    struct pb_event *v; /* the list's own: free */
    size_t cap;
};

/* Make room for n.  PB_ENOMEM leaves it as it was. */
enum pb_rc pb_events_reserve(struct pb_events *room, size_t n, struct pb_err *err);

struct pb_story {
    const struct pb_course *course;
    int units; /* at least 1 */
    int stand; /* of all of them at the start */
    pb_day start;
    struct pb_event *events; /* sorted by the replay */
    size_t n;
    const char *code; /* of the record, for messages; borrowed */
};

/* Alike units. */
struct pb_life_group {
    int count;
    int stand;
    int by;                   /* the finding that brought it there, -1: the start */
    pb_day last_intact;       /* day of the last count as seen, PB_DAY_NONE: never */
    pb_day on[PB_STANDS_MAX]; /* first day at each stand, PB_DAY_NONE: never there */
};

struct pb_life {
    struct pb_life_group *groups; /* the life's own */
    size_t group_n;
    int units;
    int by_stand[PB_STANDS_MAX]; /* sums to units */
    int open;                    /* of them still followed */
    pb_day last_on;              /* day of the last event, PB_DAY_NONE: none */
    int *
        restated; /* numbers of looks that hold over an earlier one of their day; its own */
    size_t restated_n;
};

/*
 * Replay what happened to a record.
 *   life  out: release with pb_life_clear
 * Cost: O(n log n + n g) for n events and g <= n + 1 groups.
 * PB_EINVALID  what cannot be (before the start, more than there are, after the end): the
 *              text names the event, its day and why
 */
enum pb_rc pb_course_replay(struct pb_story *story, struct pb_life *life,
                            struct pb_err *err);

/*
 * The same of a record that is kept whatever its looks say: where they contradict each other
 * its life is what can be said without them.
 *   conflict  out: they do
 * PB_ENOMEM
 */
enum pb_rc pb_course_follow(struct pb_story *story, struct pb_life *life,
                            bool *conflict, struct pb_err *err);

/* One event of a story, as it is told apart. */
struct pb_life_event {
    bool late; /* a harvest */
    int number;
    bool fresh; /* it is being entered: its number is not known to anyone yet */
};

/*
 * The same after something was entered or amended.
 *   was      the life before that, NULL: not known.  Looks of one day that were of different
 *            units then must be so still
 *   entered  that event; a refusal names it (not where it is fresh) and what it
 *            contradicts, also where it is a later one that can no longer be.  NULL: the
 *            replay says which one cannot be
 */
enum pb_rc pb_course_enter(struct pb_story *story, const struct pb_life *was,
                           const struct pb_life_event *entered, struct pb_life *life,
                           struct pb_err *err);
void pb_life_clear(struct pb_life *life);
/* Only by day, as the replay does. */
void pb_story_sort(struct pb_story *story);

/* ---- tasks -------------------------------------------------------------------------- */

/*
 * All planned tasks of a record, done ones too; by kind, then ordinal.
 *   t      its day 0 and the days of the stages
 *   story  replayed or at least sorted (pb_story_sort)
 *   life   of it
 *   open   false: everything is done (on the day of the last event)
 *   tasks  in: zeroed or from an earlier call (memory is reused); out: replaced.  Release
 *          with pb_tasks_clear
 * PB_ENOMEM
 */
enum pb_rc pb_course_tasks(const struct pb_timing *t, const struct pb_story *story,
                           const struct pb_life *life, bool open,
                           struct pb_tasks *tasks, struct pb_err *err);

#endif
