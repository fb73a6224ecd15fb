/* Doubts that come with a record.  See incoming.h. */
#include "act/incoming.h"

#include "base/text.h"
#include "book/plants.h"

#include <stdio.h>
#include <string.h>

/* The plants that a record names, by the codes that they have there. */
struct named {
    const struct pb_ref *v[4 + PB_MAX_POLLEN_PARENTS];
    size_t n;
};

static void add(struct named *named, const struct pb_ref *ref)
{
    if (ref->id[0] != '\0')
        named->v[named->n++] = ref;
}

static void names_of(const struct pb_record *rec, struct named *named)
{
    named->n = 0;
    add(named, &rec->plant.source);
    add(named, &rec->plant.seed_parent);
    add(named, &rec->plant.pollen_parent);
    add(named,
        rec->parent.plant.id[0] != '\0' ? &rec->parent.plant : &rec->cross.seed.plant);
    for (size_t i = 0; i < rec->cross.pollen_n; i++)
        add(named, &rec->cross.pollen[i].parent.plant);
}

/* A plant that is only named here has no word of its own yet: theirs is kept. */
static enum pb_rc mark(struct pb_incoming *in, const struct pb_ref *ref,
                       const struct pb_doubt *doubt, struct pb_err *err)
{
    struct pb_plant p;
    bool found = false;
    pb_plant_init(&p);
    enum pb_rc rc =
        pb_plant_find(in->a->book, PB_PLANT_BY_ID, ref->id, &p, &found, err);
    if (rc == PB_OK && found && p.named_only && p.doubtful == NULL) {
        p.doubtful = pb_text_copy(doubt->why);
        if (p.doubtful == NULL)
            rc = pb_fail_memory(err);
        if (rc == PB_OK)
            rc = pb_plant_update(in->a->book, &p, err);
        in->changed = true;
    }
    pb_plant_clear(&p);
    return rc;
}

/* One that stands further up than what the record names has no place here: it is said. */
static void tell(struct pb_incoming *in, const struct pb_doubt *doubt)
{
    if (in->receipt->why != NULL)
        return;
    (void)snprintf(in->why, sizeof(in->why),
                   "comes of %s there, whose parents are not believed: %s", doubt->code,
                   doubt->why);
    in->receipt->why = in->why;
}

enum pb_rc pb_incoming_doubts(struct pb_incoming *in, const struct pb_record *rec,
                              struct pb_err *err)
{
    struct named named;
    enum pb_rc rc = PB_OK;
    names_of(rec, &named);
    for (size_t i = 0; i < rec->doubts.n && rc == PB_OK; i++) {
        const struct pb_doubt *doubt = &rec->doubts.v[i];
        size_t k = 0;
        while (k < named.n && strcmp(named.v[k]->code, doubt->code) != 0)
            k++;
        if (k < named.n)
            rc = mark(in, named.v[k], doubt, err);
        else if (in->changed)
            tell(in, doubt);
    }
    return rc;
}
