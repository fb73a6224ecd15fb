/* The journal that a book has.  See wal.h. */
#include "book/wal.h"

#include <stdio.h>
#include <sys/stat.h>

void pb_wal_prefer(struct pb_book *b)
{
    if (b->place == NULL)
        (void)sqlite3_exec(b->db, "PRAGMA journal_mode=WAL", NULL, NULL, NULL);
}

bool pb_wal_has(const char *path)
{
    enum { WRITE_VERSION = 18, APPLICATION = 68 }; /* SQLite, "Database File Format" */
    unsigned char head[100];
    FILE *file = fopen(path, "rb");
    bool read = file != NULL && fread(head, 1, sizeof(head), file) == sizeof(head);
    if (file != NULL)
        (void)fclose(file);
    const unsigned char *id = head + APPLICATION;
    return read && head[WRITE_VERSION] == 2 &&
           ((uint32_t)id[0] << 24 | (uint32_t)id[1] << 16 | (uint32_t)id[2] << 8 |
            id[3]) == PB_APPLICATION_ID;
}

void pb_wal_leave(struct pb_book *b)
{
    if (b->place == NULL || !pb_wal_has(b->path))
        return;
    (void)sqlite3_exec(b->db,
                       "PRAGMA locking_mode=EXCLUSIVE; PRAGMA journal_mode=DELETE",
                       NULL, NULL, NULL);
    (void)sqlite3_exec(b->db, "PRAGMA locking_mode=NORMAL; SELECT 1 FROM sqlite_schema",
                       NULL, NULL, NULL);
}

void pb_wal_leave_to_others(struct pb_book *b)
{
    struct stat st;
    char *wal = sqlite3_mprintf("%s-wal", b->path);
    if (wal != NULL && stat(wal, &st) == 0 && st.st_size > 0)
        (void)sqlite3_db_config(b->db, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL);
    sqlite3_free(wal);
}
