/*
 * The life of a cross: from pollinated flowers to capsules, each followed to its end.
 *
 * A cross is one course among others (course.h); here is what belongs to it alone, and
 * the stands of all kinds.  Intact findings (unchanged .. yellowing) are a count as seen
 * that day; split, dropped, lost and a harvest are newly found that day.  A capsule dropped
 * is the one that was least far; one harvested as split is the one found split.
 */
#ifndef PB_CORE_LIFE_H
#define PB_CORE_LIFE_H

#include "core/course.h"

/* Where one flower or capsule stands.  ORDER STAND: pb_stand_names */
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

/* Where the other kinds stand, and what is found of those that have commands of their own.
 * ORDER SEED_STAND and so on: courses.c */
enum {
    PB_SEED_KEPT,
    PB_SEED_USED_UP,
    PB_SEED_GIVEN,
    PB_SEED_DISCARDED,
    PB_SEED_STAND_N
};
enum {
    PB_FLASK_SOWN,
    PB_FLASK_GERMINATED,
    PB_FLASK_CONTAMINATED,
    PB_FLASK_COMPOT, /* out of the flask, together in one pot */
    PB_FLASK_SETTLED,
    PB_FLASK_REPLATED,
    PB_FLASK_DEFLASKED,
    PB_FLASK_GIVEN,
    PB_FLASK_DISCARDED,
    PB_FLASK_STAND_N
};
enum {
    PB_FLASK_UNCHANGED,
    PB_FLASK_HAS_GERMINATED,
    PB_FLASK_STAGE_1,
    PB_FLASK_STAGE_2,
    PB_FLASK_STAGE_3,
    PB_FLASK_STAGE_4,
    PB_FLASK_STAGE_5,
    PB_FLASK_FOUND_CONTAMINATED,
    PB_FLASK_HAS_SETTLED,
    PB_FLASK_WAS_GIVEN,
    PB_FLASK_WAS_DISCARDED,
    PB_FLASK_PART_REPLATED,
    PB_FLASK_ALL_REPLATED,
    PB_FLASK_RESCUED,
    PB_FLASK_RESCUED_TO_FLASKS,
    PB_FLASK_TO_COMPOT,
    PB_FLASK_RESCUED_TO_COMPOT,
    PB_FLASK_PART_DEFLASKED,
    PB_FLASK_ALL_DEFLASKED,
    PB_FLASK_FOUND_N
};
enum {
    PB_CUTTING_CUT,
    PB_CUTTING_CALLUSED,
    PB_CUTTING_IN_WATER,
    PB_CUTTING_ROOTED,
    PB_CUTTING_POTTED,
    PB_CUTTING_SETTLED,
    PB_CUTTING_ROTTED,
    PB_CUTTING_LOST,
    PB_CUTTING_DIED, /* after it was potted */
    PB_CUTTING_GIVEN,
    PB_CUTTING_STAND_N
};
enum {
    PB_CUTTING_UNCHANGED,
    PB_CUTTING_HAS_CALLUSED,
    PB_CUTTING_PUT_IN_WATER,
    PB_CUTTING_HAS_ROOTED,
    PB_CUTTING_WAS_POTTED,
    PB_CUTTING_HAS_SETTLED,
    PB_CUTTING_HAS_ROTTED,
    PB_CUTTING_WAS_LOST,
    PB_CUTTING_HAS_DIED,
    PB_CUTTING_WAS_GIVEN,
    PB_CUTTING_FOUND_N
};
enum { PB_POLLEN_KEPT, PB_POLLEN_USED_UP, PB_POLLEN_DISCARDED, PB_POLLEN_STAND_N };
enum {
    PB_SHOOT_OVER,
    PB_SHOOT_PUPS,
    PB_SHOOT_NONE, /* nothing came of it */
    PB_SHOOT_STAND_N
};
enum {
    PB_SHOOT_UNCHANGED,
    PB_SHOOT_HAS_PUPS,
    PB_SHOOT_HAS_NONE,
    PB_SHOOT_WAS_CUT,
    PB_SHOOT_WAS_PARTED, /* a pup or division became a plant of its own */
    PB_SHOOT_FOUND_N
};

/*
 * The story of a cross.
 *   x  pollinated and flowers are set; borrowed.  A look or harvest with count 0 means "all
 *      that were still open": the replay writes that number (at least 1) into it
 * PB_ENOMEM
 */
enum pb_rc pb_cross_story(const struct pb_cross *x, struct pb_events *room,
                          struct pb_story *story, struct pb_err *err);

/* Replay a cross: the story and pb_course_replay, or pb_course_enter, in one. */
enum pb_rc pb_cross_replay(const struct pb_cross *x, struct pb_life *life,
                           struct pb_err *err);
enum pb_rc pb_cross_replay_entered(const struct pb_cross *x, const struct pb_life *was,
                                   const struct pb_life_event *entered,
                                   struct pb_life *life, struct pb_err *err);

/* Of a group of a cross: was it seen swollen, holding, yellowing, split, or harvested; the
 * last three or holding; the day it was first known to be split, PB_DAY_NONE: not; how it
 * was harvested (of harvested ones); when it was. */
bool pb_group_is_capsule(const struct pb_life_group *g);
bool pb_group_held(const struct pb_life_group *g);
pb_day pb_group_split_on(const struct pb_life_group *g);
enum pb_as pb_group_as(const struct pb_life_group *g);

/*
 * Count what set.  Set: found holding, yellowing or split, or harvested.  Not set: dropped
 * before.  Not counted: open without a sign, and lost by accident.
 *   flowers, set  in and out: added to
 */
void pb_life_set(const struct pb_life *life, uint32_t *flowers, uint32_t *set);

/* The word for the whole cross: its furthest open stand, else how it ended. */
const char *pb_life_state(const struct pb_life *life);

#endif
