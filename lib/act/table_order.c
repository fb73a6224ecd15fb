/* The rows of a table of plants, parents before their offspring.  See intake.h. */
#include "act/intake.h"

#include "base/text.h"
#include "core/pedigree.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct sorting {
    const char *code;
    size_t row;
};

static int by_code(const void *pa, const void *pb)
{
    const struct sorting *a = pa, *b = pb;
    int c = pb_text_casecmp(a->code, b->code);
    return c != 0 ? c : (a->row > b->row) - (a->row < b->row);
}

static bool is_single(const struct pb_intake *t, const char *code)
{
    struct pb_own_code own;
    return t->ask->as == PB_TABLE_PLANTS ? code[0] != '\0'
                                         : pb_intake_own_code(code, &own);
}

enum pb_rc pb_intake_codes(struct pb_intake *t, struct pb_err *err)
{
    struct sorting *s = calloc(t->table.row_n, sizeof(*s));
    enum pb_rc rc = s != NULL ? PB_OK : pb_fail_memory(err);
    size_t n = 0;
    for (size_t row = 1; rc == PB_OK && row < t->table.row_n; row++)
        if (is_single(t, pb_intake_cell(t, row, 0)))
            s[n++] = (struct sorting){pb_intake_cell(t, row, 0), row};
    if (rc == PB_OK && n > 1)
        qsort(s, n, sizeof(*s), by_code);
    for (size_t i = 0; rc == PB_OK && i < n; i++) {
        size_t last = t->by_code_n > 0 ? t->by_code[t->by_code_n - 1] : 0;
        if (last == 0 || pb_text_casecmp(pb_intake_cell(t, last, 0), s[i].code) != 0) {
            t->by_code[t->by_code_n++] = s[i].row;
            continue;
        }
        struct pb_err why = {.where = "code"};
        (void)snprintf(why.text, sizeof(why.text), "%s stands on line %ld already",
                       pb_intake_cell(t, last, 0), t->table.row[last].line);
        rc = pb_intake_refuse(t, s[i].row, &why, err);
    }
    free(s);
    return rc;
}

/* The row of the table that has a code; PB_UNKNOWN: none. */
static int32_t row_of(const struct pb_intake *t, const char *code)
{
    size_t low = 0, high = t->by_code_n;
    while (code[0] != '\0' && low < high) {
        size_t mid = low + (high - low) / 2;
        int c = pb_text_casecmp(pb_intake_cell(t, t->by_code[mid], 0), code);
        if (c == 0)
            return (int32_t)t->by_code[mid];
        if (c < 0)
            low = mid + 1;
        else
            high = mid;
    }
    return PB_UNKNOWN;
}

/* Who is parent or source of whom inside the table. */
static enum pb_rc link_rows(struct pb_intake *t, struct pb_err *err)
{
    for (int k = 0; k < PARENT_COLUMNS; k++) {
        t->parent[k] = calloc(t->table.row_n, sizeof(*t->parent[k]));
        if (t->parent[k] == NULL)
            return pb_fail_memory(err);
        t->parent[k][0] = PB_UNKNOWN;
        for (size_t row = 1; row < t->table.row_n; row++)
            t->parent[k][row] =
                row_of(t, pb_intake_cell(t, row, SEED_COLUMN + (size_t)k));
    }
    return PB_OK;
}

/* Rows that descend from themselves. */
static enum pb_rc refuse_rings(struct pb_intake *t, struct pb_err *err)
{
    const struct pb_pedigree_rows rows = {t->table.row_n, t->parent[0], t->parent[1],
                                          t->parent[2]};
    size_t bad = 0;
    uint8_t *kinds = calloc(t->table.row_n, 1);
    enum pb_rc rc = kinds != NULL ? pb_pedigree_check(&rows, kinds, &bad, err)
                                  : pb_fail_memory(err);
    for (size_t row = 1; rc == PB_OK && row < t->table.row_n; row++) {
        struct pb_err why = {0};
        if (kinds[row] != PB_FAULT_CYCLE)
            continue;
        (void)snprintf(why.text, sizeof(why.text), "%s would descend from itself",
                       pb_intake_cell(t, row, 0));
        for (int k = 0; k < PARENT_COLUMNS; k++) {
            int32_t p = t->parent[k][row];
            if (p == PB_UNKNOWN || kinds[p] != PB_FAULT_CYCLE)
                continue;
            (void)snprintf(why.where, sizeof(why.where), "%s",
                           t->known[SEED_COLUMN + k].field);
            (void)snprintf(why.text, sizeof(why.text),
                           "%s would descend from itself through %s",
                           pb_intake_cell(t, row, 0), pb_intake_cell(t, (size_t)p, 0));
        }
        rc = pb_intake_refuse(t, row, &why, err);
    }
    free(kinds);
    return rc;
}

