/* Replacing a file whole: what is seen before, after, and when it fails. */
#include "unit.h"

#include "exchange/replace.h"

#include <dirent.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

static char folder[] = "replace-XXXXXX";

static const char *in(const char *name)
{
    static char path[128];
    (void)snprintf(path, sizeof(path), "%s/%s", folder, name);
    return path;
}

static void fill(const char *name, const char *text)
{
    FILE *f = fopen(in(name), "w");
    assert_non_null(f);
    assert_true(fputs(text, f) >= 0);
    assert_int_equal(fclose(f), 0);
}

static void holds(const char *name, const char *text)
{
    char got[256] = "";
    FILE *f = fopen(in(name), "r");
    assert_non_null(f);
    size_t n = fread(got, 1, sizeof(got) - 1, f);
    got[n] = '\0';
    assert_int_equal(fclose(f), 0);
    assert_string_equal(got, text);
}

/* Files in the folder, hidden ones too. */
static int files(void)
{
    int n = 0;
    DIR *d = opendir(folder);
    assert_non_null(d);
    while (readdir(d) != NULL) /* NOLINT(concurrency-mt-unsafe): one thread */
        n++;
    (void)closedir(d);
    return n - 2;
}

static int make_folder(void **state)
{
    (void)state;
    memcpy(folder + sizeof(folder) - 7, "XXXXXX", 6);
    return mkdtemp(folder) == NULL;
}

static int drop_folder(void **state)
{
    (void)state;
    static const char *const names[] = {"a.ics", "link", "b.ics", "folder",
                                        "b.ics-wal"};
    for (size_t i = 0; i < PB_ARRAY_LEN(names); i++)
        (void)remove(in(names[i]));
    return rmdir(folder);
}

static enum pb_rc write_a(const char *text, enum pb_rc rc)
{
    struct pb_replace *f = NULL;
    assert_int_equal(pb_replace_begin(in("a.ics"), &f, NULL), PB_OK);
    assert_int_equal(pb_replace_write(f, text, strlen(text), NULL), PB_OK);
    return pb_replace_end(f, rc, NULL);
}

static void new_then_replaced(void **state)
{
    (void)state;
    assert_int_equal(write_a("one\r\n", PB_OK), PB_OK);
    holds("a.ics", "one\r\n");
    assert_int_equal(write_a("two\r\n", PB_OK), PB_OK);
    holds("a.ics", "two\r\n");
    assert_int_equal(files(), 1);
}

static void old_until_the_end(void **state)
{
    (void)state;
    struct pb_replace *f = NULL;
    fill("a.ics", "old");
    assert_int_equal(pb_replace_begin(in("a.ics"), &f, NULL), PB_OK);
    assert_int_equal(pb_replace_write(f, "new", 3, NULL), PB_OK);
    holds("a.ics", "old");
    assert_int_equal(pb_replace_end(f, PB_OK, NULL), PB_OK);
    holds("a.ics", "new");
}

static void failure_leaves_the_old(void **state)
{
    (void)state;
    fill("a.ics", "old");
    assert_int_equal(write_a("new", PB_EPARSE), PB_EPARSE);
    holds("a.ics", "old");
    assert_int_equal(files(), 1);
    assert_int_equal(pb_replace_end(NULL, PB_EIO, NULL), PB_EIO);
}

static void permissions_stay(void **state)
{
    (void)state;
    struct stat st;
    mode_t before = umask(027);
    assert_int_equal(write_a("new", PB_OK), PB_OK);
    assert_int_equal(stat(in("a.ics"), &st), 0);
    assert_int_equal(st.st_mode & 0777, 0640);
    assert_int_equal(chmod(in("a.ics"), 0604), 0);
    assert_int_equal(write_a("newer", PB_OK), PB_OK);
    assert_int_equal(stat(in("a.ics"), &st), 0);
    assert_int_equal(st.st_mode & 0777, 0604);
    (void)umask(before);
}

