/* Generations.  See generation.h. */
#include "act/generation.h"

#include "act/kin.h"

#include <stdlib.h>

/* The generation of every genet: parents have lower numbers than their children. */
static void count(const struct pb_pedigree *ped, int32_t *of)
{
    for (int32_t g = 0; g < ped->genet_n; g++) {
        int32_t seed = ped->seed_parent[g], pollen = ped->pollen_parent[g];
        int32_t a = seed != PB_UNKNOWN ? of[seed] + 1 : 0;
        int32_t b = pollen != PB_UNKNOWN ? of[pollen] + 1 : 0;
        of[g] = a > b ? a : b;
    }
}

enum pb_rc pb_cross_generation(struct pb_act *a, const struct pb_cross *x,
                               int *generation, struct pb_err *err)
{
    int64_t plants[PB_MAX_POLLEN_PARENTS + 1];
    struct pb_kin kin = {0};
    size_t n = 0;
    plants[n++] = x->seed.plant.n;
    for (size_t i = 0; i < x->pollen_n; i++)
        plants[n++] = x->pollen[i].parent.plant.n;
    const struct pb_family_ask ask = {plants, n, false};
    enum pb_rc rc = pb_kin_load(a, &ask, &kin, err);
    if (rc != PB_OK)
        return rc;
    int32_t *of = calloc((size_t)kin.ped.genet_n + 1, sizeof(*of));
    if (of == NULL) {
        pb_kin_clear(&kin);
        return pb_fail_memory(err);
    }
    count(&kin.ped, of);
    int highest = 0;
    for (size_t i = 0; i < n; i++) {
        int32_t g = pb_kin_genet(&kin, plants[i]);
        if (g != PB_UNKNOWN && of[g] > highest)
            highest = of[g];
    }
    *generation = highest + 1;
    free(of);
    pb_kin_clear(&kin);
    return PB_OK;
}
