/*
 * Old spreadsheets: plants and crosses entered from a table in one act.
 */
#ifndef PB_ACT_TABLE_IN_H
#define PB_ACT_TABLE_IN_H

#include "act/act.h"

#include <stdio.h>

/* ORDER TABLE_AS: pb_table_as_names */
enum pb_table_as { PB_TABLE_PLANTS, PB_TABLE_CROSSES, PB_TABLE_AS_N };
extern const char *const pb_table_as_names[PB_TABLE_AS_N];

/* How days are written.  ISO is read under each.  ORDER DATE_FORM: pb_date_form_names */
enum pb_date_form { PB_DATE_ISO, PB_DATE_DMY, PB_DATE_MDY, PB_DATE_FORM_N };
extern const char *const pb_date_form_names[PB_DATE_FORM_N]; /* NULL for the first */

/* What is said of a row, or of the header; borrowed for the call. */
struct pb_table_note {
    bool bad;           /* false: only to be known */
    long line;          /* of the file, from 1 */
    const char *column; /* its name in the header, empty: the row as a whole */
    const char *code;   /* of the row's record, empty: none was read */
    const char *why;
};
typedef enum pb_rc pb_table_each(void *ctx, const struct pb_table_note *note,
                                 struct pb_err *err);

struct pb_table_ask {
    FILE *in;         /* open for reading; stays the caller's */
    const char *file; /* its name for messages */
    enum pb_table_as as;
    char separator; /* 0: as the header has it */
    enum pb_date_form dates;
    bool keep_good;      /* enter the good rows where others are bad */
    pb_table_each *each; /* told of every bad row and every column that is left */
    void *ctx;
};

struct pb_table_sum {
    size_t entered, bad;
};

/*
 * Enter a table.  Rows may come in any order; parents may be codes of the table or of the
 * book.  No row entered: no trace in the history.
 *   sum  out, also where the table is refused for its bad rows
 * PB_ECONFLICT  rows are bad and keep_good was not asked for: nothing was entered
 * PB_EPARSE     no table, or a column that must be there is not
 * Cost: O(n log n) for n rows, and what entering them one by one costs.
 */
enum pb_rc pb_act_table(struct pb_act *a, const struct pb_table_ask *ask,
                        struct pb_table_sum *sum, struct pb_err *err);

#endif
