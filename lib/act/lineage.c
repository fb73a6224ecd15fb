/* The pedigree of a plant as a tree.  See lineage.h.  The nodes that are still to be
 * visited wait on a stack of our own: a hostile pedigree must not break the program's. */
#include "act/lineage.h"

#include <stdlib.h>
#include <string.h>

enum { UNSEEN, SHOWN, OPENED };

struct walk {
    struct pb_lineage *l;
    const struct pb_pedigree *ped;
    uint8_t *seen;                 /* [genet_n] */
    int32_t *child_at, *child;     /* offspring of genet g: child[child_at[g]..] */
    struct pb_lineage_node *stack; /* the top is the next line */
    size_t n, cap;
};

static enum pb_rc grow(struct pb_lineage_node **v, size_t n, size_t *cap,
                       struct pb_err *err)
{
    if (n < *cap)
        return PB_OK;
    size_t more_cap = *cap > 0 ? *cap * 2 : 64;
    struct pb_lineage_node *more = realloc(*v, more_cap * sizeof(*more));
    if (more == NULL)
        return pb_fail_memory(err);
    *v = more;
    *cap = more_cap;
    return PB_OK;
}

static enum pb_rc push(struct walk *w, struct pb_lineage_node node, struct pb_err *err)
{
    enum pb_rc rc = grow(&w->stack, w->n, &w->cap, err);
    if (rc != PB_OK || w->stack == NULL) /* the latter for the compiler */
        return rc;
    w->stack[w->n++] = node;
    return PB_OK;
}

static bool has_parents(const struct pb_pedigree *ped, int32_t g)
{
    return ped->seed_parent[g] != PB_UNKNOWN || ped->pollen_parent[g] != PB_UNKNOWN;
}

/* The last pushed is the first shown. */
static enum pb_rc push_parents(struct walk *w, const struct pb_lineage_node *of,
                               struct pb_err *err)
{
    int32_t seed = w->ped->seed_parent[of->genet];
    int32_t pollen = w->ped->pollen_parent[of->genet];
    struct pb_lineage_node node = {.mate = PB_UNKNOWN, .depth = of->depth + 1};
    node.last = true;
    node.genet = pollen;
    node.line = seed == pollen ? PB_LINE_BOTH_PARENTS : PB_LINE_POLLEN_PARENT;
    enum pb_rc rc = push(w, node, err);
    if (rc != PB_OK || seed == pollen)
        return rc;
    node.last = false;
    node.genet = seed;
    node.line = PB_LINE_SEED_PARENT;
    return push(w, node, err);
}

static enum pb_rc push_children(struct walk *w, const struct pb_lineage_node *of,
                                struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    int32_t from = w->child_at[of->genet], to = w->child_at[of->genet + 1];
    for (int32_t i = to - 1; i >= from && rc == PB_OK; i--) {
        int32_t c = w->child[i];
        bool by_seed = w->ped->seed_parent[c] == of->genet;
        bool by_pollen = w->ped->pollen_parent[c] == of->genet;
        rc = push(w,
                  (struct pb_lineage_node){.genet = c,
                                           .mate = by_seed ? w->ped->pollen_parent[c]
                                                           : w->ped->seed_parent[c],
                                           .line = by_seed && by_pollen
                                                       ? PB_LINE_BY_SELFING
                                                   : by_seed ? PB_LINE_BY_SEED
                                                             : PB_LINE_BY_POLLEN,
                                           .depth = of->depth + 1,
                                           .last = i == to - 1},
                  err);
    }
    return rc;
}

static enum pb_rc visit(struct walk *w, bool down, struct pb_err *err)
{
    struct pb_lineage_node node = w->stack[--w->n];
    struct pb_lineage *l = w->l;
    bool more = node.genet != PB_UNKNOWN &&
                (down ? w->child_at[node.genet] < w->child_at[node.genet + 1]
                      : has_parents(w->ped, node.genet));
    /* the one past the last is of parents that are not known */
    uint8_t *seen = &w->seen[node.genet != PB_UNKNOWN ? node.genet : w->ped->genet_n];
    node.repeat = node.genet != PB_UNKNOWN && *seen != UNSEEN;
    node.again = more && *seen == OPENED;
    node.cut = more && !node.again && node.depth == PB_LINEAGE_DEPTH;
    enum pb_rc rc = grow(&l->node, l->n, &l->cap, err);
    if (rc != PB_OK)
        return rc;
    l->node[l->n++] = node;
    if (!node.repeat)
        *seen = SHOWN;
    if (!more || node.again || node.cut)
        return PB_OK;
    *seen = OPENED;
    return down ? push_children(w, &node, err) : push_parents(w, &node, err);
}

