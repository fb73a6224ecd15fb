/* The schema of the book: migrations, and the tables whose changes are kept.  Internal. */
#ifndef PB_BOOK_SCHEMA_H
#define PB_BOOK_SCHEMA_H

#include "base/err.h"

enum {
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

/*
 * Every form that the book has had, the first as 0: statements that make it of the one before
 * it (of an empty file), ended by NULL.  Their number is the user_version of a book of today.
 * A form that was released never changes: tests/care/forms has a book of each.
 */
extern const char *const *const pb_forms[];
extern const int pb_form_n;

/* SQL of the triggers that keep history; the text is yours (free). */
enum pb_rc pb_schema_triggers(char **sql, struct pb_err *err);

#endif
