/*
 * From seed to seedling: seed is sown into flasks, a flask replated into others, seedlings
 * come out of one.  Each is a look on what it was taken from, and new records; numbers are
 * conserved: no more comes out than was counted in (batch.h).
 */
#ifndef PB_ACT_SOW_H
#define PB_ACT_SOW_H

#include "act/batch.h"

/* Codes of the records that an act has made, in order. */
struct pb_made {
    char (*code)[PB_MAX_CODE + 1]; /* its own */
    size_t n;
};
void pb_made_clear(struct pb_made *made);

/* Flasks that are filled alike. */
struct pb_filling {
    const char *from;       /* code of the seed lot or flask; borrowed */
    int flasks;             /* 1 .. PB_MAX_RANGE */
    struct pb_batch *flask; /* each of them: day, seeds or protocorms in it, medium ...;
                               borrowed, and the last one entered afterwards */
};

/*
 * Sow seed of a lot.
 *   all   nothing of the lot is left
 *   made  out: the flasks, yours (pb_made_clear)
 * PB_EINVALID  more than the lot holds where it was counted; a lot that is gone; a day in the
 *              future or before the harvest
 */
enum pb_rc pb_act_sow(struct pb_act *a, const struct pb_filling *f, bool all,
                      struct pb_made *made, struct pb_err *err);

/* How a flask is emptied.  ORDER EMPTYING: sow.c */
enum pb_emptying {
    PB_EMPTY_ALL,   /* nothing is left in it */
    PB_EMPTY_PART,  /* the rest goes on growing */
    PB_EMPTY_RESCUE /* a contaminated one: all that can be saved, counted apart */
};

/*
 * Replate what grows in a flask.
 * PB_EINVALID  more than was counted; a flask with nothing in it, gone, or contaminated
 *              where it is no rescue
 */
enum pb_rc pb_act_replate(struct pb_act *a, const struct pb_filling *f,
                          enum pb_emptying how, struct pb_made *made,
                          struct pb_err *err);

struct pb_deflasking {
    const char *flask;
    pb_day on;
    enum pb_emptying how;
    bool compot; /* all of them into one pot; plants of their own come later */
    int plants;  /* 1 .. PB_MAX_RANGE; into a compot 0: not counted */
    const char
        *prefix; /* of their codes, a number follows; NULL: the flask's code and "-" */
    int first;   /* number of the first, at least 1 */
    const char *taxon;        /* NULL: by the cross (progeny.h) */
    const char *place, *note; /* of the plants; NULL: none */
};

struct pb_deflasked {
    struct pb_made plants;
    int generation; /* of them; 0 where none was entered */
};
void pb_deflasked_clear(struct pb_deflasked *d);

/*
 * Take seedlings out of a flask or compot.  Those that are no compot become plants of the
 * book: raised from the flask's cross, got on that day, out of that flask.
 *   out  yours (pb_deflasked_clear)
 * PB_EINVALID   as for replating    PB_ECONFLICT  a code is taken: it is named
 * PB_EPARSE, PB_ELIMIT  prefix and number are no code; the taxon is too long
 */
enum pb_rc pb_act_deflask(struct pb_act *a, const struct pb_deflasking *d,
                          struct pb_deflasked *out, struct pb_err *err);

#endif
