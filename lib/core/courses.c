/*
 * Every kind of record that is followed: where it can stand, what can be found of it, what
 * it asks for.  A new kind is a table here (DEVELOPERS.md has the recipe).
 *
 * Days that stand here and not in a profile are allowances of ours for work that has no
 * published time; podbook(1) says so where it lists the tasks.
 */
#include "core/life.h"

#include "base/text.h"

#define AT(stand)    PB_BIT(stand)
#define FOUND(found) PB_BIT(found)
#define ALL_FINDINGS UINT32_MAX

/* ---- cross: its flowers ------------------------------------------------------------- */

/* ORDER STAND */
const char *const pb_stand_names[PB_STAND_N] = {
    "pollinated", "unchanged", "unsure",  "swollen", "holding",
    "yellowing",  "split",     "dropped", "lost",    "harvested",
};

enum {
    FRESH = AT(PB_STAND_POLLINATED) | AT(PB_STAND_UNCHANGED) | AT(PB_STAND_UNSURE),
    ON_PLANT =
        FRESH | AT(PB_STAND_SWOLLEN) | AT(PB_STAND_HOLDING) | AT(PB_STAND_YELLOWING),
    HUNG = ON_PLANT | AT(PB_STAND_SPLIT)
};

#define AS_SPLIT "take what was found split with podbook harvest @ --as split"

/* ORDER FOUND, then ORDER AS.  A swollen ovary is never unchanged again; a split one is
 * only still to be taken, as split. */
static const struct pb_finding cross_findings[] = {
    {"unchanged", FRESH,    PB_STAND_UNCHANGED, PB_TALLY_SEEN, 0,              NULL,
     "an ovary found swollen before is not unchanged; say holding, or amend the "
     "earlier "
     "look",                                                                                    NULL},
    {"unsure",    ON_PLANT, PB_STAND_UNSURE,    PB_TALLY_SEEN, 0,              NULL,      NULL, NULL},
    {"swollen",   ON_PLANT, PB_STAND_SWOLLEN,   PB_TALLY_SEEN, 0,              NULL,      NULL, NULL},
    {"holding",   ON_PLANT, PB_STAND_HOLDING,   PB_TALLY_SEEN, 0,              NULL,      NULL, NULL},
    {"yellowing", ON_PLANT, PB_STAND_YELLOWING, PB_TALLY_SEEN, 0,              NULL,      NULL, NULL},
    {"split",     ON_PLANT, PB_STAND_SPLIT,     PB_TALLY_NEW,  0,              NULL,      NULL, NULL},
    {"dropped",   ON_PLANT, PB_STAND_DROPPED,   PB_TALLY_NEW,  PB_LEAST_FIRST, NULL,      NULL,
     NULL                                                                                           },
    {"lost",      ON_PLANT, PB_STAND_LOST,      PB_TALLY_NEW,  0,              NULL,      NULL, NULL},
    {"harvested", ON_PLANT, PB_STAND_HARVESTED, PB_TALLY_NEW,  0,              "harvest", NULL,
     AS_SPLIT                                                                                       },
    {"harvested", ON_PLANT, PB_STAND_HARVESTED, PB_TALLY_NEW,  0,              "harvest", NULL,
     AS_SPLIT                                                                                       },
    {"harvested", ON_PLANT, PB_STAND_HARVESTED, PB_TALLY_NEW,  0,              "harvest", NULL,
     AS_SPLIT                                                                                       },
    {"harvested", HUNG,     PB_STAND_HARVESTED, PB_TALLY_NEW,  0,              "harvest", NULL, NULL},
};
_Static_assert(PB_ARRAY_LEN(cross_findings) == PB_FOUND_N + PB_AS_N, "ORDER FOUND, AS");

