/*
 * Batches: what is kept or grown in one go and followed together - a seed lot, a flask, the
 * cuttings taken from a plant, a pollen lot.  One struct holds them all: they share a
 * start, a source, looks and stages (course.h), and differ in a few fields.
 */
#ifndef PB_CORE_BATCH_H
#define PB_CORE_BATCH_H

#include "core/life.h"
#include "core/seedlife.h"

/* How the seed of a lot is kept.  ORDER FORM: pb_form_names */
enum pb_seed_form {
    PB_FORM_NOT_SAID,
    PB_FORM_CLOSED, /* in the closed capsule */
    PB_FORM_DRY,    /* out of the capsule, dry */
    PB_FORM_COLD,   /* in the closed capsule, held cold and moist */
    PB_FORM_N
};
extern const char *const pb_form_names[PB_FORM_N]; /* NULL for the first */

/* Where pollen is kept.  ORDER KEPT: pb_kept_names */
enum pb_pollen_kept {
    PB_KEPT_NOT_SAID,
    PB_KEPT_ROOM,
    PB_KEPT_FRIDGE,
    PB_KEPT_FREEZER,
    PB_KEPT_N
};
extern const char *const pb_kept_names[PB_KEPT_N]; /* NULL for the first */

/* ORDER LIGHT: pb_light_names */
enum pb_light { PB_LIGHT_NOT_SAID, PB_LIGHT, PB_DARK, PB_LIGHT_N };
extern const char *const pb_light_names[PB_LIGHT_N]; /* NULL for the first */

struct pb_batch {
    struct pb_head head;
    enum pb_kind kind; /* PB_SEED, PB_FLASK, PB_CUTTING, PB_POLLEN */
    pb_day on;         /* harvested, sown or replated, cut, taken */
    int units;         /* cuttings; else 1 */
    int64_t amount;    /* seeds of a lot; seeds or protocorms put into a flask; -1: not
                          counted */
    struct pb_ref cross;  /* seed, flask: the cross it is of */
    struct pb_ref plant;  /* cutting, pollen: the plant it was taken from */
    struct pb_ref source; /* flask: the seed lot or flask it came from, or none */

    /* derived when it is read */
    enum pb_kind source_kind;
    pb_day began;                    /* flask: the first sowing of its line */
    char *taxon_seed, *taxon_pollen; /* of the cross's parents; NULL: unknown */
    char *taxon;                     /* of the plant, or of the seed parent */
    int64_t carrier;     /* row of the cross's seed parent, 0: of no cross */
    char *profile;       /* that was chosen for the cross; NULL: none was */
    struct pb_ref genet; /* of the plant */
    int ploidy;          /* of the plant, 0: not known */

    /* seed */
    int capsules; /* 0: not said */
    enum pb_seed_form form;
    double celsius; /* where it is kept; also of pollen */
    struct pb_seed_constants constants;
    /* flask */
    char *medium;    /* also of cuttings */
    char *agent;     /* that sterilised the seed or capsule */
    double chlorine; /* active, percent, as it was used */
    int minutes;     /* of it, -1 */
    enum pb_light light;
    /* cutting */
    int nodes; /* of each, 0: not said */
    /* pollen */
    enum pb_pollen_kept kept;
    bool dried, cap_removed;

    char *place, *note;    /* private */
    bool elsewhere;        /* in another collection: it asks for nothing here */
    struct pb_look *looks; /* by number; withdrawn ones are not here */
    size_t look_n;
};

void pb_batch_init(struct pb_batch *b, enum pb_kind kind);
void pb_batch_clear(struct pb_batch *b);

/* The story of a batch; room as of pb_cross_story (life.h).  PB_ENOMEM */
enum pb_rc pb_batch_story(const struct pb_batch *b, struct pb_events *room,
                          struct pb_story *story, struct pb_err *err);

/* Its story replayed, or pb_course_enter. */
enum pb_rc pb_batch_replay(const struct pb_batch *b, struct pb_life *life,
                           struct pb_err *err);
enum pb_rc pb_batch_replay_entered(const struct pb_batch *b,
                                   const struct pb_life_event *entered,
                                   struct pb_life *life, struct pb_err *err);

/* The day of the last look that ended it, PB_DAY_NONE: it has not ended. */
pb_day pb_batch_ended_on(const struct pb_batch *b);

/*
 * Things counted in it (protocorms of a flask, seeds of a lot) that are still there: the
 * last count, less what was taken out since.  A count of a stage is a share of them.
 *   left  out: -1 where nobody counted
 * PB_ENOMEM
 */
enum pb_rc pb_batch_left(const struct pb_batch *b, int64_t *left, struct pb_err *err);

/*
 * Does the sum hold: is nothing taken out that was not in?  Nor do more grow in a flask than
 * seeds were sown into it; in one of another flask they may multiply.  Where nobody counted,
 * anything may be.
 * PB_EINVALID  names the look and the count it passes
 */
enum pb_rc pb_batch_check(const struct pb_batch *b, struct pb_err *err);

/* Seedlings of a flask that were put together into one pot. */
struct pb_compot {
    pb_day on; /* PB_DAY_NONE: there is none */
    int64_t
        lost; /* missing at the first count of settled ones, and at later ones within
                     the days asked for; -1: nobody counted, then or when it was made */
};

/* The day on which all that could be saved was taken out of a contaminated flask, whatever
 * into; PB_DAY_NONE: it was not.  What came out on that day or since was rescued. */
pb_day pb_batch_rescued_on(const struct pb_batch *b);

/* The compot of a flask.
 *   days  of the compot: what is missed at a later count than that, and not the first, was
 *         alive for so long */
void pb_batch_compot(const struct pb_batch *b, int days, struct pb_compot *compot);

/*
 * The days of its stages.
 *   m  the profile of its taxon; row NULL: it has none
 * A daughter flask counts from the first sowing and is not replated again by the book; seed
 * has a last day as a capsule held cold, which is what was measured, as a closed capsule
 * not held cold a week, an allowance of ours, and as dry seed where its user gave the
 * constants of the viability equation and the share to sow before (seedlife.h), with four
 * weeks' notice, another allowance; pollen by how it is kept (bloom.h).
 */
void pb_batch_timing(const struct pb_batch *b, const struct pb_profile_match *m,
                     struct pb_timing *t);

#endif
