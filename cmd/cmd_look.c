/* podbook look: one observation on a cross. */
#include "act/enter.h"
#include "base/text.h"
#include "core/life.h"
#include "out.h"
#include "print.h"
#include "table.h"

#include <stdlib.h>

enum { O_ON, O_COUNT, O_NOTE };
static const struct opt opts[] = {
    {"on",    OPT_DATE, "DATE", "day of the look (default today)",            0, 0, NULL, 0},
    {"count", OPT_INT,  "N",    "how many (default all that are still open)", 1,
     PB_MAX_FLOWERS,                                                                NULL, 0},
    {"note",  OPT_TEXT, "TEXT", "anything else (shared only with notes)",     0, 0, NULL, 0},
};

static enum pb_rc fill(struct env *env, const struct args *args, struct pb_look *look,
                       struct pb_err *err)
{
    int found = pb_name_find(pb_found_names, PB_FOUND_N, args->words[1]);
    if (found < 0)
        return pb_fail_at(err, PB_EPARSE, "FOUND", 0,
                          "expected unchanged, unsure, swollen, holding, yellowing, "
                          "split, dropped or lost, got \"%s\"",
                          args->words[1]);
    look->found = (enum pb_found)found;
    look->on = args->vals[O_ON].given ? args->vals[O_ON].day : env->act.today;
    look->count = args->vals[O_COUNT].given ? (int)args->vals[O_COUNT].number : 0;
    if (!args->vals[O_NOTE].given)
        return PB_OK;
    enum pb_rc rc = pb_text_check("note", args->vals[O_NOTE].text, PB_MAX_TEXT, err);
    look->note = rc == PB_OK ? pb_text_copy(args->vals[O_NOTE].text) : NULL;
    return rc == PB_OK && look->note == NULL ? pb_fail_memory(err) : rc;
}

/* A finding that is easily taken for more, or less, than it says. */
static void explain(struct env *env, const struct pb_cross *x,
                    const struct pb_look *look)
{
    struct pb_profile_match m;
    const struct pb_profile_stage *s = NULL;
    if (pb_timing_find(&env->act, &x->seed, x->profile, &m, NULL) == PB_OK)
        s = pb_profile_stage(&m, PB_STAGE_SWELLING);
    if (look->found == PB_UNCHANGED && s != NULL && s->no_sign)
        say("In this group the ovary hardly swells: unchanged says little, go on "
            "looking.");
    else if (look->found == PB_UNCHANGED)
        say("Unchanged closes nothing; look again, and book it as dropped when it "
            "falls.");
    else if (look->found == PB_SWOLLEN)
        say("Swelling answers the pollen; it does not yet mean that seed is forming.");
    else if (look->found == PB_SPLIT)
        say("Seed that is still there can be taken: podbook harvest %s --as split",
            x->head.code);
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_cross x;
    struct pb_look look;
    pb_cross_init(&x);
    pb_look_init(&look);
    enum pb_rc rc = fill(env, args, &look, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_look(&env->act, args->words[0], &look, &x, err);
    if (rc == PB_OK)
        rc = print_cross_after(env, &x, err);
    if (rc == PB_OK && !env->json)
        explain(env, &x, &look);
    pb_look_clear(&look);
    pb_cross_clear(&x);
    return rc;
}

const struct cmd cmd_look = {
    .name = "look",
    .args = "CROSS FOUND",
    .arg_min = 2,
    .arg_max = 2,
    .summary = "write down what a look at a cross found",
    .notes = "FOUND is unchanged, unsure, swollen, holding, yellowing: a count as seen "
             "that\n"
             "day; or split, dropped, lost: newly found that day, these add up.\n"
             "A look may be skipped: a first look may find anything.",
    .step = STEP_WATCH,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
