/*
 * What kind of disk a book lies on.  See place.h.
 *
 * A journal of the kind WAL is shared through memory that all its users map, which works on
 * one machine alone (SQLite, "Write-Ahead Logging", section 1).  On the disks named here the
 * book keeps the older journal, a file of its own for each command.
 */
#include "book/place.h"

#include "base/buf.h"
#include "base/text.h"

#include <string.h>

/* Source: linux/magic.h; of the last one linux/gfs2_ondisk.h, from memory. */
static const struct {
    uint32_t type;
    const char *word;
} places[] = {
    {0x6969,     "nfs"  },
    {0xFF534D42, "cifs" },
    {0xFE534D42, "smb"  },
    {0x517B,     "smb"  },
    {0x65735546, "fuse" },
    {0x73757245, "coda" },
    {0x5346414F, "afs"  },
    {0x6B414653, "afs"  },
    {0x01021997, "9p"   },
    {0x00C36400, "ceph" },
    {0x7461636F, "ocfs2"},
    {0x564C,     "ncp"  },
    {0x01161970, "gfs2" },
};

const char *pb_place_word(uint32_t type)
{
    for (size_t i = 0; i < PB_ARRAY_LEN(places); i++)
        if (places[i].type == type)
            return places[i].word;
    return NULL;
}

#if defined(__linux__)

#include <sys/vfs.h>

enum { MAX_PATH = 65536 };

enum pb_rc pb_place_of(const char *path, const char **word, struct pb_err *err)
{
    struct statfs st;
    struct pb_buf folder;
    const char *slash = strrchr(path, '/');
    enum pb_rc rc = PB_OK;
    pb_buf_init(&folder, MAX_PATH);
    bool known = statfs(path, &st) == 0;
    if (!known) {
        pb_buf_add(&folder, path, slash != NULL ? (size_t)(slash - path) + 1 : 0);
        pb_buf_adds(&folder, "."); /* "./", or the one itself */
        rc = pb_buf_status(&folder, err);
        known = rc == PB_OK && statfs(pb_buf_peek(&folder), &st) == 0;
    }
    pb_buf_clear(&folder);
    if (rc == PB_OK)
        *word = known ? pb_place_word((uint32_t)st.f_type) : NULL;
    return rc;
}

#else

enum pb_rc pb_place_of(const char *path, const char **word, struct pb_err *err)
{
    (void)path; /* not known here how to ask */
    (void)err;
    *word = NULL;
    return PB_OK;
}

#endif