/* By kind of task: the order in which they are listed. */
static const struct pb_plan cross_plans[] = {
    {PB_TASK_SWELLING, PB_HOW_WINDOW,   PB_STAGE_SWELLING, -1, -1, ON_PLANT, 0,
     ALL_FINDINGS                                                                           },
    {PB_TASK_HOLDING,  PB_HOW_HOLDING,  PB_STAGE_N,        -1, -1, ON_PLANT, 0, ALL_FINDINGS},
    {PB_TASK_RIPENESS, PB_HOW_RIPENESS, PB_STAGE_N,        -1, -1, ON_PLANT, 0, ALL_FINDINGS},
    {PB_TASK_HARVEST,  PB_HOW_WINDOW,   PB_STAGE_HARVEST,  -1, -1, ON_PLANT, 0, 0           },
};

/* ---- seed lot ----------------------------------------------------------------------- */

/* ORDER SEED_STAND */
static const char *const seed_stands[PB_SEED_STAND_N] = {
    "kept",
    "used up",
    "given",
    "discarded",
};

static const struct pb_finding seed_findings[] = {
    {"counted",   AT(PB_SEED_KEPT), PB_STAYS,          PB_TALLY_SEEN, PB_AMOUNT | PB_COUNT, NULL,
     NULL,                                                                                               NULL},
    {"viable",    AT(PB_SEED_KEPT), PB_STAYS,          PB_TALLY_SEEN, PB_SAMPLE,            NULL,  NULL, NULL},
    {"sown",      AT(PB_SEED_KEPT), PB_STAYS,          PB_TALLY_NEW,  PB_AMOUNT,            "sow", NULL, NULL},
    {"used-up",   AT(PB_SEED_KEPT), PB_SEED_USED_UP,   PB_TALLY_NEW,  0,                    NULL,  NULL, NULL},
    {"given",     AT(PB_SEED_KEPT), PB_SEED_GIVEN,     PB_TALLY_NEW,  0,                    NULL,  NULL, NULL},
    {"discarded", AT(PB_SEED_KEPT), PB_SEED_DISCARDED, PB_TALLY_NEW,  0,                    NULL,  NULL,
     NULL                                                                                                    },
};

/* Which lots have a day to be sown by is said by the stage's days: pb_batch_timing.  To sow
 * some does not answer for the rest. */
static const struct pb_plan seed_plans[] = {
    {PB_TASK_SOW, PB_HOW_WINDOW, PB_STAGE_SOW, -1, -1, AT(PB_SEED_KEPT), 0, 0},
};

/* ---- flask -------------------------------------------------------------------------- */

/* ORDER FLASK_STAND */
static const char *const flask_stands[PB_FLASK_STAND_N] = {
    "sown",     "germinated", "contaminated", "in compot", "settled",
    "replated", "deflasked",  "given",        "discarded",
};

enum {
    CLEAN = AT(PB_FLASK_SOWN) | AT(PB_FLASK_GERMINATED),
    CLOSED = CLEAN | AT(PB_FLASK_CONTAMINATED),
    COMPOT = AT(PB_FLASK_COMPOT) | AT(PB_FLASK_SETTLED)
};

/* ORDER FLASK_FOUND.  Stage 1 is no germination on every scale, so it leaves a flask where
 * it was. */
