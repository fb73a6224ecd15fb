/*
 * Output: lines for people, rows for both people and machines.
 *
 * Everything that is printed passes here: control characters that a mangled book may hold
 * never reach the terminal.
 */
#ifndef PB_CMD_OUT_H
#define PB_CMD_OUT_H

#include "env.h"
#include "exchange/rows.h"

/* Columns of a line for people. */
enum { OUT_WIDTH = 80 };

/* A line (or several between "\n") to people, on standard output: what passes 80 columns goes
 * on below, two columns further in. */
void say(const char *fmt, ...) PB_PRINTF(1, 2);
void say_text(const char *text); /* the same of a text that is made */
/* The same of what is one line, whatever name it repeats: newlines are escaped. */
void say_line(const char *fmt, ...) PB_PRINTF(1, 2);
/* A remark to standard error: one line, as that. */
void remark(const char *fmt, ...) PB_PRINTF(1, 2);

/* The text of a buffer that is printed; where it is not whole the command fails at its end. */
const char *whole(const struct pb_buf *b);
/* Is there anything in it to be printed?  Where it is not whole, as whole. */
bool has_text(const struct pb_buf *b);
/* What was to be printed could not be worked out: where that was for want of memory or room the
 * command fails at its end.  Returns whether rc is PB_OK. */
bool out_has(enum pb_rc rc);
/* PB_ENOMEM, PB_ELIMIT  something that was to be printed was not, or not whole */
enum pb_rc out_status(void);

/* Print text that is wrapped at blanks to 80 columns; every line after the first begins
 * with indent blanks, the first with lead. */
void say_wrapped(const char *lead, size_t indent, const char *text);

/* Cut the next line off a text: NULL at its end.  The text is changed. */
char *take_line(char **rest);

struct column {
    const char *key;   /* of JSON */
    const char *title; /* of the table */
    size_t cols; /* at most so wide in the table, less where the line is full; 0: as
                          wide as it needs */
    bool right;
};

/* A list that is being printed: JSON as it comes, a table at its end. */
struct out {
    bool json;
    const struct column *columns;
    size_t column_n;
    char **cells; /* of the table, row by row; its own */
    size_t cell_n, cell_cap;
    size_t rows;
};

void out_begin(struct out *o, const struct env *env, const struct column *columns,
               size_t n);
/* One row, as many cells as columns. */
enum pb_rc out_row(struct out *o, const struct pb_cell *cells, struct pb_err *err);
/* Print the table, or close the JSON array.  `none`: what to say to a person when there
 * are no rows. */
void out_end(struct out *o, const char *none);
/* Release, printing nothing: after an error. */
void out_drop(struct out *o);

/* JSON that is a whole, in a line of its own. */
void out_json(const char *json);

/* One object alone. */
enum pb_rc out_object(const char *const *keys, const struct pb_cell *cells, size_t n,
                      struct pb_err *err);

/* Before record i of n that are printed as one JSON array, behind the last with i = n; to a
 * person nothing. */
void out_array(const struct env *env, int64_t i, int64_t n);

/* Append lines of text as a JSON array of texts.  lines is changed; NULL: none. */
enum pb_rc out_lines_json(char *lines, struct pb_buf *out, struct pb_err *err);

/* "Sat 2026-05-09", or "-" for no day; text has room for DAY_TEXT. */
enum { DAY_TEXT = 16 };
const char *day_text(pb_day day, char text[DAY_TEXT]);

/* One cell of JSON in a buffer; null where it is not whole, and the command fails at its end. */
struct pb_cell json_cell(const struct pb_buf *json);

/* One cell of a day: ISO text in the buffer, or null. */
struct pb_cell day_cell(pb_day day, char text[PB_DAY_TEXT]);

#endif