static void link_stays_a_link(void **state)
{
    (void)state;
    struct stat st;
    struct pb_replace *f = NULL;
    fill("b.ics", "old");
    assert_int_equal(symlink("b.ics", in("link")), 0);
    assert_int_equal(pb_replace_begin(in("link"), &f, NULL), PB_OK);
    assert_int_equal(pb_replace_write(f, "new", 3, NULL), PB_OK);
    assert_int_equal(pb_replace_end(f, PB_OK, NULL), PB_OK);
    holds("b.ics", "new");
    assert_int_equal(lstat(in("link"), &st), 0);
    assert_true(S_ISLNK(st.st_mode));
}

static void link_in_a_folder_is_replaced(void **state)
{
    (void)state;
    struct stat st;
    bool changed = false;
    fill("b.ics", "text");
    assert_int_equal(symlink("b.ics", in("link")), 0);
    assert_int_equal(pb_replace_file(in("link"), "text", 4, &changed, NULL), PB_OK);
    assert_true(changed); /* also where it led to the same */
    holds("link", "text");
    assert_int_equal(lstat(in("link"), &st), 0);
    assert_true(S_ISREG(st.st_mode));
    assert_int_equal(stat(in("b.ics"), &st), 0);
    assert_int_equal(st.st_nlink, 1);
}

static void link_to_nothing_is_refused(void **state)
{
    (void)state;
    struct pb_replace *f = NULL;
    struct pb_err err = {0};
    assert_int_equal(symlink("b.ics", in("link")), 0);
    assert_int_equal(pb_replace_begin_book(in("link"), &f, &err), PB_EIO);
    assert_null(f);
    assert_non_null(strstr(err.text, "leads nowhere"));
    assert_int_equal(files(), 1);
}

/* The first 16 bytes are what makes a database of SQLite: "Database File Format", 1.3.1. */
#define DATABASE "SQLite format 3"

static void fill_database(void)
{
    FILE *f = fopen(in("b.ics"), "w");
    assert_non_null(f);
    assert_int_equal(fwrite(DATABASE, 1, sizeof(DATABASE), f), sizeof(DATABASE));
    assert_int_equal(fclose(f), 0);
}

static void no_text_for_a_database(void **state)
{
    (void)state;
    static const char *const names[] = {"b.ics", "link", "b.ics-wal", "b.ics-shm",
                                        "b.ics-journal"};
    struct pb_replace *f = NULL;
    bool changed = false;
    fill_database();
    assert_int_equal(symlink("b.ics", in("link")), 0);
    for (size_t i = 0; i < PB_ARRAY_LEN(names); i++) {
        struct pb_err err = {0};
        CLAIM(pb_replace_begin(in(names[i]), &f, &err) == PB_ECONFLICT, "%s", names[i]);
        CLAIM(strcmp(err.where, in(names[i])) == 0, "%s: %s", names[i], err.where);
        assert_null(f);
    }
    assert_int_equal(pb_replace_file(in("b.ics"), "text", 4, &changed, NULL),
                     PB_ECONFLICT);
    assert_int_equal(files(), 2);
    assert_int_equal(pb_replace_begin_book(in("b.ics"), &f, NULL), PB_OK);
    assert_int_equal(pb_replace_end(f, PB_OK, NULL), PB_OK);
    holds("b.ics", "");
    /* what only begins like one, and a name beside what is none */
    fill("b.ics", DATABASE);
    assert_int_equal(pb_replace_begin(in("b.ics-wal"), &f, NULL), PB_OK);
    assert_int_equal(pb_replace_end(f, PB_OK, NULL), PB_OK);
    assert_int_equal(pb_replace_begin(in("b.ics"), &f, NULL), PB_OK);
    assert_int_equal(pb_replace_end(f, PB_OK, NULL), PB_OK);
    holds("b.ics", "");
}

static void place_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *name, *word;
    } rows[] = {
        {"a missing folder",        "no/a.ics", "make it first"},
        {"a folder is no file",     "",         "is a folder"  },
        {"nor is a device a place", "device",   "no plain file"},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_replace *f = NULL;
        struct pb_err err = {0};
        bool device = strcmp(rows[i].name, "device") == 0;
        const char *path = device ? "/dev/full" : in(rows[i].name);
        CLAIM(pb_replace_begin(path, &f, &err) == PB_EIO, "%s", rows[i].claim);
        CLAIM(strstr(err.text, rows[i].word) != NULL, "%s: %s", rows[i].claim,
              err.text);
        CLAIM(strcmp(err.where, path) == 0, "%s: %s", rows[i].claim, err.where);
        assert_null(f);
    }
    assert_int_equal(files(), 0);
}

