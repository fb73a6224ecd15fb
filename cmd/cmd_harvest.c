/* podbook harvest: capsules taken from a cross. */
#include "act/enter.h"
#include "base/text.h"
#include "out.h"
#include "print.h"
#include "table.h"

enum { O_ON, O_COUNT, O_AS, O_COLD, O_APART, O_NOTE };
static const struct opt opts[] = {
    {"on",        OPT_DATE, "DATE",  "day of the harvest (default today)",                  0, 0, NULL,        0},
    {"count",     OPT_INT,  "N",     "how many capsules (default all that are still open)", 1,
     PB_MAX_FLOWERS,                                                                              NULL,        0},
    {"as",        OPT_WORD, "STATE", "how they were (default closed)",                      0, 0, pb_as_names,
     PB_AS_N                                                                                                    },
    {"held-cold", OPT_FLAG, NULL,    "the capsule is kept closed in the fridge",            0, 0,
     NULL,                                                                                                     0},
    {"apart",     OPT_FLAG, NULL,    "a seed lot for each capsule, not one for all",        0, 0,
     NULL,                                                                                                     0},
    {"note",      OPT_TEXT, "TEXT",  "anything else on the seed lot",                       0, 0, NULL,        0},
};

/* Too early is said once, and never refused: it is the grower's capsule. */
static void warn_early(struct env *env, const struct pb_cross *x, pb_day on)
{
    struct pb_outlook o;
    char first[DAY_TEXT];
    pb_outlook_init(&o);
    if (out_has(pb_outlook_make(&env->act, x, &o, NULL)) &&
        o.view.harvest.first != PB_DAY_NONE && on < o.view.harvest.first)
        say("Early: the harvest window opens on %s; young seed may not germinate.",
            day_text(o.view.harvest.first, first));
    pb_outlook_clear(&o);
}

static void say_lots(const struct pb_cross *x, size_t made)
{
    struct pb_buf lots;
    int count = 0;
    const struct pb_harvest *last = &x->harvests[x->harvest_n - 1];
    pb_buf_init(&lots, 1 << 20);
    for (size_t i = x->harvest_n - made; i < x->harvest_n; i++) {
        pb_buf_printf(&lots, "%s%s", lots.len > 0 ? ", " : "", x->harvests[i].lot);
        count += x->harvests[i].count;
    }
    pb_buf_printf(&lots, ": %d capsule%s%s %s, day %d after the pollination", count,
                  count == 1 ? "" : "s", made > 1 ? ", each apart," : "",
                  pb_as_names[last->as], (int)(last->on - x->pollinated));
    say_wrapped("", 0, whole(&lots));
    pb_buf_clear(&lots);
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    const struct optval *v = args->vals;
    struct pb_cross x;
    size_t made = 0;
    const struct pb_harvesting what = {
        .code = args->words[0],
        .harvest =
            {
                      .on = v[O_ON].given ? v[O_ON].day : env->act.today,
                      .count = v[O_COUNT].given ? (int)v[O_COUNT].number : 0,
                      .as = v[O_AS].given ? (enum pb_as)v[O_AS].number : PB_AS_CLOSED,
                      .held_cold = v[O_COLD].given,
                      },
        .apart = v[O_APART].given,
        .note = v[O_NOTE].given ? v[O_NOTE].text : NULL,
    };
    pb_cross_init(&x);
    enum pb_rc rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_harvest(&env->act, &what, &x, &made, err);
    if (rc == PB_OK && !env->json) {
        say_lots(&x, made);
        warn_early(env, &x, what.harvest.on);
    }
    if (rc == PB_OK)
        rc = print_cross_after(env, &x, err);
    if (rc == PB_OK && !env->json)
        say("Care: a clean blade for each plant, guarded; alcohol never near a flame;\n"
            "never mix bleach with alcohol, acids or ammonia. Follow the labels.");
    pb_cross_clear(&x);
    return rc;
}

const struct cmd cmd_harvest = {
    .name = "harvest",
    .args = "CROSS",
    .arg_min = 1,
    .arg_max = 1,
    .summary = "take capsules; makes a seed lot",
    .notes =
        "A harvest needs no look before it. What was found split can still be\n"
        "harvested --as split. Before the window's first day podbook reminds once\n"
        "and never refuses. Capsules taken together make one seed lot, or one each\n"
        "with --apart.",
    .step = STEP_HARVEST,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
