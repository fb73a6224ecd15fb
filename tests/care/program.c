/* Trials of the program.  See program.h. */
#define _DEFAULT_SOURCE
#include "program.h"

#include "shot.h"

#include <assert.h>
#include <fcntl.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

enum { PATH = 256, WORDS = 40, LINE = 600, SECONDS = 60 };

/* The program's own main(); the test's stands in front of it. */
int __real_main(int argc, char **argv);

#define TRY(command, words, fresh, status) {command, words, fresh, status},
#define STEP(seed, words)
const struct program_row program_rows[] = {
#include "trials.def"
};
#undef TRY
#undef STEP
const size_t program_row_n = PB_ARRAY_LEN(program_rows);

static const struct {
    const char *seed, *words;
} steps[] = {
#define TRY(command, words, fresh, status)
#define STEP(seed, words) {#seed, words},
#include "trials.def"
#undef TRY
#undef STEP
};

static struct {
    char home[PATH], folder[PATH + 8], out[PATH + 8], err[PATH + 8];
    const struct program_hooks *hooks;
    struct program_note *note; /* shared with the child */
    struct program_shot *told, *empty;
    const struct program_shot *as; /* the folder is as it was then; NULL: perhaps not */
    bool full;
} place;

/* ---- the program in a child ------------------------------------------------------------- */

static void redirect(const char *path, int flags, int to)
{
    int fd = open(path, flags, 0600);
    if (fd < 0 || dup2(fd, to) < 0)
        _exit(125);
    (void)close(fd);
}

static void run_child(const char *words, bool hooked)
{
    /* cmocka would go on in the child as if it were the test */
    static const int signals[] = {SIGFPE, SIGILL, SIGSEGV, SIGBUS, SIGSYS, SIGABRT};
    char line[LINE], name[] = "podbook", *argv[WORDS] = {name};
    int argc = 1;
    assert(strlen(words) < LINE);
    memcpy(line, words, strlen(words) + 1);
    for (char *p = line; p != NULL && argc < WORDS - 1; argc++) {
        argv[argc] = p;
        p = strchr(p, '|');
        if (p != NULL)
            *p++ = '\0';
    }
    argv[argc] = NULL;
    redirect("/dev/null", O_RDONLY, 0);
    redirect(place.full ? "/dev/full" : place.out, O_WRONLY | O_CREAT | O_TRUNC, 1);
    redirect(place.err, O_WRONLY | O_CREAT | O_TRUNC, 2);
    for (size_t i = 0; i < PB_ARRAY_LEN(signals); i++)
        (void)signal(signals[i], SIG_DFL);
    (void)alarm(SECONDS);
    if (hooked)
        place.hooks->before();
    int status = __real_main(argc, argv);
    if (hooked)
        place.hooks->after(place.note);
    (void)fflush(NULL);
    _exit(status);
}

/* Its exit status; of one that a signal ended, the number below zero. */
static int run_words(const char *words, bool hooked)
{
    int status = 0;
    memset(place.note, 0, sizeof(*place.note));
    (void)fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0)
        run_child(words, hooked);
    assert_int_equal(waitpid(child, &status, 0), child);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

static char *text_of(const char *path)
{
    FILE *in = fopen(path, "rb");
    char *text = NULL;
    struct pb_buf b;
    assert_non_null(in);
    pb_buf_init(&b, 1 << 24);
    for (int c = fgetc(in); c != EOF; c = fgetc(in))
        pb_buf_addc(&b, (char)c);
    (void)fclose(in);
    assert_int_equal(pb_buf_take(&b, &text, NULL), PB_OK);
    pb_buf_clear(&b);
    return text;
}

/* ---- the place --------------------------------------------------------------------------- */

static void write_file(const char *name, const char *text)
{
    char path[2 * PATH];
    (void)snprintf(path, sizeof(path), "%s/%s", place.home, name);
    FILE *f = fopen(path, "wb");
    assert_non_null(f);
    assert_true(fputs(text, f) >= 0);
    assert_int_equal(fclose(f), 0);
}

