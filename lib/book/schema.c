/*
 * The schema of the book, as migrations.
 *
 * Facts that people entered, whether a record is open, and caches that may be thrown away.
 * Days are ISO text that SQLite checks once more (date() alone lets 30 February through);
 * instants are seconds since 1970 UTC.  Every table of facts has triggers that write what a
 * change overwrote into `change`: nothing entered is ever lost, and undo reads it back.  In
 * acts of many new rows additions.c does what the triggers of INSERT do.
 *
 *   book      one row: which book it is; a copy is of the same, and shown nowhere
 *   act       one row a command that wrote: when, its words, what it takes back
 *   change    one row a changed row: before is NULL for a new row, else the old columns
 *             as a JSON object; code is the record it belongs to.  Rows of other tables than
 *             those of facts: revisions.h
 *   plant.from_id  the cross a plant was raised from, by id: it may not be in this book
 *   plant.out_of_id, batch.source_id  the batch it came out of, while that is not in this
 *             book; batch.began is the first sowing of such a line
 *   plant.taxon_key  what is learnt together: genus and species as written
 *   taxon_change  goes up with every change of what is known of a taxon's capsules
 *   learnt, learnt_law  cache of what they taught (genet 0: the taxon as a whole): in brief,
 *             which lists of many crosses ask for, and whole, apart from it, for its size
 *   counter   last number given of a letter and year; never goes back
 *   pollen_parent.lot  code of stored pollen, by text: it may be of another book
 *   reminder  cache: what the calendar last said of a UID
 */
#include "book/schema.h"

#include "base/buf.h"
#include "base/text.h"

/*
 * Tables of facts.  ORDER TABLE: undo.c names the parents of each row from this list.
 *   code     SQL for the code of the record that the row R belongs to
 *   content  columns a change is about
 *   derived  columns that follow from the rest or only ever go up; not worth a history
 *            row of their own, and not put back by an undo
 */
const struct pb_logged pb_logged_tables[PB_LOGGED_N] = {
#include "book/logged.def"
};

/* Texts one behind the other: each time a book is first written to, all this is made, so
 * nothing is formatted. */
static void add_words(struct pb_buf *b, const char *const *words)
{
    for (size_t i = 0; words[i] != NULL; i++)
        pb_buf_adds(b, words[i]);
}

/* The code expression with R replaced by OLD or NEW. */
static void add_code(struct pb_buf *b, const char *expr, const char *row)
{
    for (const char *p = expr; *p != '\0'; p++)
        if (p[0] == 'R' && p[1] == '.')
            pb_buf_adds(b, row);
        else
            pb_buf_addc(b, *p);
}

/* The columns of OLD, each with its NEW where both are wanted. */
static void add_columns(struct pb_buf *b, const char *const *columns, bool both)
{
    for (size_t i = 0; columns[i] != NULL; i++) {
        add_words(b, (const char *const[]){",OLD.", columns[i], NULL});
        if (both)
            add_words(b, (const char *const[]){",NEW.", columns[i], NULL});
    }
}

/* row: NEW or OLD, which the change is of */
static void add_trigger(struct pb_buf *b, const struct pb_logged *t, const char *event,
                        const char *row)
{
    bool insert = event[0] == 'I', update = event[0] == 'U';
    add_words(b, (const char *const[]){"DROP TRIGGER IF EXISTS ",
                                       t->table,
                                       "_",
                                       event,
                                       ";CREATE TRIGGER ",
                                       t->table,
                                       "_",
                                       event,
                                       " AFTER ",
                                       event,
                                       " ON ",
                                       t->table,
                                       " BEGIN INSERT INTO change ",
                                       update ? "SELECT " : "VALUES(",
                                       "NULL,book_act(),'",
                                       t->table,
                                       "',",
                                       row,
                                       ".n,",
                                       NULL});
    add_code(b, t->code, row);
    if (insert) {
        pb_buf_adds(b, ",NULL);END;");
        return;
    }
    add_words(
        b, (const char *const[]){update ? ",was FROM(SELECT book_was('" : ",book_row('",
                                 t->table, "'", NULL});
    add_columns(b, t->content, update);
    if (!update)
        add_columns(b, t->derived, false);
    pb_buf_adds(b, update ? ")AS was)WHERE was NOTNULL;END;" : "));END;");
}

enum pb_rc pb_schema_triggers(char **sql, struct pb_err *err)
{
    struct pb_buf b;
    pb_buf_init(&b, 65536);
    for (size_t i = 0; i < PB_LOGGED_N; i++) {
        add_trigger(&b, &pb_logged_tables[i], "INSERT", "NEW");
        add_trigger(&b, &pb_logged_tables[i], "UPDATE", "NEW");
        add_trigger(&b, &pb_logged_tables[i], "DELETE", "OLD");
    }
    enum pb_rc rc = pb_buf_take(&b, sql, err);
    pb_buf_clear(&b);
    return rc;
}