static const struct pb_finding flask_findings[PB_FLASK_FOUND_N] = {
    {"unchanged",         CLEAN | COMPOT,            PB_STAYS,              PB_TALLY_SEEN, 0,                    NULL,      NULL, NULL},
    {"germinated",        CLEAN,                     PB_FLASK_GERMINATED,   PB_TALLY_SEEN, PB_AMOUNT,            NULL,      NULL,
     NULL                                                                                                                             },
    {"stage-1",           CLEAN,                     PB_STAYS,              PB_TALLY_SEEN, PB_AMOUNT | PB_SCALE, NULL,      NULL, NULL},
    {"stage-2",           CLEAN,                     PB_FLASK_GERMINATED,   PB_TALLY_SEEN, PB_AMOUNT | PB_SCALE, NULL,
     NULL,                                                                                                                        NULL},
    {"stage-3",           CLEAN,                     PB_FLASK_GERMINATED,   PB_TALLY_SEEN, PB_AMOUNT | PB_SCALE, NULL,
     NULL,                                                                                                                        NULL},
    {"stage-4",           CLEAN,                     PB_FLASK_GERMINATED,   PB_TALLY_SEEN, PB_AMOUNT | PB_SCALE, NULL,
     NULL,                                                                                                                        NULL},
    {"stage-5",           CLEAN,                     PB_FLASK_GERMINATED,   PB_TALLY_SEEN, PB_AMOUNT | PB_SCALE, NULL,
     NULL,                                                                                                                        NULL},
    {"contaminated",      CLOSED,                    PB_FLASK_CONTAMINATED, PB_TALLY_SEEN, 0,                    NULL,      NULL, NULL},
    {"settled",           COMPOT,                    PB_FLASK_SETTLED,      PB_TALLY_SEEN, PB_AMOUNT,            NULL,      NULL, NULL},
    {"given",             CLEAN | COMPOT,            PB_FLASK_GIVEN,        PB_TALLY_NEW,  0,                    NULL,      NULL, NULL},
    {"discarded",         CLOSED | COMPOT,           PB_FLASK_DISCARDED,    PB_TALLY_NEW,  0,                    NULL,      NULL,
     NULL                                                                                                                             },
    {"part-replated",     AT(PB_FLASK_GERMINATED),   PB_STAYS,              PB_TALLY_NEW,  PB_AMOUNT,
     "replate",                                                                                                             NULL, NULL},
    {"replated",          AT(PB_FLASK_GERMINATED),   PB_FLASK_REPLATED,     PB_TALLY_NEW,  PB_AMOUNT,
     "replate",                                                                                                             NULL, NULL},
    {"rescued",           AT(PB_FLASK_CONTAMINATED), PB_FLASK_DEFLASKED,    PB_TALLY_NEW,  PB_AMOUNT,
     "deflask",                                                                                                             NULL, NULL},
    {"rescued-to-flasks", AT(PB_FLASK_CONTAMINATED), PB_FLASK_REPLATED,     PB_TALLY_NEW,
     PB_AMOUNT,                                                                                                  "replate", NULL, NULL},
    {"compotted",         CLEAN,                     PB_FLASK_COMPOT,       PB_TALLY_NEW,  PB_AMOUNT,            "deflask", NULL,
     NULL                                                                                                                             },
    {"rescued-to-compot", AT(PB_FLASK_CONTAMINATED), PB_FLASK_COMPOT,       PB_TALLY_NEW,
     PB_AMOUNT,                                                                                                  "deflask", NULL, NULL},
    {"part-deflasked",    CLEAN | COMPOT,            PB_STAYS,              PB_TALLY_NEW,  PB_AMOUNT,            "deflask",
     NULL,                                                                                                                        NULL},
    {"deflasked",         CLEAN | COMPOT,            PB_FLASK_DEFLASKED,    PB_TALLY_NEW,  PB_AMOUNT,
     "deflask",                                                                                                             NULL, NULL},
};

