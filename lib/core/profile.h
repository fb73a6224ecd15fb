/*
 * Timing profiles: how long the stages of a group of taxa take, with source and confidence
 * of every number, and which row serves a taxon.
 *
 * Two tables are asked: the grower's own file, where there is one, and the built-in one
 * (pb_profiles_builtin, constant, made from lib/data/profiles.json by the build).  All
 * texts and arrays of a table are borrowed from it and live as long as it does.
 *
 * Every built-in number is a starting guess: nobody measured the reader's greenhouse.
 */
#ifndef PB_CORE_PROFILE_H
#define PB_CORE_PROFILE_H

#include "core/span.h"

#include <stdbool.h>
#include <stddef.h>

/* What can be expected, and from which day it counts.  ORDER STAGE: profile.c */
enum pb_stage {
    PB_STAGE_SWELLING,    /* pollination */
    PB_STAGE_HARVEST,     /* pollination; the capsule taken closed */
    PB_STAGE_SPLIT,       /* pollination */
    PB_STAGE_RECEPTIVE,   /* the flower opened */
    PB_STAGE_PUPS,        /* flowering over */
    PB_STAGE_GERMINATION, /* sowing */
    PB_STAGE_REPLATE,     /* sowing */
    PB_STAGE_DEFLASK,     /* sowing */
    PB_STAGE_SOW,         /* harvest */
    PB_STAGE_CALLUS,      /* cut */
    PB_STAGE_WATER,       /* cut */
    PB_STAGE_ROOTS,       /* cut */
    PB_STAGE_POT,         /* cut */
    PB_STAGE_SETTLED,     /* potted */
    PB_STAGE_N
};
extern const char *const pb_stage_names[PB_STAGE_N];
extern const char *const pb_stage_starts[PB_STAGE_N]; /* "pollination" .. "potted" */

/* ORDER CONFIDENCE: profile.c */
enum pb_confidence { PB_LOW, PB_MEDIUM, PB_HIGH, PB_CONFIDENCE_N };
extern const char *const pb_confidence_names[PB_CONFIDENCE_N]; /* "L" "M" "H" */
extern const char *const pb_confidence_words[PB_CONFIDENCE_N]; /* "low confidence" .. */

struct pb_profile_stage {
    int from, to; /* days from the start, both included; -1: no days (no_sign only) */
    int best;     /* the best day of them, -1: none is known */
    const char
        *source; /* keys of the table's sources, joined by +; NULL: no such stage */
    enum pb_confidence confidence;
    double weight; /* of split, in capsules, at least 2; 0: by the confidence */
    bool no_sign;  /* hardly anything is to be seen of it */
};

struct pb_set_rate {
    double share;       /* of pollinated flowers that gave a capsule, 0..1 */
    const char *source; /* NULL: not known */
    enum pb_confidence confidence;
};

/* The lists of names in a row.  ORDER LIST: profile.c */
enum pb_profile_list {
    PB_LIST_TAXA,     /* "Genus", "Genus species" or "Genus Grex": served by the row */
    PB_LIST_PART_OF,  /* genera of which this and other rows serve a part each */
    PB_LIST_GROUP_OF, /* genera that fall to the row when nothing else serves them */
    PB_LIST_MEASURED, /* taxa whose times were measured; for others the row is a stretch */
    PB_LIST_N
};
extern const char *const pb_profile_list_names[PB_LIST_N];

struct pb_names {
    const char *const *v;
    size_t n;
};

struct pb_profile {
    const char *name;
    const char *note; /* what the evidence says, NULL: nothing is said */
    struct pb_names lists[PB_LIST_N];
    struct pb_profile_stage stages[PB_STAGE_N];
    struct pb_set_rate set_rate;
};

/* Which row a name of the first three lists stands in. */
struct pb_profile_entry {
    const char *taxon;
    enum pb_profile_list list;
    size_t row;
};

struct pb_profile_source {
    const char *key, *text;
};

struct pb_profile_synonym {
    const char *from, *to; /* genera */
};

struct pb_profile_table {
    const struct pb_profile *rows; /* by pb_text_casecmp of the name; no two equal */
    size_t row_n;
    const struct pb_profile_entry *entries; /* by pb_profile_entry_cmp */
    size_t entry_n;
    const struct pb_profile_source *sources; /* by strcmp of the key */
    size_t source_n;
    const struct pb_profile_synonym *synonyms; /* by pb_text_casecmp of from */
    size_t synonym_n;
};

extern const struct pb_profile_table pb_profiles_builtin;

