/* A disk that fails.  See fault.h. */
#include "fault.h"

#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

const char *const fault_names[] = {
    "open",       "read",      "write",      "failing write", "truncate",
    "sync",       "delete",    "share",      "file open",     "file read",
    "file write", "file sync", "file close", "file name"};
_Static_assert(sizeof(fault_names) / sizeof(fault_names[0]) == FAULT_N, "ORDER FAULT");

long fault_calls[FAULT_N];

static struct {
    enum fault_kind kind;
    long at;
    bool onward;
} fault = {FAULT_N, 0, false};

void fault_set(enum fault_kind kind, long at, bool onward)
{
    fault.kind = kind;
    fault.at = at;
    fault.onward = onward;
    memset(fault_calls, 0, sizeof(fault_calls));
}

long fault_clear(void)
{
    long calls = fault.kind < FAULT_N ? fault_calls[fault.kind] : 0;
    fault.kind = FAULT_N;
    return calls;
}

static bool fails(enum fault_kind kind)
{
    long call = ++fault_calls[kind];
    return kind == fault.kind && (fault.onward ? call >= fault.at : call == fault.at);
}

/* ---- under SQLite --------------------------------------------------------------------- */

struct file {
    sqlite3_file base;
    sqlite3_file *real; /* behind this struct */
};

static sqlite3_vfs *below;

static sqlite3_file *real(sqlite3_file *f)
{
    return ((struct file *)f)->real;
}

static int x_close(sqlite3_file *f)
{
    return real(f)->pMethods->xClose(real(f));
}

static int x_read(sqlite3_file *f, void *to, int n, sqlite3_int64 at)
{
    return fails(FAULT_READ) ? SQLITE_IOERR_READ
                             : real(f)->pMethods->xRead(real(f), to, n, at);
}

static int x_write(sqlite3_file *f, const void *from, int n, sqlite3_int64 at)
{
    if (fails(FAULT_WRITE_ERROR))
        return SQLITE_IOERR_WRITE;
    if (!fails(FAULT_WRITE))
        return real(f)->pMethods->xWrite(real(f), from, n, at);
    (void)real(f)->pMethods->xWrite(real(f), from, n / 2, at);
    return SQLITE_FULL;
}

static int x_truncate(sqlite3_file *f, sqlite3_int64 size)
{
    return fails(FAULT_TRUNCATE) ? SQLITE_IOERR_TRUNCATE
                                 : real(f)->pMethods->xTruncate(real(f), size);
}

static int x_sync(sqlite3_file *f, int flags)
{
    (void)f;
    (void)flags;
    return fails(FAULT_SYNC) ? SQLITE_IOERR_FSYNC
                             : SQLITE_OK; /* no power cut comes here */
}

static int x_size(sqlite3_file *f, sqlite3_int64 *size)
{
    return real(f)->pMethods->xFileSize(real(f), size);
}

static int x_lock(sqlite3_file *f, int lock)
{
    return real(f)->pMethods->xLock(real(f), lock);
}

static int x_unlock(sqlite3_file *f, int lock)
{
    return real(f)->pMethods->xUnlock(real(f), lock);
}

static int x_check(sqlite3_file *f, int *out)
{
    return real(f)->pMethods->xCheckReservedLock(real(f), out);
}

static int x_control(sqlite3_file *f, int op, void *arg)
{
    return real(f)->pMethods->xFileControl(real(f), op, arg);
}

static int x_sector(sqlite3_file *f)
{
    return real(f)->pMethods->xSectorSize(real(f));
}

static int x_device(sqlite3_file *f)
{
    return real(f)->pMethods->xDeviceCharacteristics(real(f));
}

static int x_shm_map(sqlite3_file *f, int page, int size, int extend,
                     volatile void **out)
{
    return fails(FAULT_SHARE)
               ? SQLITE_IOERR_SHMMAP
               : real(f)->pMethods->xShmMap(real(f), page, size, extend, out);
}

static int x_shm_lock(sqlite3_file *f, int at, int n, int flags)
{
    return real(f)->pMethods->xShmLock(real(f), at, n, flags);
}

static void x_shm_barrier(sqlite3_file *f)
{
    real(f)->pMethods->xShmBarrier(real(f));
}

static int x_shm_unmap(sqlite3_file *f, int gone)
{
    return real(f)->pMethods->xShmUnmap(real(f), gone);
}

static const sqlite3_io_methods methods = {
    .iVersion = 2,
    .xClose = x_close,
    .xRead = x_read,
    .xWrite = x_write,
    .xTruncate = x_truncate,
    .xSync = x_sync,
    .xFileSize = x_size,
    .xLock = x_lock,
    .xUnlock = x_unlock,
    .xCheckReservedLock = x_check,
    .xFileControl = x_control,
    .xSectorSize = x_sector,
    .xDeviceCharacteristics = x_device,
    .xShmMap = x_shm_map,
    .xShmLock = x_shm_lock,
    .xShmBarrier = x_shm_barrier,
    .xShmUnmap = x_shm_unmap,
};

