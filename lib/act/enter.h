/* Entering plants and crosses, and what is written to a cross later on. */
#ifndef PB_ACT_ENTER_H
#define PB_ACT_ENTER_H

#include "act/act.h"
#include "book/batches.h"
#include "book/crosses.h"
#include "core/life.h"

/*
 * Enter a plant.
 *   p  in: code, taxon and what else is known; the records it names are given by their
 *      codes.  Out: complete, as the book has it
 * PB_ECONFLICT  the code is taken    PB_ENOTFOUND, PB_EINVALID  a record it names is not
 * there or of another kind; an origin that cannot be
 */
enum pb_rc pb_act_plant(struct pb_act *a, struct pb_plant *p, struct pb_err *err);

/*
 * Record a cross.  A parent with a taxon is entered as a plant in the same act.
 *   x  in: parents by code, day, flowers and what else is known.  Out: complete, with its
 *      new code
 *   entered  out: how many plants were entered with it
 * PB_EINVALID  a day in the future, a seed parent that is gone or elsewhere
 * PB_ENOTFOUND, PB_ECONFLICT  a parent is not there; the profile chosen is not
 */
enum pb_rc pb_act_cross(struct pb_act *a, struct pb_cross *x, int *entered,
                        struct pb_err *err);

/*
 * Record a look on a cross, a bag around its capsules.
 *   code  of the cross
 *   look  in: day, finding, count (0: all still open).  Out: complete
 *   x     in: initialised; out: the cross with it, yours (pb_cross_clear)
 *   changed  out: false where it hung in a bag since that day already
 * PB_EINVALID  it cannot be: the reason is named (life.h); a day in the future
 */
enum pb_rc pb_act_look(struct pb_act *a, const char *code, struct pb_look *look,
                       struct pb_cross *x, struct pb_err *err);
enum pb_rc pb_act_bag(struct pb_act *a, const char *code, pb_day on, struct pb_cross *x,
                      bool *changed, struct pb_err *err);

/* Capsules taken. */
struct pb_harvesting {
    const char *code;          /* of the cross */
    struct pb_harvest harvest; /* day, state, count (0: all still open) */
    bool apart;                /* a seed lot for each capsule, not one for all */
    const char *note;          /* of each lot; NULL: none */
};

/*
 * Record a harvest; it makes a seed lot, or one a capsule.
 *   x     in: initialised; out: the cross with it, yours (pb_cross_clear)
 *   made  out: how many lots; their harvests are the last ones of x
 * PB_EINVALID  as of pb_act_look
 */
enum pb_rc pb_act_harvest(struct pb_act *a, const struct pb_harvesting *what,
                          struct pb_cross *x, size_t *made, struct pb_err *err);

/* How the seed of a harvest is kept: cold, dry where it had split, else in the capsule. */
enum pb_seed_form pb_harvest_form(const struct pb_harvest *harvest);

/* How a plant left the collection. */
struct pb_leaving {
    const char *code;
    enum pb_gone gone;
    pb_day on;
};

/*
 * A plant has left the collection.
 *   p  in: initialised; out: the plant, yours (pb_plant_clear)
 *   open  out: how many open crosses it carries: they leave `due` with it
 */
enum pb_rc pb_act_gone(struct pb_act *a, const struct pb_leaving *l, struct pb_plant *p,
                       int *open, struct pb_err *err);

/* The same inside an act that is running already; nothing is written where they refuse.  A
 * cross that has a code keeps it. */
enum pb_rc pb_plant_enter(struct pb_act *a, struct pb_plant *p, struct pb_err *err);
enum pb_rc pb_cross_enter(struct pb_act *a, struct pb_cross *x, int *entered,
                          struct pb_err *err);
enum pb_rc pb_cross_look(struct pb_act *a, const char *code, struct pb_look *look,
                         struct pb_cross *x, struct pb_err *err);

/*
 * For whoever changes records: resolve the codes that a plant or cross names into rows,
 * and hold it against the rules.  Only inside an act.
 */
enum pb_rc pb_plant_settle(struct pb_act *a, struct pb_plant *p, struct pb_err *err);
enum pb_rc pb_cross_settle(struct pb_act *a, struct pb_cross *x, int *entered,
                           struct pb_err *err);

/* The parents of a settled cross were there on its day; of stored pollen the lot knows.
 * PB_EINVALID  names the day (stay.h) */
enum pb_rc pb_cross_parents_came(struct pb_act *a, const struct pb_cross *x,
                                 struct pb_err *err);

/* What a cross says it was made with of stored pollen: there was some of it on that day.
 * PB_EINVALID  names the lot */
enum pb_rc pb_cross_lots_were_there(struct pb_act *a, const struct pb_cross *x,
                                    struct pb_err *err);

/*
 * The pollen parents of a cross that is only planned, resolved as recording it would, but one
 * with a taxon is not entered: it keeps row 0.  Writes nothing.
 *   x  in: seed parent and day are set, pollen parents by code
 */
enum pb_rc pb_cross_plan_pollen(struct pb_act *a, struct pb_cross *x,
                                struct pb_err *err);

/*
 * The life of a cross whose looks, received, may contradict each other.
 *   life   out: where it holds; release with pb_life_clear
 *   holds  out: false where they do, and then why says how
 */
enum pb_rc pb_cross_life(const struct pb_cross *x, struct pb_life *life, bool *holds,
                         struct pb_err *why);

/*
 * Replay and write a changed cross: revision, instant, whether it is open.  Only inside an
 * act; looks and harvests are written by whoever changed them.
 *   entered  the look or harvest that was entered or amended, NULL: none
 */
enum pb_rc pb_cross_keep(struct pb_act *a, struct pb_cross *x,
                         const struct pb_life_event *entered, struct pb_err *err);

#endif