/* The tables in the order of their say. */
struct pb_profiles {
    const struct pb_profile_table *own; /* NULL: the grower has no file */
    const struct pb_profile_table *builtin;
};

/* Why this row.  ORDER BASIS: profile.c */
enum pb_basis {
    PB_BASIS_NONE,    /* no row, no timing */
    PB_BASIS_SPLIT,   /* several rows serve parts of the genus: see parts; no row */
    PB_BASIS_CHOSEN,  /* by its name */
    PB_BASIS_SPECIES, /* the row names the species (or grex) */
    PB_BASIS_GENUS,   /* the row names the genus */
    PB_BASIS_GROUP,   /* the row takes in what nothing else serves */
    PB_BASIS_N
};
extern const char *const pb_basis_names[PB_BASIS_N];

enum { PB_PROFILE_PARTS = 32 }; /* rows that one genus is split over, both tables */

struct pb_profile_match {
    enum pb_basis basis;
    const struct pb_profile *row;         /* NULL: none, split */
    const struct pb_profile_table *table; /* that the row is in, for its sources */
    bool own;                             /* a row of the grower's file */
    bool by_parent; /* the hybrid's seed parent decided, not its own name */
    bool
        stretched; /* the row's figures were measured in other taxa: all count as low */
    const struct pb_profile *parts[PB_PROFILE_PARTS]; /* of a split genus */
    size_t part_n;
};

/*
 * Which row serves a seed parent.
 *   taxon   as written (see taxon.h); of a formula its first name, which is the seed
 *           parent's, decides; one within a genus counts as that genus unless one row
 *           names all its species
 *   parent  taxon of the plant's own seed parent, for hybrid genera; NULL: not known
 *   m       out
 * A row of the grower's with the name of a built-in one stands in its place everywhere.
 * Order: the taxon in the own table (species, genus), in the built-in one (species, genus),
 * split; then the parent likewise; then the group of the taxon, of the parent.  A genus is
 * tried as written, then under its synonym.
 * Cost: a few binary searches; allocates nothing.
 */
void pb_profile_find(const struct pb_profiles *ps, const char *taxon,
                     const char *parent, struct pb_profile_match *m);

/* The row of that name, in any ASCII case, own table first; false: there is none, and m is
 * untouched.  taxon: what it is chosen for, NULL where nothing is. */
bool pb_profile_choose(const struct pb_profiles *ps, const char *name,
                       const char *taxon, struct pb_profile_match *m);

/* The stage of the matched row; NULL: it has none. */
const struct pb_profile_stage *pb_profile_stage(const struct pb_profile_match *m,
                                                enum pb_stage stage);

/* How far its days can be trusted for the taxon that was asked about. */
enum pb_confidence pb_profile_confidence(const struct pb_profile_match *m,
                                         const struct pb_profile_stage *stage);

/* The stage's window when its start is a given day; false: it has no days. */
bool pb_profile_window(const struct pb_profile_match *m, enum pb_stage stage,
                       pb_day start, struct pb_span *window);

/* What the ripening prior rests on: the split stage, else the harvest, else NULL. */
const struct pb_profile_stage *pb_profile_ripening(const struct pb_profile_match *m);

/* Its weight in capsules: as given, else 6, 4, 2 for high, medium, low confidence. */
double pb_profile_weight(const struct pb_profile_match *m,
                         const struct pb_profile_stage *stage);

/* The i-th source of keys joined by + ("P2+P3"), from 0; NULL: there are no more. */
const struct pb_profile_source *pb_profile_source(const struct pb_profile_table *table,
                                                  const char *keys, size_t i);

/*
 * Do two texts name one taxon?  Genera are the same in any case, with or without the sign
 * of a hybrid genus, and under their synonym; epithets in any case.  Clone names, authors
 * and what is below the species do not count; the parents of a formula do, in their order.
 */
bool pb_profile_same_taxon(const struct pb_profiles *ps, const char *a, const char *b);

/*
 * Can seed of these two give that taxon, by its genus?  A name of it has the genus of a name
 * of theirs, compared as above; with the sign of a hybrid genus it may have another, where
 * they are of two genera or of a hybrid one.  What has no genus can be anything.
 */
bool pb_profile_may_give(const struct pb_profiles *ps, const char *seed,
                         const char *pollen, const char *taxon);

/* ---- for those who build a table ---------------------------------------------------- */

/* Names of taxa: the genus in any ASCII case, the rest byte by byte. */
int pb_taxon_name_cmp(const char *a, const char *b);
/* By list, name, row. */
int pb_profile_entry_cmp(const struct pb_profile_entry *a,
                         const struct pb_profile_entry *b);

#endif
