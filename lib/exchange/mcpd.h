/*
 * Accessions as a passport table for gene banks: CSV in UTF-8, the columns of the FAO/Bioversity
 * Multi-Crop Passport Descriptors, version 2.1 (2015), all of them, in the published order.
 *
 * Days are YYYYMMDD; several values of one cell stand between semicolons, so one inside a
 * value becomes a comma.  A cell that a spreadsheet would take for a formula (first = + -
 * or @) gets an apostrophe before it.
 */
#ifndef PB_EXCHANGE_MCPD_H
#define PB_EXCHANGE_MCPD_H

#include "base/buf.h"
#include "core/civil.h"

#include <stddef.h>

/* SAMPSTAT: the codes that podbook gives. */
enum pb_sample_status {
    PB_SAMPLE_NOT_SAID = 0,
    PB_SAMPLE_BREEDING = 400, /* breeding or research material */
    PB_SAMPLE_HYBRID = 412,
    PB_SAMPLE_SEGREGATING = 415 /* a segregating population */
};

/* STORAGE: the codes that podbook gives, as a set.  ORDER STORAGE: mcpd.c */
enum pb_storage {
    PB_STORAGE_SEED = 1,    /* 10, seed collection */
    PB_STORAGE_PLANT = 2,   /* 20, field collection: plants in pots too */
    PB_STORAGE_IN_VITRO = 4 /* 30 */
};

/* What a row says; all of it borrowed, NULL or empty: not given. */
struct pb_accession {
    const char *id; /* UUID */
    const char *code, *origin_code;
    const char *const
        *taxa; /* its own, or those of its parents; a NULL one is unknown */
    size_t taxon_n;
    const char *grex, *clone_name;
    pb_day acquired; /* PB_DAY_NONE */
    enum pb_sample_status status;
    const char *seed_parent, *pollen_parent; /* both NULL: nothing is known */
    const char *donor;
    const char *others; /* codes of what belongs to it, ":S26-001;:F26-001" */
    unsigned storage;   /* of pb_storage; 0: not held */
    const char *doubtful, *gone, *note; /* for REMARKS */
};

/* Append the line of the column names, without its end. */
enum pb_rc pb_mcpd_header(struct pb_buf *out, struct pb_err *err);

/*
 * Append one row, without its end.
 * GENUS and SPECIES are what all its taxa have in common; a name that they do not hold in
 * full is told in REMARKS as it was written.
 * PB_ENOMEM, PB_ELIMIT
 */
enum pb_rc pb_mcpd_write(const struct pb_accession *acc, struct pb_buf *out,
                         struct pb_err *err);

#endif
