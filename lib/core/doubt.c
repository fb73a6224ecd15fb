/* Doubtful parents.  See doubt.h. */
#include "core/doubt.h"

#include <stdlib.h>

void pb_doubts_clear(struct pb_doubts *doubts)
{
    for (size_t i = 0; i < doubts->n; i++)
        free(doubts->v[i].why);
    free(doubts->v);
    *doubts = (struct pb_doubts){NULL, 0};
}

void pb_doubt_words(const struct pb_doubt *doubt, struct pb_buf *out)
{
    if (doubt->own)
        pb_buf_printf(out, "its parents are not believed: %s", doubt->why);
    else
        pb_buf_printf(out, "it comes of %s, whose parents are not believed: %s",
                      doubt->code, doubt->why);
}
