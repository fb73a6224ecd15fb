/*
 * Minimum-cost flow between two sides.  See flow.h.
 *
 * Nodes: the left ones, the right ones, a source before the left and a sink behind the
 * right.  Each round finds a cheapest path from source to sink in the residual graph (a
 * chosen edge may be walked back, which gives it up) and changes every edge on it.  With
 * the potentials no residual edge has a negative reduced cost, so Dijkstra's method serves
 * though walking back earns money.
 * Sets of equal cost differ by cycles of residual edges of reduced cost 0 ("tight"); so
 * each edge in order is taken in where such a cycle through it leaves those settled alone.
 */
#include "core/flow.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

enum { NONE = -1 };
enum { OUT, IN, SETTLED }; /* of an edge */

struct flow {
    const struct pb_flow_problem *pr;
    int32_t source, sink, node_n;
    int32_t *first;   /* [left_n + 1] of each left node: its place in by_left */
    int32_t *by_left; /* [edge_n] numbers of edges */
    uint8_t *state;   /* [edge_n] */
    int32_t *head;    /* [right_n] of each right node: an edge that is in, or NONE */
    int32_t *next;    /* [edge_n] and the next one */
    int32_t *used;    /* [node_n] edges in */
    int32_t *settled; /* [node_n] of them settled */
    struct pb_flow_cost *price; /* [node_n] potentials */
    struct pb_flow_cost *dist;  /* [node_n] from the source */
    int32_t *from, *via;  /* [node_n] the way to a node; via NONE: source or sink */
    bool *reached, *done; /* [node_n] */
    int32_t *queue;       /* [node_n] */
};

/* ---- costs ------------------------------------------------------------------------- */

static struct pb_flow_cost plus(struct pb_flow_cost a, struct pb_flow_cost b)
{
    for (int i = 0; i < PB_FLOW_RANKS; i++)
        a.rank[i] += b.rank[i];
    return a;
}

static struct pb_flow_cost minus(struct pb_flow_cost a, struct pb_flow_cost b)
{
    for (int i = 0; i < PB_FLOW_RANKS; i++)
        a.rank[i] -= b.rank[i];
    return a;
}

static int compare(struct pb_flow_cost a, struct pb_flow_cost b)
{
    for (int i = 0; i < PB_FLOW_RANKS; i++)
        if (a.rank[i] != b.rank[i])
            return a.rank[i] < b.rank[i] ? -1 : 1;
    return 0;
}

/* ---- the graph --------------------------------------------------------------------- */

static int32_t left_of(const struct flow *f, int32_t e)
{
    return f->pr->edge[e].left;
}

static int32_t right_of(const struct flow *f, int32_t e)
{
    return f->pr->left_n + f->pr->edge[e].right;
}

static bool is_left(const struct flow *f, int32_t node)
{
    return node < f->pr->left_n;
}

static bool has_room(const struct flow *f, int32_t node)
{
    return f->used[node] < (is_left(f, node) ? f->pr->per_left : f->pr->per_right);
}

/* Take an edge in, or give it up. */
static void change(struct flow *f, int32_t e)
{
    int32_t *link = &f->head[f->pr->edge[e].right];
    int32_t by = f->state[e] == OUT ? 1 : -1;
    if (f->state[e] == OUT) {
        f->next[e] = *link;
        *link = e;
    } else {
        while (*link != e)
            link = &f->next[*link];
        *link = f->next[e];
    }
    f->state[e] = f->state[e] == OUT ? IN : OUT;
    f->used[left_of(f, e)] += by;
    f->used[right_of(f, e)] += by;
}

/* Change every edge on the way that was found to a node. */
static void change_way(struct flow *f, int32_t node, int32_t start)
{
    for (; node != start; node = f->from[node])
        if (f->via[node] != NONE)
            change(f, f->via[node]);
}

/* ---- cheapest paths ---------------------------------------------------------------- */

/* Cost of an edge walked forward, less what the potentials account for. */
static struct pb_flow_cost reduced(const struct flow *f, int32_t e)
{
    return plus(f->pr->edge[e].cost,
                minus(f->price[left_of(f, e)], f->price[right_of(f, e)]));
}

static void relax(struct flow *f, int32_t from, int32_t to, int32_t via,
                  struct pb_flow_cost cost)
{
    struct pb_flow_cost dist = plus(f->dist[from], cost);
    if (f->done[to] || (f->reached[to] && compare(dist, f->dist[to]) >= 0))
        return;
    f->reached[to] = true;
    f->dist[to] = dist;
    f->from[to] = from;
    f->via[to] = via;
}

