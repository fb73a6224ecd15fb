/* A received plant, and plants that received records name.  See incoming.h. */
#include "act/incoming.h"

#include "act/clone.h"
#include "act/share_record.h"
#include "base/text.h"
#include "book/arrive.h"
#include "book/crosses.h"
#include "book/named.h"
#include "book/plants.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- plants that are named ------------------------------------------------------------- */

/* A copy of a text into a member that is NULL. */
static enum pb_rc copy(char **to, const char *from, struct pb_err *err)
{
    *to = pb_text_copy(from);
    return *to != NULL || from == NULL ? PB_OK : pb_fail_memory(err);
}

/* A plant that only a record named has the taxon that its clone has here. */
static enum pb_rc take_taxon(struct pb_incoming *in, struct pb_plant *ours,
                             int64_t genet, struct pb_err *err)
{
    struct pb_parent first;
    memset(&first, 0, sizeof(first));
    enum pb_rc rc = pb_parent_load(in->a->book, genet, &first, err);
    if (rc == PB_OK &&
        !pb_profile_same_taxon(in->a->profiles, ours->taxon, first.taxon)) {
        free(ours->taxon);
        ours->taxon = first.taxon; /* moves over */
        first.taxon = NULL;
    }
    free(first.taxon);
    free(first.clone_name);
    return rc;
}

/*
 * What a named plant tells of itself and ours did not know yet: ploidy, where it comes
 * from, its clone's name.
 *   genet    row of the first plant of its clone; 0: itself, or not told
 *   changed  out: something was filled in
 */
static enum pb_rc fill_in(struct pb_incoming *in, struct pb_plant *ours,
                          const struct pb_parent *parent, int64_t genet, bool *changed,
                          struct pb_err *err)
{
    *changed = false;
    if (ours->ploidy == 0 && parent->ploidy > 0) {
        ours->ploidy = parent->ploidy;
        *changed = true;
    }
    if (ours->origin == PB_ORIGIN_UNKNOWN && genet != 0) {
        ours->origin = PB_ORIGIN_DIVISION; /* or pup, or cutting: the same clone */
        ours->source.n = genet;
        *changed = true;
        return take_taxon(in, ours, genet, err);
    }
    if (ours->origin == PB_ORIGIN_UNKNOWN && parent->raised_from.id[0] != '\0') {
        ours->origin = PB_ORIGIN_CROSS;
        ours->from_cross = parent->raised_from;
        *changed = true;
    }
    if (ours->clone_name == NULL && parent->clone_name != NULL && genet == 0) {
        *changed = true;
        return copy(&ours->clone_name, parent->clone_name, err);
    }
    return PB_OK;
}

/* Enter a plant that only a record named. */
static enum pb_rc enter_elsewhere(struct pb_incoming *in,
                                  const struct pb_parent *parent, int64_t genet,
                                  int64_t *n, struct pb_err *err)
{
    struct pb_plant p;
    bool here = false, changed = false;
    pb_plant_init(&p);
    memcpy(p.head.id, parent->plant.id, sizeof(p.head.id));
    memcpy(p.head.origin_code, parent->plant.code, sizeof(p.head.origin_code));
    p.head.revision = 1;
    p.head.modified = in->a->now;
    p.elsewhere = p.named_only = true;
    enum pb_rc rc = pb_incoming_id(in, PB_PLANT, p.head.id, &here, err);
    if (rc == PB_OK)
        rc = pb_plant_free_code(in->a->book, parent->plant.code, p.head.code, err);
    if (rc == PB_OK)
        rc = copy(&p.taxon, parent->taxon, err);
    if (rc == PB_OK)
        rc = fill_in(in, &p, parent, genet, &changed, err);
    if (rc == PB_OK)
        rc = pb_plant_insert(in->a->book, &p, err);
    if (rc == PB_OK) {
        *n = p.head.n;
        in->elsewhere++;
        in->changed = true;
    }
    pb_plant_clear(&p);
    return rc;
}

