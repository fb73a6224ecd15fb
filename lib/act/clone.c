/* One clone is one taxon.  See clone.h. */
#include "act/clone.h"

#include "base/text.h"
#include "book/descent.h"
#include "book/plants.h"

#include <stdlib.h>
#include <string.h>

static enum pb_rc refuse(struct pb_act *a, const char *what, const struct pb_plant *p,
                         struct pb_err *err)
{
    struct pb_parent source;
    memset(&source, 0, sizeof(source));
    enum pb_rc rc = pb_parent_load(a->book, p->source.n, &source, err);
    if (rc == PB_OK)
        rc = pb_fail_at(err, PB_EINVALID, what, 0,
                        "%s cannot be %s: its source %s is %s, and a clone is one "
                        "taxon; podbook amend %s taxon=NAME puts the whole clone "
                        "right, or give %s another origin",
                        p->head.code, p->taxon, source.plant.code, source.taxon,
                        source.genet.code, p->head.code);
    free(source.taxon);
    free(source.clone_name);
    return rc;
}

/* A table brings thousands, a chain of pups each below the last: the source alone is read,
 * and the walk to its first plant left to what is refused. */
enum pb_rc pb_clone_check(struct pb_act *a, const char *what, const struct pb_plant *p,
                          struct pb_err *err)
{
    char *taxon = NULL;
    if (!pb_origin_is_vegetative(p->origin) || p->source.n == 0)
        return PB_OK;
    enum pb_rc rc = pb_plant_taxon(a->book, p->source.n, &taxon, err);
    if (rc == PB_OK && taxon != NULL &&
        !pb_profile_same_taxon(a->profiles, p->taxon, taxon))
        rc = refuse(a, what, p, err);
    free(taxon);
    return rc;
}

/* Write one taxon over another's. */
static enum pb_rc rename_one(struct pb_act *a, struct pb_plant *p, const char *taxon,
                             struct pb_err *err)
{
    char *copy = pb_text_copy(taxon);
    if (copy == NULL)
        return pb_fail_memory(err);
    free(p->taxon);
    p->taxon = copy;
    pb_act_touch(a, &p->head);
    return pb_plant_update(a->book, p, err);
}

enum pb_rc pb_clone_carry(struct pb_act *a, const struct pb_plant *p,
                          const char *before, struct pb_buf *codes, struct pb_err *err)
{
    char(*below)[PB_MAX_CODE + 1] = NULL;
    size_t n = 0;
    if (strcmp(p->taxon, before) == 0)
        return PB_OK;
    enum pb_rc rc = pb_clone_below(a->book, p->head.n, &below, &n, err);
    for (size_t i = 0; i < n && rc == PB_OK; i++) {
        struct pb_plant pup;
        bool found = false;
        pb_plant_init(&pup);
        rc =
            pb_plant_find_alone(a->book, PB_PLANT_BY_CODE, below[i], &pup, &found, err);
        if (rc == PB_OK && found &&
            (strcmp(pup.taxon, before) == 0 ||
             !pb_profile_same_taxon(a->profiles, pup.taxon, p->taxon))) {
            rc = rename_one(a, &pup, p->taxon, err);
            pb_buf_printf(codes, "%s%s", codes->len > 0 ? ", " : "", pup.head.code);
        }
        pb_plant_clear(&pup);
    }
    free(below);
    return rc == PB_OK ? pb_buf_status(codes, err) : rc;
}
