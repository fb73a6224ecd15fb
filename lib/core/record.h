/*
 * The records of the book as they are in memory: plants, crosses, and what belongs to a
 * cross.  No storage, no JSON here; both sides fill and read these.
 *
 * Ownership: a char * member is the record's own (malloc) or NULL for "not given"; the
 * _clear function releases all of it.  Days are PB_DAY_NONE and numbers -1 where not given,
 * unless said otherwise.
 */
#ifndef PB_CORE_RECORD_H
#define PB_CORE_RECORD_H

#include "base/limits.h"
#include "core/civil.h"
#include "core/seedlife.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { PB_ID_TEXT = 37 }; /* a UUID in lower case and the NUL */

/* ORDER KIND: pb_kind_names */
enum pb_kind {
    PB_PLANT,
    PB_CROSS,
    PB_SEED,
    PB_FLASK,
    PB_CUTTING,
    PB_POLLEN,
    PB_KIND_N
};

/* What every record carries. */
struct pb_head {
    int64_t n;                         /* row in the book, 0: in none */
    char id[PB_ID_TEXT];               /* UUID version 7, for life */
    char code[PB_MAX_CODE + 1];        /* what the grower calls it */
    char origin_code[PB_MAX_CODE + 1]; /* its code in the book it came from, or empty */
    int64_t revision;                  /* from 1, one more with each change */
    int64_t modified; /* instant of the last change, s since 1970 UTC */
    bool withdrawn;
    char *extra; /* unknown x- keys, one JSON object, kept as they came */
};

/* How a plant came to be.  ORDER ORIGIN: pb_origin_names */
enum pb_origin {
    PB_ORIGIN_UNKNOWN,
    PB_ORIGIN_PUP, /* the three vegetative ones keep the genotype of their source */
    PB_ORIGIN_CUTTING,
    PB_ORIGIN_DIVISION,
    PB_ORIGIN_CROSS,   /* raised from a cross of the book */
    PB_ORIGIN_PARENTS, /* bought or given with stated parents */
    PB_ORIGIN_N
};

/* What has become of a plant that left.  ORDER GONE: pb_gone_names */
enum pb_gone { PB_GONE_NOT, PB_DEAD, PB_SOLD, PB_GIVEN, PB_DISCARDED, PB_GONE_N };

/* Another record, as a record that names it needs it; n = 0: none. */
struct pb_ref {
    int64_t n;
    char id[PB_ID_TEXT];
    char code[PB_MAX_CODE + 1];
};

struct pb_plant {
    struct pb_head head;
    char *taxon; /* as written; never NULL in a stored plant */
    char *clone_name;
    int ploidy; /* chromosome sets, 0: not known */
    enum pb_origin origin;
    struct pb_ref source;      /* of a pup, cutting, division */
    struct pb_ref from_cross;  /* of PB_ORIGIN_CROSS */
    struct pb_ref seed_parent; /* of PB_ORIGIN_PARENTS; either may be none */
    struct pb_ref pollen_parent;
    struct pb_ref genet;  /* first plant of its clone (itself: a seedling); derived */
    struct pb_ref out_of; /* the flask or cutting of the book that it came out of */
    char *doubtful;       /* why its parents are not believed; NULL: they are */
    pb_day got;
    char *source_text, *papers, *place, *note; /* private: leave only with notes */
    bool elsewhere;  /* in another collection: never in due, pairs, the living */
    bool named_only; /* and only named by other records: none of its own has come yet */
    enum pb_gone gone;
    pb_day gone_on;
};

/* A plant in the role of a parent, with what a reader of the cross wants to know. */
struct pb_parent {
    struct pb_ref plant;
    char *taxon;
    struct pb_ref genet;
    char *clone_name;
    int ploidy;                /* 0: not known */
    struct pb_ref raised_from; /* the cross it was raised from */
    bool elsewhere, gone;
};

struct pb_pollen_parent {
    struct pb_parent parent;
    char lot[PB_MAX_CODE + 1]; /* code of the stored pollen, or empty */
    int age_days;              /* of the stored pollen */
};

/* What a look can find.  ORDER FOUND: pb_found_names, life.c */
enum pb_found {
    PB_UNCHANGED,
    PB_UNSURE,
    PB_SWOLLEN,
    PB_HOLDING,
    PB_YELLOWING,
    PB_SPLIT,
    PB_DROPPED,
    PB_LOST,
    PB_FOUND_N
};

/* How a capsule was when it was taken.  ORDER AS: pb_as_names */
enum pb_as {
    PB_AS_CLOSED,
    PB_AS_YELLOWING,
    PB_AS_ABOUT_TO_SPLIT,
    PB_AS_SPLIT,
    PB_AS_N
};