/* The parents of a genet that are known, each once. */
static int known_parents(const struct pb_pedigree *ped, int32_t g, int32_t p[2])
{
    int32_t seed = ped->seed_parent[g], pollen = ped->pollen_parent[g];
    int n = 0;
    if (seed != PB_UNKNOWN)
        p[n++] = seed;
    if (pollen != PB_UNKNOWN && pollen != seed)
        p[n++] = pollen;
    return n;
}

/* The offspring of every genet, by counting. */
static enum pb_rc list_children(struct walk *w, struct pb_err *err)
{
    int32_t n = w->ped->genet_n, p[2];
    w->child_at = calloc((size_t)n + 2, sizeof(*w->child_at));
    w->child = calloc(2 * (size_t)n + 1, sizeof(*w->child));
    if (w->child_at == NULL || w->child == NULL)
        return pb_fail_memory(err);
    int32_t *at =
        w->child_at + 1; /* at[g]: first the number of g, then where they end */
    for (int32_t g = 0; g < n; g++)
        for (int k = known_parents(w->ped, g, p); k-- > 0;)
            at[p[k] + 1]++;
    for (int32_t g = 0; g < n; g++)
        at[g + 1] += at[g];
    for (int32_t g = 0; g < n; g++)
        for (int k = known_parents(w->ped, g, p); k-- > 0;)
            w->child[at[p[k]]++] = g;
    return PB_OK;
}

/* The plants of every clone, in the order of entry. */
static enum pb_rc list_plants(struct pb_lineage *l, struct pb_err *err)
{
    size_t rows = l->kin.family.n, genets = (size_t)l->kin.ped.genet_n;
    l->first = malloc((genets + 1) * sizeof(*l->first));
    l->next = malloc((rows + 1) * sizeof(*l->next));
    if (l->first == NULL || l->next == NULL)
        return pb_fail_memory(err);
    for (size_t g = 0; g < genets; g++)
        l->first[g] = PB_UNKNOWN;
    for (size_t i = rows; i > 0;) {
        i--;
        int32_t g = l->kin.ped.genet_of[i];
        if ((l->kin.family.flags[i] & PB_FAMILY_WITHDRAWN) != 0)
            continue;
        l->next[i] = l->first[g];
        l->first[g] = (int32_t)i;
    }
    return PB_OK;
}

enum pb_rc pb_act_lineage(struct pb_act *a, int64_t plant, bool down,
                          struct pb_lineage *lineage, struct pb_err *err)
{
    const struct pb_family_ask whole = {NULL, 0, true};
    struct walk w = {.l = lineage};
    memset(lineage, 0, sizeof(*lineage));
    enum pb_rc rc = pb_kin_load(a, &whole, &lineage->kin, err);
    if (rc == PB_OK)
        rc = list_plants(lineage, err);
    w.ped = &lineage->kin.ped;
    w.seen = calloc((size_t)w.ped->genet_n + 1, 1);
    if (rc == PB_OK && w.seen == NULL)
        rc = pb_fail_memory(err);
    if (rc == PB_OK && down)
        rc = list_children(&w, err);
    if (rc == PB_OK)
        rc = push(&w,
                  (struct pb_lineage_node){.genet = pb_kin_genet(&lineage->kin, plant),
                                           .mate = PB_UNKNOWN,
                                           .line = PB_LINE_ROOT,
                                           .last = true},
                  err);
    while (rc == PB_OK && w.n > 0)
        rc = visit(&w, down, err);
    free(w.seen);
    free(w.child_at);
    free(w.child);
    free(w.stack);
    return rc;
}

void pb_lineage_clear(struct pb_lineage *lineage)
{
    pb_kin_clear(&lineage->kin);
    free(lineage->node);
    free(lineage->first);
    free(lineage->next);
    memset(lineage, 0, sizeof(*lineage));
}
