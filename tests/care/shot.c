/* The files of a folder.  See shot.h. */
#include "shot.h"

#include "unit.h"

#include "base/buf.h"

#include <dirent.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PATH = 512, BOOK_MAX = 1 << 24 };

static void path_of(char path[PATH], const char *folder, const char *name)
{
    assert_true(snprintf(path, PATH, "%s/%s", folder, name) < PATH);
}

static void load(struct shot_file *f, const char *path)
{
    FILE *in = fopen(path, "rb");
    assert_non_null(in);
    assert_int_equal(fseek(in, 0, SEEK_END), 0);
    long n = ftell(in);
    assert_true(n >= 0);
    rewind(in);
    f->n = (size_t)n;
    f->bytes = malloc(f->n + 1);
    assert_non_null(f->bytes);
    assert_int_equal(fread(f->bytes, 1, f->n, in), f->n);
    f->bytes[f->n] = '\0';
    (void)fclose(in);
}

/* Add the files of folder/below; of folders in it too, one level down. */
static void add_folder(struct program_shot *s, const char *folder, const char *below)
{
    char path[PATH], folders[8][SHOT_NAME + 256];
    size_t folder_n = 0;
    struct dirent *e;
    path_of(path, folder, below);
    DIR *dir = opendir(path);
    assert_non_null(dir);
    while ((e = readdir(dir)) != NULL) {
        struct stat st;
        char name[2 * SHOT_NAME + 256];
        if (strcmp(e->d_name, ".") == 0 || strcmp(e->d_name, "..") == 0)
            continue;
        (void)snprintf(name, sizeof(name), "%s%s", below, e->d_name);
        assert_true(strlen(name) < SHOT_NAME - 1 && s->n < SHOT_FILES);
        path_of(path, folder, name);
        assert_int_equal(stat(path, &st), 0);
        if (S_ISDIR(st.st_mode)) {
            assert_true(below[0] == '\0' && folder_n < 8);
            (void)snprintf(folders[folder_n++], sizeof(folders[0]), "%s/", e->d_name);
            continue;
        }
        struct shot_file *f = &s->files[s->n++];
        memcpy(f->name, name, strlen(name) + 1);
        load(f, path);
    }
    (void)closedir(dir);
    for (size_t i = 0; i < folder_n; i++) /* one level: below is not empty then */
        add_folder(s, folder, folders[i]);
}

struct program_shot *shot_take(const char *folder)
{
    struct program_shot *s = calloc(1, sizeof(*s));
    assert_non_null(s);
    add_folder(s, folder, "");
    return s;
}

void shot_free(struct program_shot *s)
{
    for (size_t i = 0; s != NULL && i < s->n; i++) {
        free(s->files[i].bytes);
        free(s->files[i].facts);
        free(s->files[i].learnt);
    }
    free(s);
}

const struct shot_file *shot_find(const struct program_shot *s, const char *name)
{
    for (size_t i = 0; i < s->n; i++)
        if (strcmp(s->files[i].name, name) == 0)
            return &s->files[i];
    return NULL;
}

bool shot_same(const struct program_shot *a, const struct program_shot *b)
{
    bool same = a->n == b->n;
    for (size_t i = 0; i < a->n && same; i++) {
        const struct shot_file *f = shot_find(b, a->files[i].name);
        same = f != NULL && f->n == a->files[i].n &&
               memcmp(f->bytes, a->files[i].bytes, f->n) == 0;
    }
    return same;
}

static void store(const struct shot_file *f, const char *folder)
{
    char path[PATH];
    path_of(path, folder, f->name);
    char *slash = strchr(f->name, '/');
    if (slash != NULL) {
        path[strlen(path) - strlen(slash)] = '\0';
        (void)mkdir(path, 0777);
        path_of(path, folder, f->name);
    }
    FILE *out = fopen(path, "wb");
    assert_non_null(out);
    assert_int_equal(fwrite(f->bytes, 1, f->n, out), f->n);
    assert_int_equal(fclose(out), 0);
}

