/* Fields of batches and of looks.  See fields.h. */
#include "act/field_rows.h"

#include <stddef.h>

#define L(m) offsetof(struct pb_look, m)
#define B(m) offsetof(struct pb_batch, m)

/* Of units only where the course has several; the things counted only where it counts. */
static const struct pb_field_row look_rows[] = {
    {"found", FORM_FOUND, L(found), 0, 0,              MUST, NULL},
    {"on",    FORM_DAY,   L(on),    0, 0,              MUST, NULL},
    {"note",  FORM_TEXT,  L(note),  0, TEXT,           0,    NULL},
    {"count", FORM_INT,   L(count), 1, PB_MAX_FLOWERS, MUST, NULL},
};
static const struct pb_field_row counting_look_rows[] = {
    {"found",  FORM_FOUND,  L(found),  0, 0,              MUST, NULL},
    {"on",     FORM_DAY,    L(on),     0, 0,              MUST, NULL},
    {"note",   FORM_TEXT,   L(note),   0, TEXT,           0,    NULL},
    {"count",  FORM_NUMBER, L(amount), 0, PB_MAX_COUNTED, -1,   NULL},
    {"of",     FORM_NUMBER, L(sample), 1, PB_MAX_COUNTED, -1,   NULL},
    {"scale",  FORM_TEXT,   L(scale),  0, NAME,           0,    NULL},
    {"method", FORM_TEXT,   L(method), 0, NAME,           0,    NULL},
};

enum {
    COLDEST = -200000,
    WARMEST = 100000,
    LEAST = -1000000,
    MOST = 1000000,
    ALL = 100000
};

static const struct pb_field_row seed_rows[] = {
    {"on",        FORM_DAY,    B(on),                  0,       0,              MUST, NULL         },
    {"place",     FORM_TEXT,   B(place),               0,       TEXT,           0,    NULL         },
    {"note",      FORM_TEXT,   B(note),                0,       TEXT,           0,    NULL         },
    {"elsewhere", FORM_YES,    B(elsewhere),           0,       0,              MUST, NULL         },
    {"seeds",     FORM_NUMBER, B(amount),              0,       PB_MAX_COUNTED, -1,   NULL         },
    {"form",      FORM_WORD,   B(form),                0,       PB_FORM_N,      0,    pb_form_names},
    {"celsius",   FORM_REAL,   B(celsius),             COLDEST, WARMEST,        0,    NULL         },
    {"moisture",  FORM_REAL,   B(constants.moisture),  0,       ALL,            0,    NULL         },
    {"viability", FORM_REAL,   B(constants.viability), 0,       ALL,            0,    NULL         },
    {"below",     FORM_REAL,   B(constants.below),     0,       ALL,            0,    NULL         },
    {"ke",        FORM_REAL,   B(constants.ke),        LEAST,   MOST,           0,    NULL         },
    {"cw",        FORM_REAL,   B(constants.cw),        LEAST,   MOST,           0,    NULL         },
    {"ch",        FORM_REAL,   B(constants.ch),        LEAST,   MOST,           0,    NULL         },
    {"cq",        FORM_REAL,   B(constants.cq),        LEAST,   MOST,           0,    NULL         },
    {"constants", FORM_TEXT,   B(constants.source),    0,       TEXT,           0,    NULL         },
};

static const struct pb_field_row flask_rows[] = {
    {"on",        FORM_DAY,    B(on),        0, 0,              MUST, NULL          },
    {"place",     FORM_TEXT,   B(place),     0, TEXT,           0,    NULL          },
    {"note",      FORM_TEXT,   B(note),      0, TEXT,           0,    NULL          },
    {"elsewhere", FORM_YES,    B(elsewhere), 0, 0,              MUST, NULL          },
    {"seeds",     FORM_NUMBER, B(amount),    0, PB_MAX_COUNTED, -1,   NULL          },
    {"medium",    FORM_TEXT,   B(medium),    0, NAME,           0,    NULL          },
    {"agent",     FORM_TEXT,   B(agent),     0, NAME,           0,    NULL          },
    {"chlorine",  FORM_REAL,   B(chlorine),  0, ALL,            0,    NULL          },
    {"minutes",   FORM_INT,    B(minutes),   0, 1440,           -1,   NULL          },
    {"light",     FORM_WORD,   B(light),     0, PB_LIGHT_N,     0,    pb_light_names},
};