static void relax_from(struct flow *f, int32_t node)
{
    static const struct pb_flow_cost zero;
    if (node == f->source) {
        for (int32_t l = 0; l < f->pr->left_n; l++)
            if (has_room(f, l))
                relax(f, node, l, NONE, minus(f->price[node], f->price[l]));
    } else if (is_left(f, node)) {
        for (int32_t i = f->first[node]; i < f->first[node + 1]; i++) {
            int32_t e = f->by_left[i];
            if (f->state[e] == OUT)
                relax(f, node, right_of(f, e), e, reduced(f, e));
        }
    } else {
        if (has_room(f, node))
            relax(f, node, f->sink, NONE, minus(f->price[node], f->price[f->sink]));
        for (int32_t e = f->head[node - f->pr->left_n]; e != NONE; e = f->next[e])
            relax(f, node, left_of(f, e), e, minus(zero, reduced(f, e)));
    }
}

/* The reached node that is nearest and not done; NONE: there is none. */
static int32_t nearest(const struct flow *f)
{
    int32_t best = NONE;
    for (int32_t node = 0; node < f->node_n; node++)
        if (f->reached[node] && !f->done[node] &&
            (best == NONE || compare(f->dist[node], f->dist[best]) < 0))
            best = node;
    return best;
}

/* Find the cheapest path to the sink, and raise the potentials.  False: no path. */
static bool find_path(struct flow *f)
{
    for (int32_t node = 0; node < f->node_n; node++)
        f->reached[node] = f->done[node] = false;
    f->reached[f->source] = true;
    f->dist[f->source] = (struct pb_flow_cost){{0}};
    int32_t node = f->source;
    while (node != NONE && node != f->sink) {
        f->done[node] = true;
        relax_from(f, node);
        node = nearest(f);
    }
    if (node == NONE)
        return false;
    for (int32_t i = 0; i < f->node_n; i++)
        f->price[i] = plus(f->price[i], f->dist[f->done[i] ? i : f->sink]);
    return true;
}

/* ---- ties -------------------------------------------------------------------------- */

static bool same_price(const struct flow *f, int32_t a, int32_t b)
{
    return compare(f->price[a], f->price[b]) == 0;
}

static bool is_tight(const struct flow *f, int32_t e)
{
    static const struct pb_flow_cost zero;
    return compare(reduced(f, e), zero) == 0;
}

static void visit(struct flow *f, int32_t *queued, int32_t from, int32_t to,
                  int32_t via)
{
    if (f->reached[to])
        return;
    f->reached[to] = true;
    f->from[to] = from;
    f->via[to] = via;
    f->queue[(*queued)++] = to;
}

/* From the source to left nodes with room, from the sink to right nodes in use. */
static void visit_from_end(struct flow *f, int32_t *queued, int32_t end)
{
    bool source = end == f->source;
    int32_t first = source ? 0 : f->pr->left_n;
    int32_t behind = source ? f->pr->left_n : f->source;
    for (int32_t node = first; node < behind; node++)
        if ((source ? has_room(f, node) : f->used[node] > 0) &&
            same_price(f, node, end))
            visit(f, queued, end, node, NONE);
}

static void visit_from_left(struct flow *f, int32_t *queued, int32_t node)
{
    if (f->used[node] > 0 && same_price(f, node, f->source))
        visit(f, queued, node, f->source, NONE);
    for (int32_t i = f->first[node]; i < f->first[node + 1]; i++) {
        int32_t e = f->by_left[i];
        if (f->state[e] == OUT && is_tight(f, e))
            visit(f, queued, node, right_of(f, e), e);
    }
}

static void visit_from_right(struct flow *f, int32_t *queued, int32_t node)
{
    if (has_room(f, node) && same_price(f, node, f->sink))
        visit(f, queued, node, f->sink, NONE);
    for (int32_t e = f->head[node - f->pr->left_n]; e != NONE; e = f->next[e])
        if (f->state[e] == IN && is_tight(f, e))
            visit(f, queued, node, left_of(f, e), e);
}

/* Visit the neighbours along tight residual edges, but for settled ones. */
static void visit_from(struct flow *f, int32_t *queued, int32_t node)
{
    if (node >= f->source)
        visit_from_end(f, queued, node);
    else if (is_left(f, node))
        visit_from_left(f, queued, node);
    else
        visit_from_right(f, queued, node);
}