/* A disk that takes no more: a ceiling on the size of files does the same to a writer. */
static void full_disk(void **state)
{
    (void)state;
    struct rlimit before, small = {1000, 1000};
    struct pb_replace *f = NULL;
    char block[4096];
    memset(block, 'x', sizeof(block));
    fill("a.ics", "old");
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    small.rlim_max = before.rlim_max;
    (void)signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(pb_replace_begin(in("a.ics"), &f, NULL), PB_OK);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    enum pb_rc rc = PB_OK;
    struct pb_err err = {0};
    for (int i = 0; rc == PB_OK && i < 10; i++)
        rc = pb_replace_write(f, block, sizeof(block), &err);
    rc = pb_replace_end(f, rc, &err);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    assert_int_equal(rc, PB_EIO);
    assert_non_null(strstr(err.text, "cannot be written"));
    holds("a.ics", "old");
    assert_int_equal(files(), 1);
}

static void untouched_where_the_same(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *before, *text;
        bool changed;
    } rows[] = {
        {"a new file",     NULL,   "text", true },
        {"the same again", "text", "text", false},
        {"a longer one",   "text", "tex",  true },
        {"a shorter one",  "tex",  "text", true },
        {"another",        "text", "tent", true },
        {"an empty one",   "",     "",     false},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct stat st;
        bool changed = !rows[i].changed;
        ino_t inode = 0;
        (void)remove(in("a.ics"));
        if (rows[i].before != NULL) {
            fill("a.ics", rows[i].before);
            assert_int_equal(stat(in("a.ics"), &st), 0);
            inode = st.st_ino;
        }
        assert_int_equal(pb_replace_file(in("a.ics"), rows[i].text,
                                         strlen(rows[i].text), &changed, NULL),
                         PB_OK);
        CLAIM(changed == rows[i].changed, "%s", rows[i].claim);
        holds("a.ics", rows[i].text);
        assert_int_equal(stat(in("a.ics"), &st), 0);
        CLAIM(changed || st.st_ino == inode, "%s: is the same file", rows[i].claim);
    }
}

static void removed(void **state)
{
    (void)state;
    bool was_there = false;
    struct pb_err err = {0};
    fill("a.ics", "old");
    assert_int_equal(pb_replace_remove(in("a.ics"), &was_there, NULL), PB_OK);
    assert_true(was_there);
    assert_int_equal(pb_replace_remove(in("a.ics"), &was_there, NULL), PB_OK);
    assert_false(was_there);
    assert_int_equal(files(), 0);
    assert_int_equal(pb_replace_remove(folder, &was_there, &err), PB_EIO);
    assert_string_equal(err.where, folder);
}

static void folders(void **state)
{
    (void)state;
    struct pb_err err = {0};
    assert_int_equal(pb_replace_folder(in("folder"), NULL), PB_OK);
    assert_int_equal(pb_replace_folder(in("folder"), NULL), PB_OK);
    fill("a.ics", "text");
    assert_int_equal(pb_replace_folder(in("a.ics"), &err), PB_EIO);
    assert_non_null(strstr(err.text, "a file of that name"));
    assert_int_equal(pb_replace_folder(in("no/folder"), NULL), PB_EIO);
    pb_replace_settle(
        in("no")); /* says nothing: there is nothing to bring to the disk */
}

#define IN_FOLDER(test) cmocka_unit_test_setup_teardown(test, make_folder, drop_folder)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_FOLDER(new_then_replaced),
        IN_FOLDER(old_until_the_end),
        IN_FOLDER(failure_leaves_the_old),
        IN_FOLDER(permissions_stay),
        IN_FOLDER(link_stays_a_link),
        IN_FOLDER(link_in_a_folder_is_replaced),
        IN_FOLDER(link_to_nothing_is_refused),
        IN_FOLDER(no_text_for_a_database),
        IN_FOLDER(place_rows),
        IN_FOLDER(full_disk),
        IN_FOLDER(untouched_where_the_same),
        IN_FOLDER(removed),
        IN_FOLDER(folders),
    };
    return UNIT_MAIN("replace", tests);
}
