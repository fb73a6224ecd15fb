/* podbook cut: cuttings taken from a plant. */
#include "act/batch.h"
#include "base/text.h"
#include "out.h"
#include "print_batch.h"
#include "table.h"
#include "taken.h"

/* Every option is a field of the record: taken.h. */
static const struct opt opts[] = {
    {"count",  OPT_TEXT, "N",    "cuttings taken (default 1)",             0, 0, NULL, 0},
    {"nodes",  OPT_TEXT, "N",    "nodes of each",                          0, 0, NULL, 0},
    {"medium", OPT_TEXT, "TEXT", "what they are to root in",               0, 0, NULL, 0},
    {"on",     OPT_TEXT, "DATE", "day they were cut (default today)",      0, 0, NULL, 0},
    {"place",  OPT_TEXT, "TEXT", "where they stand",                       0, 0, NULL, 0},
    {"note",   OPT_TEXT, "TEXT", "anything else (shared only with notes)", 0, 0, NULL, 0},
};

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_batch b;
    pb_batch_init(&b, PB_CUTTING);
    enum pb_rc rc = taken_fill(env, &cmd_cut, args, &b, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_take(&env->act, &b, err);
    if (rc == PB_OK)
        rc = print_batch(env, &b, err);
    if (rc == PB_OK && !env->json)
        say_wrapped("", 0,
                    "Clean tools before the next plant: sap carries viruses that have "
                    "no cure. A blade bites: guard its point, cut away from the hand.");
    pb_batch_clear(&b);
    return rc;
}

const struct cmd cmd_cut = {
    .name = "cut",
    .args = "PLANT",
    .arg_min = 1,
    .arg_max = 1,
    .summary = "enter cuttings taken from a plant",
    .notes =
        "Those of one day get one code (C26-001) and are followed together: let the "
        "cut\n"
        "dry for about a day, then water, a weekly look for roots, a pot:\n"
        "  podbook look C26-001 in-water\n"
        "  podbook look C26-001 rooted --count 2\n"
        "  podbook look C26-001 potted --as LD-7\n"
        "The last enters the plant LD-7 as a clone of its source.",
    .step = STEP_POLLINATE,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