static int v_open(sqlite3_vfs *vfs, const char *name, sqlite3_file *f, int flags,
                  int *out)
{
    struct file *file = (struct file *)f;
    (void)vfs;
    memset(file, 0, sizeof(*file));
    if (fails(FAULT_OPEN))
        return SQLITE_CANTOPEN;
    file->real = (sqlite3_file *)(file + 1);
    int code = below->xOpen(below, name, file->real, flags, out);
    if (file->real->pMethods != NULL)
        file->base.pMethods = &methods;
    return code;
}

static int v_delete(sqlite3_vfs *vfs, const char *name, int sync)
{
    (void)vfs;
    return fails(FAULT_DELETE) ? SQLITE_IOERR_DELETE
                               : below->xDelete(below, name, sync);
}

void fault_install(void)
{
    static sqlite3_vfs vfs;
    below = sqlite3_vfs_find(NULL);
    assert(below != NULL);
    vfs = *below; /* all but two pass through as they are */
    vfs.zName = "fault";
    vfs.pNext = NULL;
    vfs.szOsFile = (int)sizeof(struct file) + below->szOsFile;
    vfs.xOpen = v_open;
    vfs.xDelete = v_delete;
    int code = sqlite3_vfs_register(&vfs, 1);
    assert(code == SQLITE_OK);
    (void)code;
}

/* ---- under our own files -------------------------------------------------------------- */

int __real_open(const char *path, int flags, ...);
size_t __real_fwrite(const void *p, size_t size, size_t n, FILE *f);
int __real_fclose(FILE *f);
int __real_rename(const char *from, const char *to);
int __real_link(const char *from, const char *to);
FILE *__real_fopen(const char *path, const char *mode);
size_t __real_fread(void *p, size_t size, size_t n, FILE *f);
int __real_ferror(FILE *f);
int __real_fflush(FILE *f);
int __real_mkdir(const char *path, mode_t mode);
int __wrap_open(const char *path, int flags, ...);
FILE *__wrap_fopen(const char *path, const char *mode);
size_t __wrap_fread(void *p, size_t size, size_t n, FILE *f);
int __wrap_ferror(FILE *f);
int __wrap_fflush(FILE *f);
int __wrap_mkdir(const char *path, mode_t mode);
size_t __wrap_fwrite(const void *p, size_t size, size_t n, FILE *f);
int __wrap_fsync(int fd);
int __wrap_fclose(FILE *f);
int __wrap_rename(const char *from, const char *to);
int __wrap_link(const char *from, const char *to);

static bool refuses(enum fault_kind kind, int code)
{
    if (!fails(kind))
        return false;
    errno = code;
    return true;
}

int __wrap_open(const char *path, int flags, ...)
{
    unsigned mode = 0;
    va_list ap;
    va_start(ap, flags);
    if ((flags & O_CREAT) != 0)
        mode = va_arg(ap, unsigned);
    va_end(ap);
    return refuses(FAULT_FILE_OPEN, EACCES) ? -1 : __real_open(path, flags, mode);
}

FILE *__wrap_fopen(const char *path, const char *mode)
{
    return refuses(FAULT_FILE_OPEN, EACCES) ? NULL : __real_fopen(path, mode);
}

static FILE *broken; /* what ferror() says of it */

size_t __wrap_fread(void *p, size_t size, size_t n, FILE *f)
{
    if (!refuses(FAULT_FILE_READ, EIO))
        return __real_fread(p, size, n, f);
    broken = f;
    return 0;
}

int __wrap_ferror(FILE *f)
{
    return f == broken ? 1 : __real_ferror(f);
}

/* What is said on standard error is no file of ours. */
size_t __wrap_fwrite(const void *p, size_t size, size_t n, FILE *f)
{
    if (f == stderr || !refuses(FAULT_FILE_WRITE, ENOSPC))
        return __real_fwrite(p, size, n, f);
    n = __real_fwrite(p, size, n / 2, f);
    broken = f;
    errno = ENOSPC;
    return n;
}

int __wrap_fflush(FILE *f)
{
    if (!refuses(FAULT_FILE_WRITE, ENOSPC))
        return __real_fflush(f);
    broken = f;
    return EOF;
}

int __wrap_mkdir(const char *path, mode_t mode)
{
    return refuses(FAULT_FILE_NAME, EACCES) ? -1 : __real_mkdir(path, mode);
}

int __wrap_fsync(int fd)
{
    (void)fd;
    return refuses(FAULT_FILE_SYNC, EIO) ? -1 : 0;
}

/* It is closed all the same, as a real one is. */
int __wrap_fclose(FILE *f)
{
    int code = __real_fclose(f);
    broken = f == broken ? NULL : broken;
    return refuses(FAULT_FILE_CLOSE, ENOSPC) ? -1 : code;
}

int __wrap_rename(const char *from, const char *to)
{
    return refuses(FAULT_FILE_NAME, EIO) ? -1 : __real_rename(from, to);
}

int __wrap_link(const char *from, const char *to)
{
    return refuses(FAULT_FILE_NAME, EPERM) ? -1 : __real_link(from, to);
}