/* Of a plant that no record of its own has told of, what this one tells. */
static enum pb_rc complete(struct pb_incoming *in, const struct pb_parent *parent,
                           int64_t genet, struct pb_err *err)
{
    struct pb_plant ours;
    bool found = false, changed = false;
    pb_plant_init(&ours);
    enum pb_rc rc = pb_plant_find(in->a->book, PB_PLANT_BY_ID, parent->plant.id, &ours,
                                  &found, err);
    if (rc == PB_OK && found)
        rc = fill_in(in, &ours, parent, genet, &changed, err);
    if (rc == PB_OK && changed) {
        rc = pb_plant_update(in->a->book, &ours, err);
        in->changed = true;
        if (rc == PB_OK)
            rc = pb_incoming_ring(in, ours.head.n, ours.head.code, err);
    }
    pb_plant_clear(&ours);
    return rc;
}

/* The row of a plant, entered if need be; its clone is known already.  ours: as it was,
 * but for its number */
static enum pb_rc named(struct pb_incoming *in, const struct pb_parent *parent,
                        int64_t genet, struct pb_named *ours, struct pb_err *err)
{
    enum pb_rc rc = pb_plant_named(in->a->book, parent->plant.id, ours, err);
    if (rc != PB_OK)
        return rc;
    if (ours->n != 0)
        return ours->only ? complete(in, parent, genet, err) : PB_OK;
    ours->only = true;
    return enter_elsewhere(in, parent, genet, &ours->n, err);
}

enum pb_rc pb_incoming_parent(struct pb_incoming *in, const struct pb_parent *parent,
                              pb_day on, int64_t *n, struct pb_err *err)
{
    struct pb_named genet = {.n = 0}, ours;
    enum pb_rc rc = PB_OK;
    if (parent->genet.id[0] != '\0' &&
        strcmp(parent->genet.id, parent->plant.id) != 0) {
        struct pb_parent first = {.plant = parent->genet,
                                  .taxon = parent->taxon,
                                  .clone_name = parent->clone_name,
                                  .ploidy = parent->ploidy};
        if (first.plant.code[0] == '\0')
            memcpy(first.plant.code, parent->plant.code, sizeof(first.plant.code));
        rc = named(in, &first, 0, &genet, err);
    }
    if (rc == PB_OK)
        rc = named(in, parent, genet.n, &ours, err);
    if (rc != PB_OK)
        return rc;
    *n = ours.n;
    in->unsure = in->unsure || ours.only || ours.derived || on < ours.got;
    return PB_OK;
}

/* ---- a plant's own record --------------------------------------------------------------- */

/* The flask or cutting that it came out of: where it is not here, its id is kept. */
static enum pb_rc find_out_of(struct pb_incoming *in, struct pb_ref *out_of,
                              struct pb_err *err)
{
    struct pb_batch b;
    bool found = false;
    pb_batch_init(&b, PB_FLASK);
    enum pb_rc rc =
        pb_batch_find(in->a->book, PB_BATCH_BY_ID, out_of->id, &b, &found, err);
    if (rc == PB_OK && found && b.kind != PB_FLASK && b.kind != PB_CUTTING)
        rc = pb_fail_at(err, PB_ECONFLICT, "out_of", 0, "%s is a %s here", b.head.code,
                        pb_courses[b.kind].noun);
    out_of->n = b.head.n;
    pb_batch_clear(&b);
    return rc;
}

/* Rows for the records that it names. */
static enum pb_rc resolve(struct pb_incoming *in, struct pb_record *rec,
                          struct pb_err *err)
{
    struct pb_plant *p = &rec->plant;
    enum pb_rc rc = PB_OK;
    if (p->source.id[0] != '\0') {
        /* its clone is the source's; that the plant is its first is no news of it */
        bool told = strcmp(p->genet.id, p->head.id) != 0;
        const struct pb_parent source = {.plant = p->source,
                                         .taxon = p->taxon,
                                         .genet = told ? p->genet : p->source};
        rc = pb_incoming_parent(in, &source, PB_DAY_NONE, &p->source.n, err);
    }
    if (rc == PB_OK && p->seed_parent.id[0] != '\0') {
        const struct pb_parent seed = {.plant = p->seed_parent,
                                       .taxon = rec->more.seed_taxon};
        rc = pb_incoming_parent(in, &seed, PB_DAY_NONE, &p->seed_parent.n, err);
    }
    if (rc == PB_OK && p->pollen_parent.id[0] != '\0') {
        const struct pb_parent pollen = {.plant = p->pollen_parent,
                                         .taxon = rec->more.pollen_taxon};
        rc = pb_incoming_parent(in, &pollen, PB_DAY_NONE, &p->pollen_parent.n, err);
    }
    if (rc == PB_OK && p->out_of.id[0] != '\0')
        rc = find_out_of(in, &p->out_of, err);
    return rc;
}