static const struct pb_advice flask_advice[] = {
    {AT(PB_FLASK_CONTAMINATED),
     FOUND(PB_FLASK_PART_REPLATED) | FOUND(PB_FLASK_ALL_REPLATED) |
         FOUND(PB_FLASK_TO_COMPOT) | FOUND(PB_FLASK_PART_DEFLASKED) |
         FOUND(PB_FLASK_ALL_DEFLASKED),
     "--rescue takes out what can be saved, all of it at once and counted apart" },
    {CLEAN,
     FOUND(PB_FLASK_RESCUED) | FOUND(PB_FLASK_RESCUED_TO_FLASKS) |
         FOUND(PB_FLASK_RESCUED_TO_COMPOT),
     "nothing is to be rescued: leave --rescue out, or book first what was found: "
     "podbook look @ contaminated"                                               },
    {COMPOT,
     FOUND(PB_FLASK_RESCUED) | FOUND(PB_FLASK_RESCUED_TO_FLASKS) |
         FOUND(PB_FLASK_RESCUED_TO_COMPOT),
     "its seedlings are out of the flask: leave --rescue out"                    },
    {AT(PB_FLASK_SOWN),         FOUND(PB_FLASK_PART_REPLATED) | FOUND(PB_FLASK_ALL_REPLATED),
     "there is nothing in it to replate; if something has germinated, book that first: "
     "podbook look @ germinated"                                                 },
    {COMPOT,                    FOUND(PB_FLASK_PART_REPLATED) | FOUND(PB_FLASK_ALL_REPLATED),
     "its seedlings are out of the flask; podbook deflask @ makes plants of them"},
};

/* A flask that was replated asks for no second replating: growers do it one to three
 * times, by eye.  One that is contaminated is to be seen to at once. */
static const struct pb_plan flask_plans[] = {
    {PB_TASK_GERMINATION, PB_HOW_STEPS,  PB_STAGE_GERMINATION, -1, -1, AT(PB_FLASK_SOWN),
     0,                         ALL_FINDINGS                  },
    {PB_TASK_REPLATE,     PB_HOW_WINDOW, PB_STAGE_REPLATE,     -1, -1, AT(PB_FLASK_GERMINATED),
     0,                         PB_BIT(PB_FLASK_PART_REPLATED)},
    {PB_TASK_DEFLASK,     PB_HOW_WINDOW, PB_STAGE_DEFLASK,     -1, -1, AT(PB_FLASK_GERMINATED),
     0,                         0                             },
    {PB_TASK_DEFLASK,     PB_HOW_WINDOW, PB_STAGE_N,           0,  1,  AT(PB_FLASK_CONTAMINATED),
     AT(PB_FLASK_CONTAMINATED), 0                             },
    {PB_TASK_SETTLED,     PB_HOW_WINDOW, PB_STAGE_SETTLED,     -1, -1, AT(PB_FLASK_COMPOT),
     AT(PB_FLASK_COMPOT),       0                             },
};

/* ---- cutting ------------------------------------------------------------------------ */

/* ORDER CUTTING_STAND */
static const char *const cutting_stands[PB_CUTTING_STAND_N] = {
    "cut",     "callused", "in water", "rooted", "potted",
    "settled", "rotted",   "lost",     "died",   "given",
};

enum {
    UNROOTED = AT(PB_CUTTING_CUT) | AT(PB_CUTTING_CALLUSED) | AT(PB_CUTTING_IN_WATER),
    UNPOTTED = UNROOTED | AT(PB_CUTTING_ROOTED),
    GROWING = UNPOTTED | AT(PB_CUTTING_POTTED)
};

/* ORDER CUTTING_FOUND.  The least far are those that stay unchanged, rot or are lost; what is
 * given is what is no plant yet.  A cutting may be potted without roots: some growers do.  Potted or
 * settled, it may become a plant of its own. */