static const struct pb_field_row cutting_rows[] = {
    {"on",        FORM_DAY,  B(on),        0, 0,              MUST, NULL},
    {"place",     FORM_TEXT, B(place),     0, TEXT,           0,    NULL},
    {"note",      FORM_TEXT, B(note),      0, TEXT,           0,    NULL},
    {"elsewhere", FORM_YES,  B(elsewhere), 0, 0,              MUST, NULL},
    {"count",     FORM_INT,  B(units),     1, PB_MAX_FLOWERS, MUST, NULL},
    {"nodes",     FORM_INT,  B(nodes),     1, 100,            0,    NULL},
    {"medium",    FORM_TEXT, B(medium),    0, NAME,           0,    NULL},
};

static const struct pb_field_row pollen_rows[] = {
    {"on",          FORM_DAY,  B(on),          0,       0,         MUST, NULL         },
    {"place",       FORM_TEXT, B(place),       0,       TEXT,      0,    NULL         },
    {"note",        FORM_TEXT, B(note),        0,       TEXT,      0,    NULL         },
    {"elsewhere",   FORM_YES,  B(elsewhere),   0,       0,         MUST, NULL         },
    {"kept",        FORM_WORD, B(kept),        0,       PB_KEPT_N, 0,    pb_kept_names},
    {"dried",       FORM_YES,  B(dried),       0,       0,         MUST, NULL         },
    {"celsius",     FORM_REAL, B(celsius),     COLDEST, WARMEST,   0,    NULL         },
    {"cap-removed", FORM_YES,  B(cap_removed), 0,       0,         MUST, NULL         },
};

static struct pb_field_rows rows_of_look(const struct pb_course *course)
{
    struct pb_field_rows rows =
        course->many ? PB_FIELD_ROWS(look_rows) : PB_FIELD_ROWS(counting_look_rows);
    rows.course = course;
    return rows;
}

enum pb_rc pb_field_set_look(struct pb_look *l, const struct pb_course *course,
                             const struct pb_field *f, pb_day today, struct pb_err *err)
{
    return pb_field_set(l, rows_of_look(course), f, today, err);
}

enum pb_rc pb_field_faults_look(const struct pb_look *l, const struct pb_course *course,
                                pb_field_fault_each *each, void *ctx,
                                struct pb_err *err)
{
    return pb_field_faults(l, rows_of_look(course), each, ctx, err);
}

static struct pb_field_rows rows_of_batch(const struct pb_batch *b)
{
    struct pb_field_rows rows = b->kind == PB_SEED      ? PB_FIELD_ROWS(seed_rows)
                                : b->kind == PB_FLASK   ? PB_FIELD_ROWS(flask_rows)
                                : b->kind == PB_CUTTING ? PB_FIELD_ROWS(cutting_rows)
                                                        : PB_FIELD_ROWS(pollen_rows);
    if (b->kind == PB_SEED)
        rows.also = ", count, as, held-cold"; /* of its harvest: amend_batch.c */
    return rows;
}

enum pb_rc pb_field_set_batch(struct pb_batch *b, const struct pb_field *f,
                              pb_day today, struct pb_err *err)
{
    return pb_field_set(b, rows_of_batch(b), f, today, err);
}

enum pb_rc pb_field_faults_batch(const struct pb_batch *b, pb_field_fault_each *each,
                                 void *ctx, struct pb_err *err)
{
    return pb_field_faults(b, rows_of_batch(b), each, ctx, err);
}
