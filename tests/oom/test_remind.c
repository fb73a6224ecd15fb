/* Reminders and calendars when memory runs out. */
#include "oom.h"

#include "act/batch.h"
#include "act/bloom.h"
#include "act/enter.h"
#include "act/learn.h"
#include "act/remind.h"
#include "book/reminders.h"
#include "exchange/calendar.h"
#include "exchange/replace.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const struct pb_reminder reminder = {
    .uid = "2ed6657d-e927-568b-95e1-2665a8aea6a2",
    .summary = "Harvest: X26-001",
    .description = "Goodyera hispida × Dossinia marmorata\nby common practice",
    .category = "harvest",
    .span = {20000, 20004},
    .status = PB_REMINDER_PLANNED,
    .done_on = PB_DAY_NONE,
    .alarm_first = true,
    .alarm_last = true,
    .created = 1700000000,
    .stamp = 1700000060,
};

static enum pb_rc write_calendar(struct pb_err *err)
{
    struct pb_calendar *cal = NULL;
    struct pb_buf out;
    pb_buf_init(&out, 3 * (size_t)PB_CALENDAR_CHUNK);
    enum pb_rc rc = pb_calendar_open(&cal, err);
    if (rc == PB_OK)
        rc = pb_calendar_begin(cal, PB_CALENDAR_EVENTS, &out, err);
    if (rc == PB_OK)
        rc = pb_calendar_add(cal, &reminder, &out, err);
    if (rc == PB_OK)
        rc = pb_calendar_end(cal, &out, err);
    pb_calendar_close(cal);
    pb_buf_clear(&out);
    return rc;
}

static enum pb_rc replace(struct pb_err *err)
{
    bool changed = false;
    (void)unlink("oom.ics");
    enum pb_rc rc = pb_replace_file("oom.ics", "text", 4, &changed, err);
    CLAIM((rc == PB_OK) == (access("oom.ics", F_OK) == 0), "half a file");
    return rc;
}

/* ---- with a book -------------------------------------------------------------------- */

static char folder[] = "oom-remind-XXXXXX";

/* A profile with one task, and nothing to learn: what is learnt is a cache, and one that
 * cannot be kept for want of memory is no failure. */
static const struct pb_profile rows_of_ours[] = {
    {
     .name = "quick",
     .stages =
            {[PB_STAGE_SWELLING] = {.from = 1, .to = 1, .best = -1, .source = "test"}},
     }
};
static const struct pb_profile_table table = {.rows = rows_of_ours, .row_n = 1};
static struct pb_profiles profiles = {&table, &pb_profiles_builtin};
static const struct pb_remind_codes everything = {NULL, 0};
static char
    book[1024 * 1024]; /* bytes of a book that has something of everything to do */
static size_t book_n;

static const char *path(void)
{
    static char text[64];
    (void)snprintf(text, sizeof(text), "%s/book.db", folder);
    return text;
}

static struct pb_act act_on(struct pb_book *b, pb_day today)
{
    return (struct pb_act){
        .book = b,
        .profiles = &profiles,
        .command = "test",
        .today = today,
        .now = 1700000000 + today,
        .ids = {{1, 2}, 0}
    };
}

static void enter_cross(struct pb_act *a, const char *seed, const char *pollen)
{
    struct pb_cross x;
    int entered = 0;
    pb_cross_init(&x);
    (void)snprintf(x.seed.plant.code, sizeof(x.seed.plant.code), "%s", seed);
    (void)snprintf(x.pollen[0].parent.plant.code, sizeof(x.pollen[0].parent.plant.code),
                   "%s", pollen);
    x.seed.taxon = strdup("Ludisia discolor");
    x.pollen[0].parent.taxon = strdup("Macodes petola");
    x.profile = strdup("quick");
    x.pollen_n = 1;
    x.pollinated = a->today;
    x.flowers = 1;
    assert_int_equal(pb_act_cross(a, &x, &entered, NULL), PB_OK);
    pb_cross_clear(&x);
}

