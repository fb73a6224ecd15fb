/* podbook bag: a bag or filter round the capsules of a cross. */
#include "act/enter.h"
#include "base/text.h"
#include "out.h"
#include "print.h"
#include "table.h"

static const struct opt opts[] = {
    {"on", OPT_DATE, "DATE", "day it was put on (default today)", 0, 0, NULL, 0},
};

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_cross x;
    bool changed = false;
    pb_cross_init(&x);
    pb_day on = args->vals[0].given ? args->vals[0].day : env->act.today;
    enum pb_rc rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_bag(&env->act, args->words[0], on, &x, &changed, err);
    if (rc == PB_OK)
        rc = print_cross_after(env, &x, err);
    if (rc == PB_OK && !env->json && !changed)
        say("It was so already; nothing changed.");
    else if (rc == PB_OK && !env->json)
        say("Bagged: seed of a capsule that splits is caught; keep the bag dry.");
    pb_cross_clear(&x);
    return rc;
}

const struct cmd cmd_bag = {
    .name = "bag",
    .args = "CROSS",
    .arg_min = 1,
    .arg_max = 1,
    .summary = "note that the capsules hang in a bag or filter",
    .notes = "A split is no longer a total loss then. Paper or a coffee filter, never\n"
             "plastic: seed that stays damp moulds.",
    .step = STEP_WATCH,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
