/* podbook gone: a plant has left the collection. */
#include "act/enter.h"
#include "base/text.h"
#include "out.h"
#include "print.h"
#include "table.h"

static const struct opt opts[] = {
    {"on", OPT_DATE, "DATE", "day it left (default today)", 0, 0, NULL, 0},
};

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_plant p;
    int open = 0;
    int gone = pb_name_find(pb_gone_names, PB_GONE_N, args->words[1]);
    pb_day on = args->vals[0].given ? args->vals[0].day : env->act.today;
    if (gone < 0)
        return pb_fail(err, PB_EPARSE,
                       "expected dead, sold, given or discarded, got \"%s\"",
                       args->words[1]);
    const struct pb_leaving leaving = {args->words[0], (enum pb_gone)gone, on};
    pb_plant_init(&p);
    enum pb_rc rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_gone(&env->act, &leaving, &p, &open, err);
    if (rc == PB_OK)
        rc = print_plant(env, &p, err);
    if (rc == PB_OK && open > 0)
        remark("%d open cross%s it carries leave%s what is due with it", open,
               open == 1 ? "" : "es", open == 1 ? "s" : "");
    pb_plant_clear(&p);
    return rc;
}

const struct cmd cmd_gone = {
    .name = "gone",
    .args = "PLANT dead|sold|given|discarded",
    .arg_min = 2,
    .arg_max = 2,
    .summary = "book a plant out of the collection",
    .notes =
        "It leaves what is due and the living collection; its records, its pups and\n"
        "its crosses stay. A flowered jewel orchid that slumps is not dead: the shoot\n"
        "lives on in pups at its nodes.",
    .step = STEP_CARE,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
