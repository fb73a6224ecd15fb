/*
 * The life of a cross: from pollinated flowers to capsules, each followed to its end.
 *
 * The flowers of one cross are exchangeable: looks give counts, not names.  A replay of
 * everything recorded keeps groups of alike ones.  Intact findings (unchanged .. yellowing)
 * are a count as seen that day and renew the last-intact day of the ones with the latest
 * such day, different findings of one day being of different ones unless all were seen that
 * day, when the later word holds; split, dropped, lost
 * and a harvest are newly found that day, add up, and take the ones with the earliest
 * last-intact day first.  What may follow what is one table, in life.c.
 */
#ifndef PB_CORE_LIFE_H
#define PB_CORE_LIFE_H

#include "core/record.h"

/* Where one flower or capsule stands.  ORDER STAND: pb_stand_names, life.c */
enum pb_stand {
    PB_STAND_POLLINATED, /* nothing found yet */
    PB_STAND_UNCHANGED,
    PB_STAND_UNSURE,
    PB_STAND_SWOLLEN,
    PB_STAND_HOLDING,
    PB_STAND_YELLOWING,
    PB_STAND_SPLIT,
    PB_STAND_DROPPED,
    PB_STAND_LOST,
    PB_STAND_HARVESTED,
    PB_STAND_N
};
extern const char *const pb_stand_names[PB_STAND_N];

/* Alike flowers of one cross. */
struct pb_life_group {
    int count;
    enum pb_stand stand;
    bool held;    /* was found holding, yellowing or split, or was harvested */
    bool capsule; /* was seen swollen, holding, yellowing, split, or was harvested */
    pb_day last_intact; /* last day seen intact, PB_DAY_NONE: never */
    pb_day split_on;    /* day first found split, PB_DAY_NONE: not */
    pb_day ended_on;    /* day dropped, lost, harvested or found split */
    enum pb_as as;      /* of harvested ones */
};

struct pb_life {
    struct pb_life_group *groups; /* the life's own */
    size_t group_n;
    int flowers;
    int by_stand[PB_STAND_N]; /* sums to flowers */
    int open;                 /* neither split, dropped, lost nor harvested */
    pb_day last_on;           /* day of the last look or harvest, PB_DAY_NONE: none */
    int *
        restated; /* numbers of looks that hold over an earlier one of their day; its own */
    size_t restated_n;
};

/*
 * Replay a cross.  Looks and harvests run by day; on one day looks come before harvests,
 * and each kind by its number.
 *   x     pollinated and flowers are set; borrowed.  A look or harvest with count 0 means
 *         "all that were still open" and gets that number (at least 1) written into it
 *   life  out: release with pb_life_clear
 * Cost: O(e log e + e g) for e events and g <= e + 1 groups.
 * PB_EINVALID  a move that cannot be (before pollination, more than are open or than were
 *              not found otherwise that day, intact after the end): names the event, its
 *              day and why
 */
enum pb_rc pb_life_replay(const struct pb_cross *x, struct pb_life *life,
                          struct pb_err *err);

/* A look or a harvest of a cross, by its number. */
struct pb_life_event {
    bool harvest;
    int number;
};

/*
 * The same after something was entered or amended.
 *   was      the life before that, NULL: not known.  Looks of one day that were of different
 *            flowers then must be so still
 *   entered  that event; a refusal names it and what it contradicts, also where it is a
 *            later one that can no longer be.  NULL: the replay says which one cannot be
 */
enum pb_rc pb_life_enter(const struct pb_cross *x, const struct pb_life *was,
                         const struct pb_life_event *entered, struct pb_life *life,
                         struct pb_err *err);
void pb_life_clear(struct pb_life *life);

/*
 * Count what set.  Set: found holding, yellowing or split, or harvested.  Not set: dropped
 * before.  Not counted: open without a sign, and lost by accident.
 *   flowers, set  in and out: added to
 */
void pb_life_set(const struct pb_life *life, uint32_t *flowers, uint32_t *set);

/* The word for the whole cross: its furthest open stand, else how it ended. */
const char *pb_life_state(const struct pb_life *life);

#endif
