/*
 * F by ancestor tracing: for each cross, walk from both parents up and meet.
 *
 * With L(a,p) the share of p's genes that come down from a along the lines of descent and
 * D(a) the Mendelian variance, f(p,q) = 1/2 sum over common ancestors a of
 * L(a,p) L(a,q) D(a).  Two walks, the quick one first:
 *
 * Line by line, with a stack: every line of descent from p leaves its share on the way,
 * every line from q collects.  No order is needed and little is touched, but lines
 * multiply with the generations, so it is given up after MAX_LINES ancestors.
 *
 * Youngest first, both sides at once, each ancestor once (Meuwissen & Luo 1992, Genet.
 * Sel. Evol. 24:305-313, with two vectors).  It ends when one side has nothing left that
 * the other lacks, or when one ancestor c alone is left: all that follows is then
 * L(c,p) L(c,q) (1 + F(c)), for 1 + F(c) = sum over a of L(a,c)^2 D(a).
 *
 * Neither goes above an ancestor whose founders cannot be the other side's: each genet
 * has a mask of 64 bits, the founders dealt over them; masks apart, ancestors apart.
 * Full sibs have one F: the last pairs are remembered, since a capsule gives many.
 */
#include "core/genetset.h"
#include "core/kinship_methods.h"

#include <math.h>
#include <stdlib.h>

enum {
    MAX_LINES = 384,
    RECENT = 4096, /* pairs remembered; a power of two */
    SAMPLES = 64,  /* crosses that the estimate traces */
    LINE_NS = 18,  /* for an ancestor; measured, see tests/bench */
    ORDER_NS = 32
};

struct node {
    int32_t p, q;
    double x, y;   /* shares of the two sides while a walk goes on, else 0 */
    uint64_t mask; /* of founders */
};

struct recent {
    int32_t p, q;
    double f;
};

/* A walk line by line: where p's lines left shares, and what is laid by, the second
 * parents of the ancestors passed.  Each ancestor passed adds one at most. */
struct lines {
    int32_t seen[MAX_LINES];
    size_t seen_n;
    struct {
        int32_t g;
        double share;
    } left[MAX_LINES];
    size_t left_n;
};

struct tracer {
    struct node *node;     /* [genet_n] */
    double *d;             /* [genet_n] Mendelian variance */
    struct recent *recent; /* [RECENT] */
    struct lines lines;
    struct pb_genetset todo;
    int32_t open[4];        /* of todo, by side: 1 only p's, 2 only q's, 3 both */
    size_t line_n, order_n; /* ancestors walked over in all */
    int32_t founder_n;
};

/* ---- line by line ------------------------------------------------------------------ */

/* The next ancestor: the first parent of v (with the second one laid by), or, at the top
 * of a line or where there is nothing to find above, one laid by; PB_UNKNOWN: none. */
static int32_t next_on_line(struct lines *l, const struct node *v, bool up,
                            double *share)
{
    if (up && v->p == v->q && v->p != PB_UNKNOWN)
        return v->p;
    if (up && v->p != v->q) {
        *share /= 2;
        if (v->p == PB_UNKNOWN || v->q == PB_UNKNOWN)
            return v->p == PB_UNKNOWN ? v->q : v->p;
        l->left[l->left_n].g = v->q;
        l->left[l->left_n++].share = *share;
        return v->p;
    }
    if (l->left_n == 0)
        return PB_UNKNOWN;
    *share = l->left[--l->left_n].share;
    return l->left[l->left_n].g;
}

/* Leave the shares of p's lines where q's may pass.  False: given up. */
static bool leave_shares(struct tracer *t, int32_t p, uint64_t other)
{
    struct lines *l = &t->lines;
    double share = 1;
    size_t steps = 0;
    for (int32_t a = p; a != PB_UNKNOWN && steps < MAX_LINES; steps++) {
        struct node *v = &t->node[a];
        bool up = (v->mask & other) != 0;
        if (up && v->x == 0)
            l->seen[l->seen_n++] = a;
        if (up)
            v->x += share;
        a = next_on_line(l, v, up, &share);
    }
    t->line_n += steps;
    return steps < MAX_LINES;
}