void shot_restore(const struct program_shot *s, const char *folder)
{
    char path[PATH];
    struct program_shot *is = shot_take(folder);
    for (size_t i = 0; i < is->n; i++) {
        if (shot_find(s, is->files[i].name) != NULL)
            continue;
        path_of(path, folder, is->files[i].name);
        assert_int_equal(unlink(path), 0);
        char *slash = strrchr(path, '/');
        *slash = '\0';
        if (strchr(is->files[i].name, '/') != NULL)
            (void)rmdir(path); /* where it was the last */
    }
    for (size_t i = 0; i < s->n; i++) {
        const struct shot_file *f = shot_find(is, s->files[i].name);
        if (f == NULL || f->n != s->files[i].n ||
            memcmp(f->bytes, s->files[i].bytes, f->n) != 0)
            store(&s->files[i], folder);
    }
    shot_free(is);
}

bool shot_is_book(const struct shot_file *f)
{
    const char *end = strstr(f->name, ".db");
    return end != NULL && (end[3] == '\0' || end[3] == '.');
}

static void add_rows(sqlite3 *db, const char *table, struct pb_buf *text)
{
    char sql[128];
    sqlite3_stmt *s = NULL;
    (void)snprintf(sql, sizeof(sql), "SELECT * FROM \"%s\"", table);
    if (sqlite3_prepare_v2(db, sql, -1, &s, NULL) != SQLITE_OK)
        return; /* a book of another form */
    pb_buf_printf(text, "%s\n", table);
    while (sqlite3_step(s) == SQLITE_ROW) {
        for (int i = 0; i < sqlite3_column_count(s); i++) {
            const char *cell = (const char *)sqlite3_column_text(s, i);
            pb_buf_printf(text, "|%s", cell != NULL ? cell : "-");
        }
        pb_buf_addc(text, '\n');
    }
    assert_int_equal(sqlite3_finalize(s), SQLITE_OK);
}

static char *taken(struct pb_buf *text)
{
    char *taken = NULL;
    assert_int_equal(pb_buf_take(text, &taken, NULL), PB_OK);
    pb_buf_clear(text);
    return taken;
}

/* Which book it is was drawn by lot: the table `book` is left out. */
static void add_tables(sqlite3 *db, struct pb_buf *text, const char *claim)
{
    sqlite3_stmt *s = NULL;
    int code = sqlite3_prepare_v2(
        db,
        "SELECT name FROM sqlite_schema WHERE type='table'"
        " AND name NOT IN ('book','learnt','learnt_law') ORDER BY name",
        -1, &s, NULL);
    CLAIM(code == SQLITE_OK, "%s: %s", claim, sqlite3_errmsg(db));
    while (sqlite3_step(s) == SQLITE_ROW)
        add_rows(db, (const char *)sqlite3_column_text(s, 0), text);
    assert_int_equal(sqlite3_finalize(s), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, "PRAGMA integrity_check", -1, &s, NULL),
                     SQLITE_OK);
    assert_int_equal(sqlite3_step(s), SQLITE_ROW);
    const char *word = (const char *)sqlite3_column_text(s, 0);
    CLAIM(strcmp(word, "ok") == 0, "%s: the book is damaged: %s", claim, word);
    assert_int_equal(sqlite3_finalize(s), SQLITE_OK);
}

void shot_read(struct shot_file *f, const char *folder, const char *claim)
{
    char path[PATH];
    sqlite3 *db = NULL;
    struct pb_buf facts, learnt;
    path_of(path, folder, f->name);
    pb_buf_init(&facts, BOOK_MAX);
    pb_buf_init(&learnt, BOOK_MAX);
    assert_int_equal(sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL),
                     SQLITE_OK);
    add_tables(db, &facts, claim);
    add_rows(db, "learnt", &learnt);
    add_rows(db, "learnt_law", &learnt);
    CLAIM(sqlite3_close(db) == SQLITE_OK, "%s: cannot be closed", claim);
    f->facts = taken(&facts);
    f->learnt = taken(&learnt);
}