/* A book of the form before the first: its mark, and a table. */
static void make_older_book(void)
{
    char path[2 * PATH];
    sqlite3 *db = NULL;
    (void)snprintf(path, sizeof(path), "%s/older.db", place.folder);
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db,
                                  "PRAGMA application_id=0x506f4262;"
                                  "CREATE TABLE kept(word); INSERT INTO kept VALUES(1)",
                                  NULL, NULL, NULL),
                     SQLITE_OK);
    assert_int_equal(sqlite3_close(db), SQLITE_OK);
}

/* A home outside the folder, with a profile of the grower's own. */
static void make_home(const char *top)
{
    static const char profiles[] =
        "{\"profiles\":[{\"name\":\"my own\",\"taxa\":[\"Macodes\"],\"stages\":"
        "{\"harvest\":{\"from\":20,\"to\":24,\"source\":\"me\",\"confidence\":\"L\"}}}]"
        ","
        "\"sources\":{\"me\":\"own notes\"}}\n";
    (void)snprintf(place.home, sizeof(place.home), "%s", top);
    (void)snprintf(place.folder, sizeof(place.folder), "%s/work", top);
    (void)snprintf(place.out, sizeof(place.out), "%s/out", top);
    (void)snprintf(place.err, sizeof(place.err), "%s/err", top);
    char path[2 * PATH];
    (void)snprintf(path, sizeof(path), "%s/podbook", top);
    assert_int_equal(mkdir(path, 0700), 0);
    assert_int_equal(mkdir(place.folder, 0700), 0);
    write_file("podbook/profiles.json", profiles);
    write_file("work/plants.csv",
               "code,taxon,seed_parent,pollen_parent,clone_of,got,note\n"
               "T-2,Macodes petola,T-1,unknown,,2025-03-01,\"two, or three\"\n"
               "T-1,Macodes petola,,,,,\n");
    write_file("work/crosses.csv", "seed_parent,pollen_parent,pollinated,flowers,note\n"
                                   "AR-1,GH-1,2026-01-20,2,\n"
                                   "GH-1,unknown,2026-01-21,,bee\n");
    make_older_book();
    (void)setenv("HOME", place.home, 1);
    (void)setenv("XDG_CONFIG_HOME", place.home, 1);
    (void)setenv("PODBOOK_FILE", "book.db", 1);
    (void)setenv("PODBOOK_TODAY", "2026-03-02", 1);
    (void)setenv("SOURCE_DATE_EPOCH", "1772452800", 1);
    (void)setenv("NO_COLOR", "1", 1);
}

/* A command that has no row is a failure, and so is a row without one. */
static void check_rows(void)
{
    static const char *const names[] = {
#define COMMAND(name) #name,
#include "commands.def"
#undef COMMAND
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(names); i++) {
        bool found = false;
        for (size_t k = 0; k < program_row_n; k++)
            found = found || strcmp(program_rows[k].command, names[i]) == 0;
        CLAIM(found, "trials.def has no row for the command %s", names[i]);
    }
}

