/*
 * The cheapest set of so many edges between two sides, exactly.
 *
 * A node of either side may be used a number of times, an edge once.  Costs are whole
 * numbers in three ranks: the first decides, the second where the first is equal, and so
 * on; among the sets of one cost the one whose list of edges is first in the order of
 * words (smallest first edge, then second ...).  So the answer is one and no other.
 */
#ifndef PB_CORE_FLOW_H
#define PB_CORE_FLOW_H

#include "base/err.h"

#include <stddef.h>
#include <stdint.h>

enum { PB_FLOW_RANKS = 3 };

/* None negative; at most 2^42, and PB_MAX_PAIRS edges: sums fit. */
struct pb_flow_cost {
    int64_t rank[PB_FLOW_RANKS];
};

struct pb_flow_edge {
    int32_t left, right; /* nodes, from 0 */
    struct pb_flow_cost cost;
};

struct pb_flow_problem {
    const struct pb_flow_edge *edge; /* [edge_n]; two nodes may have several */
    size_t edge_n;
    int32_t left_n, right_n;
    int32_t per_left, per_right; /* how often a node may be used, at least 1 */
};

/*
 * Choose want edges, or as many as there can be.
 *   chosen    out: [want] numbers of edges, ascending
 *   chosen_n  out: how many
 * Cost O(want (edges + nodes^2)) to choose; to settle ties O(tied edges) for each tied edge
 * that comes before one chosen.  Memory about 40 bytes an edge.
 * Source: successive shortest paths with potentials, Edmonds & Karp (1972), J. ACM 19:248;
 * Ahuja, Magnanti & Orlin (1993), Network Flows, 9.7.
 */
enum pb_rc pb_flow_choose(const struct pb_flow_problem *problem, size_t want,
                          size_t *chosen, size_t *chosen_n, struct pb_err *err);

#endif
