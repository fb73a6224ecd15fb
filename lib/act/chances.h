/*
 * Chances: what the book has learnt of a taxon, a plant as seed parent, or a cross - when
 * capsules split, how many flowers set, how many to pollinate, how sowing and cuttings do.
 */
#ifndef PB_ACT_CHANCES_H
#define PB_ACT_CHANCES_H

#include "act/learn.h"
#include "act/rates.h"
#include "act/timing.h"
#include "core/setrate.h"

/* Flowers and what came of them, of one part of the crosses. */
struct pb_set_count {
    char name[2 * PB_MAX_CODE + 16]; /* "AR-1 × GH-2", "selfed", "day 4" */
    uint32_t flowers, set;           /* counted: neither open without a sign nor lost */
    struct pb_setrate rate;
};

/* By what the flowers are parted.  ORDER PARTING: chances.c */
enum pb_set_by {
    PB_SET_BY_SEED,
    PB_SET_BY_DIRECTION,
    PB_SET_BY_KIND,
    PB_SET_BY_AGE,
    PB_SET_BY_N
};

struct pb_set_table {
    struct pb_set_count *v; /* most flowers first; the table's own */
    size_t n;
};

struct pb_chances {
    char *taxon;   /* of the seed parent */
    bool of_clone; /* a plant or a cross was asked about, not a taxon */
    struct pb_profile_match match;
    struct pb_lesson lesson;
    const struct pb_ripening_law *law; /* NULL: no profile times it */
    uint64_t seen, held;     /* capsules seen to split; known only to have held */
    struct pb_set_count all; /* of the clone where of_clone */
    struct pb_set_table by[PB_SET_BY_N]; /* of the taxon */
    uint32_t flowers_needed; /* over PB_SETRATE_FLOWERS_SHOWN: more than that */
    struct pb_rate_count rates[PB_RATE_N]; /* of the clone, of the cross's flasks */
    /* of a cross */
    bool is_cross;
    struct pb_cross cross;
    struct pb_outlook outlook;
    double risk;      /* by the end of today; -1: nothing is open */
    pb_day next_look; /* PB_DAY_NONE: none is planned */
};

/*
 * Work them out.
 *   what  tried as the code of a cross, of a plant, as a taxon
 *   c     out: pb_chances_clear; also after an error
 * PB_ENOTFOUND  no such code, and no taxon that a plant of the book has or a profile times
 */
enum pb_rc pb_act_chances(struct pb_act *a, const char *what, struct pb_chances *c,
                          struct pb_err *err);
void pb_chances_clear(struct pb_chances *c);

#endif
