/*
 * How fast F and mean kinship of all are, and in how much memory.
 *
 *   bench_kinship [MOST]    pedigrees of 10,000, 100,000 ... MOST plants (1,000,000)
 *
 * One JSON line a figure.  Each pedigree is worked on by a process of its own, so that the
 * peak memory is its own: that of the whole process, its rows and results included.
 * Seconds are of the processor.  The plain table is one triangle of 8 n^2/2 bytes, tried
 * where that is a gigabyte at most.
 */
#include "../checks/pedigree/pedgen.h"

#include "core/kinship.h"

#include <stdio.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

/* A collection in a club: clones, selfings, few generations. */
static struct made shallow(int32_t n)
{
    struct pedgen how = {n, 14, n < 100000 ? 100 : 1000, 0.2, 0.3, 0.02, 0, 0};
    return pedgen(&how);
}

/* Many generations, with about a thousand plants at a time still to be parents. */
static struct made overlapping(int32_t n)
{
    struct pedgen how = {n, 15, 500, 0.1, 0.1, 0.02, 1000, 1};
    return pedgen(&how);
}

/* Twenty generations, of each twenty seed parents and any pollen parent. */
static struct made breeder(int32_t n)
{
    struct programme how = {n, 16, n / 20, 20, 5};
    return programme(&how);
}

static const struct shape {
    const char *name;
    struct made (*make)(int32_t n);
} shapes[] = {
    {"shallow",     shallow    },
    {"overlapping", overlapping},
    {"breeder",     breeder    },
};

static double seconds(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static void print(const struct shape *shape, int32_t n, const char *figure,
                  double value)
{
    (void)printf(
        "{\"bench\":\"kinship\",\"shape\":\"%s\",\"plants\":%d,\"figure\":\"%s\","
        "\"value\":%.6g}\n",
        shape->name, (int)n, figure, value);
}

/* A cell of one triangle. */
static double *cell(double *k, size_t i, size_t j)
{
    return i > j ? &k[i * (i + 1) / 2 + j] : &k[j * (j + 1) / 2 + i];
}

static double with(double *k, int32_t parent, size_t s)
{
    return parent >= 0 ? *cell(k, (size_t)parent, s) : 0;
}

/* The tabular method as a textbook has it, rows parents first.  Sum of F. */
static double plain_table(const struct made *m)
{
    size_t n = (size_t)m->n;
    double *k = malloc((n * (n + 1) / 2 + 1) * sizeof(*k)), sum = 0;
    if (k == NULL)
        abort();
    for (size_t r = 0; r < n; r++) {
        int32_t p = m->seed_parent[r], q = m->pollen_parent[r], c = m->clone_of[r];
        for (size_t s = 0; s < r; s++)
            *cell(k, r, s) =
                c >= 0 ? with(k, c, s) : (with(k, p, s) + with(k, q, s)) / 2;
        double f = q >= 0 ? with(k, p, (size_t)q) : 0;
        *cell(k, r, r) = c >= 0 ? with(k, c, (size_t)c) : (1 + f) / 2;
        sum += 2 * *cell(k, r, r) - 1;
    }
    free(k);
    return sum;
}

/* From parents in memory to F and mean kinship of all.  Sum of F over the rows. */
static double library(const struct shape *shape, const struct made *m)
{
    static const char *const names[] = {"estimate for trace, seconds",
                                        "estimate for batch, seconds",
                                        "estimate for table, seconds"};
    struct pb_pedigree_rows rows = made_rows(m);
    struct pb_pedigree ped;
    struct pb_kinship_plan plan;
    struct pb_diversity diversity;
    double begun = seconds(), sum = 0;
    if (pb_pedigree_build(&rows, &ped, NULL, NULL) != PB_OK)
        abort();
    size_t bytes = (size_t)ped.genet_n * sizeof(double);
    double *f = malloc(bytes), *weight = malloc(bytes), *mean = malloc(bytes);
    if (f == NULL || weight == NULL || mean == NULL)
        abort();
    double built = seconds();
    if (pb_kinship_inbreeding(&ped, PB_KINSHIP_BEST, f, NULL) != PB_OK)
        abort();
    double known = seconds();
    pb_kinship_weights(&ped, NULL, true, weight);
    pb_kinship_mean(&ped, f, weight, mean, &diversity);
    double done = seconds();
    for (size_t r = 0; r < ped.row_n; r++)
        sum += f[ped.genet_of[r]];
    print(shape, m->n, "F, plants a second", m->n / (known - built));
    print(shape, m->n, "F and mean kinship, seconds", done - begun);
    if (pb_kinship_plan(&ped, &plan, NULL) != PB_OK)
        abort();
    print(shape, m->n, names[plan.best], plan.ns[plan.best] * 1e-9);
    free(f);
    free(weight);
    free(mean);
    pb_pedigree_clear(&ped);
    return sum;
}

static void measure(const struct shape *shape, int32_t n)
{
    struct made m = shape->make(n);
    double sum = library(shape, &m);
    struct rusage usage;
    (void)getrusage(RUSAGE_SELF, &usage);
    print(shape, n, "peak memory, MiB", (double)usage.ru_maxrss / 1024);
    if ((double)n * n * 4 <= 1073741824.0) {
        double begun = seconds(), plain = plain_table(&m);
        print(shape, n, "F by a plain table, plants a second", n / (seconds() - begun));
        if (fabs(plain - sum) > 1e-9 * n)
            abort();
    }
    made_free(&m);
}

/* In a process of its own.  Did it end well? */
static bool measure_apart(const struct shape *shape, int32_t n)
{
    (void)fflush(stdout);
    pid_t child = fork();
    if (child == 0) {
        measure(shape, n);
        (void)fflush(stdout);
        _exit(0);
    }
    int status = 0;
    return child > 0 && waitpid(child, &status, 0) == child && status == 0;
}

int main(int argc, char **argv)
{
    long most = argc > 1 ? strtol(argv[1], NULL, 10) : 1000000;
    bool good = true;
    for (int32_t n = 10000; n <= most; n *= 10)
        for (size_t i = 0; i < sizeof(shapes) / sizeof(shapes[0]); i++)
            good = measure_apart(&shapes[i], n) && good;
    return good ? 0 : 1;
}
