/*
 * Rows that are only added, noted in the history without triggers.  Internal to lib/book.
 *
 * A trigger makes an INSERT a statement of several writes, which SQLite can take back alone
 * only if it first copies each page that it touches: a third of the cost of an act of many
 * records.  What the history notes of a new row is its number and its record's code, so while
 * additions are on the triggers are off, and the note is written behind each row.
 *
 * Nothing gets past the history: a row that is added is known from SQLite's update hook,
 * whichever statement added it; and SQLite's authorizer refuses to prepare a statement that
 * changes or deletes a row of facts.  What is refused is prepared again with the triggers
 * on, and they stay on for a while.
 */
#ifndef PB_BOOK_ADDITIONS_H
#define PB_BOOK_ADDITIONS_H

#include "base/err.h"
#include "book/schema.h"

#include <sqlite3.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct pb_book;

struct pb_additions {
    bool on;
    unsigned calls, wait; /* of pb_additions_begin: since it changed; without effect */
    size_t added;         /* rows that the statement added, of tables of facts */
    size_t table;         /* of the last: in pb_logged_tables */
    int64_t row;
    sqlite3_stmt *note[PB_LOGGED_N];
};

/* Before each of many records of an act: from here on rows are rather added than changed.
 * Returns without effect where that was not so lately. */
void pb_additions_begin(struct pb_book *b);
/* Triggers on, as for every other act. */
void pb_additions_end(struct pb_book *b);

/* A statement that could not be prepared or stepped: for want of triggers?  They are on then,
 * and it is to be tried again. */
bool pb_additions_refused(struct pb_book *b, int code);

/* Behind a statement: note the row that it added. */
enum pb_rc pb_additions_note(struct pb_book *b, struct pb_err *err);

/* Release the statements, before the connection goes. */
void pb_additions_close(struct pb_book *b);

#endif