static const struct pb_finding cutting_findings[PB_CUTTING_FOUND_N] = {
    {"unchanged", GROWING,                                      PB_STAYS,            PB_TALLY_SEEN, PB_LEAST_FIRST, NULL, NULL, NULL},
    {"callused",  AT(PB_CUTTING_CUT) | AT(PB_CUTTING_CALLUSED), PB_CUTTING_CALLUSED,
     PB_TALLY_SEEN,                                                                                 0,              NULL, NULL, NULL},
    {"in-water",  UNROOTED,                                     PB_CUTTING_IN_WATER, PB_TALLY_SEEN, PB_GOES_ON,     NULL, NULL,
     NULL                                                                                                                           },
    {"rooted",    UNPOTTED,                                     PB_CUTTING_ROOTED,   PB_TALLY_SEEN, 0,              NULL, NULL, NULL},
    {"potted",    UNPOTTED,                                     PB_CUTTING_POTTED,   PB_TALLY_NEW,  PB_ENTERS,      NULL, NULL, NULL},
    {"settled",   AT(PB_CUTTING_POTTED),                        PB_CUTTING_SETTLED,  PB_TALLY_NEW,  PB_ENTERS,
     NULL,                                                                                                                NULL, NULL},
    {"rotted",    GROWING,                                      PB_CUTTING_ROTTED,   PB_TALLY_NEW,  PB_LEAST_FIRST, NULL, NULL,
     NULL                                                                                                                           },
    {"lost",      GROWING,                                      PB_CUTTING_LOST,     PB_TALLY_NEW,  PB_LEAST_FIRST, NULL, NULL, NULL},
    {"died",      AT(PB_CUTTING_POTTED),                        PB_CUTTING_DIED,     PB_TALLY_NEW,  0,              NULL, NULL, NULL},
    {"given",     GROWING,                                      PB_CUTTING_GIVEN,    PB_TALLY_NEW,  PB_PLANTS_LAST, NULL, NULL,
     NULL                                                                                                                           },
};

/* Who says so has looked at the roots. */
enum {
    ROOT_LOOKS = FOUND(PB_CUTTING_UNCHANGED) | FOUND(PB_CUTTING_PUT_IN_WATER) |
                 FOUND(PB_CUTTING_HAS_ROOTED) | FOUND(PB_CUTTING_WAS_POTTED) |
                 FOUND(PB_CUTTING_HAS_ROTTED)
};

/* Into water on the day it has callused, potted within a week of its roots: allowances of
 * ours.  Weekly from the water on: common practice, no source. */
static const struct pb_plan cutting_plans[] = {
    {PB_TASK_CALLUS,  PB_HOW_WINDOW, PB_STAGE_CALLUS,  -1, -1, AT(PB_CUTTING_CUT),      0, 0         },
    {PB_TASK_WATER,   PB_HOW_WINDOW, PB_STAGE_N,       0,  1,  AT(PB_CUTTING_CALLUSED),
     AT(PB_CUTTING_CALLUSED),                                                              0         },
    {PB_TASK_ROOTS,   PB_HOW_WEEKLY, PB_STAGE_WATER,   7,  7,  AT(PB_CUTTING_IN_WATER),
     AT(PB_CUTTING_IN_WATER),                                                              ROOT_LOOKS},
    {PB_TASK_POT,     PB_HOW_WINDOW, PB_STAGE_POT,     0,  7,  AT(PB_CUTTING_ROOTED),
     AT(PB_CUTTING_ROOTED),                                                                0         },
    {PB_TASK_SETTLED, PB_HOW_WINDOW, PB_STAGE_SETTLED, 30, 60, AT(PB_CUTTING_POTTED),
     AT(PB_CUTTING_POTTED),                                                                0         },
};

/* ---- pollen lot --------------------------------------------------------------------- */

/* ORDER POLLEN_STAND */
static const char *const pollen_stands[PB_POLLEN_STAND_N] = {
    "kept",
    "used up",
    "discarded",
};

static const struct pb_finding pollen_findings[] = {
    {"viable",    AT(PB_POLLEN_KEPT), PB_STAYS,            PB_TALLY_SEEN, PB_SAMPLE, NULL, NULL,
     NULL},
    {"used-up",   AT(PB_POLLEN_KEPT), PB_POLLEN_USED_UP,   PB_TALLY_NEW,  0,         NULL, NULL,
     NULL},
    {"discarded", AT(PB_POLLEN_KEPT), PB_POLLEN_DISCARDED, PB_TALLY_NEW,  0,         NULL, NULL,
     NULL},
};

/* How long it keeps is said by how it is kept: pb_batch_timing. */
static const struct pb_plan pollen_plans[] = {
    {PB_TASK_USE_POLLEN, PB_HOW_WINDOW, PB_STAGE_RECEPTIVE, -1, -1, AT(PB_POLLEN_KEPT),
     0, 0},
};