void program_init(const struct program_hooks *hooks)
{
    static char top[PATH];
    const char *tmp = getenv("TMPDIR");
    check_rows();
    place.hooks = hooks;
    place.note = mmap(NULL, sizeof(*place.note), PROT_READ | PROT_WRITE,
                      MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    assert_true(place.note != MAP_FAILED);
    (void)snprintf(top, sizeof(top), "%s/podbook-trial-XXXXXX",
                   tmp != NULL ? tmp : "/tmp");
    assert_non_null(mkdtemp(top));
    make_home(top);
    assert_int_equal(chdir(place.folder), 0);
    place.empty = shot_take(place.folder);
    for (size_t i = 0; i < PB_ARRAY_LEN(steps); i++) {
        (void)setenv("PODBOOK_TEST_SEED", steps[i].seed, 1);
        int status = run_words(steps[i].words, false);
        if (status != 0)
            print_message("%s\n", text_of(place.err));
        CLAIM(status == 0, "the story: %s: exit %d", steps[i].words, status);
    }
    (void)setenv("PODBOOK_TEST_SEED", "1", 1);
    (void)unlink("other.db");
    place.told = shot_take(place.folder);
}

void program_done(void)
{
    static const char *const files[] = {
        "podbook/profiles.json", "podbook", "in.jsonl", "out", "err", "work", "."};
    static const struct program_shot nothing;
    shot_restore(&nothing, place.folder);
    assert_int_equal(chdir(place.home), 0);
    for (size_t i = 0; i < PB_ARRAY_LEN(files); i++)
        (void)remove(files[i][0] == '.' ? place.home : files[i]);
    shot_free(place.told);
    shot_free(place.empty);
}

void program_stdout_full(bool full)
{
    place.full = full;
}

/* ---- a subject, and its trials ----------------------------------------------------------- */

static void read_books(struct program_shot *s, const char *claim)
{
    for (size_t i = 0; i < s->n; i++)
        if (shot_is_book(&s->files[i]))
            shot_read(&s->files[i], place.folder, claim);
}

void program_begin(struct program_subject *s, const struct program_row *row)
{
    memset(s, 0, sizeof(*s));
    s->row = row;
    place.as = NULL;
    shot_restore(row->fresh ? place.empty : place.told, place.folder);
    s->before = shot_take(place.folder);
    read_books(s->before, row->words);
    int status = run_words(row->words, true);
    s->note = *place.note;
    s->out = text_of(place.out);
    s->err = text_of(place.err);
    CLAIM(status == row->status, "%s: nothing fails: exit %d: %s", row->words, status,
          s->err);
    CLAIM(s->note.lost == 0, "%s: nothing fails: %ld blocks are lost, %s", row->words,
          s->note.lost, s->note.where);
    s->after = shot_take(place.folder);
    read_books(s->after, row->words);
}

void program_end(struct program_subject *s)
{
    shot_free(s->before);
    shot_free(s->after);
    free(s->out);
    free(s->err);
}

static bool same_bytes(const struct shot_file *a, const struct shot_file *b)
{
    return a != NULL && a->n == b->n && memcmp(a->bytes, b->bytes, a->n) == 0;
}

static bool same(const struct shot_file *a, const struct shot_file *b)
{
    if (a == NULL || b == NULL)
        return a == b;
    if (same_bytes(a, b))
        return true;
    return a->facts != NULL && b->facts != NULL && strcmp(a->facts, b->facts) == 0;
}

/* Read the books that are not as they were, byte for byte, and what a journal is done with. */
static void read_changed(const struct program_subject *s, struct program_shot *is,
                         const char *claim)
{
    bool journals = false;
    for (size_t i = 0; i < is->n; i++)
        journals = journals || strstr(is->files[i].name, ".db-") != NULL;
    for (size_t i = 0; i < is->n; i++) {
        struct shot_file *f = &is->files[i];
        if (shot_is_book(f) &&
            (journals || (!same_bytes(shot_find(s->before, f->name), f) &&
                          !same_bytes(shot_find(s->after, f->name), f))))
            shot_read(f, place.folder, claim);
    }
}

/* What was learnt is a cache: kept, or not; if it is neither, verify knows. */
static void check_learnt(const struct program_subject *s, const struct shot_file *is,
                         const char *claim)
{
    const struct shot_file *a = shot_find(s->before, is->name),
                           *b = shot_find(s->after, is->name);
    if ((a != NULL && strcmp(a->learnt, is->learnt) == 0) ||
        (b != NULL && strcmp(b->learnt, is->learnt) == 0))
        return;
    CLAIM(run_words("verify", false) == 0, "%s: what was learnt is not so", claim);
}

/* The folder is the one before or the one after, file by file; done: the one after; less:
 * of the books alone. */
static void check_folder(const struct program_subject *s, const char *claim, bool done,
                         bool less)
{
    struct program_shot *is = shot_take(place.folder);
    place.as = shot_same(is, s->before) ? s->before : NULL;
    if (!done && place.as != NULL) { /* most that are refused touch nothing */
        shot_free(is);
        return;
    }
    place.as = NULL;
    read_changed(s, is, claim);
    struct program_shot *names = shot_take(place.folder);
    for (size_t i = 0; i < names->n; i++) {
        const char *name = names->files[i].name;
        if (strstr(name, ".db-") != NULL)
            continue; /* SQLite's own: read_changed has read the book with it */
        const struct shot_file *f = shot_find(is, name),
                               *a = shot_find(s->before, name),
                               *b = shot_find(s->after, name);
        const struct shot_file *read = f == NULL || f->facts != NULL ? f
                                       : same_bytes(a, f)            ? a
                                                                     : f;
        CLAIM(f != NULL && ((less && !shot_is_book(f)) || same(read, b) ||
                            ((less || !done) && same(read, a))),
              "%s: %s is neither what it was nor what it should be", claim, name);
        if (f->learnt != NULL)
            check_learnt(s, f, claim);
    }
    const struct program_shot *wanted = done && !less ? s->after : s->before;
    for (size_t i = 0; i < wanted->n; i++) {
        const char *name = wanted->files[i].name;
        CLAIM(shot_find(names, name) != NULL || shot_find(s->after, name) == NULL,
              "%s: %s is gone", claim, name);
    }
    shot_free(names);
    shot_free(is);
}

/* The last line says what is wrong, in our words. */
static void check_message(const char *err, const char *claim, const char *says,
                          const char *out)
{
    static const char name[] = "podbook: ";
    size_t n = strlen(err);
    CLAIM(n > 0 && err[n - 1] == '\n', "%s: says \"%s\" and prints\n%s", claim, err,
          out);
    const char *last = err + n - 1;
    while (last > err && last[-1] != '\n')
        last--;
    CLAIM(strncmp(last, name, sizeof(name) - 1) == 0 && strlen(last) > sizeof(name) + 8,
          "%s: says only \"%s\"", claim, last);
    CLAIM(says == NULL || strstr(last, says) != NULL, "%s: says \"%s\"", claim, last);
}

bool program_try(const struct program_subject *s, const char *claim, const char *says,
                 struct program_note *note)
{
    if (place.as != s->before)
        shot_restore(s->before, place.folder);
    place.as = NULL;
    int status = run_words(s->row->words, true);
    bool done = status == s->row->status;
    *note = *place.note;
    char *out = place.full ? NULL : text_of(place.out), *err = text_of(place.err);
    bool less = strstr(err, "as they were last kept") != NULL;
    CLAIM(done || status == 1, "%s: exit %d: %s", claim, status, err);
    if (done) {
        CLAIM(less || strcmp(err, s->err) == 0, "%s: done, but says\n%s", claim, err);
        /* of a folder a file more is written anew, where it could not be compared */
        bool counts = strstr(s->row->words, "--dir") != NULL;
        CLAIM(less || counts || out == NULL || strcmp(out, s->out) == 0,
              "%s: done, but prints\n%s", claim, out);
    } else {
        check_message(err, claim, says, out != NULL ? out : "");
    }
    CLAIM(note->lost == 0, "%s: %ld blocks are lost, %s", claim, note->lost,
          note->where);
    CLAIM(note->others <= s->note.others,
          "%s: other libraries keep %ld blocks, not %ld", claim, note->others,
          s->note.others);
    check_folder(s, claim, done, less);
    free(out);
    free(err);
    return done;
}

int program_test(const char *name, CMUnitTestFunction run, CMFixtureFunction set_up,
                 CMFixtureFunction tear_down)
{
    enum { ROWS = PB_ARRAY_LEN(program_rows) };
    static const struct program_row *rows[ROWS];
    struct CMUnitTest tests[ROWS];
    const char *only = getenv("PB_TRIAL"), *part = getenv("PB_TRIAL_PART");
    unsigned long parts = part != NULL ? strtoul(strchr(part, '/') + 1, NULL, 10) : 1;
    size_t n = 0, first = part != NULL ? strtoul(part, NULL, 10) : 0;
    (void)setlocale(LC_ALL, "");
    for (size_t i = first; i < ROWS; i += parts) {
        if (only != NULL && strncmp(program_rows[i].words, only, strlen(only)) != 0)
            continue;
        rows[n] = &program_rows[i];
        tests[n] = (struct CMUnitTest)cmocka_unit_test_prestate(run, (void *)&rows[n]);
        tests[n].name = program_rows[i].words;
        n++;
    }
    return n == 0 || _cmocka_run_group_tests(name, tests, n, set_up, tear_down) != 0;
}