static void drop_all(struct pb_act *a, const char *code)
{
    struct pb_cross x;
    struct pb_look look = {
        .on = a->today, .found = PB_DROPPED, .amount = -1, .sample = -1};
    pb_cross_init(&x);
    assert_int_equal(pb_act_look(a, code, &look, &x, NULL), PB_OK);
    pb_cross_clear(&x);
}

/* A batch that asks for something in its time. */
static void enter_pollen(struct pb_act *a, const char *plant)
{
    struct pb_batch lot;
    pb_batch_init(&lot, PB_POLLEN);
    (void)snprintf(lot.plant.code, sizeof(lot.plant.code), "%s", plant);
    lot.on = a->today;
    assert_int_equal(pb_act_take(a, &lot, NULL), PB_OK);
    pb_batch_clear(&lot);
}

/* A flowering that is over, so that a plant asks. */
static void end_flowering(struct pb_act *a, const char *plant)
{
    struct pb_plant p;
    struct pb_flowering f;
    const struct pb_blooming over = {plant, PB_BLOOM_OVER, a->today};
    pb_plant_init(&p);
    assert_int_equal(pb_act_bloom(a, &over, &p, &f, NULL), PB_OK);
    pb_plant_clear(&p);
}

/* One cross whose reminders are to be forgotten, one to be withdrawn, one new, and pollen. */
static int make_book(void **state)
{
    (void)state;
    struct pb_book *b = NULL;
    if (mkdtemp(folder) == NULL)
        return 1;
    assert_int_equal(pb_book_open(path(), PB_BOOK_WRITE, &b, NULL), PB_OK);
    struct pb_act a = act_on(b, 20000);
    enter_cross(&a, "L-1", "M-1");
    assert_int_equal(pb_act_remind(&a, &everything, NULL), PB_OK);
    drop_all(&a, "X24-001");
    assert_int_equal(pb_act_remind(&a, &everything, NULL), PB_OK);
    a.today += PB_REMIND_KEPT_DAYS;
    enter_cross(&a, "L-2", "M-2");
    assert_int_equal(pb_act_remind(&a, &everything, NULL), PB_OK);
    a.today += 10;
    drop_all(&a, "X25-001");
    enter_cross(&a, "L-3", "M-3");
    enter_pollen(&a, "M-3");
    end_flowering(&a, "M-3");
    pb_learner_close(&a);
    pb_book_close(b);
    FILE *f = fopen(path(), "rb");
    assert_non_null(f);
    book_n = fread(book, 1, sizeof(book), f);
    assert_true(feof(f) != 0);
    return fclose(f);
}

static int drop_book(void **state)
{
    (void)state;
    (void)unlink(path());
    (void)unlink("oom.ics");
    return rmdir(folder);
}

static enum pb_rc count(void *ctx, const struct pb_reminder *r, bool shown,
                        struct pb_err *err)
{
    (void)r;
    (void)err;
    *(int *)ctx += shown;
    return PB_OK;
}

static enum pb_rc remind(struct pb_err *err)
{
    struct pb_book *b = NULL;
    int shown = 0;
    FILE *f = fopen(path(), "wb");
    assert_non_null(f);
    assert_true(fwrite(book, 1, book_n, f) == book_n);
    assert_int_equal(fclose(f), 0);
    enum pb_rc rc = pb_book_open(path(), PB_BOOK_WRITE, &b, err);
    struct pb_act a = act_on(b, 20000 + PB_REMIND_KEPT_DAYS + 10);
    if (rc == PB_OK)
        rc = pb_act_remind(&a, &everything, err);
    if (rc == PB_OK)
        rc = pb_act_reminders(&a, &everything, count, &shown, err);
    CLAIM(rc != PB_OK || shown == 4, "%d reminders", shown);
    pb_learner_close(&a);
    pb_book_close(b);
    return rc;
}

static void scenarios(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        oom_scenario *run;
    } rows[] = {
        {"a calendar is written",            write_calendar},
        {"a file is replaced",               replace       },
        {"reminders are brought up to date", remind        },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        oom_each(rows[i].claim, rows[i].run);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(scenarios, make_book, drop_book)};
    return UNIT_MAIN("oom-remind", tests);
}
