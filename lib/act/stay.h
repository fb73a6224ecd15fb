/* When a plant was there: from the day that it came to be to the day that it left. */
#ifndef PB_ACT_STAY_H
#define PB_ACT_STAY_H

#include "act/act.h"

/*
 * It is here, or was on that day.
 * PB_EINVALID  it had left by then, or stands in another collection
 */
enum pb_rc pb_stay_here(const struct pb_plant *p, pb_day on, struct pb_err *err);

/*
 * It was there already on that day: not before it was got (where
 * another collection got it nobody asks), nor before the cross that its
 * clone was raised from, the flask or cutting that it came out of.
 * PB_EINVALID  names that day
 */
enum pb_rc pb_stay_came(struct pb_act *a, const struct pb_plant *p, pb_day on,
                        struct pb_err *err);

/* The same of a parent of a cross, that gave its flower or fresh pollen.
 * PB_EINVALID  names that day */
enum pb_rc pb_stay_parent(struct pb_act *a, const struct pb_ref *parent, pb_day on,
                          struct pb_err *err);

/* The seed parent of a cross that is given another day had not left by then; where nobody
 * wrote down when it left, that is not asked.
 * PB_EINVALID  names the day */
enum pb_rc pb_stay_seed_parent(struct pb_act *a, const struct pb_ref *parent, pb_day on,
                               struct pb_err *err);

/* No plant that was raised from a cross came before its pollination, or on that day; where
 * another collection got it, that is not asked.
 * PB_EINVALID  names the first that did */
enum pb_rc pb_stay_raised(struct pb_act *a, const struct pb_cross *x,
                          struct pb_err *err);

/*
 * What a plant says of its own stay fits what the book has of it: it came after what it
 * came from and before anything was done with it, it left after all of it.
 * PB_EINVALID  names both days
 */
enum pb_rc pb_stay_check(struct pb_act *a, const struct pb_plant *p,
                         struct pb_err *err);

#endif