/* Collect along q's lines: twice the kinship.  False: given up. */
static bool collect(struct tracer *t, int32_t q, uint64_t other, double *sum)
{
    struct lines *l = &t->lines;
    double share = 1;
    size_t steps = 0;
    for (int32_t a = q; a != PB_UNKNOWN && steps < MAX_LINES; steps++) {
        const struct node *v = &t->node[a];
        if (v->x != 0)
            *sum += share * v->x * t->d[a];
        a = next_on_line(l, v, (v->mask & other) != 0, &share);
    }
    t->line_n += steps;
    return steps < MAX_LINES;
}

static bool by_lines(struct tracer *t, int32_t p, int32_t q, double *f)
{
    double sum = 0;
    t->lines.seen_n = t->lines.left_n = 0;
    bool done =
        leave_shares(t, p, t->node[q].mask) && collect(t, q, t->node[p].mask, &sum);
    for (size_t i = 0; i < t->lines.seen_n; i++)
        t->node[t->lines.seen[i]].x = 0;
    *f = sum / 2;
    return done;
}

/* ---- youngest first ---------------------------------------------------------------- */

static int side(const struct node *v)
{
    return (v->x > 0) + 2 * (v->y > 0);
}

static void push(struct tracer *t, int32_t g, double x, double y)
{
    if (g == PB_UNKNOWN)
        return;
    struct node *v = &t->node[g];
    int before = side(v);
    v->x += x;
    v->y += y;
    t->open[before]--;
    t->open[side(v)]++;
    if (before == 0)
        pb_genetset_add(&t->todo, g);
}

/* Take the youngest, with its shares. */
static int32_t pull(struct tracer *t, double *x, double *y)
{
    int32_t a = pb_genetset_take_max(&t->todo);
    struct node *v = &t->node[a];
    t->open[side(v)]--;
    *x = v->x;
    *y = v->y;
    v->x = v->y = 0;
    return a;
}

/* Can a common ancestor still come? */
static bool goes_on(const struct tracer *t)
{
    return t->open[3] > 0 || (t->open[1] > 0 && t->open[2] > 0);
}

static double by_age(struct tracer *t, const double *f, int32_t p, int32_t q)
{
    uint64_t mask_p = t->node[p].mask, mask_q = t->node[q].mask;
    double sum = 0, x = 0, y = 0;
    push(t, p, 1, 0);
    push(t, q, 0, 1);
    while (goes_on(t)) {
        int32_t a = pull(t, &x, &y);
        t->order_n++;
        if (pb_genetset_empty(&t->todo)) {
            sum += x * y * (1.0 + f[a]);
            break;
        }
        sum += x * y * t->d[a];
        const struct node *v = &t->node[a];
        bool up =
            (x > 0 || (v->mask & mask_p) != 0) && (y > 0 || (v->mask & mask_q) != 0);
        if (up && v->p == v->q) {
            push(t, v->p, x, y);
        } else if (up) {
            push(t, v->p, x / 2, y / 2);
            push(t, v->q, x / 2, y / 2);
        }
    }
    while (!pb_genetset_empty(&t->todo))
        (void)pull(t, &x, &y);
    return sum / 2;
}

/* ---- all crosses ------------------------------------------------------------------- */

static void tracer_clear(struct tracer *t)
{
    pb_genetset_clear(&t->todo);
    free(t->node);
    free(t->d);
    free(t->recent);
}

static enum pb_rc tracer_init(struct tracer *t, const struct pb_pedigree *ped,
                              struct pb_err *err)
{
    size_t n = ped->genet_n > 0 ? (size_t)ped->genet_n : 1;
    *t = (struct tracer){0};
    t->node = malloc(n * sizeof(*t->node));
    t->d = malloc(n * sizeof(*t->d));
    t->recent = calloc(RECENT, sizeof(*t->recent));
    if (t->node == NULL || t->d == NULL || t->recent == NULL)
        return pb_fail_memory(err);
    return pb_genetset_init(&t->todo, ped->genet_n, err);
}