/* What our records rest on is not taken away by another book. */
static enum pb_rc check_withdrawn(struct pb_incoming *in, const struct pb_plant *ours,
                                  struct pb_err *err)
{
    bool used = false;
    char who[PB_MAX_CODE + 1] = "";
    enum pb_rc rc = pb_plant_is_used(in->a->book, ours->head.n, &used, who, err);
    if (rc == PB_OK && used)
        rc = pb_fail(err, PB_ECONFLICT,
                     "%s was withdrawn there, but %s rests on it here; withdraw that "
                     "first",
                     ours->head.code, who);
    return rc;
}

/* A new taxon reaches the whole clone here, and that is told. */
static enum pb_rc carry_taxon(struct pb_incoming *in, const struct pb_plant *p,
                              const char *before, struct pb_err *err)
{
    enum { SHOWN = 400 };
    struct pb_buf codes;
    pb_buf_init(&codes, PB_CLONE_BYTES);
    enum pb_rc rc = pb_clone_carry(in->a, p, before, &codes, err);
    if (rc == PB_OK && codes.len > 0) {
        (void)snprintf(in->why, sizeof(in->why),
                       "its clone has the new taxon with it: %.*s%s", SHOWN,
                       pb_buf_peek(&codes), codes.len > SHOWN ? "..." : "");
        in->receipt->why = in->why;
    }
    pb_buf_clear(&codes);
    return rc;
}

/* It says of its origin what it said here already? */
static bool same_origin(const struct pb_plant *p, const struct pb_plant *ours)
{
    return ours->head.n != 0 && strcmp(p->out_of.id, ours->out_of.id) == 0 &&
           strcmp(p->from_cross.id, ours->from_cross.id) == 0 &&
           strcmp(p->source.id, ours->source.id) == 0;
}

/* Write theirs over ours, or enter it; our code stays, a taken one gets a new one. */
static enum pb_rc keep_plant(struct pb_incoming *in, struct pb_record *rec,
                             const struct pb_plant *ours,
                             const struct pb_plant_more *our_more, struct pb_err *err)
{
    struct pb_plant *p = &rec->plant;
    enum pb_rc rc = PB_OK;
    if (p->head.withdrawn && ours->head.n != 0 && !ours->head.withdrawn)
        rc = check_withdrawn(in, ours, err);
    if (rc == PB_OK)
        rc = resolve(in, rec, err);
    if (rc == PB_OK)
        rc = pb_clone_check(in->a, "source_plant", p, err);
    if (rc != PB_OK)
        return rc;
    if (p->head.origin_code[0] == '\0')
        memcpy(p->head.origin_code, p->head.code, sizeof(p->head.origin_code));
    in->changed = true;
    bool is_new = ours->head.n == 0 || ours->named_only;
    p->elsewhere = is_new ? in->stay : ours->elsewhere;
    in->receipt->yours =
        is_new && !p->elsewhere && p->gone == PB_GONE_NOT && !p->head.withdrawn;
    if (ours->head.n == 0) {
        rc = pb_plant_free_code(in->a->book, in->receipt->there, p->head.code, err);
        if (rc == PB_OK)
            rc = pb_plant_insert(in->a->book, p, err);
    } else {
        p->head.n = ours->head.n;
        memcpy(p->head.code, ours->head.code, sizeof(p->head.code));
        memcpy(p->head.origin_code, ours->head.origin_code,
               sizeof(p->head.origin_code));
        rc = pb_plant_update(in->a->book, p, err);
        if (rc == PB_OK)
            rc = pb_incoming_ring(in, p->head.n, p->head.code, err);
        if (rc == PB_OK)
            rc = carry_taxon(in, p, ours->taxon, err);
    }
    if (rc == PB_OK && p->out_of.n != 0 && !same_origin(p, ours))
        rc = pb_incoming_origin(in, PB_PROVENANCE_PLANT, p->head.n, err);
    if (rc == PB_OK)
        rc = pb_incoming_more(in, p, &rec->more, our_more, err);
    memcpy(in->receipt->code, p->head.code, sizeof(in->receipt->code));
    return rc;
}

/* ---- given and sold ------------------------------------------------------------------- */

