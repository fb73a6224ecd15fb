/*
 * Tables as spreadsheets write them: comma, semicolon or tab between cells, quotes round
 * those that need them.  No libcsv type passes this header.
 *
 * Tolerated: a byte order mark, CRLF, empty lines, a last line without its end, rows that
 * are shorter than the header (the rest is empty).  A line break inside a cell becomes a
 * blank; blanks at both ends of a cell go.
 */
#ifndef PB_EXCHANGE_TABLE_H
#define PB_EXCHANGE_TABLE_H

#include "base/buf.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

struct pb_table_row {
    long line;   /* of the file, from 1, on which the row begins */
    size_t cell; /* first of its cells */
    size_t n;    /* how many it has */
};

struct pb_table {
    char separator;
    struct pb_buf text; /* of all cells, each ended by a NUL; the table's own */
    size_t *cell;       /* where in text a cell begins */
    size_t cell_n, cell_cap;
    struct pb_table_row *row; /* the first one is the header */
    size_t row_n, row_cap;
};

/*
 * Read a whole table.
 *   in         open for reading; stays the caller's
 *   file       its name for messages
 *   separator  0: the one of comma, semicolon and tab that the header has most of outside
 *              quotes; a comma where it has none
 *   t          out: pb_table_clear, also after an error
 * PB_EPARSE  not text (a NUL, UTF-16), a quote that does not end: names the line; empty
 * PB_ELIMIT  more than PB_MAX_TABLE bytes    PB_EIO
 * Cells are not checked: they may hold anything but a NUL.
 */
enum pb_rc pb_table_read(FILE *in, const char *file, char separator, struct pb_table *t,
                         struct pb_err *err);
void pb_table_clear(struct pb_table *t);

/*
 * Append one cell of a table that is written.
 *   separator  what goes before it, '\0': nothing, the first of a row
 * In quotes where it holds a comma, a semicolon or a quote.  One that a spreadsheet would
 * take for a formula (first = + - or @) gets an apostrophe before it.  Control characters
 * and bad bytes, as only a mangled book holds them, are written as pb_text_escape does.
 * PB_ENOMEM, PB_ELIMIT
 */
enum pb_rc pb_table_put(struct pb_buf *out, char separator, const char *text,
                        struct pb_err *err);

/* The text of a cell, empty where the row ends before it; borrowed from the table. */
const char *pb_table_cell(const struct pb_table *t, size_t row, size_t column);

#endif