/* Make the next genet known to the tracer. */
static void enter(struct tracer *t, const struct pb_pedigree *ped, int32_t g)
{
    int32_t p = ped->seed_parent[g], q = ped->pollen_parent[g];
    uint64_t mask = (p != PB_UNKNOWN ? t->node[p].mask : 0) |
                    (q != PB_UNKNOWN ? t->node[q].mask : 0);
    if (p == PB_UNKNOWN && q == PB_UNKNOWN)
        mask = UINT64_C(1) << (t->founder_n++ & 63);
    t->node[g] = (struct node){.p = p, .q = q, .mask = mask};
}

static double trace(struct tracer *t, const double *f, int32_t p, int32_t q)
{
    double k = 0;
    if ((t->node[p].mask & t->node[q].mask) == 0 || by_lines(t, p, q, &k))
        return k;
    return by_age(t, f, p, q);
}

/* Where a pair is remembered: multiplicative hashing, Knuth, TAOCP volume 3, 6.4. */
static struct recent *recent_place(const struct tracer *t, int32_t p, int32_t q)
{
    uint64_t key = ((uint64_t)(uint32_t)p * 31 + (uint64_t)(uint32_t)q) & 0xFFFFFFFFU;
    return &t->recent[(key * 0x9E3779B1U >> 20) % RECENT];
}

/* F of a cross, remembered.  An empty place holds the pair 0, 0, which is no cross. */
static double f_of_cross(struct tracer *t, const double *f, int32_t p, int32_t q)
{
    struct recent *seen = recent_place(t, p, q);
    if (seen->p != p || seen->q != q)
        *seen = (struct recent){p, q, trace(t, f, p, q)};
    return seen->f;
}

enum pb_rc pb_trace_inbreeding(const struct pb_pedigree *ped, double *f,
                               struct pb_err *err)
{
    struct tracer t;
    enum pb_rc rc = tracer_init(&t, ped, err);
    for (int32_t g = 0; rc == PB_OK && g < ped->genet_n; g++) {
        int32_t p = ped->seed_parent[g], q = ped->pollen_parent[g];
        enter(&t, ped, g);
        t.d[g] = pb_mendelian(ped, f, g);
        f[g] = !pb_is_cross(ped, g) ? pb_plain_f(ped, f, g)
               : p < q              ? f_of_cross(&t, f, p, q)
                                    : f_of_cross(&t, f, q, p);
    }
    tracer_clear(&t);
    return rc;
}

/* Trace crosses spread evenly over the pedigree, and see how many ancestors they have.
 * F is not known yet and not needed: d, all zero, stands for it. */
enum pb_rc pb_trace_cost(const struct pb_pedigree *ped, double bound,
                         struct pb_kinship_cost *cost, struct pb_err *err)
{
    struct tracer t;
    int32_t stride = ped->genet_n / SAMPLES + 1, next = stride / 2;
    double taken = 0, crosses = 0, ns = 0;
    enum pb_rc rc = tracer_init(&t, ped, err);
    for (int32_t g = 0; rc == PB_OK && g < ped->genet_n && ns <= bound; g++) {
        int32_t p = ped->seed_parent[g], q = ped->pollen_parent[g];
        enter(&t, ped, g);
        t.d[g] = 0;
        if (!pb_is_cross(ped, g))
            continue;
        struct recent *seen = p < q ? recent_place(&t, p, q) : recent_place(&t, q, p);
        if (seen->p == p && seen->q == q)
            continue;
        *seen = (struct recent){.p = p, .q = q};
        crosses++;
        if (g >= next) {
            (void)trace(&t, t.d, p, q);
            taken++;
            next += stride;
        }
        if (taken > 0)
            ns = ((double)t.line_n * LINE_NS + (double)t.order_n * ORDER_NS) *
                 (crosses / taken);
    }
    *cost = (struct pb_kinship_cost){.ns = ns <= bound ? ns : HUGE_VAL};
    tracer_clear(&t);
    return rc;
}
