/*
 * What the book has learnt about ripening, for the crosses of a command.
 *
 * A learner keeps the laws that a command has asked for.  Laws come from the cache in the
 * book where it is up to date, else from a fit of the taxon's capsules, which is kept at
 * the end.  A book that cannot be written only costs the fit again.
 */
#ifndef PB_ACT_LEARN_H
#define PB_ACT_LEARN_H

#include "act/act.h"
#include "core/life.h"
#include "core/ripening.h"
#include "core/ripening_brief.h"

struct pb_learner;

/* What is believed of the capsules of one seed parent. */
struct pb_lesson {
    struct pb_ripening_brief *brief; /* the learner's; NULL: no profile */
    struct pb_learnt_law *law; /* the learner's: the whole of it, read when needed */
    uint64_t capsules;         /* of the taxon, in this book */
    uint64_t clone_capsules;   /* of them of this clone */
    double scale;     /* of the harvest window; 1 while there are no capsules */
    double split[2];  /* days between which nine in ten split; below 0: not known */
    double tolerance; /* setting `risk` */
    int32_t unseen_risk_day; /* until then no capsule's risk passes the tolerance */
};

/*
 * The lesson for a seed parent.
 *   a        its learner is made by the first call
 *   seed     plant.n and genet.n are set
 *   match    the row that times it
 *   lesson   out: good until the learner is freed or the book changes
 */
enum pb_rc pb_learn(struct pb_act *a, const struct pb_parent *seed,
                    const struct pb_profile_match *match, struct pb_lesson *lesson,
                    struct pb_err *err);

/*
 * The whole law, where the lesson has a brief.
 *   law  out: borrowed as the lesson is
 * PB_ENOMEM, PB_EIO
 */
enum pb_rc pb_lesson_law(const struct pb_lesson *lesson,
                         const struct pb_ripening_law **law, struct pb_err *err);

/*
 * Has every question been answered?  Some need the whole law, which is read then; where it
 * cannot be, they answer the worst, and this tells why: ask it before an answer is used.
 * PB_ENOMEM, PB_EIO
 */
enum pb_rc pb_learn_status(const struct pb_act *a, struct pb_err *err);

/*
 * The end of a's learner, if it has one.  What was fitted is kept in the book, in one
 * transaction: not earlier, because rows of the book may be being read while laws are
 * asked for.  That it cannot be kept costs time later and is no error.
 */
void pb_learner_close(struct pb_act *a);
/* Its end without a trace in the book. */
void pb_learner_drop(struct pb_act *a);

/* A capsule, as its risk is asked about. */
struct pb_hanging {
    int32_t intact; /* last intact day from pollination, 0: never looked at */
    bool in_data;   /* it is one of the capsules that the law was learnt from */
};

/* Chance that it has split by the end of a day; remembered by the learner. */
double pb_lesson_risk(const struct pb_lesson *lesson, struct pb_hanging capsule,
                      int32_t day);
/* First day by which that chance passes the tolerance; latest + 1 where not by latest. */
int32_t pb_lesson_risk_day(const struct pb_lesson *lesson, struct pb_hanging capsule,
                           int32_t latest);
/* Day of the next look that the tolerance allows: after capsule.intact, by latest. */
int32_t pb_lesson_next_look(const struct pb_lesson *lesson, struct pb_hanging capsule,
                            int32_t latest);

#endif
