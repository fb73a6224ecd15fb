/* The schema of the book: migrations, and the tables whose changes are kept.  Internal. */
#ifndef PB_BOOK_SCHEMA_H
#define PB_BOOK_SCHEMA_H

#include "base/err.h"

enum {
    PB_SCHEMA_VERSION = 1,          /* user_version of a book of today */
    PB_APPLICATION_ID = 0x506f4262, /* "PoBb" in the file's header */
    PB_LOGGED_N = 9,
    PB_LOGGED_COLUMNS = 48
};

struct pb_logged {
    const char *table;
    const char *code;
    const char *content[PB_LOGGED_COLUMNS]; /* ends in NULL */
    const char *derived[4];                 /* ends in NULL */
};
extern const struct pb_logged pb_logged_tables[PB_LOGGED_N];

/* Statements that take a book from version - 1 to version (1..PB_SCHEMA_VERSION), ended by
 * NULL; static. */
const char *const *pb_schema_migration(int version);

/* SQL of the triggers that keep history; the text is yours (free). */
enum pb_rc pb_schema_triggers(char **sql, struct pb_err *err);

#endif
