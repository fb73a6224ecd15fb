/* Relations of two genets.  See relation.h. */
#include "core/relation.h"

#include "core/genetset.h"

#include <stdlib.h>

/* ORDER RELATION */
static const char *const words[] = {
    "same clone: a selfing",
    "parent and offspring: a backcross",
    "parent and offspring",
    "full sibs",
    "half sibs",
    "grandparent and grandchild",
    "a sib of the other's parent",
    "cousins",
    "ancestor and descendant",
    "related",
    "unrelated as far as the book knows",
};
_Static_assert(sizeof(words) / sizeof(words[0]) == PB_REL_N, "ORDER RELATION");

const char *pb_relation_words(enum pb_relation relation)
{
    return words[relation];
}

unsigned pb_ploidy_notes(int a, int b)
{
    if (a <= 0 || b <= 0)
        return PB_PLOIDY_UNKNOWN;
    unsigned notes = a != b ? PB_PLOIDY_DIFFER : 0;
    if (a % 2 != 0 || b % 2 != 0)
        notes |= PB_PLOIDY_ODD_PARENT;
    else if ((a + b) / 2 % 2 != 0)
        notes |= PB_PLOIDY_ODD_PROGENY;
    return notes;
}

/* ---- by the parents ---------------------------------------------------------------- */

struct parents {
    int32_t of[2]; /* PB_UNKNOWN where unknown */
};

static struct parents parents_of(const struct pb_pedigree *ped, int32_t g)
{
    return (struct parents){
        {ped->seed_parent[g], ped->pollen_parent[g]}
    };
}

static bool is_parent(const struct pb_pedigree *ped, int32_t p, int32_t child)
{
    return ped->seed_parent[child] == p || ped->pollen_parent[child] == p;
}

static bool is_selfed(const struct pb_pedigree *ped, int32_t g)
{
    return ped->seed_parent[g] == ped->pollen_parent[g];
}

static bool are_full_sibs(const struct pb_pedigree *ped, int32_t a, int32_t b)
{
    struct parents p = parents_of(ped, a), q = parents_of(ped, b);
    if (p.of[0] == PB_UNKNOWN || p.of[1] == PB_UNKNOWN)
        return false;
    return (p.of[0] == q.of[0] && p.of[1] == q.of[1]) ||
           (p.of[0] == q.of[1] && p.of[1] == q.of[0]);
}

/* Do the two share a parent? */
static bool are_sibs(const struct pb_pedigree *ped, int32_t a, int32_t b)
{
    struct parents p = parents_of(ped, a);
    for (int i = 0; i < 2; i++)
        if (p.of[i] != PB_UNKNOWN && is_parent(ped, p.of[i], b))
            return true;
    return false;
}

static bool is_grandparent(const struct pb_pedigree *ped, int32_t g, int32_t child)
{
    struct parents p = parents_of(ped, child);
    for (int i = 0; i < 2; i++)
        if (p.of[i] != PB_UNKNOWN && is_parent(ped, g, p.of[i]))
            return true;
    return false;
}

static bool is_parents_sib(const struct pb_pedigree *ped, int32_t a, int32_t child)
{
    struct parents p = parents_of(ped, child);
    for (int i = 0; i < 2; i++)
        if (p.of[i] != PB_UNKNOWN && p.of[i] != a && are_sibs(ped, a, p.of[i]))
            return true;
    return false;
}

static bool are_cousins(const struct pb_pedigree *ped, int32_t a, int32_t b)
{
    struct parents p = parents_of(ped, a);
    for (int i = 0; i < 2; i++)
        if (p.of[i] != PB_UNKNOWN && is_parents_sib(ped, p.of[i], b))
            return true;
    return false;
}

/* The closest relation that two generations of parents show; PB_REL_N: none. */
static enum pb_relation close_relation(const struct pb_pedigree *ped, int32_t a,
                                       int32_t b)
{
    if (a == b)
        return PB_REL_CLONE;
    if (is_parent(ped, a, b) || is_parent(ped, b, a))
        return is_selfed(ped, is_parent(ped, a, b) ? b : a) ? PB_REL_PARENT
                                                            : PB_REL_BACKCROSS;
    if (are_full_sibs(ped, a, b))
        return PB_REL_FULL_SIBS;
    if (are_sibs(ped, a, b))
        return PB_REL_HALF_SIBS;
    if (is_grandparent(ped, a, b) || is_grandparent(ped, b, a))
        return PB_REL_GRANDPARENT;
    if (is_parents_sib(ped, a, b) || is_parents_sib(ped, b, a))
        return PB_REL_PARENTS_SIB;
    return are_cousins(ped, a, b) ? PB_REL_COUSINS : PB_REL_N;
}

