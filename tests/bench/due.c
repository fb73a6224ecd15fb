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
#include "act/due.h"
#include "act/chances.h"
#include "base/text.h"
#include "book/plants.h"
#include "core/life.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { TODAY = 20500, TAXA = 50, CLONES = 4, OPEN = 10000, LEARNT = 10, BIG = 2500 };

static const char *const genera[] = {"Macodes", "Dossinia", "Ludisia", "Anoectochilus",
                                     "Spiranthes"};

static void must(enum pb_rc rc, const struct pb_err *err)
{
    if (rc == PB_OK)
        return;
    (void)fprintf(stderr, "bench: %s %s\n", err->where, err->text);
    exit(1);
}

static double seconds(clock_t from)
{
    return (double)(clock() - from) / CLOCKS_PER_SEC;
}

static int64_t enter_plant(struct pb_act *a, int taxon, int clone, struct pb_err *err)
{
    struct pb_plant p;
    char text[64];
    pb_plant_init(&p);
    (void)snprintf(p.head.code, sizeof(p.head.code), "T%d-%d", taxon, clone);
    (void)snprintf(text, sizeof(text), "%s species%c%c",
                   genera[(size_t)taxon % PB_ARRAY_LEN(genera)], 'a' + taxon / 10,
                   'a' + taxon % 10);
    p.taxon = pb_text_copy(text);
    pb_act_new_head(a, &p.head);
    must(pb_plant_insert(a->book, &p, err), err);
    int64_t n = p.head.n;
    pb_plant_clear(&p);
    return n;
}

/* A cross of 4 flowers; finished: held on day 24, split on day 27 or so. */
static void enter_cross(struct pb_act *a, int64_t seed, int64_t pollen, int i,
                        bool finished, struct pb_err *err)
{
    struct pb_cross x;
    struct pb_look looks[2];
    pb_look_init(&looks[0]);
    pb_look_init(&looks[1]);
    pb_cross_init(&x);
    x.seed.plant.n = seed;
    x.pollen[0].parent.plant.n = pollen;
    x.pollen_n = 1;
    x.flowers = 4;
    x.pollinated = finished ? TODAY - 200 - i % 300 : TODAY - i % 40;
    must(pb_book_next_code(a->book, 'X', x.pollinated, x.head.code, err), err);
    pb_act_new_head(a, &x.head);
    for (int k = 0; k < 2; k++) {
        looks[k].number = k + 1;
        looks[k].count = 4;
        looks[k].found = k == 0 ? (int)PB_HOLDING : (int)PB_SPLIT;
        looks[k].on = x.pollinated + 24 + i % 5 + 3 * k;
        pb_ids_next(a, looks[k].id);
    }
    if (finished) {
        x.looks = looks;
        x.look_n = 2;
    }
    must(pb_cross_insert(a->book, &x, !finished, err), err);
    x.looks = NULL;
    x.look_n = 0;
    pb_cross_clear(&x);
}

static void make_book(struct pb_act *a, int taxa, int finished, int open)
{
    struct pb_err err = {0};
    must(pb_book_begin(a->book, "bench", TODAY, 0, &err), &err);
    for (int t = 0; t < taxa; t++) {
        int64_t plants[CLONES];
        for (int c = 0; c < CLONES; c++)
            plants[c] = enter_plant(a, t, c, &err);
        for (int i = 0; i < finished; i++)
            enter_cross(a, plants[i % CLONES], plants[(i + 1) % CLONES], i, true, &err);
        for (int i = 0; i < open / taxa; i++)
            enter_cross(a, plants[i % CLONES], plants[(i + 1) % CLONES], i, false,
                        &err);
    }
    must(pb_book_end(a->book, PB_OK, &err), &err);
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
        p->shown += pb_tasks_due(&p->tasks, TODAY, TODAY + 7, shown);
    pb_life_clear(&life);
    return rc;
}

static double time_plain(struct pb_act *a)
{
    struct pb_err err = {0};
    struct plain p = {.a = a};
    clock_t from = clock();
    must(pb_crosses_each(a->book, PB_CROSSES_DUE, 0, plain_due, &p, &err), &err);
    double s = seconds(from);
    pb_tasks_clear(&p.tasks);
    return s;
}

static double time_due(struct pb_act *a)
{
    struct pb_err err = {0};
    struct pb_due_list list = {0};
    clock_t from = clock();
    must(pb_act_due(a, (struct pb_due_ask){.by = TODAY + 7}, &list, &err), &err);
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
    must(pb_act_chances(a, "T0-0", &c, &err), &err);
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
    must(pb_book_open(path, PB_BOOK_WRITE, &a->book, &err), &err);
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
        .profiles = &profiles, .today = TODAY, .ids = {{1, 2}, 0}
    };
    double plain[5], due[5];
    if (mkdtemp(folder) == NULL)
        return 1;
    open_book(&a, folder, "many.db");
    make_book(&a, TAXA, LEARNT, OPEN);
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
    make_book(&a, 1, BIG, 0);
    (void)printf("{\"figure\":\"chances_first\",\"capsules\":%d,\"s\":%.4f}\n", 4 * BIG,
                 time_chances(&a));
    (void)printf("{\"figure\":\"chances_again\",\"capsules\":%d,\"s\":%.4f}\n", 4 * BIG,
                 time_chances(&a));
    drop_book(&a, folder, "big.db");
    (void)rmdir(folder);
    return 0;
}
