/* A table on its way into the book.  Internal to table_in.c and table_order.c. */
#ifndef PB_ACT_INTAKE_H
#define PB_ACT_INTAKE_H

#include "act/table_in.h"
#include "exchange/table.h"

enum form { FORM_PLAIN, FORM_DATE, FORM_PARENT };

/* A column that is known: the field it fills (fields.h). */
struct pb_known {
    const char *column, *field;
    enum form form;
    bool must; /* the table must have it */
};

enum {
    KNOWN_MAX = 11,
    NONE = -1,
    /* ORDER with the first rows of plant_columns */
    SEED_COLUMN = 2,
    POLLEN_COLUMN,
    CLONE_COLUMN,
    PARENT_COLUMNS = 3
};

struct pb_intake {
    struct pb_act *a;
    const struct pb_table_ask *ask;
    struct pb_table table;
    const struct pb_known *known;
    size_t known_n;
    int at[KNOWN_MAX];   /* column of the table, NONE: it has none */
    char **why;          /* [row_n] what is bad of a row, NULL: nothing; its own */
    const char **why_at; /* [row_n] the column of that */
    bool *follows;       /* [row_n] it is bad only because a parent in the table is */
    size_t *by_code;     /* rows, by code, then line */
    size_t by_code_n;
    int32_t *parent[PARENT_COLUMNS]; /* rows of the table, PB_UNKNOWN */
    struct pb_table_sum sum;
};

/* The text of a known column in a row; empty where the table has none. */
const char *pb_intake_cell(const struct pb_intake *t, size_t row, size_t known);

/* The row is bad, for what why says of the field in its where; the first reason stays. */
enum pb_rc pb_intake_refuse(struct pb_intake *t, size_t row, const struct pb_err *why,
                            struct pb_err *err);

/* Enter one row; one that is bad is refused and leaves nothing behind. */
enum pb_rc pb_intake_enter(struct pb_intake *t, size_t row, struct pb_err *err);

/* Is it a code that podbook gives to a cross? */
bool pb_intake_own_code(const char *code, struct pb_own_code *own);

/* Put the rows that have codes in their order; a code that stands twice is bad at its
 * second line.  Of crosses only podbook's own codes count: any other is kept as the code
 * there, of which there may be several. */
enum pb_rc pb_intake_codes(struct pb_intake *t, struct pb_err *err);

/* Enter all rows of plants, parents before their offspring. */
enum pb_rc pb_intake_plants(struct pb_intake *t, struct pb_err *err);

#endif
