/* Parents that were read before.  See parents.h. */
#include "book/parents.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

static void forget(struct pb_parent *p)
{
    free(p->taxon);
    free(p->clone_name);
    memset(p, 0, sizeof(*p));
}

/* A copy that owns its texts. */
static enum pb_rc copy(const struct pb_parent *from, struct pb_parent *to,
                       struct pb_err *err)
{
    *to = *from;
    to->taxon = pb_text_copy(from->taxon);
    to->clone_name = pb_text_copy(from->clone_name);
    if ((to->taxon == NULL) == (from->taxon == NULL) &&
        (to->clone_name == NULL) == (from->clone_name == NULL))
        return PB_OK;
    forget(to);
    return pb_fail_memory(err);
}

enum pb_rc pb_parents_load(struct pb_parents *m, struct pb_book *book, int64_t plant,
                           struct pb_parent *parent, struct pb_err *err)
{
    if (m == NULL)
        return pb_parent_load(book, plant, parent, err);
    if (m->v == NULL)
        m->v = calloc(PB_PARENTS_PLACES, sizeof(*m->v));
    if (m->v == NULL)
        return pb_fail_memory(err);
    size_t place = (size_t)((uint64_t)plant % PB_PARENTS_PLACES);
    struct pb_parent *there = &m->v[place];
    if (there->plant.n != plant || there->taxon == NULL) {
        struct pb_parent read;
        memset(&read, 0, sizeof(read));
        enum pb_rc rc = pb_parent_load(book, plant, &read, err);
        if (rc != PB_OK) {
            forget(&read);
            return rc;
        }
        if (there->taxon == NULL)
            m->taken[m->taken_n++] = (uint16_t)place;
        forget(there);
        *there = read;
    }
    return copy(there, parent, err);
}

void pb_parents_clear(struct pb_parents *m)
{
    for (size_t i = 0; i < m->taken_n; i++)
        forget(&m->v[m->taken[i]]);
    free(m->v);
    m->v = NULL;
    m->taken_n = 0;
}
