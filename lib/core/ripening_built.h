/*
 * What is believed of taxa of which no capsule was ever seen, by the profiles that podbook
 * brings: worked out when podbook is built (lib/data/briefgen.c), so that a program that
 * runs for a moment need not.
 */
#ifndef PB_CORE_RIPENING_BUILT_H
#define PB_CORE_RIPENING_BUILT_H

#include "core/ripening.h"

struct pb_ripening_built {
    struct pb_ripening_prior prior;
    const unsigned char *bytes; /* pb_ripening_brief_unpack */
    size_t n;
};
extern const struct pb_ripening_built pb_ripening_builts[];
extern const size_t pb_ripening_built_n;

/* The one of a prior; NULL: it is no profile's of ours.  Cost: a look at each. */
const struct pb_ripening_built *pb_ripening_built_find(
    const struct pb_ripening_prior *prior);

#endif