/* ---- by all ancestors -------------------------------------------------------------- */

struct climb {
    const struct pb_pedigree *ped;
    struct pb_genetset todo, found;
    size_t found_n;
    int32_t *up[2]; /* [genet_n] generations up from a side and one more; 0: none */
};

static void climb_clear(struct climb *c)
{
    pb_genetset_clear(&c->todo);
    pb_genetset_clear(&c->found);
    free(c->up[0]);
    free(c->up[1]);
}

static enum pb_rc climb_init(struct climb *c, const struct pb_pedigree *ped,
                             struct pb_err *err)
{
    *c = (struct climb){.ped = ped};
    for (int i = 0; i < 2; i++)
        c->up[i] = calloc((size_t)ped->genet_n, sizeof(*c->up[i]));
    if (c->up[0] == NULL || c->up[1] == NULL)
        return pb_fail_memory(err);
    enum pb_rc rc = pb_genetset_init(&c->todo, ped->genet_n, err);
    return rc == PB_OK ? pb_genetset_init(&c->found, ped->genet_n, err) : rc;
}

static void step_up(struct climb *c, int32_t *up, int32_t parent, int32_t child)
{
    if (parent == PB_UNKNOWN)
        return;
    if (up[parent] == 0 || up[parent] > up[child] + 1)
        up[parent] = up[child] + 1;
    pb_genetset_add(&c->todo, parent);
}

/* Count the generations up to every ancestor, youngest first. */
static void count_up(struct climb *c, int32_t *up, int32_t from)
{
    up[from] = 1;
    pb_genetset_add(&c->todo, from);
    while (!pb_genetset_empty(&c->todo)) {
        int32_t g = pb_genetset_take_max(&c->todo);
        step_up(c, up, c->ped->seed_parent[g], g);
        step_up(c, up, c->ped->pollen_parent[g], g);
    }
}

static void find(struct climb *c, int32_t g)
{
    c->found_n += !pb_genetset_has(&c->found, g);
    pb_genetset_add(&c->found, g);
}

/* Find the common ancestors that are reached first. */
static void find_first(struct climb *c, int32_t from)
{
    pb_genetset_add(&c->todo, from);
    while (!pb_genetset_empty(&c->todo)) {
        int32_t g = pb_genetset_take_max(&c->todo);
        struct parents p = parents_of(c->ped, g);
        if (c->up[0][g] > 0 && c->up[1][g] > 0) {
            find(c, g);
            continue;
        }
        for (int i = 0; i < 2; i++)
            if (p.of[i] != PB_UNKNOWN)
                pb_genetset_add(&c->todo, p.of[i]);
    }
}

/* Move the found ones into a list. */
static enum pb_rc take_found(struct climb *c, struct pb_common **list, size_t *n,
                             struct pb_err *err)
{
    size_t made_n = 0;
    struct pb_common *made = malloc(c->found_n * sizeof(*made));
    if (made == NULL)
        return pb_fail_memory(err);
    while (!pb_genetset_empty(&c->found)) {
        int32_t g = pb_genetset_take_max(&c->found);
        made[made_n++] = (struct pb_common){g, c->up[0][g] - 1, c->up[1][g] - 1};
    }
    *list = made;
    *n = made_n;
    return PB_OK;
}

enum pb_rc pb_relation_common(const struct pb_pedigree *ped, int32_t a, int32_t b,
                              struct pb_common **list, size_t *n, struct pb_err *err)
{
    struct climb c;
    enum pb_rc rc = climb_init(&c, ped, err);
    if (rc == PB_OK) {
        count_up(&c, c.up[0], a);
        count_up(&c, c.up[1], b);
        find_first(&c, a);
        find_first(&c, b);
        if (c.found_n > 0) {
            rc = take_found(&c, list, n, err);
        } else {
            *list = NULL;
            *n = 0;
        }
    }
    climb_clear(&c);
    return rc;
}

enum pb_rc pb_relation_find(const struct pb_pedigree *ped, int32_t a, int32_t b,
                            enum pb_relation *relation, struct pb_err *err)
{
    enum pb_relation found = close_relation(ped, a, b);
    if (found == PB_REL_N) {
        struct pb_common *list = NULL;
        size_t n = 0;
        enum pb_rc rc = pb_relation_common(ped, a, b, &list, &n, err);
        if (rc != PB_OK)
            return rc;
        found = n > 0 ? PB_REL_RELATED : PB_REL_UNRELATED;
        for (size_t i = 0; i < n; i++)
            if (list[i].genet == a || list[i].genet == b)
                found = PB_REL_ANCESTOR;
        free(list);
    }
    *relation = found;
    return PB_OK;
}
