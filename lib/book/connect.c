/* What every connection to a book begins with.  See connect.h. */
#include "book/connect.h"

#include "base/text.h"
#include "book/schema.h"

enum pb_rc pb_connect_set_up(struct pb_book *b, struct pb_err *err)
{
    (void)sqlite3_extended_result_codes(b->db, 1);
    (void)sqlite3_busy_timeout(b->db, PB_BUSY_MS);
    static const int off[] = {SQLITE_DBCONFIG_DQS_DML, SQLITE_DBCONFIG_DQS_DDL,
                              SQLITE_DBCONFIG_TRUSTED_SCHEMA,
                              SQLITE_DBCONFIG_ENABLE_VIEW}; /* a book has none */
    for (size_t i = 0; i < PB_ARRAY_LEN(off); i++)
        (void)sqlite3_db_config(b->db, off[i], 0, NULL);
    (void)sqlite3_db_config(b->db, SQLITE_DBCONFIG_DEFENSIVE, 1, NULL);
    enum pb_rc rc = pb_db_add_functions(b, err);
    if (rc != PB_OK)
        return rc;
    /* What a statement would have to take back stays in memory: its triggers touch many
     * pages, and a file for them would be written anew for each row.  8 MiB of pages, so
     * that an act of many records does not write and read each page again and again. */
    return pb_db_exec(b,
                      "PRAGMA foreign_keys=ON; PRAGMA synchronous=FULL;"
                      "PRAGMA temp_store=MEMORY; PRAGMA cache_size=-8192",
                      err);
}

enum pb_rc pb_connect_memory(struct pb_book *b, struct pb_err *err)
{
    b->absent = true;
    if (sqlite3_open_v2(":memory:", &b->db,
                        PB_DB_WRITE | SQLITE_OPEN_CREATE | SQLITE_OPEN_MEMORY,
                        NULL) != SQLITE_OK)
        return pb_db_fail(b, err);
    enum pb_rc rc = pb_connect_set_up(b, err);
    return rc == PB_OK ? pb_migrate(b, 0, err) : rc;
}

enum pb_rc pb_connect_check(struct pb_book *b, bool *empty, struct pb_header *h,
                            struct pb_err *err)
{
    enum pb_rc rc = pb_header_read(b, h, err);
    if (rc != PB_OK)
        return rc;
    *empty = h->application == 0 && h->version == 0 && h->tables == 0;
    if (!*empty && h->application != PB_APPLICATION_ID)
        return pb_fail_at(
            err, PB_EIO, b->path, 0,
            "is a database of another program, not a book; name the right "
            "file with --book");
    if (h->version > pb_form_n)
        return pb_fail_at(
            err, PB_EIO, b->path, 0,
            "was written by a newer podbook (form %d, this one knows %d); "
            "install the newer program",
            h->version, pb_form_n);
    if (h->version < 0)
        return pb_fail_at(err, PB_EIO, b->path, 0,
                          "says that it is of form %d, which no podbook wrote; keep a "
                          "copy of the file as it is, and go back to a backup",
                          h->version);
    return PB_OK;
}
