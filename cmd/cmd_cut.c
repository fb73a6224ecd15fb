/* podbook cut: cuttings taken from a plant. */
#include "act/batch.h"
#include "act/fields.h"
#include "base/text.h"
#include "out.h"
#include "print_batch.h"
#include "table.h"

#include <string.h>

/* Every option is a field of the record (act/fields_batch.c), which checks its value. */
static const struct opt opts[] = {
    {"count",  OPT_TEXT, "N",    "cuttings taken (default 1)",             0, 0, NULL, 0},
    {"nodes",  OPT_TEXT, "N",    "nodes of each",                          0, 0, NULL, 0},
    {"medium", OPT_TEXT, "TEXT", "what they are to root in",               0, 0, NULL, 0},
    {"on",     OPT_TEXT, "DATE", "day they were cut (default today)",      0, 0, NULL, 0},
    {"place",  OPT_TEXT, "TEXT", "where they stand",                       0, 0, NULL, 0},
    {"note",   OPT_TEXT, "TEXT", "anything else (shared only with notes)", 0, 0, NULL, 0},
};

static enum pb_rc fill(struct env *env, const struct args *args, struct pb_batch *b,
                       struct pb_err *err)
{
    size_t n = strlen(args->words[0]);
    enum pb_rc rc = PB_OK;
    if (n == 0 || n > PB_MAX_CODE)
        return pb_fail(err, PB_EPARSE, "expected the code of a plant, got \"%s\"",
                       args->words[0]);
    memcpy(b->plant.code, args->words[0], n + 1);
    b->on = env->act.today;
    for (size_t i = 0; i < PB_ARRAY_LEN(opts) && rc == PB_OK; i++) {
        const struct pb_field f = {opts[i].name, args->vals[i].text};
        if (args->vals[i].given)
            rc = pb_field_set_batch(b, &f, env->act.today, err);
    }
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_batch b;
    pb_batch_init(&b, PB_CUTTING);
    enum pb_rc rc = fill(env, args, &b, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_take(&env->act, &b, err);
    if (rc == PB_OK)
        rc = print_batch(env, &b, err);
    if (rc == PB_OK && !env->json)
        say("Clean tools before the next plant: sap carries viruses that have no cure. "
            "A\nblade bites: guard its point, cut away from the hand.");
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
