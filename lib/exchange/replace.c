/* Files that are replaced whole.  See replace.h. */
#include "exchange/replace.h"

#include "base/buf.h"
#include "base/text.h"
#include "exchange/system.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { MAX_PATH = 65536, TRIES = 100 };

/* What is written, and so what it may take the place of.  Of many files the folder is
 * settled when all of them are written. */
enum kind { TEXT, BOOK, ONE_OF_MANY };

struct pb_replace {
    enum kind kind;
    FILE *file;
    char *path;   /* of the file itself, links resolved */
    char *folder; /* that it is in, "/" at the end */
    char *beside; /* hidden, in the same folder; NULL: not made yet */
    char *shown;  /* path as the caller gave it, for messages */
};

/* What the system said, with the way out where there is one. */
static enum pb_rc refuse(const char *path, const char *what, struct pb_err *err)
{
    static const struct {
        int code;
        const char *words;
    } rows[] = {
        {ENOSPC,  "the disk is full; make room and say it again"              },
        {EDQUOT,  "your share of the disk is full; make room and say it again"},
        {ENOENT,  "there is no such folder; make it first"                    },
        {EEXIST,  "a file of that name is there"                              },
        {ENOTDIR, "a part of the path is no folder"                           },
        {EACCES,  "no permission; choose another place"                       },
        {EPERM,   "no permission; choose another place"                       },
        {EROFS,   "the disk can only be read; choose another place"           },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        if (rows[i].code == errno)
            return pb_fail_at(err, PB_EIO, path, 0, "%s: %s", what, rows[i].words);
    return pb_fail_system(err, path, 0, what);
}

static enum pb_rc make_beside(struct pb_replace *f, int *fd, struct pb_err *err)
{
    for (int i = 0; i < TRIES; i++) {
        struct pb_buf name;
        char *beside = NULL;
        pb_buf_init(&name, MAX_PATH);
        pb_buf_printf(&name, "%s.podbook-%ld-%d.tmp", f->folder, (long)getpid(), i);
        enum pb_rc rc = pb_buf_take(&name, &beside, err);
        pb_buf_clear(&name);
        if (rc != PB_OK)
            return rc;
        *fd = open(beside, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (*fd >= 0) {
            f->beside = beside;
            return PB_OK;
        }
        free(beside);
        if (errno != EEXIST)
            break;
    }
    return refuse(f->shown, "cannot be written", err);
}

/* The folder of a path as text of its own; NULL: out of memory. */
static char *folder_of(const char *path)
{
    const char *slash = strrchr(path, '/');
    size_t n = slash != NULL ? (size_t)(slash - path) + 1 : 0;
    struct pb_buf b;
    char *text = NULL;
    pb_buf_init(&b, MAX_PATH);
    pb_buf_add(&b, path, n);
    pb_buf_adds(&b, n == 0 ? "./" : "");
    (void)pb_buf_take(&b, &text, NULL);
    pb_buf_clear(&b);
    return text;
}

/* Is it a database?  (SQLite, "Database File Format", 1.3.1) */
static enum pb_rc ask_database(const char *path, const char *shown, bool *is,
                               struct pb_err *err)
{
    static const char magic[16] = "SQLite format 3";
    char head[sizeof(magic)];
    FILE *file = fopen(path, "rb");
    if (file == NULL)
        return refuse(shown, "cannot be read, so it is not replaced", err);
    size_t n = fread(head, 1, sizeof(head), file);
    bool failed = n < sizeof(head) && ferror(file) != 0;
    (void)fclose(file);
    if (failed)
        return refuse(shown, "cannot be read, so it is not replaced", err);
    *is = n == sizeof(head) && memcmp(head, magic, sizeof(head)) == 0;
    return PB_OK;
}

/* A text takes no database's place. */
static enum pb_rc check_no_database(const struct pb_replace *f, struct pb_err *err)
{
    bool is = false;
    enum pb_rc rc = ask_database(f->path, f->shown, &is, err);
    if (rc == PB_OK && is)
        rc = pb_fail_at(err, PB_ECONFLICT, f->shown, 0,
                        "is a book or another database, which would be lost; name "
                        "another file");
    return rc;
}

/* Nor that of a file which SQLite keeps beside one, and would take for its own. */
static enum pb_rc check_not_beside(const struct pb_replace *f, struct pb_err *err)
{
    static const char *const ends[] = {"-wal", "-journal", "-shm"};
    enum pb_rc rc = PB_OK;
    bool is = false;
    for (size_t i = 0; i < PB_ARRAY_LEN(ends) && rc == PB_OK && !is; i++) {
        size_t n = strlen(f->path), end = strlen(ends[i]);
        if (n <= end || strcmp(f->path + n - end, ends[i]) != 0)
            continue;
        f->path[n - end] = '\0';
        if (access(f->path, F_OK) == 0)
            rc = ask_database(f->path, f->shown, &is, err);
        f->path[n - end] = ends[i][0];
    }
    if (rc == PB_OK && is)
        rc =
            pb_fail_at(err, PB_ECONFLICT, f->shown, 0,
                       "is a name that SQLite has for what belongs to a database; name "
                       "another file");
    return rc;
}

static enum pb_rc refuse_kind(const struct pb_replace *f, struct pb_err *err)
{
    return pb_fail_at(err, PB_EIO, f->shown, 0, "is no plain file; name one%s",
                      f->kind == TEXT ? ", or none for standard output" : "");
}

/* Resolve links. */
static enum pb_rc follow(struct pb_replace *f, struct pb_err *err)
{
    struct stat st;
    f->path = realpath(f->shown, NULL);
    if (f->path != NULL)
        return PB_OK;
    if (errno == ENOMEM)
        return pb_fail_memory(err);
    /* what is a file by itself was made by another process meanwhile */
    bool other = lstat(f->shown, &st) == 0 && !S_ISREG(st.st_mode);
    if (other && stat(f->shown, &st) == 0) /* as /dev/stdout, a pipe */
        return refuse_kind(f, err);
    if (other)
        return pb_fail_at(
            err, PB_EIO, f->shown, 0,
            "is a link that leads nowhere; make what it leads to, or name "
            "another file");
    f->path = pb_text_copy(f->shown);
    return f->path != NULL ? PB_OK : pb_fail_memory(err);
}

/* What is there, and may it be replaced? */
static enum pb_rc find_target(struct pb_replace *f, bool *there, struct stat *st,
                              struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    if (f->kind == ONE_OF_MANY)
        f->path = pb_text_copy(f->shown);
    else
        rc = follow(f, err);
    if (rc != PB_OK)
        return rc;
    if (f->path != NULL)
        f->folder = folder_of(f->path);
    if (f->folder == NULL)
        return pb_fail_memory(err);
    *there = lstat(f->path, st) == 0 && !S_ISLNK(st->st_mode);
    if (*there && S_ISDIR(st->st_mode))
        return pb_fail_at(err, PB_EIO, f->shown, 0, "is a folder; name a file in it");
    if (*there && !S_ISREG(st->st_mode))
        return refuse_kind(f, err);
    if (f->kind == TEXT)
        rc = check_not_beside(f, err);
    if (rc == PB_OK && f->kind != BOOK && *there)
        rc = check_no_database(f, err);
    return rc;
}

static enum pb_rc begin(const char *path, enum kind kind, struct pb_replace **out,
                        struct pb_err *err)
{
    struct stat st;
    bool there = false;
    int fd = -1;
    struct pb_replace *f = calloc(1, sizeof(*f));
    if (f == NULL)
        return pb_fail_memory(err);
    f->shown = pb_text_copy(path);
    f->kind = kind;
    enum pb_rc rc =
        f->shown != NULL ? find_target(f, &there, &st, err) : pb_fail_memory(err);
    if (rc == PB_OK)
        rc = make_beside(f, &fd, err);
    if (rc == PB_OK && there && fchmod(fd, st.st_mode & 07777) != 0)
        rc = refuse(path, "cannot be given its permissions", err);
    if (rc == PB_OK) {
        f->file = fdopen(fd, "w");
        rc = f->file != NULL ? PB_OK : pb_fail_memory(err);
    }
    if (rc == PB_OK) {
        *out = f;
        return PB_OK;
    }
    if (fd >= 0)
        (void)close(fd);
    return pb_replace_end(f, rc, err);
}

enum pb_rc pb_replace_begin(const char *path, struct pb_replace **out,
                            struct pb_err *err)
{
    return begin(path, TEXT, out, err);
}

enum pb_rc pb_replace_begin_book(const char *path, struct pb_replace **out,
                                 struct pb_err *err)
{
    return begin(path, BOOK, out, err);
}

const char *pb_replace_beside(const struct pb_replace *f)
{
    return f->beside;
}

enum pb_rc pb_replace_write(struct pb_replace *f, const char *bytes, size_t n,
                            struct pb_err *err)
{
    return fwrite(bytes, 1, n, f->file) == n
               ? PB_OK
               : refuse(f->shown, "cannot be written", err);
}

void pb_replace_settle(const char *folder)
{
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return;
    (void)fsync(
        fd); /* some file systems cannot; what was renamed stands all the same */
    (void)close(fd);
}

enum pb_rc pb_replace_end(struct pb_replace *f, enum pb_rc rc, struct pb_err *err)
{
    if (f == NULL)
        return rc;
    if (rc == PB_OK && (fflush(f->file) != 0 || fsync(fileno(f->file)) != 0))
        rc = refuse(f->shown, "cannot be written", err);
    if (f->file != NULL && fclose(f->file) != 0 && rc == PB_OK)
        rc = refuse(f->shown, "cannot be written", err);
    if (rc == PB_OK && rename(f->beside, f->path) != 0)
        rc = refuse(f->shown, "cannot be replaced", err);
    if (rc == PB_OK && f->kind != ONE_OF_MANY)
        pb_replace_settle(f->folder);
    if (rc != PB_OK && f->beside != NULL)
        (void)unlink(f->beside);
    free(f->path);
    free(f->folder);
    free(f->beside);
    free(f->shown);
    free(f);
    return rc;
}

/* Does the file hold exactly these bytes?  One that cannot be read does not. */
static bool holds(const char *path, const char *bytes, size_t n)
{
    char part[4096];
    size_t got = 0, at = 0;
    struct stat st;
    if (lstat(path, &st) != 0 || !S_ISREG(st.st_mode))
        return false;
    FILE *file = fopen(path, "rb");
    bool same = file != NULL;
    while (same && (got = fread(part, 1, sizeof(part), file)) > 0) {
        same = got <= n - at && memcmp(part, bytes + at, got) == 0;
        at += got;
    }
    same = same && at == n && ferror(file) == 0;
    if (file != NULL)
        (void)fclose(file);
    return same;
}

enum pb_rc pb_replace_file(const char *path, const char *bytes, size_t n, bool *changed,
                           struct pb_err *err)
{
    struct pb_replace *f = NULL;
    if (holds(path, bytes, n)) {
        *changed = false;
        return PB_OK;
    }
    enum pb_rc rc = begin(path, ONE_OF_MANY, &f, err);
    if (f != NULL)
        rc = pb_replace_write(f, bytes, n, err);
    rc = pb_replace_end(f, rc, err);
    if (rc == PB_OK)
        *changed = true;
    return rc;
}

enum pb_rc pb_replace_remove(const char *path, bool *removed, struct pb_err *err)
{
    bool gone = unlink(path) == 0;
    if (!gone && errno != ENOENT)
        return refuse(path, "cannot be removed", err);
    *removed = gone;
    return PB_OK;
}

enum pb_rc pb_replace_folder(const char *path, struct pb_err *err)
{
    struct stat st;
    if (mkdir(path, 0777) == 0 || (stat(path, &st) == 0 && S_ISDIR(st.st_mode)))
        return PB_OK;
    return refuse(path, "cannot be made a folder", err);
}
