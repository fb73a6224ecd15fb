/* podbook replate: what grows in a flask into others. */
#include "base/text.h"
#include "flasks.h"
#include "out.h"
#include "table.h"

enum {
    O_FLASKS,
    O_PROTOCORMS,
    O_PART,
    O_RESCUE,
    O_MEDIUM,
    O_LIGHT,
    O_ON,
    O_PLACE,
    O_NOTE
};
static const struct opt opts[] = {
    {"flasks",     OPT_INT,  "N",    "flasks filled alike (default 1)",                1, PB_MAX_RANGE, NULL,
     0                                                                                                         },
    {"protocorms", OPT_INT,  "N",    "protocorms in each (default not counted)",       1,
     PB_MAX_COUNTED,                                                                                    NULL, 0},
    {"part",       OPT_FLAG, NULL,   "the rest goes on growing where it is",           0, 0,            NULL, 0},
    {"rescue",     OPT_FLAG, NULL,   "out of a contaminated flask, what can be saved", 0, 0,
     NULL,                                                                                                    0},
    {"medium",     OPT_TEXT, "TEXT", "what they are put on",                           0, 0,            NULL, 0},
    {"light",      OPT_TEXT, "WORD", "light or dark",                                  0, 0,            NULL, 0},
    {"on",         OPT_TEXT, "DATE", "day of the replating (default today)",           0, 0,            NULL, 0},
    {"place",      OPT_TEXT, "TEXT", "where they stand",                               0, 0,            NULL, 0},
    {"note",       OPT_TEXT, "TEXT", "anything else (shared only with notes)",         0, 0,            NULL, 0},
};

static enum pb_rc tell(struct env *env, const struct args *args,
                       const struct pb_made *made, struct pb_err *err)
{
    enum pb_rc rc = print_filled(env, args->words[0], made, err);
    if (rc == PB_OK && !env->json)
        rc = print_left(env, args->words[0], args->vals[O_PART].given, err);
    if (rc != PB_OK || env->json)
        return rc;
    say("Care: alcohol never near a flame: let it dry first. A blade bites.");
    if (args->vals[O_RESCUE].given)
        say("Mould spores hurt the lungs: open a bad flask outdoors, with a mask. "
            "Keep\n"
            "the new ones apart until they have stayed clean.");
    return PB_OK;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    const struct optval *v = args->vals;
    struct pb_batch flask;
    struct pb_made made = {NULL, 0};
    pb_batch_init(&flask, PB_FLASK);
    const struct pb_filling f = {
        args->words[0], v[O_FLASKS].given ? (int)v[O_FLASKS].number : 1, &flask};
    const enum pb_emptying how = v[O_RESCUE].given ? PB_EMPTY_RESCUE
                                 : v[O_PART].given ? PB_EMPTY_PART
                                                   : PB_EMPTY_ALL;
    flask.amount = v[O_PROTOCORMS].given ? v[O_PROTOCORMS].number : -1;
    enum pb_rc rc = PB_OK;
    if (v[O_RESCUE].given && v[O_PART].given)
        rc = env_usage(env, err,
                       "--rescue empties the flask: it does not go with --part");
    if (rc == PB_OK)
        rc = flask_fill(env, &cmd_replate, args, &flask, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_replate(&env->act, &f, how, &made, err);
    if (rc == PB_OK)
        rc = tell(env, args, &made, err);
    pb_made_clear(&made);
    pb_batch_clear(&flask);
    return rc;
}

const struct cmd cmd_replate = {
    .name = "replate",
    .args = "FLASK",
    .arg_min = 1,
    .arg_max = 1,
    .summary = "enter flasks filled out of another",
    .notes =
        "Something must have germinated in the flask. A contaminated one is replated\n"
        "with --rescue only: all that can be saved, counted apart. The new flasks "
        "count\n"
        "their days from the first sowing.",
    .step = STEP_HARVEST,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
