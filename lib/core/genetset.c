/* The memory of an ordered set of genets.  See genetset.h. */
#include "core/genetset.h"

#include "base/limits.h"

#include <stdlib.h>

_Static_assert(PB_MAX_PEDIGREE <= 1 << 6 * PB_GENETSET_LEVELS, "too few levels");

enum pb_rc pb_genetset_init(struct pb_genetset *set, int32_t n, struct pb_err *err)
{
    size_t words[PB_GENETSET_LEVELS], total = 0, need = n > 0 ? (size_t)n : 1;
    int top = -1;
    do {
        need = (need + 63) / 64;
        words[++top] = need;
        total += need;
    } while (need > 1);
    uint64_t *memory = calloc(total, sizeof(*memory));
    if (memory == NULL)
        return pb_fail_memory(err);
    *set = (struct pb_genetset){.top = top};
    for (int l = 0; l <= top; l++) {
        set->level[l] = memory;
        memory += words[l];
    }
    return PB_OK;
}

void pb_genetset_clear(struct pb_genetset *set)
{
    free(set->level[0]);
    *set = (struct pb_genetset){0};
}
