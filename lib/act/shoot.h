/*
 * A plant after its last flower: the shoot that flowered dies back, pups carry on.
 *
 * What is followed is the flowering that ended last, from the day on which it was over or
 * its shoot began to die back, whichever was first, for a year at most (an allowance of
 * ours).  Looks on the plant tell of it; so do cuttings taken and pups entered since.
 */
#ifndef PB_ACT_SHOOT_H
#define PB_ACT_SHOOT_H

#include "act/act.h"
#include "core/bloom.h"

enum { PB_SHOOT_DAYS = 365 }; /* for so long it is followed */

struct pb_shoot {
    struct pb_flowering flowering; /* number 0: none has ended */
    pb_day start;                  /* the day it ended */
    struct pb_look *looks; /* all of the plant, its own; story has those of it */
    size_t look_n;
    struct pb_profile_match match;
    struct pb_timing timing;
    struct pb_life life;
    struct pb_tasks tasks; /* ordinals of flowering k begin at 100 (k - 1) + 1: they are
                              never those of an earlier one */
    struct pb_events room;
    struct pb_story story;
    int one;       /* the count of what is told of it and is no look */
    bool conflict; /* its looks contradict each other (a received record) */
};

/* Zeroed memory is empty; reuse one for many, then pb_shoot_clear. */
void pb_shoot_clear(struct pb_shoot *s);

/*
 * Work out the newest ended flowering of a plant.  Nothing is asked of a plant that is not
 * here.  Where none has ended, only the looks are filled in.
 */
enum pb_rc pb_shoot_make(struct pb_act *a, const struct pb_plant *p, struct pb_shoot *s,
                         struct pb_err *err);

/* The word for where it stands, "" where no flowering has ended. */
const char *pb_shoot_state(const struct pb_shoot *s);

/* Called for a plant with its shoot; both are borrowed for the call. */
typedef enum pb_rc pb_shoot_each(void *ctx, const struct pb_plant *p,
                                 const struct pb_shoot *s, struct pb_err *err);

/* Those plants here of which a flowering has ended and is followed, whether they ask for
 * something or no profile has days for it, in the order of entry.
 * Cost: that of the flowerings that ended in the last year. */
enum pb_rc pb_shoots_each(struct pb_act *a, pb_shoot_each *each, void *ctx,
                          struct pb_err *err);

/* ---- inside an act that is running already ------------------------------------------- */

/*
 * A look on a plant after its flowering.
 *   look  in: day, finding, number of pups.  Out: complete
 * PB_EINVALID  no flowering had ended by then; a day in the future or after it left
 */
enum pb_rc pb_shoot_look(struct pb_act *a, struct pb_plant *p, struct pb_look *look,
                         struct pb_err *err);

/* Do all looks of a plant fit its flowerings?  PB_EINVALID names what does not. */
enum pb_rc pb_shoot_check(struct pb_act *a, const struct pb_plant *p,
                          struct pb_err *err);

/* Enter a look with its number, or write over one; the rules are those above. */
enum pb_rc pb_shoot_keep(struct pb_act *a, struct pb_plant *p, struct pb_look *look,
                         struct pb_err *err);

#endif