/* ---- plant: after its flowers ------------------------------------------------------- */

/* ORDER SHOOT_STAND */
static const char *const shoot_stands[PB_SHOOT_STAND_N] = {
    "no pups yet",
    "with pups",
    "without pups",
};

enum { SHOOT = AT(PB_SHOOT_OVER) | AT(PB_SHOOT_PUPS) | AT(PB_SHOOT_NONE) };

/* ORDER SHOOT_FOUND.  Who took cuttings has looked, and looks again; a pup that became a
 * plant was one.  The word that none came may prove wrong. */
static const struct pb_finding shoot_findings[PB_SHOOT_FOUND_N] = {
    {"unchanged", SHOOT, PB_STAYS,      PB_TALLY_SEEN, 0,         NULL,    NULL, NULL},
    {"pups",      SHOOT, PB_SHOOT_PUPS, PB_TALLY_SEEN, PB_AMOUNT, NULL,    NULL, NULL},
    {"none",      SHOOT, PB_SHOOT_NONE, PB_TALLY_SEEN, 0,         NULL,    NULL, NULL},
    {"cut",       SHOOT, PB_STAYS,      PB_TALLY_NEW,  0,         "cut",   NULL, NULL},
    {"parted",    SHOOT, PB_SHOOT_PUPS, PB_TALLY_NEW,  0,         "plant", NULL, NULL},
};

static const struct pb_plan shoot_plans[] = {
    {PB_TASK_PUPS, PB_HOW_STEPS, PB_STAGE_PUPS, -1, -1, AT(PB_SHOOT_OVER), 0,
     ALL_FINDINGS},
};

/* ---- all of them -------------------------------------------------------------------- */

#define ROWS(table) table, (int)PB_ARRAY_LEN(table)

/* ORDER KIND */
const struct pb_course pb_courses[PB_KIND_N] = {
    [PB_PLANT] = {PB_PLANT, '\0',         "plant",      "plant",            "end of its flowering", false,
                  false,                                                                                                        ROWS(shoot_stands), SHOOT,                  ROWS(shoot_findings),
                  ROWS(shoot_plans),                                                                                                                                                                    NULL,               0},
    [PB_CROSS] = {PB_CROSS, 'X',          "cross",      "flower",           "pollination",          true,  false,
                  ROWS(pb_stand_names),                                                                                                             ON_PLANT,               ROWS(cross_findings),
                  ROWS(cross_plans),                                                                                                                                                                    NULL,               0},
    [PB_SEED] = {PB_SEED,  'S',          "seed lot",   "seed lot",         "harvest",              false, false,
                  ROWS(seed_stands),                                                                                                                AT(PB_SEED_KEPT),       ROWS(seed_findings),
                  ROWS(seed_plans),                                                                                                                                                                     NULL,               0},
    [PB_FLASK] = {PB_FLASK, 'F',          "flask",      "flask",            "sowing",               false, false,
                  ROWS(flask_stands),                                                                                                               CLOSED | COMPOT,        ROWS(flask_findings),
                  ROWS(flask_plans),                                                                                                                                                                    ROWS(flask_advice)},
    [PB_CUTTING] = {PB_CUTTING,     'C',    "cutting",    "cutting",              "cut",                   true,  true,
                  ROWS(cutting_stands),                                                                                                    GROWING, ROWS(cutting_findings),
                  ROWS(cutting_plans),                                                                                                                                                            NULL,                  0 },
    [PB_POLLEN] = {PB_POLLEN,     'P', "pollen lot", "pollen lot", "day it was taken",
                  false,                                                                            false, ROWS(pollen_stands), AT(PB_POLLEN_KEPT),
                  ROWS(pollen_findings),                                                                                                                                      ROWS(pollen_plans), NULL,                  0},
};
