/*
 * The acts of a season when memory runs out: ours alone, then SQLite's as well.
 *
 * What an act could not finish is not in the book; that it says so is held here, that the
 * transaction is whole by the tests of the book.
 */
#include "oom.h"

#include "../unit/books.h"

#include "act/amend.h"
#include "act/backup.h"
#include "act/bloom.h"
#include "act/due.h"
#include "act/find.h"
#include "act/learn.h"
#include "act/lifeline.h"
#include "act/look.h"
#include "act/rates.h"
#include "act/shoot.h"
#include "act/sow.h"
#include "act/verify.h"
#include "book/doubts.h"
#include "book/history.h"

#include <sqlite3.h>
#include <stdlib.h>
#include <unistd.h>

static enum pb_rc enter(struct pb_act *a, struct pb_err *err)
{
    struct pb_cross x;
    int entered = 0;
    pb_cross_init(&x);
    (void)snprintf(x.seed.plant.code, sizeof(x.seed.plant.code), "GH-2");
    (void)snprintf(x.pollen[0].parent.plant.code, sizeof(x.pollen[0].parent.plant.code),
                   "DL-1");
    x.pollen_n = 1;
    x.pollinated = a->today - 10;
    x.flowers = 3;
    x.seed.taxon = pb_text_copy("Goodyera hispida");
    x.pollen[0].parent.taxon = pb_text_copy("Dossinia marmorata");
    x.note = pb_text_copy("with a cleaned needle");
    enum pb_rc rc =
        x.seed.taxon != NULL && x.pollen[0].parent.taxon != NULL && x.note != NULL
            ? pb_act_cross(a, &x, &entered, err)
            : pb_fail_memory(err);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc look(struct pb_act *a, struct pb_err *err)
{
    struct pb_cross x;
    struct pb_look seen = {.on = a->today - 5, .found = PB_SWOLLEN, .count = 2};
    pb_cross_init(&x);
    enum pb_rc rc = pb_act_look(a, "x26-001", &seen, &x, err);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc harvest(struct pb_act *a, struct pb_err *err)
{
    struct pb_cross x;
    const struct pb_harvesting taken = {
        "X26-001", {.on = a->today, .as = PB_AS_ABOUT_TO_SPLIT},
         true, "early"
    };
    size_t made = 0;
    pb_cross_init(&x);
    enum pb_rc rc = pb_act_harvest(a, &taken, &x, &made, err);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc put_right(struct pb_act *a, struct pb_err *err)
{
    const struct pb_field fields[] = {
        {"flowers", "4"     },
        {"note",    "four"  },
        {"at",      "lowest"}
    };
    struct pb_amended amended;
    enum pb_rc rc =
        pb_act_amend(a, "X26-001", fields, PB_ARRAY_LEN(fields), &amended, err);
    pb_amended_clear(&amended);
    return rc;
}

/* The mark, and what it does to a lot below it. */
static enum pb_rc doubt(struct pb_act *a, struct pb_err *err)
{
    const struct pb_field field = {"doubtful", "the tag fell off"};
    struct pb_amended amended;
    struct pb_doubts doubts = {NULL, 0};
    enum pb_rc rc = pb_act_amend(a, "X26-001", &field, 1, &amended, err);
    if (rc == PB_OK)
        rc = pb_doubts_load(a->book, PB_SEED, 1, &doubts, err);
    if (rc == PB_OK && doubts.n != 1)
        rc = pb_fail(err, PB_EINVALID, "one mark");
    pb_doubts_clear(&doubts);
    pb_amended_clear(&amended);
    return rc;
}

static enum pb_rc take_back(struct pb_act *a, struct pb_err *err)
{
    struct pb_undone undone = {0};
    int64_t n = 0;
    enum pb_rc rc = pb_history_newest(a->book, &n, err);
    if (rc == PB_OK)
        rc = pb_act_undo(a, n, &undone, err);
    pb_undone_clear(&undone);
    return rc;
}

static enum pb_rc list_due(struct pb_act *a, struct pb_err *err)
{
    struct pb_due_list list = {0};
    enum pb_rc rc = pb_act_due(a, (struct pb_due_ask){.by = a->today + 30}, &list, err);
    if (rc == PB_OK && list.n == 0)
        rc = pb_fail(err, PB_EINVALID, "nothing is due");
    pb_due_clear(&list);
    return rc;
}

/* Two flasks out of a seed lot or flask. */
static enum pb_rc fill(struct pb_act *a, const char *from, pb_day on,
                       struct pb_err *err)
{
    struct pb_batch flask;
    struct pb_made made = {NULL, 0};
    const struct pb_filling f = {from, 2, &flask};
    pb_batch_init(&flask, PB_FLASK);
    flask.on = on;
    flask.amount = from[0] == 'S' ? 20 : 10;
    flask.medium = pb_text_copy("half MS");
    enum pb_rc rc = flask.medium == NULL ? pb_fail_memory(err)
                    : from[0] == 'S'     ? pb_act_sow(a, &f, true, &made, err)
                                     : pb_act_replate(a, &f, PB_EMPTY_ALL, &made, err);
    pb_made_clear(&made);
    pb_batch_clear(&flask);
    return rc;
}

static enum pb_rc sow(struct pb_act *a, struct pb_err *err)
{
    return fill(a, "S26-001", a->today, err);
}

static enum pb_rc germinate(struct pb_act *a, struct pb_err *err)
{
    char scale[] = "Stewart and Kane 2006", note[] = "green";
    struct pb_look seen;
    struct pb_looking l = {.look = &seen};
    pb_look_init(&seen);
    seen.on = a->today;
    seen.found = PB_FLASK_STAGE_3;
    seen.amount = 20;
    seen.scale = scale;
    seen.note = note;
    enum pb_rc rc = pb_code_range_parse("CODE", "F26-001..002", &l.codes, err);
    return rc == PB_OK ? pb_act_looks(a, &l, err) : rc;
}

static enum pb_rc move_on(struct pb_act *a, struct pb_err *err)
{
    return fill(a, "F26-001", a->today, err);
}

static enum pb_rc raise_two(struct pb_act *a, struct pb_err *err)
{
    const struct pb_deflasking d = {
        .flask = "F26-003",
        .on = a->today,
        .plants = 2,
        .prefix = "AG-",
        .first = 1,
        .place = "bench 1",
        .note = "strong",
    };
    struct pb_deflasked out = {0};
    enum pb_rc rc = pb_act_deflask(a, &d, &out, err);
    if (rc == PB_OK && (out.plants.n != 2 || out.generation != 1))
        rc = pb_fail(err, PB_EINVALID, "two plants of the first generation");
    pb_deflasked_clear(&out);
    return rc;
}

/* A flask and the look that filled it. */
static enum pb_rc recount(struct pb_act *a, struct pb_err *err)
{
    const struct pb_field field = {"seeds", "9"};
    struct pb_amended amended;
    enum pb_rc rc = pb_act_amend(a, "F26-004", &field, 1, &amended, err);
    pb_amended_clear(&amended);
    return rc == PB_OK ? pb_act_withdraw(a, "F26-004", err) : rc;
}

/* The mother's line: a flowering that is over, cuttings, the plants that they become. */
static enum pb_rc flower(struct pb_act *a, struct pb_err *err)
{
    struct pb_plant p;
    struct pb_flowering f;
    const struct pb_blooming over = {"DL-1", PB_BLOOM_OVER, a->today - 60};
    pb_plant_init(&p);
    enum pb_rc rc = pb_act_bloom(a, &over, &p, &f, err);
    pb_plant_clear(&p);
    return rc;
}

static enum pb_rc cut(struct pb_act *a, struct pb_err *err)
{
    struct pb_batch b;
    pb_batch_init(&b, PB_CUTTING);
    (void)snprintf(b.plant.code, sizeof(b.plant.code), "DL-1");
    b.on = a->today - 20;
    b.units = 3;
    b.medium = pb_text_copy("water");
    enum pb_rc rc = b.medium != NULL ? pb_act_take(a, &b, err) : pb_fail_memory(err);
    pb_batch_clear(&b);
    return rc;
}

static enum pb_rc look_at(struct pb_act *a, const char *code, struct pb_look seen,
                          const char *as, struct pb_err *err)
{
    struct pb_looking l = {.look = &seen, .as = as};
    enum pb_rc rc = pb_code_range_parse("CODE", code, &l.codes, err);
    return rc == PB_OK ? pb_act_looks(a, &l, err) : rc;
}

static enum pb_rc pot(struct pb_act *a, struct pb_err *err)
{
    struct pb_look seen;
    pb_look_init(&seen);
    seen.on = a->today - 5;
    seen.found = PB_CUTTING_WAS_POTTED;
    return look_at(a, "C26-001", seen, "DL-7,DL-8", err);
}

static enum pb_rc watch(struct pb_act *a, struct pb_err *err)
{
    char note[] = "at the nodes";
    const struct pb_field field = {"count", "2"};
    struct pb_amended amended;
    struct pb_look seen;
    pb_look_init(&seen);
    seen.on = a->today;
    seen.found = PB_SHOOT_HAS_PUPS;
    seen.amount = 3;
    seen.note = note;
    enum pb_rc rc = look_at(a, "DL-1", seen, NULL, err);
    if (rc != PB_OK)
        return rc;
    rc = pb_act_amend(a, "DL-1/1", &field, 1, &amended, err);
    pb_amended_clear(&amended);
    return rc == PB_OK ? pb_act_withdraw(a, "DL-1/1", err) : rc;
}

static enum pb_rc count_shoot(void *ctx, const struct pb_plant *p,
                              const struct pb_shoot *s, struct pb_err *err)
{
    (void)p;
    (void)err;
    *(size_t *)ctx += s->tasks.n;
    return PB_OK;
}

static enum pb_rc shoots(struct pb_act *a, struct pb_err *err)
{
    size_t n = 0;
    enum pb_rc rc = pb_shoots_each(a, count_shoot, &n, err);
    return rc == PB_OK && n == 0 ? pb_fail(err, PB_EINVALID, "nothing is asked") : rc;
}

/* The page of a plant, what came of its cross and of a batch. */
static enum pb_rc tell(struct pb_act *a, const char *plant, const char *batch,
                       struct pb_err *err)
{
    struct pb_plant p;
    struct pb_cross x;
    struct pb_batch b;
    struct pb_lifeline lives[3] = {
        {NULL, 0, 0}
    };
    pb_plant_init(&p);
    pb_cross_init(&x);
    pb_batch_init(&b, PB_SEED);
    enum pb_rc rc = pb_find_plant(a, NULL, plant, &p, err);
    if (rc == PB_OK)
        rc = pb_find_cross(a, NULL, "X26-001", &x, err);
    if (rc == PB_OK)
        rc = pb_find_batch(a, NULL, PB_KIND_N, batch, &b, err);
    if (rc == PB_OK)
        rc = pb_lifeline_plant(a, &p, &lives[0], err);
    if (rc == PB_OK)
        rc = pb_lifeline_cross(a, &x, &lives[1], err);
    if (rc == PB_OK)
        rc = pb_lifeline_batch(a, &b, &lives[2], err);
    if (rc == PB_OK && (lives[0].n < 3 || lives[2].n == 0))
        rc = pb_fail(err, PB_EINVALID, "half a life");
    for (size_t i = 0; i < PB_ARRAY_LEN(lives); i++)
        pb_lifeline_clear(&lives[i]);
    pb_batch_clear(&b);
    pb_cross_clear(&x);
    pb_plant_clear(&p);
    return rc;
}

static enum pb_rc life_of_seedling(struct pb_act *a, struct pb_err *err)
{
    return tell(a, "AG-1", "F26-003", err);
}

static enum pb_rc life_of_mother(struct pb_act *a, struct pb_err *err)
{
    return tell(a, "DL-1", "C26-001", err);
}

static enum pb_rc rates(struct pb_act *a, struct pb_err *err)
{
    struct pb_rate_count counts[PB_RATE_N];
    const struct pb_rates_ask ask = {"Goodyera hispida", 0, 0};
    enum pb_rc rc = pb_act_rates(a, &ask, counts, err);
    if (rc == PB_OK && counts[PB_RATE_GERMINATION].of != 2)
        rc = pb_fail(err, PB_EINVALID, "two flasks germinated");
    return rc;
}

typedef enum pb_rc step(struct pb_act *a, struct pb_err *err);

static enum pb_rc take_steps(step *const *steps, size_t n, struct pb_err *err)
{
    const struct pb_profiles profiles = {NULL, &pb_profiles_builtin};
    struct pb_act a = {.profiles = &profiles, .command = "test", .today = 20514};
    a.now = (int64_t)a.today * 86400;
    a.ids.key[0] = 1;
    enum pb_rc rc = pb_book_open(":memory:", PB_BOOK_WRITE, &a.book, err);
    for (size_t i = 0; i < n && rc == PB_OK; i++)
        rc = steps[i](&a, err);
    pb_learner_close(&a);
    pb_book_close(a.book);
    return rc;
}

static enum pb_rc fault(void *ctx, const struct pb_fault *f, struct pb_err *err)
{
    (void)ctx;
    return pb_fail(err, PB_EINVALID, "%s", f->what);
}

static enum pb_rc verify(struct pb_act *a, struct pb_err *err)
{
    struct pb_verified v;
    return pb_act_verify(a, fault, NULL, &v, err);
}

static enum pb_rc back_up(struct pb_act *a, struct pb_err *err)
{
    struct pb_copied made;
    char path[512];
    const char *tmp = getenv("TMPDIR");
    (void)snprintf(path, sizeof(path), "%s/podbook-oom-%ld.db",
                   tmp != NULL ? tmp : "/tmp", (long)getpid());
    enum pb_rc rc = pb_act_backup(a, path, &made, err);
    (void)unlink(path);
    return rc;
}

static enum pb_rc cared_for(struct pb_err *err)
{
    static step *const steps[] = {enter, look, harvest, list_due, verify, back_up};
    return take_steps(steps, PB_ARRAY_LEN(steps), err);
}

static enum pb_rc writing(struct pb_err *err)
{
    static step *const steps[] = {enter, look, harvest, put_right, doubt, take_back};
    return take_steps(steps, PB_ARRAY_LEN(steps), err);
}

static enum pb_rc season(struct pb_err *err)
{
    static step *const steps[] = {enter, look, harvest, put_right, list_due, take_back};
    return take_steps(steps, PB_ARRAY_LEN(steps), err);
}

static enum pb_rc seedlings(struct pb_err *err)
{
    static step *const steps[] = {enter,     look,    harvest,   sow,
                                  germinate, move_on, raise_two, life_of_seedling,
                                  rates,     recount};
    return take_steps(steps, PB_ARRAY_LEN(steps), err);
}

static enum pb_rc mothers_line(struct pb_err *err)
{
    static step *const steps[] = {enter, flower, cut,           pot,
                                  watch, shoots, life_of_mother};
    return take_steps(steps, PB_ARRAY_LEN(steps), err);
}

static void ours(void **state)
{
    (void)state;
    oom_each("acts that write", writing);
    oom_each("from seed to seedling", seedlings);
    oom_tolerant("a book verified and copied", cared_for, 1);
    oom_each("the mother's line", mothers_line);
    /* what was learnt may go unkept: it is a cache */
    oom_tolerant("a season, and what is due", season, 1);
}

/* SQLite's memory, through the functions of this program: the size stands in front. */
enum { FRONT = 16 };

static void *give(int n)
{
    char *p = malloc((size_t)n + FRONT);
    if (p == NULL)
        return NULL;
    memcpy(p, &n, sizeof(n));
    return p + FRONT;
}

static void take(void *p)
{
    if (p != NULL)
        free((char *)p - FRONT);
}

static void *change(void *p, int n)
{
    char *more = realloc((char *)p - FRONT, (size_t)n + FRONT);
    if (more == NULL)
        return NULL;
    memcpy(more, &n, sizeof(n));
    return more + FRONT;
}

static int size_of(void *p)
{
    int n = 0;
    if (p != NULL)
        memcpy(&n, (char *)p - FRONT, sizeof(n));
    return n;
}

static int round_up(int n)
{
    return (n + 7) & ~7;
}

static int start(void *ctx)
{
    (void)ctx;
    return SQLITE_OK;
}

static void stop(void *ctx)
{
    (void)ctx;
}

static void sqlites(void **state)
{
    (void)state;
    static const sqlite3_mem_methods methods = {give,     take,  change, size_of,
                                                round_up, start, stop,   NULL};
    assert_int_equal(sqlite3_shutdown(), SQLITE_OK);
    assert_int_equal(sqlite3_config(SQLITE_CONFIG_MALLOC, &methods), SQLITE_OK);
    oom_tolerant("a season of acts, and what SQLite needs for it", season, 31);
    oom_tolerant("a book verified and copied, and what SQLite needs", cared_for, 499);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ours),
        cmocka_unit_test(sqlites), /* the last: SQLite keeps these functions */
    };
    return UNIT_MAIN("oom", tests);
}
