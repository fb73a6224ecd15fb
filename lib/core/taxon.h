/*
 * A taxon as growers write it, taken apart for look-up.  The text itself is kept by the
 * caller and never changed; what is read are slices of it.
 *
 *   Anoectochilus roxburghii            genus, species
 *   Goodyera sp. / Goodyera             genus
 *   Macodes petola var. robusta Auth.   the parts below the species and authors are passed
 *   Macodes Something 'Clone'           genus, grex (begins with a capital), clone
 *   × Ludochilus, xLudochilus           genus, marked as a hybrid genus
 *   Goodyera ×intermedia                genus, species (a species-like hybrid name)
 *   Ludisia discolor × Macodes petola   a formula: two names, the seed parent's first
 *   (A × B) × C                         three names, in the order written
 *
 *   Macodes petola × sanderiana         two names, the genus understood; so "× M. sanderiana"
 *
 * The sign is "×", or an x that stands alone; "xx" of old labels is the same sign.  Any
 * bytes are legal and end in some reading; texts are short (PB_MAX_NAME).
 */
#ifndef PB_CORE_TAXON_H
#define PB_CORE_TAXON_H

#include "base/buf.h"

#include <stdbool.h>
#include <stddef.h>

/* Part of somebody else's text; n = 0: not there. */
struct pb_slice {
    const char *p;
    size_t n;
};

struct pb_taxon_name {
    struct pb_slice genus;
    struct pb_slice species; /* one or the other or neither */
    struct pb_slice grex;
    struct pb_slice clone; /* without its quotes */
    bool hybrid_genus;     /* written with the sign before it */
};

enum { PB_TAXON_NAMES = 8 };

struct pb_taxon {
    struct pb_taxon_name names[PB_TAXON_NAMES]; /* at least one; a formula's in order */
    size_t name_n; /* of all names; those over 8 are not kept */
    bool formula;  /* crossed; "x self" and "x sib" give a formula of one name */
};

/* Take a text apart; slices are borrowed from it. */
void pb_taxon_parse(const char *text, struct pb_taxon *taxon);

/*
 * What is learnt together: "Genus species" or "Genus Grex", the genus alone where nothing
 * else is written; a formula stands for itself.  Case and signs of the genus do not count.
 *   out  appended to
 */
void pb_taxon_key(const char *text, struct pb_buf *out);

/* The same name: length and bytes; the genus may differ in ASCII case. */
bool pb_slice_equal(struct pb_slice a, struct pb_slice b);
bool pb_slice_casequal(struct pb_slice a, struct pb_slice b);

/* Every name of the formula (a single name: itself) has one genus, in any case. */
bool pb_taxon_is_one_genus(const struct pb_taxon *taxon);

/* Exactly one genus, with a capital: "Goodyera". */
bool pb_taxon_is_genus(const char *text);

/* Exactly "Genus", "Genus species" or "Genus Grex", single blanks, nothing more. */
bool pb_taxon_is_plain(const char *text);

#endif
