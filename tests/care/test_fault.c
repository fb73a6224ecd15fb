/*
 * A disk that fails at every call of every kind, one after the other: each act is done whole,
 * or it says that it is not and the book is what it was.
 *
 * PB_FAULT_STEP=N tries only every N-th call, for a quick look.
 */
#include "fault.h"

#include "../unit/books.h"

#include "act/amend.h"
#include "act/backup.h"
#include "act/due.h"
#include "act/look.h"
#include "act/remind.h"
#include "act/verify.h"
#include "book/history.h"
#include "exchange/replace.h"

#include <dirent.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

enum { CALLS_MAX = 5000, PATH_MAX_HERE = 256 };

static struct {
    char folder[PATH_MAX_HERE], book[PATH_MAX_HERE + 16], copy[PATH_MAX_HERE + 16],
        text[PATH_MAX_HERE + 16];
    struct pb_profiles profiles;
} place;

/* ---- acts ----------------------------------------------------------------------------- */

static enum pb_rc cross(struct pb_act *a, const char *seed, const char *pollen,
                        struct pb_err *err)
{
    struct pb_cross x;
    int entered = 0;
    pb_cross_init(&x);
    (void)snprintf(x.seed.plant.code, sizeof(x.seed.plant.code), "%s", seed);
    (void)snprintf(x.pollen[0].parent.plant.code, sizeof(x.pollen[0].parent.plant.code),
                   "%s", pollen);
    x.pollen_n = 1;
    x.pollinated = a->today - 40;
    x.flowers = 3;
    x.seed.taxon = pb_text_copy("Anoectochilus roxburghii");
    x.pollen[0].parent.taxon = pb_text_copy("Goodyera hispida");
    enum pb_rc rc = pb_act_cross(a, &x, &entered, err);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc enter(struct pb_act *a, struct pb_err *err)
{
    return cross(a, "AR-1", "GH-1", err);
}

static enum pb_rc enter_more(struct pb_act *a, struct pb_err *err)
{
    return cross(a, "AR-2", "GH-2", err);
}

static enum pb_rc look(struct pb_act *a, struct pb_err *err)
{
    struct pb_look seen;
    struct pb_looking l = {.look = &seen};
    pb_look_init(&seen);
    seen.on = a->today - 30;
    seen.found = PB_HOLDING;
    enum pb_rc rc = pb_code_range_parse("CODE", "X26-001", &l.codes, err);
    return rc == PB_OK ? pb_act_looks(a, &l, err) : rc;
}

static enum pb_rc harvest(struct pb_act *a, struct pb_err *err)
{
    struct pb_cross x;
    const struct pb_harvesting taken = {
        "X26-001", {.on = a->today, .as = PB_AS_SPLIT, .count = 1},
         false, NULL
    };
    size_t made = 0;
    pb_cross_init(&x);
    enum pb_rc rc = pb_act_harvest(a, &taken, &x, &made, err);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc amend(struct pb_act *a, struct pb_err *err)
{
    const struct pb_field fields[] = {
        {"flowers", "4"   },
        {"note",    "four"}
    };
    struct pb_amended amended;
    enum pb_rc rc =
        pb_act_amend(a, "X26-001", fields, PB_ARRAY_LEN(fields), &amended, err);
    pb_amended_clear(&amended);
    return rc;
}

static enum pb_rc take_back(struct pb_act *a, struct pb_err *err)
{
    struct pb_undone undone = {0};
    enum pb_rc rc = pb_act_undo(a, 0, &undone, err);
    pb_undone_clear(&undone);
    return rc;
}

static enum pb_rc told(void *ctx, const struct pb_receipt *r, struct pb_err *err)
{
    (void)ctx;
    (void)err;
    CLAIM(!r->bad, "received: %s", r->why);
    return PB_OK;
}

static enum pb_rc receive(struct pb_act *a, struct pb_err *err)
{
    static const char form[] =
        "{\"format\":\"podbook-plant\",\"version\":1,\"revision\":1,"
        "\"id\":\"019cae6b-0000-7000-8000-00000000000%d\",\"code\":\"IN-%d\","
        "\"modified\":\"2026-02-01T00:00:00Z\",\"taxon\":\"Dossinia marmorata\"}\n";
    struct pb_received sum;
    FILE *in = tmpfile();
    assert_non_null(in);
    for (int i = 0; i < 3; i++)
        (void)fprintf(in, form, i, i);
    rewind(in);
    const struct pb_receiving what = {.in = in, .file = "in", .each = told};
    enum pb_rc rc = pb_act_receive(a, &what, &sum, err);
    (void)fclose(in);
    return rc;
}

/* What is due; what the capsules taught is kept at the end, or not. */
static enum pb_rc due(struct pb_act *a, struct pb_err *err)
{
    struct pb_due_list list = {0};
    enum pb_rc rc = pb_act_due(a, (struct pb_due_ask){.by = a->today + 30}, &list, err);
    pb_due_clear(&list);
    return rc;
}

static enum pb_rc remind(struct pb_act *a, struct pb_err *err)
{
    const struct pb_remind_codes all = {NULL, 0};
    return pb_act_remind(a, &all, err);
}

static enum pb_rc back_up(struct pb_act *a, struct pb_err *err)
{
    struct pb_copied made;
    return pb_act_backup(a, place.copy, &made, err);
}

/* A file of ours: what `share --out` and `calendar --out` do. */
static enum pb_rc write_text(struct pb_act *a, struct pb_err *err)
{
    struct pb_replace *f = NULL;
    enum pb_rc rc = pb_replace_begin(place.text, &f, err);
    for (int i = 0; i < 4 && rc == PB_OK; i++)
        rc = pb_replace_write(f, a->command, strlen(a->command), err);
    return pb_replace_end(f, rc, err);
}

static const struct act {
    const char *claim;
    int steps; /* of the ones above it, that the book has already */
    enum pb_book_mode mode;
    enum pb_rc (*run)(struct pb_act *a, struct pb_err *err);
} acts[] = {
    {"the first cross",      0,  PB_BOOK_WRITE, enter     },
    {"a second cross",       1,  PB_BOOK_WRITE, enter_more},
    {"a look",               2,  PB_BOOK_WRITE, look      },
    {"a harvest",            3,  PB_BOOK_WRITE, harvest   },
    {"an amendment",         4,  PB_BOOK_WRITE, amend     },
    {"a file received",      5,  PB_BOOK_WRITE, receive   },
    {"a copy",               6,  PB_BOOK_READ,  back_up   },
    {"a copy over another",  7,  PB_BOOK_READ,  back_up   },
    {"what is due",          6,  PB_BOOK_READ,  due       },
    {"reminders",            6,  PB_BOOK_WRITE, remind    },
    {"a command taken back", 6,  PB_BOOK_WRITE, take_back },
    {"a file written",       1,  PB_BOOK_READ,  write_text},
    {"a file written over",  12, PB_BOOK_READ,  write_text},
};

/* ---- a book, and what is in it -------------------------------------------------------- */

static enum pb_rc perform(const struct act *act, struct pb_err *err)
{
    struct pb_act a = {.profiles = &place.profiles, .command = act->claim};
    a.today = 20514;
    a.now = (int64_t)a.today * 86400;
    a.ids.key[0] = 1;
    enum pb_rc rc = pb_book_open(place.book, act->mode, &a.book, err);
    if (rc == PB_OK)
        rc = act->run(&a, err);
    pb_learner_close(&a);
    pb_book_close(a.book);
    return rc;
}

static enum pb_rc add_act(void *ctx, const struct pb_history *h, struct pb_err *err)
{
    struct pb_buf *text = ctx;
    (void)err;
    pb_buf_printf(text, "%d %s %d\n", (int)h->n, h->command, (int)h->undone_by);
    return PB_OK;
}

static enum pb_rc faulty(void *ctx, const struct pb_fault *f, struct pb_err *err)
{
    const char *claim = ctx;
    (void)err;
    CLAIM(false, "%s: %s: %s", claim, f->code != NULL ? f->code : "the book", f->what);
    return PB_OK;
}

/* All that people entered, and the commands; empty where there is no book.  It is sound. */
static void dump(const char *claim, const char *path, struct pb_buf *text)
{
    struct pb_err err = {0};
    char name[] = "state";
    struct side s;
    struct stat st;
    struct pb_verified v;
    memset(&s, 0, sizeof(s));
    if (stat(path, &st) != 0)
        return;
    s.act = (struct pb_act){.profiles = &place.profiles, .command = name};
    s.act.today = 20514;
    enum pb_rc rc = pb_book_open(path, PB_BOOK_CHECK, &s.act.book, &err);
    if (rc == PB_OK)
        rc = pb_act_verify(&s.act, faulty, (void *)(uintptr_t)claim, &v, &err);
    if (rc == PB_OK)
        rc = pb_act_share(&s.act, &(struct pb_share){NULL, 0, true}, side_line, text,
                          &err);
    if (rc == PB_OK)
        rc = pb_history_each_act(s.act.book, NULL, add_act, text, &err);
    pb_learner_close(&s.act);
    pb_book_close(s.act.book);
    CLAIM(rc == PB_OK, "%s: %s cannot be read afterwards: %s", claim, path, err.text);
}

/* The book and, behind it, its copy. */
static char *state(const char *claim)
{
    struct pb_buf text;
    char *taken = NULL;
    pb_buf_init(&text, 1 << 20);
    dump(claim, place.book, &text);
    pb_buf_adds(&text, "copy:\n");
    dump(claim, place.copy, &text);
    pb_buf_adds(&text, "text:\n");
    FILE *f = fopen(place.text, "rb");
    for (int c = EOF; f != NULL && (c = fgetc(f)) != EOF;)
        pb_buf_addc(&text, (char)c);
    if (f != NULL)
        (void)fclose(f);
    assert_int_equal(pb_buf_take(&text, &taken, NULL), PB_OK);
    pb_buf_clear(&text);
    return taken;
}

/* Empty the folder.  *hidden: files whose names begin with a dot. */
static void clean(int *hidden)
{
    char path[2 * PATH_MAX_HERE + 16];
    DIR *dir = opendir(place.folder);
    struct dirent *e;
    *hidden = 0;
    assert_non_null(dir);
    while ((e = readdir(dir)) != NULL) {
        if (strcmp(e->d_name, ".") == 0 || strcmp(e->d_name, "..") == 0)
            continue;
        *hidden += e->d_name[0] == '.';
        (void)snprintf(path, sizeof(path), "%s/%s", place.folder, e->d_name);
        assert_int_equal(unlink(path), 0);
    }
    (void)closedir(dir);
}

/* The book as it is before an act. */
static void prepare(const struct act *act)
{
    int hidden = 0;
    struct pb_err err = {0};
    clean(&hidden);
    for (int i = 0; i < act->steps; i++)
        CLAIM(perform(&acts[i], &err) == PB_OK, "%s: %s", acts[i].claim, err.text);
}

/* ---- the trials ----------------------------------------------------------------------- */

/* The files as they are before an act, kept so that a trial begins with the same bytes. */
struct kept {
    char *bytes;
    size_t n;
};

static void keep(const char *path, struct kept *k)
{
    FILE *f = fopen(path, "rb");
    *k = (struct kept){NULL, 0};
    if (f == NULL)
        return;
    (void)fseek(f, 0, SEEK_END);
    long n = ftell(f);
    assert_true(n > 0);
    rewind(f);
    k->n = (size_t)n;
    k->bytes = malloc(k->n);
    assert_non_null(k->bytes);
    assert_int_equal(fread(k->bytes, 1, k->n, f), k->n);
    (void)fclose(f);
}

static void put_back(const char *path, const struct kept *k)
{
    if (k->bytes == NULL)
        return;
    FILE *f = fopen(path, "wb");
    assert_non_null(f);
    assert_int_equal(fwrite(k->bytes, 1, k->n, f), k->n);
    (void)fclose(f);
}

struct trial {
    const struct act *act;
    struct kept book, copy, text;
    char *before, *after;
    long done, refused; /* so many trials ended so */
};

/* One act with one fault.  Returns whether the fault was reached. */
static bool try(struct trial *t, enum fault_kind kind, long at, bool onward)
{
    struct pb_err err = {0};
    char claim[160];
    int hidden = 0;
    (void)snprintf(claim, sizeof(claim), "%s: %s %ld%s fails", t->act->claim,
                   fault_names[kind], at, onward ? " and all after it" : "");
    clean(&hidden);
    put_back(place.book, &t->book);
    put_back(place.copy, &t->copy);
    put_back(place.text, &t->text);
    fault_set(kind, at, onward);
    enum pb_rc rc = perform(t->act, &err);
    long calls = fault_clear();
    char *is = state(claim);
    bool whole = strcmp(is, t->after) == 0, untouched = strcmp(is, t->before) == 0;
    CLAIM(rc == PB_OK || (rc == PB_EIO && err.rc == rc && err.text[0] != '\0'),
          "%s: returns %s, says \"%s\"", claim, pb_rc_name(rc), err.text);
    CLAIM(whole || (rc != PB_OK && untouched), "%s: returns %s, leaves\n%s", claim,
          pb_rc_name(rc), is);
    free(is);
    clean(&hidden);
    CLAIM(hidden == 0, "%s: %d files are left beside", claim, hidden);
    t->done += rc == PB_OK;
    t->refused += rc != PB_OK;
    return calls >= at;
}

static void try_all(const struct act *act, enum fault_kind kind, long step)
{
    struct trial t = {.act = act};
    struct pb_err err = {0};
    prepare(act);
    keep(place.book, &t.book);
    keep(place.copy, &t.copy);
    keep(place.text, &t.text);
    t.before = state(act->claim);
    CLAIM(perform(act, &err) == PB_OK, "%s: %s", act->claim, err.text);
    t.after = state(act->claim);
    for (int onward = 0; onward < 2; onward++)
        for (long at = 1; try(&t, kind, at, onward != 0); at += step)
            CLAIM(at < CALLS_MAX, "%s: %s never ends", act->claim, fault_names[kind]);
    bool ours = act->run == back_up || act->run == write_text;
    /* the names of a folder may stay unsynced, what was written may not */
    CLAIM(kind != (ours ? FAULT_FILE_SYNC : FAULT_SYNC) || act->run == due ||
              t.refused > 0,
          "%s: done without a sync", act->claim);
    print_message("%s, %s: %ld done, %ld refused\n", act->claim, fault_names[kind],
                  t.done, t.refused);
    free(t.before);
    free(t.after);
    free(t.book.bytes);
    free(t.copy.bytes);
    free(t.text.bytes);
}

static void test_kind(void **state_of)
{
    const char *step = getenv("PB_FAULT_STEP");
    const enum fault_kind kind = *(const enum fault_kind *)*state_of;
    for (size_t i = 0; i < PB_ARRAY_LEN(acts); i++)
        try_all(&acts[i], kind, step != NULL ? atol(step) : 1);
}

int main(void)
{
    struct CMUnitTest tests[FAULT_N];
    enum fault_kind kinds[FAULT_N];
    const char *tmp = getenv("TMPDIR");
    (void)snprintf(place.folder, sizeof(place.folder), "%s/podbook-fault-XXXXXX",
                   tmp != NULL ? tmp : "/tmp");
    if (mkdtemp(place.folder) == NULL)
        return 1;
    (void)snprintf(place.book, sizeof(place.book), "%s/book.db", place.folder);
    (void)snprintf(place.text, sizeof(place.text), "%s/all.txt", place.folder);
    (void)snprintf(place.copy, sizeof(place.copy), "%s/copy.db", place.folder);
    place.profiles.builtin = &pb_profiles_builtin;
    fault_install();
    for (int i = 0; i < FAULT_N; i++) {
        kinds[i] = (enum fault_kind)i;
        tests[i] = (struct CMUnitTest)cmocka_unit_test_prestate(test_kind, &kinds[i]);
        tests[i].name = fault_names[i];
    }
    int failed = UNIT_MAIN("fault", tests);
    int hidden = 0;
    clean(&hidden);
    (void)rmdir(place.folder);
    return failed;
}
