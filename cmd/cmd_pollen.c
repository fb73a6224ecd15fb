/* podbook pollen: a stored pollen lot. */
#include "act/batch.h"
#include "base/text.h"
#include "core/bloom.h"
#include "out.h"
#include "print_batch.h"
#include "table.h"
#include "taken.h"

/* Every option is a field of the record: taken.h. */
static const struct opt opts[] = {
    {"on",          OPT_TEXT, "DATE", "day it was taken (default today)",       0, 0, NULL,          0        },
    {"kept",        OPT_WORD, "WORD", "where it is kept",                       0, 0, pb_kept_names, PB_KEPT_N},
    {"celsius",     OPT_TEXT, "T",    "and at which temperature",               0, 0, NULL,          0        },
    {"dried",       OPT_FLAG, NULL,   "dried before it was put away",           0, 0, NULL,          0        },
    {"cap-removed", OPT_FLAG, NULL,   "without its anther cap, which moulds",   0, 0, NULL,
     0                                                                                                        },
    {"place",       OPT_TEXT, "TEXT", "where it lies (shared only with notes)", 0, 0, NULL,
     0                                                                                                        },
    {"note",        OPT_TEXT, "TEXT", "anything else (shared only with notes)", 0, 0, NULL,          0        },
};

/* What spoils stored pollen.  Source: growers' reports. */
static void caution(const struct pb_batch *lot)
{
    if (pb_pollen_kept_as(lot) == PB_KEPT_FREEZER && !lot->dried)
        remark("pollen that is frozen undried is often lost; dry it first");
    if (!lot->cap_removed)
        say("Care: the anther cap moulds in store; take it off and say --cap-removed.");
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_batch lot;
    pb_batch_init(&lot, PB_POLLEN);
    enum pb_rc rc = taken_fill(env, &cmd_pollen, args, &lot, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_take(&env->act, &lot, err);
    if (rc == PB_OK)
        rc = print_batch(env, &lot, err);
    if (rc == PB_OK && !env->json)
        caution(&lot);
    pb_batch_clear(&lot);
    return rc;
}

const struct cmd cmd_pollen = {
    .name = "pollen",
    .args = "PLANT",
    .arg_min = 1,
    .arg_max = 1,
    .summary = "enter a stored pollen lot",
    .notes = "The lot gets a code of its own (P26-001) that podbook cross takes as the "
             "pollen\n"
             "parent; the cross then keeps the age of the pollen. When it is used up:\n"
             "  podbook look P26-001 used-up",
    .step = STEP_POLLINATE,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
