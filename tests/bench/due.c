/*
 * What learning costs `due` and `chances`, as ratios in one run.
 *
 *   due_learnt        10,000 open crosses of 50 taxa, each taxon with 40 capsules of 4
 *                     clones: pb_act_due, laws from the cache in the book, over the same
 *                     crosses with their tasks by the profile's step alone
 *   chances_first     10,000 capsules of one taxon: pb_act_chances with the fit
 *   chances_again     the same from the cache
 * One JSON line a figure; processor time.  Makes its books in a new folder where it runs.
 */
#include "book_make.h"

#include "act/chances.h"
#include "act/due.h"
#include "base/text.h"
#include "book/plants.h"
#include "core/life.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { TAXA = 50, CLONES = 4, OPEN = 10000, LEARNT = 500, BIG = 2500 };

static double seconds(clock_t from)
{
    return (double)(clock() - from) / CLOCKS_PER_SEC;
}

struct plain {
    struct pb_act *a;
    struct pb_tasks tasks;
    size_t shown;
};

/* What `due` does for a cross without learning: profile, life, tasks by the step. */
static enum pb_rc plain_due(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct plain *p = ctx;
    struct pb_profile_match m;
    struct pb_life life = {0};
    const struct pb_task *shown[PB_SHOWN_MAX];
    enum pb_rc rc = pb_timing_find(p->a, &x->seed, x->profile, &m, err);
    if (rc == PB_OK)
        rc = pb_cross_replay(x, &life, err);
    struct pb_timing t;
    const struct pb_story story = {&pb_courses[PB_CROSS],
                                   x->flowers,
                                   PB_STAND_POLLINATED,
                                   x->pollinated,
                                   NULL,
                                   0,
                                   ""};
    pb_timing_init(&t, x->pollinated);
    t.next_only = true;
    for (int i = PB_STAGE_SWELLING; i <= PB_STAGE_SPLIT; i++) {
        const struct pb_profile_stage *s = rc == PB_OK && m.row != NULL
                                               ? pb_profile_stage(&m, (enum pb_stage)i)
                                               : NULL;
        if (s != NULL)
            t.stages[i] = (struct pb_stage_days){s->from, s->to};
    }
    if (rc == PB_OK)
        rc = pb_course_tasks(&t, &story, &life, life.open > 0, &p->tasks, err);
    if (rc == PB_OK)
        p->shown += pb_tasks_due(&p->tasks, BENCH_TODAY, BENCH_TODAY + 7, shown);
    pb_life_clear(&life);
    return rc;
}

static double time_plain(struct pb_act *a)
{
    struct pb_err err = {0};
    struct plain p = {.a = a};
    clock_t from = clock();
    bench_must(pb_crosses_each(a->book, PB_CROSSES_DUE, 0, plain_due, &p, &err), &err);
    double s = seconds(from);
    pb_tasks_clear(&p.tasks);
    return s;
}

static double time_due(struct pb_act *a)
{
    struct pb_err err = {0};
    struct pb_due_list list = {0};
    clock_t from = clock();
    bench_must(pb_act_due(a, (struct pb_due_ask){.by = BENCH_TODAY + 7}, &list, &err),
               &err);
    double s = seconds(from);
    pb_due_clear(&list);
    pb_learner_close(a);
    return s;
}

static double time_chances(struct pb_act *a)
{
    struct pb_err err = {0};
    struct pb_chances c;
    clock_t from = clock();
    bench_must(pb_act_chances(a, "T0.0", &c, &err), &err);
    double s = seconds(from);
    if (c.lesson.capsules != 4 * BIG)
        exit(1);
    pb_chances_clear(&c);
    pb_learner_close(a);
    return s;
}

static void open_book(struct pb_act *a, const char *folder, const char *name)
{
    struct pb_err err = {0};
    char path[256];
    (void)snprintf(path, sizeof(path), "%s/%s", folder, name);
    bench_must(pb_book_open(path, PB_BOOK_WRITE, &a->book, &err), &err);
}

static void drop_book(struct pb_act *a, const char *folder, const char *name)
{
    static const char *const tails[] = {"", "-wal", "-shm"};
    char path[256];
    pb_book_close(a->book);
    for (size_t i = 0; i < PB_ARRAY_LEN(tails); i++) {
        (void)snprintf(path, sizeof(path), "%s/%s%s", folder, name, tails[i]);
        (void)unlink(path);
    }
}

int main(void)
{
    char folder[] = "bench-due-XXXXXX";
    struct pb_profiles profiles = {NULL, &pb_profiles_builtin};
    struct pb_act a = {
        .profiles = &profiles, .today = BENCH_TODAY, .ids = {{1, 2}, 0}
    };
    double plain[5], due[5];
    if (mkdtemp(folder) == NULL)
        return 1;
    open_book(&a, folder, "many.db");
    bench_book_make(&a, &(struct bench_book){TAXA, CLONES, LEARNT, OPEN});
    double first = time_due(&a);
    for (int i = 0; i < 5; i++) {
        plain[i] = time_plain(&a);
        due[i] = time_due(&a);
        (void)printf(
            "{\"figure\":\"due_learnt\",\"open\":%d,\"taxa\":%d,\"plain_s\":%.4f,"
            "\"learnt_s\":%.4f,\"ratio\":%.3f}\n",
            OPEN, TAXA, plain[i], due[i], due[i] / plain[i]);
    }
    (void)printf("{\"figure\":\"due_first\",\"fits\":%d,\"s\":%.4f}\n", TAXA, first);
    drop_book(&a, folder, "many.db");
    open_book(&a, folder, "big.db");
    bench_book_make(&a, &(struct bench_book){1, CLONES, BIG, 0});
    (void)printf("{\"figure\":\"chances_first\",\"capsules\":%d,\"s\":%.4f}\n", 4 * BIG,
                 time_chances(&a));
    (void)printf("{\"figure\":\"chances_again\",\"capsules\":%d,\"s\":%.4f}\n", 4 * BIG,
                 time_chances(&a));
    drop_book(&a, folder, "big.db");
    (void)rmdir(folder);
    return 0;
}
