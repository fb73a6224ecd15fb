/* Rows of fields: the name, how its value is read, where it goes.  Internal to act. */
#ifndef PB_ACT_FIELD_ROWS_H
#define PB_ACT_FIELD_ROWS_H

#include "act/fields.h"
#include "base/text.h"

enum pb_field_form {
    FORM_TEXT,   /* char *, checked, at most max bytes */
    FORM_INT,    /* int in [low, high]; absent when empty */
    FORM_DAY,    /* pb_day */
    FORM_NUMBER, /* int64_t in [low, high]; absent when empty */
    FORM_REAL,   /* double in [low, high] thousandths; PB_REAL_NONE when empty */
    FORM_WORD,   /* enum, one of words */
    FORM_FOUND,  /* a finding of the course */
    FORM_YES,    /* bool: yes or no */
    FORM_CODE,   /* char[PB_MAX_CODE + 1] that a grower may choose */
    FORM_ORIGIN, /* struct pb_ref, and the origin of the plant becomes `low` */
    FORM_SEED,   /* struct pb_parent */
    FORM_POLLEN  /* the pollen parents of the cross */
};

struct pb_field_row {
    const char *name;
    enum pb_field_form form;
    size_t at;
    int64_t low, high; /* of FORM_INT; of FORM_TEXT, high is its bytes */
    int absent; /* what an empty value makes of FORM_INT; -2: it may not be empty */
    const char *const *words;
};

enum { MUST = -2, NAME = PB_MAX_NAME, TEXT = PB_MAX_TEXT };

/* Those of one kind of record. */
struct pb_field_rows {
    const struct pb_field_row *v;
    size_t n;
    const struct pb_course *course; /* of looks */
    const char *also; /* fields that are set elsewhere, as the list of them goes on; or
                         NULL */
};

#define PB_FIELD_ROWS(table) \
    ((struct pb_field_rows){table, PB_ARRAY_LEN(table), NULL, NULL})

/*
 * Find the row and set the field; record is what the rows' offsets are of.
 * Errors as of pb_field_set_plant.
 */
enum pb_rc pb_field_set(void *record, struct pb_field_rows table,
                        const struct pb_field *f, pb_day today, struct pb_err *err);

/* Tell each text and number of the record that its row would refuse. */
enum pb_rc pb_field_faults(const void *record, struct pb_field_rows table,
                           pb_field_fault_each *each, void *ctx, struct pb_err *err);

#endif