/* A parent that is in the table and bad makes its offspring bad. */
static enum pb_rc check_parents(struct pb_intake *t, size_t row, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (int k = 0; k < PARENT_COLUMNS && rc == PB_OK; k++) {
        int32_t p = t->parent[k][row];
        struct pb_err why = {0};
        if (p == PB_UNKNOWN || t->why[p] == NULL)
            continue;
        t->follows[row] = t->follows[row] || t->why[row] == NULL;
        (void)snprintf(why.where, sizeof(why.where), "%s",
                       t->known[SEED_COLUMN + k].field);
        (void)snprintf(why.text, sizeof(why.text), "%s, on line %ld, is bad itself",
                       pb_intake_cell(t, (size_t)p, 0), t->table.row[p].line);
        rc = pb_intake_refuse(t, row, &why, err);
    }
    return rc;
}

/* Rows that wait for others. */
struct queue {
    size_t *ready; /* rows that may be entered, in their order */
    size_t ready_n;
    int32_t *first,
        *next;      /* first[p], next[]: the links of which row p is the parent, as
                              1 + row * PARENT_COLUMNS + column; 0: no more */
    uint8_t *waits; /* for how many parents of the table a row waits */
};

static enum pb_rc queue_make(struct queue *q, const struct pb_intake *t,
                             struct pb_err *err)
{
    size_t n = t->table.row_n;
    q->ready = calloc(n, sizeof(*q->ready));
    q->first = calloc(n, sizeof(*q->first));
    q->next = calloc(n * PARENT_COLUMNS, sizeof(*q->next));
    q->waits = calloc(n, 1);
    if (q->ready == NULL || q->first == NULL || q->next == NULL || q->waits == NULL)
        return pb_fail_memory(err);
    for (size_t row = n; row-- > 1;)
        for (int k = 0; k < PARENT_COLUMNS; k++) {
            int32_t p = t->parent[k][row];
            if (p == PB_UNKNOWN || t->why[row] != NULL)
                continue;
            size_t link = row * PARENT_COLUMNS + (size_t)k;
            q->next[link] = q->first[p];
            q->first[p] = (int32_t)link + 1;
            q->waits[row]++;
        }
    for (size_t row = 1; row < n; row++)
        if (q->waits[row] == 0)
            q->ready[q->ready_n++] = row;
    return PB_OK;
}

static void queue_free(struct queue *q)
{
    free(q->ready);
    free(q->first);
    free(q->next);
    free(q->waits);
}

/* A row is done: its offspring wait for one less. */
static void queue_done(struct queue *q, size_t row)
{
    for (int32_t l = q->first[row]; l != 0; l = q->next[l - 1]) {
        size_t child = (size_t)(l - 1) / PARENT_COLUMNS;
        if (--q->waits[child] == 0)
            q->ready[q->ready_n++] = child;
    }
}

/*
 * Enter the plants, each after its parents and its source: a row waits for so many, and
 * whoever is done lets its offspring go on.  What is in a ring was refused before, and
 * waits for nobody.
 */
static enum pb_rc enter_in_order(struct pb_intake *t, struct pb_err *err)
{
    struct queue q = {NULL, 0, NULL, NULL, NULL};
    enum pb_rc rc = queue_make(&q, t, err);
    for (size_t done = 0; rc == PB_OK && done < q.ready_n; done++) {
        size_t row = q.ready[done];
        rc = check_parents(t, row, err);
        if (rc == PB_OK && t->why[row] == NULL)
            rc = pb_intake_enter(t, row, err);
        queue_done(&q, row);
    }
    queue_free(&q);
    return rc;
}

enum pb_rc pb_intake_plants(struct pb_intake *t, struct pb_err *err)
{
    enum pb_rc rc = pb_intake_codes(t, err);
    if (rc == PB_OK)
        rc = link_rows(t, err);
    if (rc == PB_OK)
        rc = refuse_rings(t, err);
    return rc == PB_OK ? enter_in_order(t, err) : rc;
}
