/* The first act of a new book.  See first.h. */
#include "book/first.h"

#include "base/buf.h"
#include "base/text.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { TRIES = 100, MAX_PATH = 65536 };

/* The folder of the path with what follows in it; yours, NULL: out of memory. */
static char *in_folder(const char *path, const char *name)
{
    const char *slash = strrchr(path, '/');
    struct pb_buf b;
    char *text = NULL;
    pb_buf_init(&b, MAX_PATH);
    pb_buf_add(&b, path, slash != NULL ? (size_t)(slash - path) + 1 : 0);
    pb_buf_adds(&b, name);
    (void)pb_buf_take(&b, &text, NULL);
    pb_buf_clear(&b);
    return text;
}

static enum pb_rc make_beside(struct pb_book *b, struct pb_err *err)
{
    for (int i = 0; i < TRIES; i++) {
        char name[64];
        (void)snprintf(name, sizeof(name), ".podbook-%ld-%d.new", (long)getpid(), i);
        char *beside = in_folder(b->path, name);
        if (beside == NULL)
            return pb_fail_memory(err);
        int fd = open(beside, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0644);
        if (fd >= 0) {
            (void)close(fd);
            b->beside = beside;
            return PB_OK;
        }
        free(beside);
        if (errno != EEXIST)
            break;
    }
    return pb_fail_at(err, PB_EIO, b->path, 0,
                      "cannot be opened; does the folder exist, and may you write "
                      "there?");
}

static enum pb_rc open_at(struct pb_book *b, const char *path, struct pb_err *err)
{
    return sqlite3_open_v2(path, &b->db, PB_DB_WRITE, NULL) == SQLITE_OK
               ? pb_db_set_up(b, err)
               : pb_db_fail(b, err);
}

enum pb_rc pb_first_open(struct pb_book *b, struct pb_err *err)
{
    enum pb_rc rc = pb_db_check_beside(b->path, err);
    if (rc == PB_OK)
        rc = make_beside(b, err);
    if (rc == PB_OK)
        rc = open_at(b, b->beside, err);
    b->fresh = true;
    b->writable = rc == PB_OK;
    return rc;
}

/* The names of a folder, onto the disk. */
static void settle(const char *path)
{
    char *folder = in_folder(path, ".");
    int fd = folder != NULL ? open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC) : -1;
    if (fd >= 0) {
        (void)fsync(fd); /* some file systems cannot; the name stands all the same */
        (void)close(fd);
    }
    free(folder);
}

/* Give it its name, unless something has that already.  Where the file system knows no
 * second names there is a moment in which another first act may go under. */
static bool take_name(const struct pb_book *b)
{
    struct stat st;
    if (link(b->beside, b->path) == 0)
        return true;
    return errno != EEXIST && stat(b->path, &st) != 0 &&
           rename(b->beside, b->path) == 0;
}

enum pb_rc pb_first_place(struct pb_book *b, struct pb_err *err)
{
    struct stat st;
    enum pb_rc rc = PB_OK;
    if (b->beside == NULL)
        return PB_OK;
    pb_db_close(b);
    if (take_name(b))
        settle(b->path);
    else if (stat(b->path, &st) == 0)
        rc = pb_fail_at(err, PB_ECONFLICT, b->path, 0,
                        "another podbook made the book meanwhile; nothing was written, "
                        "say it again");
    else
        rc = pb_fail_at(err, PB_EIO, b->path, 0,
                        "the new book cannot be given its name, nothing was written");
    pb_first_drop(b);
    enum pb_rc opened = open_at(b, b->path, rc == PB_OK ? err : NULL);
    return rc == PB_OK ? opened : rc;
}

void pb_first_drop(struct pb_book *b)
{
    if (b->beside != NULL) {
        (void)unlink(b->beside);
        pb_db_tidy(b->beside);
    }
    free(b->beside);
    b->beside = NULL;
}
