/* Parentage shares: one sweep up, youngest first, halving.  See founders.h. */
#include "core/founders.h"

#include "core/genetset.h"

#include <stdlib.h>

struct sweep {
    struct pb_genetset todo;
    double *part; /* [genet_n] of the genet, that comes from each */
};

static void give(struct sweep *s, int32_t to, double part, double *unknown)
{
    if (to == PB_UNKNOWN) {
        *unknown += part;
        return;
    }
    s->part[to] += part;
    pb_genetset_add(&s->todo, to);
}

enum pb_rc pb_founder_shares(const struct pb_pedigree *ped, const int32_t *taxon,
                             int32_t taxon_n, int32_t genet, double *share,
                             struct pb_err *err)
{
    struct sweep s = {.part = calloc((size_t)ped->genet_n, sizeof(*s.part))};
    enum pb_rc rc = pb_genetset_init(&s.todo, ped->genet_n, err);
    if (rc == PB_OK && s.part == NULL)
        rc = pb_fail_memory(err);
    if (rc == PB_OK) {
        for (int32_t t = 0; t <= taxon_n; t++)
            share[t] = 0;
        give(&s, genet, 1, &share[taxon_n]);
    }
    while (rc == PB_OK && !pb_genetset_empty(&s.todo)) {
        int32_t g = pb_genetset_take_max(&s.todo);
        int32_t p = ped->seed_parent[g], q = ped->pollen_parent[g];
        if (p == PB_UNKNOWN && q == PB_UNKNOWN) {
            share[taxon[g] != PB_UNKNOWN ? taxon[g] : taxon_n] += s.part[g];
        } else {
            give(&s, p, s.part[g] / 2, &share[taxon_n]);
            give(&s, q, s.part[g] / 2, &share[taxon_n]);
        }
    }
    pb_genetset_clear(&s.todo);
    free(s.part);
    return rc;
}
