/*
 * The plain tabular method, row by row and in full: the other program that kinship is
 * compared with.  It knows nothing of genets: a clone's row is a copy of its source's.
 * Source: Emik & Terrill (1949), J. Hered. 40:51-55.
 */
#ifndef PB_TESTS_TABULAR_H
#define PB_TESTS_TABULAR_H

#include "pedgen.h"

/* An order of the rows, each after those it needs, by going over them again and again. */
static inline int32_t *plain_order(const struct made *m)
{
    int32_t *order = made_column(m->n), done_n = 0;
    bool *done = calloc((size_t)m->n + 1, sizeof(*done));
    if (done == NULL)
        abort();
    while (done_n < m->n)
        for (int32_t r = 0; r < m->n; r++) {
            int32_t p = m->seed_parent[r], q = m->pollen_parent[r], c = m->clone_of[r];
            if (!done[r] && (p < 0 || done[p]) && (q < 0 || done[q]) &&
                (c < 0 || done[c])) {
                done[r] = true;
                order[done_n++] = r;
            }
        }
    free(done);
    return order;
}

/* Kinship of every two rows: [n * n]; yours. */
static inline double *tabular(const struct made *m)
{
    size_t n = (size_t)m->n;
    double *k = calloc(n * n + 1, sizeof(*k));
    int32_t *order = plain_order(m);
    if (k == NULL)
        abort();
    for (int32_t i = 0; i < m->n; i++) {
        size_t r = (size_t)order[i];
        int32_t p = m->seed_parent[r], q = m->pollen_parent[r], c = m->clone_of[r];
        for (int32_t j = 0; j < i; j++) {
            size_t s = (size_t)order[j];
            double v = c >= 0 ? k[(size_t)c * n + s]
                              : ((p >= 0 ? k[(size_t)p * n + s] : 0) +
                                 (q >= 0 ? k[(size_t)q * n + s] : 0)) /
                                    2;
            k[r * n + s] = k[s * n + r] = v;
        }
        double f = p >= 0 && q >= 0 ? k[(size_t)p * n + (size_t)q] : 0;
        k[r * n + r] = c >= 0 ? k[(size_t)c * n + (size_t)c] : (1 + f) / 2;
    }
    free(order);
    return k;
}

#endif
