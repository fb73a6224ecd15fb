/* What programs cost, beside one another.  See measure.h. */
#include "measure.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { RUNS_MAX = 200 };

static double now(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static double seconds(struct timeval t)
{
    return (double)t.tv_sec + 1e-6 * (double)t.tv_usec;
}

/* In the child: never comes back. */
static _Noreturn void become(const struct bench_command *c)
{
    int in = open(c->in != NULL ? c->in : "/dev/null", O_RDONLY);
    int out = c->out != NULL ? open(c->out, O_WRONLY | O_CREAT | O_TRUNC, 0600)
                             : open("/dev/null", O_WRONLY);
    if (in >= 0 && out >= 0 && dup2(in, STDIN_FILENO) >= 0 &&
        dup2(out, STDOUT_FILENO) >= 0)
        (void)execv(c->words[0], (char *const *)(const void *)c->words);
    _exit(127);
}

bool bench_run(const struct bench_command *c, struct bench_cost *cost)
{
    struct rusage use;
    int status = 0;
    (void)fflush(stdout);
    double from = now();
    pid_t child = fork();
    if (child == 0)
        become(c);
    if (child < 0 || wait4(child, &status, 0, &use) != child || !WIFEXITED(status) ||
        WEXITSTATUS(status) != 0) {
        (void)fprintf(stderr, "bench: %s failed\n", c->words[0]);
        return false;
    }
    cost->wall_s = now() - from;
    cost->cpu_s = seconds(use.ru_utime) + seconds(use.ru_stime);
    cost->peak_kib = use.ru_maxrss;
    return true;
}

static int by_size(const void *pa, const void *pb)
{
    const double *a = pa, *b = pb;
    return (*a > *b) - (*a < *b);
}

static double median(double *v, int n)
{
    qsort(v, (size_t)n, sizeof(*v), by_size);
    return n % 2 == 1 ? v[n / 2] : (v[n / 2 - 1] + v[n / 2]) / 2;
}

/* The costs of the runs of one program. */
struct costs {
    double cpu[RUNS_MAX], wall[RUNS_MAX];
    long peak_kib;
};

static bool run_once(const struct bench_figure *f, const struct bench_command *c,
                     struct costs *costs, int i)
{
    struct bench_cost cost;
    if (f->before != NULL)
        f->before();
    if (!bench_run(c, &cost))
        return false;
    if (i < 0)
        return true;
    costs->cpu[i] = cost.cpu_s;
    costs->wall[i] = cost.wall_s;
    if (cost.peak_kib > costs->peak_kib)
        costs->peak_kib = cost.peak_kib;
    return true;
}

bool bench_figure(const struct bench_figure *f)
{
    static struct costs ours, bare;
    int runs = f->runs < RUNS_MAX ? f->runs : RUNS_MAX;
    ours.peak_kib = bare.peak_kib = 0;
    for (int i = -1; i < runs; i++)
        if (!run_once(f, &f->ours, &ours, i) || !run_once(f, &f->bare, &bare, i))
            return false;
    double cpu = median(ours.cpu, runs), bare_cpu = median(bare.cpu, runs);
    double wall = median(ours.wall, runs), bare_wall = median(bare.wall, runs);
    double ratio = f->by_clock ? wall / bare_wall : cpu / bare_cpu;
    bool held = (f->bar <= 0 || ratio <= f->bar) &&
                (f->peak_kib <= 0 || ours.peak_kib <= f->peak_kib);
    (void)printf("{\"figure\":\"%s\",\"ratio\":%.3f,\"bar\":%.2f,\"by\":\"%s\","
                 "\"cpu_s\":%.4f,\"bare_cpu_s\":%.4f,\"wall_s\":%.4f,"
                 "\"bare_wall_s\":%.4f,\"peak_kib\":%ld,\"peak_bar_kib\":%ld,"
                 "\"bare_peak_kib\":%ld,\"runs\":%d,\"held\":%s}\n",
                 f->name, ratio, f->bar, f->by_clock ? "wall" : "cpu", cpu, bare_cpu,
                 wall, bare_wall, ours.peak_kib, f->peak_kib, bare.peak_kib, runs,
                 held ? "true" : "false");
    (void)fflush(stdout);
    return held;
}
