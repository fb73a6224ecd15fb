/*
 * Rows as JSON: what the lists of the command line print for machines.
 *
 * A row is an object with the columns' keys in their order; a list is an array of rows.
 * No jansson type passes this header.
 */
#ifndef PB_EXCHANGE_ROWS_H
#define PB_EXCHANGE_ROWS_H

#include "base/buf.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum pb_cell_kind {
    PB_CELL_NULL,
    PB_CELL_TEXT,
    PB_CELL_INT,
    PB_CELL_REAL, /* not finite: null */
    PB_CELL_BOOL,
    PB_CELL_JSON /* text that is JSON already */
};

struct pb_cell {
    enum pb_cell_kind kind;
    const char *text; /* borrowed */
    int64_t number;   /* also of a bool */
    double real;
    int digits; /* decimals of a real, 0..15 */
};

static inline struct pb_cell pb_cell_text(const char *text)
{
    return (struct pb_cell){
        text != NULL && text[0] != '\0' ? PB_CELL_TEXT : PB_CELL_NULL, text, 0, 0, 0};
}

static inline struct pb_cell pb_cell_int(int64_t number)
{
    return (struct pb_cell){PB_CELL_INT, NULL, number, 0, 0};
}

static inline struct pb_cell pb_cell_real(double real, int digits)
{
    return (struct pb_cell){PB_CELL_REAL, NULL, 0, real, digits};
}

static inline struct pb_cell pb_cell_bool(bool yes)
{
    return (struct pb_cell){PB_CELL_BOOL, NULL, yes, 0, 0};
}

static inline struct pb_cell pb_cell_null(void)
{
    return (struct pb_cell){PB_CELL_NULL, NULL, 0, 0, 0};
}

static inline struct pb_cell pb_cell_json(const char *json)
{
    return (struct pb_cell){PB_CELL_JSON, json, 0, 0, 0};
}

/* Append one text as a JSON string.  Errors as of pb_row_write. */
enum pb_rc pb_text_write(const char *text, struct pb_buf *out, struct pb_err *err);

/*
 * Append one row as a JSON object.
 *   keys, cells  n of each, borrowed
 * PB_EPARSE  a text is not UTF-8    PB_ENOMEM, PB_ELIMIT
 */
enum pb_rc pb_row_write(const char *const *keys, const struct pb_cell *cells, size_t n,
                        struct pb_buf *out, struct pb_err *err);

#endif