static bool is_parted(const struct pb_plant *p)
{
    return p->gone == PB_GIVEN || p->gone == PB_SOLD;
}

struct parting {
    enum pb_gone gone;
    pb_day on;
};

static struct parting parting_of(const struct pb_plant *p)
{
    return (struct parting){p->gone, p->gone_on};
}

static void part(struct pb_plant *p, struct parting as)
{
    p->gone = as.gone;
    p->gone_on = as.on;
}

/* Each book has its own word of a plant that is or was there; of one that stands elsewhere
 * it takes theirs.
 *   told  out: what they say that a reader should know; gone PB_GONE_NOT: nothing */
static void settle_parting(const struct pb_incoming *in, const struct pb_plant *ours,
                           struct pb_plant *theirs, struct parting *told)
{
    const struct parting here = {PB_GONE_NOT, PB_DAY_NONE};
    bool is_new = ours->head.n == 0 || ours->named_only;
    *told = here;
    if (is_new && is_parted(theirs)) {
        if (in->here)
            part(theirs, here);
        else
            *told = parting_of(theirs);
    } else if (!is_new && is_parted(theirs) && !is_parted(ours) && !ours->elsewhere) {
        *told = parting_of(theirs);
        part(theirs, parting_of(ours));
    } else if (!is_new && is_parted(ours) && theirs->gone == PB_GONE_NOT) {
        part(theirs, parting_of(ours));
    }
}

/* ---- ours and theirs -------------------------------------------------------------------- */

struct two {
    struct pb_plant ours;
    struct pb_plant_more more; /* of ours */
    struct pb_record *theirs;
};

static enum pb_rc same(void *ctx, bool whole, bool *is_same, struct pb_err *err)
{
    struct two *two = ctx;
    const struct pb_plant_doc ours = {&two->ours, &two->more, NULL};
    const struct pb_plant_doc came = {&two->theirs->plant, &two->theirs->more, NULL};
    return pb_plant_same(ours, came, whole, is_same, err);
}

static enum pb_rc keep_private(void *ctx, bool later, struct pb_err *err)
{
    struct two *two = ctx;
    const struct pb_plant_more *more = &two->theirs->more;
    enum pb_rc rc = pb_plant_keep_private(&two->theirs->plant, &two->ours, later, err);
    if (rc == PB_OK)
        rc = pb_looks_keep_private(
            (struct pb_look_list){more->looks, more->look_n},
            (struct pb_look_list){two->more.looks, two->more.look_n}, later, err);
    return rc;
}

enum pb_rc pb_incoming_plant(struct pb_incoming *in, struct pb_record *rec,
                             struct pb_err *err)
{
    struct two two = {.theirs = rec};
    struct pb_plant *theirs = &rec->plant;
    struct parting told = {PB_GONE_NOT, PB_DAY_NONE};
    bool here = false, found = false, write = false;
    pb_plant_init(&two.ours);
    enum pb_rc rc = pb_incoming_id(in, PB_PLANT, theirs->head.id, &here, err);
    if (rc == PB_OK)
        rc = pb_incoming_day(in, "got", theirs->got, err);
    if (rc == PB_OK)
        rc = pb_incoming_day(in, "gone_on", theirs->gone_on, err);
    if (rc == PB_OK)
        rc = pb_incoming_more_check(in, &rec->more, err);
    if (rc == PB_OK && here)
        rc = pb_plant_find(in->a->book, PB_PLANT_BY_ID, theirs->head.id, &two.ours,
                           &found, err);
    if (rc == PB_OK && found)
        rc = pb_plant_more_load(in->a, &two.ours, &two.more, err);
    settle_parting(in, &two.ours, theirs, &told);
    if (rc == PB_OK)
        rc = pb_incoming_weigh(in,
                               &(struct pb_incoming_two){&two.ours.head, &theirs->head,
                                                         found, two.ours.named_only,
                                                         &two, same, keep_private},
                               &write, err);
    if (rc == PB_OK && write)
        rc = keep_plant(in, rec, &two.ours, &two.more, err);
    if (rc == PB_OK && write && told.gone != PB_GONE_NOT)
        pb_incoming_parted(in, two.ours.head.n == 0 || two.ours.named_only,
                           pb_gone_names[told.gone], told.on);
    pb_plant_more_clear(&two.more);
    pb_plant_clear(&two.ours);
    return rc;
}
