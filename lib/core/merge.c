/* The decision when a received record meets ours.  See merge.h. */
#include "core/merge.h"

#include "base/text.h"

#include <string.h>

/* ORDER MERGE */
const char *const pb_merge_names[PB_MERGE_N] = {
    "added", "replaced", "older", "same", "clash",
};

enum pb_merge pb_merge_decide(int64_t ours, int64_t theirs, bool same_content)
{
    if (ours == 0)
        return PB_MERGE_ADD;
    if (theirs != ours)
        return theirs > ours ? PB_MERGE_REPLACE : PB_MERGE_OLDER;
    return same_content ? PB_MERGE_SAME : PB_MERGE_CLASH;
}

/* Fill a text that theirs lacks. */
static enum pb_rc keep(char **theirs, const char *ours, struct pb_err *err)
{
    if (*theirs != NULL || ours == NULL)
        return PB_OK;
    *theirs = pb_text_copy(ours);
    return *theirs != NULL ? PB_OK : pb_fail_memory(err);
}

enum pb_rc pb_plant_keep_private(struct pb_plant *theirs, const struct pb_plant *ours,
                                 struct pb_err *err)
{
    enum pb_rc rc = keep(&theirs->source_text, ours->source_text, err);
    if (rc == PB_OK)
        rc = keep(&theirs->papers, ours->papers, err);
    if (rc == PB_OK)
        rc = keep(&theirs->place, ours->place, err);
    if (rc == PB_OK)
        rc = keep(&theirs->note, ours->note, err);
    return rc;
}

/* Our look of that id, searched from the one expected next: both lists nearly always run
 * in one order, so a whole cross costs one pass. */
static const struct pb_look *look_of(const struct pb_cross *ours, const char *id,
                                     size_t *next)
{
    for (size_t k = 0; k < ours->look_n; k++) {
        size_t i = (*next + k) % ours->look_n;
        if (strcmp(ours->looks[i].id, id) == 0) {
            *next = i + 1;
            return &ours->looks[i];
        }
    }
    return NULL;
}

enum pb_rc pb_cross_keep_private(struct pb_cross *theirs, const struct pb_cross *ours,
                                 struct pb_err *err)
{
    enum pb_rc rc = keep(&theirs->note, ours->note, err);
    size_t next = 0;
    for (size_t i = 0; rc == PB_OK && i < theirs->look_n; i++) {
        const struct pb_look *look = look_of(ours, theirs->looks[i].id, &next);
        if (look != NULL)
            rc = keep(&theirs->looks[i].note, look->note, err);
    }
    return rc;
}
