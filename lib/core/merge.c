/* The decision when a received record meets ours.  See merge.h. */
#include "core/merge.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

/* ORDER MERGE */
const char *const pb_merge_names[PB_MERGE_N] = {
    "added", "replaced", "older", "same", "clash",
};

enum pb_merge pb_merge_decide(int64_t ours, int64_t theirs, enum pb_content content)
{
    if (ours == 0)
        return PB_MERGE_ADD;
    if (theirs != ours)
        return theirs > ours ? PB_MERGE_REPLACE : PB_MERGE_OLDER;
    switch (content) {
    case PB_CONTENT_OTHER:
        return PB_MERGE_CLASH;
    case PB_CONTENT_TEXTS:
        return PB_MERGE_REPLACE;
    case PB_CONTENT_SAME:
        break;
    }
    return PB_MERGE_SAME;
}

/* Fill a text that theirs lacks, or that ours is later than. */
static enum pb_rc keep(char **theirs, const char *ours, bool later, struct pb_err *err)
{
    if (ours == NULL || (*theirs != NULL && !later))
        return PB_OK;
    char *copy = pb_text_copy(ours);
    if (copy == NULL)
        return pb_fail_memory(err);
    free(*theirs);
    *theirs = copy;
    return PB_OK;
}

enum pb_rc pb_plant_keep_private(struct pb_plant *theirs, const struct pb_plant *ours,
                                 bool later, struct pb_err *err)
{
    enum pb_rc rc = keep(&theirs->source_text, ours->source_text, later, err);
    if (rc == PB_OK)
        rc = keep(&theirs->papers, ours->papers, later, err);
    if (rc == PB_OK)
        rc = keep(&theirs->place, ours->place, later, err);
    if (rc == PB_OK)
        rc = keep(&theirs->note, ours->note, later, err);
    return rc;
}

/* Our look of that id, searched from the one expected next: both lists nearly always run
 * in one order, so a whole record costs one pass. */
static const struct pb_look *look_of(struct pb_look_list ours, const char *id,
                                     size_t *next)
{
    for (size_t k = 0; k < ours.n; k++) {
        size_t i = (*next + k) % ours.n;
        if (strcmp(ours.v[i].id, id) == 0) {
            *next = i + 1;
            return &ours.v[i];
        }
    }
    return NULL;
}

enum pb_rc pb_looks_keep_private(struct pb_look_list theirs, struct pb_look_list ours,
                                 bool later, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    size_t next = 0;
    for (size_t i = 0; rc == PB_OK && i < theirs.n; i++) {
        const struct pb_look *look = look_of(ours, theirs.v[i].id, &next);
        if (look != NULL)
            rc = keep(&theirs.v[i].note, look->note, later, err);
    }
    return rc;
}

enum pb_rc pb_cross_keep_private(struct pb_cross *theirs, const struct pb_cross *ours,
                                 bool later, struct pb_err *err)
{
    enum pb_rc rc = keep(&theirs->note, ours->note, later, err);
    if (rc == PB_OK)
        rc = pb_looks_keep_private((struct pb_look_list){theirs->looks, theirs->look_n},
                                   (struct pb_look_list){ours->looks, ours->look_n},
                                   later, err);
    return rc;
}

enum pb_rc pb_batch_keep_private(struct pb_batch *theirs, const struct pb_batch *ours,
                                 bool later, struct pb_err *err)
{
    enum pb_rc rc = keep(&theirs->place, ours->place, later, err);
    if (rc == PB_OK)
        rc = keep(&theirs->note, ours->note, later, err);
    if (rc == PB_OK)
        rc = pb_looks_keep_private((struct pb_look_list){theirs->looks, theirs->look_n},
                                   (struct pb_look_list){ours->looks, ours->look_n},
                                   later, err);
    return rc;
}