/* Take a tight edge in at no cost, by a tight cycle through it.  Was there one? */
static bool exchange(struct flow *f, int32_t e)
{
    int32_t start = right_of(f, e), goal = left_of(f, e), queued = 0;
    if (f->settled[goal] == f->pr->per_left || f->settled[start] == f->pr->per_right)
        return false;
    for (int32_t node = 0; node < f->node_n; node++)
        f->reached[node] = false;
    visit(f, &queued, NONE, start, NONE);
    for (int32_t i = 0; i < queued && !f->reached[goal]; i++)
        visit_from(f, &queued, f->queue[i]);
    if (!f->reached[goal])
        return false;
    change_way(f, goal, start);
    change(f, e);
    return true;
}

/* Among the sets of this cost go over to the one that comes first. */
static void settle_ties(struct flow *f, size_t chosen_n)
{
    size_t left = chosen_n;
    for (int32_t e = 0; left > 0; e++) {
        if (f->state[e] == OUT && !(is_tight(f, e) && exchange(f, e)))
            continue;
        f->state[e] = SETTLED;
        f->settled[left_of(f, e)]++;
        f->settled[right_of(f, e)]++;
        left--;
    }
}

/* ---- API --------------------------------------------------------------------------- */

static void flow_clear(struct flow *f)
{
    free(f->first);
    free(f->by_left);
    free(f->state);
    free(f->head);
    free(f->next);
    free(f->used);
    free(f->settled);
    free(f->price);
    free(f->dist);
    free(f->from);
    free(f->via);
    free(f->reached);
    free(f->done);
    free(f->queue);
}

static void sort_by_left(struct flow *f)
{
    int32_t edge_n = (int32_t)f->pr->edge_n, left_n = f->pr->left_n;
    for (int32_t e = 0; e < edge_n; e++)
        f->first[left_of(f, e) + 1]++;
    for (int32_t l = 0; l < left_n; l++)
        f->first[l + 1] += f->first[l];
    /* Filling moves each first place to the next one's; then they are moved back. */
    for (int32_t e = 0; e < edge_n; e++)
        f->by_left[f->first[left_of(f, e)]++] = e;
    for (int32_t l = left_n; l > 0; l--)
        f->first[l] = f->first[l - 1];
    f->first[0] = 0;
}

static enum pb_rc flow_init(struct flow *f, const struct pb_flow_problem *pr,
                            struct pb_err *err)
{
    int32_t middle = pr->left_n + pr->right_n;
    size_t nodes = (size_t)middle + 2, edges = pr->edge_n + 1;
    size_t heads = (size_t)pr->right_n + 1;
    *f = (struct flow){
        .pr = pr, .source = middle, .sink = middle + 1, .node_n = middle + 2};
    f->first = calloc((size_t)pr->left_n + 2, sizeof(*f->first));
    f->by_left = malloc(edges * sizeof(*f->by_left));
    f->state = calloc(edges, sizeof(*f->state));
    f->head = malloc(heads * sizeof(*f->head));
    f->next = calloc(edges, sizeof(*f->next));
    f->used = calloc(nodes, sizeof(*f->used));
    f->settled = calloc(nodes, sizeof(*f->settled));
    f->price = calloc(nodes, sizeof(*f->price));
    f->dist = malloc(nodes * sizeof(*f->dist));
    f->from = malloc(nodes * sizeof(*f->from));
    f->via = malloc(nodes * sizeof(*f->via));
    f->reached = malloc(nodes * sizeof(*f->reached));
    f->done = malloc(nodes * sizeof(*f->done));
    f->queue = malloc(nodes * sizeof(*f->queue));
    if (f->first == NULL || f->by_left == NULL || f->state == NULL || f->head == NULL ||
        f->next == NULL || f->used == NULL || f->settled == NULL || f->price == NULL ||
        f->dist == NULL || f->from == NULL || f->via == NULL || f->reached == NULL ||
        f->done == NULL || f->queue == NULL)
        return pb_fail_memory(err);
    memset(f->head, 0xFF, heads * sizeof(*f->head)); /* NONE */
    sort_by_left(f);
    return PB_OK;
}

enum pb_rc pb_flow_choose(const struct pb_flow_problem *problem, size_t want,
                          size_t *chosen, size_t *chosen_n, struct pb_err *err)
{
    struct flow f;
    size_t n = 0;
    enum pb_rc rc = flow_init(&f, problem, err);
    if (rc == PB_OK) {
        for (; n < want && find_path(&f); n++)
            change_way(&f, f.sink, f.source);
        settle_ties(&f, n);
        for (size_t e = 0, i = 0; i < n; e++)
            if (f.state[e] != OUT)
                chosen[i++] = e;
        *chosen_n = n;
    }
    flow_clear(&f);
    return rc;
}
