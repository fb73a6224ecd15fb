/* Fields of plants, crosses and harvests.  See fields.h.  Each kind has a table of rows: the
 * field's name, how its value is read, and where it goes (an offset into the record). */
#include "act/field_rows.h"

#include "base/text.h"

#include <stddef.h>

#define P(m) offsetof(struct pb_plant, m)
#define X(m) offsetof(struct pb_cross, m)
#define H(m) offsetof(struct pb_harvest, m)

static const struct pb_field_row plant_rows[] = {
    {"code",          FORM_CODE,   P(head.code),     0,                  0,             MUST, NULL         },
    {"taxon",         FORM_TEXT,   P(taxon),         0,                  NAME,          MUST, NULL         },
    {"pup-of",        FORM_ORIGIN, P(source),        PB_ORIGIN_PUP,      0,             0,    NULL         },
    {"cutting-of",    FORM_ORIGIN, P(source),        PB_ORIGIN_CUTTING,  0,             0,    NULL         },
    {"division-of",   FORM_ORIGIN, P(source),        PB_ORIGIN_DIVISION, 0,             0,    NULL         },
    {"from",          FORM_ORIGIN, P(from_cross),    PB_ORIGIN_CROSS,    0,             0,    NULL         },
    {"seed-parent",   FORM_ORIGIN, P(seed_parent),   PB_ORIGIN_PARENTS,  0,             0,    NULL         },
    {"pollen-parent", FORM_ORIGIN, P(pollen_parent), PB_ORIGIN_PARENTS,  0,             0,    NULL         },
    {"clone-name",    FORM_TEXT,   P(clone_name),    0,                  NAME,          0,    NULL         },
    {"ploidy",        FORM_INT,    P(ploidy),        1,                  PB_MAX_PLOIDY, 0,    NULL         },
    {"doubtful",      FORM_TEXT,   P(doubtful),      0,                  TEXT,          0,    NULL         },
    {"got",           FORM_DAY,    P(got),           0,                  0,             0,    NULL         },
    {"source",        FORM_TEXT,   P(source_text),   0,                  TEXT,          0,    NULL         },
    {"papers",        FORM_TEXT,   P(papers),        0,                  TEXT,          0,    NULL         },
    {"place",         FORM_TEXT,   P(place),         0,                  TEXT,          0,    NULL         },
    {"note",          FORM_TEXT,   P(note),          0,                  TEXT,          0,    NULL         },
    {"elsewhere",     FORM_YES,    P(elsewhere),     0,                  0,             MUST, NULL         },
    {"gone",          FORM_WORD,   P(gone),          0,                  PB_GONE_N,     0,    pb_gone_names},
    {"gone-on",       FORM_DAY,    P(gone_on),       0,                  0,             0,    NULL         },
};

static const struct pb_field_row cross_rows[] = {
    {"seed-parent",   FORM_SEED,   X(seed),       0, 0,                 MUST, NULL               },
    {"pollen-parent", FORM_POLLEN, 0,             0, 0,                 MUST, NULL               },
    {"on",            FORM_DAY,    X(pollinated), 0, 0,                 MUST, NULL               },
    {"flowers",       FORM_INT,    X(flowers),    1, PB_MAX_FLOWERS,    MUST, NULL               },
    {"flower-age",    FORM_INT,    X(flower_age), 0, PB_MAX_FLOWER_AGE, -1,   NULL               },
    {"at",            FORM_TEXT,   X(at),         0, NAME,              0,    NULL               },
    {"own-pollen",    FORM_WORD,   X(own_pollen), 0, PB_OWN_N,          0,    pb_own_pollen_names},
    {"grex",          FORM_TEXT,   X(grex),       0, NAME,              0,    NULL               },
    {"profile",       FORM_TEXT,   X(profile),    0, NAME,              0,    NULL               },
    {"doubtful",      FORM_TEXT,   X(doubtful),   0, TEXT,              0,    NULL               },
    {"bagged",        FORM_DAY,    X(bagged),     0, 0,                 0,    NULL               },
    {"note",          FORM_TEXT,   X(note),       0, TEXT,              0,    NULL               },
};

static const struct pb_field_row harvest_rows[] = {
    {"on",        FORM_DAY,  H(on),        0, 0,              MUST, NULL       },
    {"count",     FORM_INT,  H(count),     1, PB_MAX_FLOWERS, MUST, NULL       },
    {"as",        FORM_WORD, H(as),        0, PB_AS_N,        MUST, pb_as_names},
    {"held-cold", FORM_YES,  H(held_cold), 0, 0,              MUST, NULL       },
};

bool pb_field_is_own(const char *name)
{
    static const char *const own[] = {"code",   "elsewhere", "note",
                                      "papers", "place",     "source"};
    return pb_name_find(own, PB_ARRAY_LEN(own), name) >= 0;
}

enum pb_rc pb_field_faults_plant(const struct pb_plant *p, pb_field_fault_each *each,
                                 void *ctx, struct pb_err *err)
{
    return pb_field_faults(p, PB_FIELD_ROWS(plant_rows), each, ctx, err);
}

enum pb_rc pb_field_faults_cross(const struct pb_cross *x, pb_field_fault_each *each,
                                 void *ctx, struct pb_err *err)
{
    return pb_field_faults(x, PB_FIELD_ROWS(cross_rows), each, ctx, err);
}

enum pb_rc pb_field_set_plant(struct pb_plant *p, const struct pb_field *f,
                              pb_day today, struct pb_err *err)
{
    return pb_field_set(p, PB_FIELD_ROWS(plant_rows), f, today, err);
}

enum pb_rc pb_field_set_cross(struct pb_cross *x, const struct pb_field *f,
                              pb_day today, struct pb_err *err)
{
    return pb_field_set(x, PB_FIELD_ROWS(cross_rows), f, today, err);
}

enum pb_rc pb_field_set_harvest(struct pb_harvest *h, const struct pb_field *f,
                                pb_day today, struct pb_err *err)
{
    return pb_field_set(h, PB_FIELD_ROWS(harvest_rows), f, today, err);
}
