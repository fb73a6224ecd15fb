/* Files that are written beside.  See beside.h. */
#include "book/beside.h"

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

enum pb_rc pb_beside_make(const char *path, char **beside, struct pb_err *err)
{
    for (int i = 0; i < TRIES; i++) {
        char name[64];
        (void)snprintf(name, sizeof(name), ".podbook-%ld-%d.new", (long)getpid(), i);
        char *made = in_folder(path, name);
        if (made == NULL)
            return pb_fail_memory(err);
        int fd = open(made, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0644);
        if (fd >= 0) {
            (void)close(fd);
            *beside = made;
            return PB_OK;
        }
        free(made);
        if (errno != EEXIST)
            break;
    }
    return pb_fail_at(err, PB_EIO, path, 0,
                      "cannot be opened; does the folder exist, and may you write "
                      "there?");
}

bool pb_beside_take(const char *beside, const char *path)
{
    struct stat st;
    if (link(beside, path) == 0) {
        (void)unlink(beside);
        return true;
    }
    return errno != EEXIST && stat(path, &st) != 0 && rename(beside, path) == 0;
}

void pb_beside_settle(const char *path)
{
    char *folder = in_folder(path, ".");
    int fd = folder != NULL ? open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC) : -1;
    if (fd >= 0) {
        (void)fsync(fd); /* some file systems cannot; the name stands all the same */
        (void)close(fd);
    }
    free(folder);
}
