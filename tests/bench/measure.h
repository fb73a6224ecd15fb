/*
 * What programs cost, beside one another: started in turn, so that what else the machine
 * does falls on both alike, and compared by their medians.
 *
 * The program that measures stays small: the memory of a child counts from what its parent
 * had.
 */
#ifndef BENCH_MEASURE_H
#define BENCH_MEASURE_H

#include <stdbool.h>

struct bench_cost {
    double cpu_s, wall_s; /* of the processor, user and system; of the clock */
    long peak_kib;
};

/* A program with its words, and where its input comes from and its output goes to. */
struct bench_command {
    const char *const *words; /* to NULL; the first is the path */
    const char *in, *out;     /* NULL: nowhere */
};

/* Run it to its end.  False: it failed, which is said. */
bool bench_run(const struct bench_command *c, struct bench_cost *cost);

/* What one figure is about. */
struct bench_figure {
    const char *name;
    struct bench_command ours, bare;
    double bar;    /* ours over bare at most; 0: none */
    long peak_kib; /* ours at most; 0: no bar */
    int runs;      /* of each, behind one that is not counted */
    bool by_clock; /* wall time decides: what counts is the waiting, as for a disk */
    void (*before)(void); /* before each run; NULL: nothing */
};

/* Measure and print a line of JSON.  False: a bar was missed, or a program failed. */
bool bench_figure(const struct bench_figure *f);

#endif