/* ORDER OWN_POLLEN: pb_own_pollen_names */
enum pb_own_pollen { PB_OWN_NOT_SAID, PB_OWN_REMOVED, PB_OWN_LEFT, PB_OWN_N };

struct pb_look {
    int64_t n;
    char id[PB_ID_TEXT];
    int number; /* of its record, from 1; X26-001/3 is number 3 */
    pb_day on;
    int found; /* row of the course's findings (course.h); of a cross enum pb_found */
    int count; /* units, from 1 */
    int64_t amount; /* things counted (seeds, protocorms, good ones of a sample), -1 */
    int64_t sample; /* out of how many, -1 */
    char *scale;    /* whose stages; NULL: no stage was given */
    char *method;   /* of the sample */
    char *note;
};

struct pb_harvest {
    int64_t n;
    int number; /* of the cross, from 1 */
    pb_day on;
    int count;
    enum pb_as as;
    bool held_cold;
    char lot[PB_MAX_CODE + 1]; /* code of the seed lot, empty: none here */
};

struct pb_cross {
    struct pb_head head;
    struct pb_parent seed;
    struct pb_pollen_parent pollen[PB_MAX_POLLEN_PARENTS];
    size_t pollen_n; /* 0: pollen parent unknown */
    pb_day pollinated;
    int flowers;
    int flower_age; /* days the flower had been open */
    char *at;       /* place on the spike */
    enum pb_own_pollen own_pollen;
    char *grex;
    char *profile;  /* name chosen by the grower, NULL: by the seed parent's taxon */
    char *doubtful; /* why its parents are not believed; NULL: they are */
    pb_day bagged;
    char *note;
    struct pb_look *looks; /* by number; withdrawn ones are not here */
    size_t look_n;
    struct pb_harvest *harvests; /* by number */
    size_t harvest_n;
};

/* Words of the enums, as typed, stored, printed and shared; index is the enum. */
extern const char *const pb_kind_names[PB_KIND_N];
extern const char *const pb_origin_names[PB_ORIGIN_N];
extern const char *const pb_gone_names[PB_GONE_N];
extern const char *const pb_found_names[PB_FOUND_N];
extern const char *const pb_as_names[PB_AS_N];
extern const char *const pb_own_pollen_names[PB_OWN_N];

/* Index of a word among n names, or -1; NULL rows are passed over. */
int pb_name_find(const char *const *names, size_t n, const char *word);

/* Nothing found yet: day, amount and sample not given. */
void pb_look_init(struct pb_look *l);
void pb_look_clear(struct pb_look *l);

/* Empty records: every "not given" in its place.  Allocate nothing. */
void pb_plant_init(struct pb_plant *p);
void pb_cross_init(struct pb_cross *x);
/* Release what a record owns and leave it initialised. */
void pb_plant_clear(struct pb_plant *p);
void pb_cross_clear(struct pb_cross *x);

bool pb_origin_is_vegetative(enum pb_origin origin);

/*
 * A code a grower may choose for a plant: 1 to 32 bytes of ASCII letters, digits, - _ .,
 * first a letter or digit; not "unknown", not of podbook's own form.
 * PB_EPARSE, PB_ELIMIT  with the rule that it breaks
 */
enum pb_rc pb_code_check(const char *what, const char *code, struct pb_err *err);

/* podbook's own form: a letter, two digits of the year, "-", digits (X26-001). */
struct pb_own_code {
    char letter; /* upper case: X cross, P pollen, S seed lot, F flask, C cutting */
    int year;    /* 0..99 */
    int64_t number;
    int look; /* of X26-001/3: 3; 0: none */
};

/* Is this podbook's own form?  A "/3" behind it is allowed and read. */
bool pb_own_code_parse(const char *code, struct pb_own_code *own);

/* Write X26-001; code has room for PB_MAX_CODE + 1. */
void pb_own_code_format(char letter, pb_day day, int64_t number, char *code);

/* Records whose codes follow one another (F26-001..004), or one alone, of any form. */
struct pb_code_range {
    const char *text; /* as typed; borrowed */
    struct pb_own_code first;
    bool is_range; /* false: text is the code, n is 1 */
    int64_t n;
};

/*
 * Read the codes that a command is to do the same to.  Behind the dots stands the last
 * number or the last code.
 *   what  the argument's name, for the message
 * PB_EPARSE  it runs backwards or from one kind or year into another
 * PB_ELIMIT  more than PB_MAX_RANGE
 */
enum pb_rc pb_code_range_parse(const char *what, const char *text,
                               struct pb_code_range *range, struct pb_err *err);
/* Code i of a range, from 0; borrowed from the range or written into code. */
const char *pb_code_range_at(const struct pb_code_range *range, int64_t i,
                             char code[PB_MAX_CODE + 1]);

/* Is it a UUID in lower case with hyphens?  Any version. */
bool pb_id_is_valid(const char *id);

#endif
