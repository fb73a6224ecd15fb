/* podbook sow: seed of a lot into flasks. */
#include "act/find.h"
#include "base/text.h"
#include "flasks.h"
#include "out.h"
#include "table.h"

enum {
    O_FLASKS,
    O_SEEDS,
    O_ALL,
    O_MEDIUM,
    O_AGENT,
    O_CHLORINE,
    O_MINUTES,
    O_LIGHT,
    O_ON,
    O_PLACE,
    O_NOTE
};
static const struct opt opts[] = {
    {"flasks",   OPT_INT,  "N",       "flasks sown alike (default 1)",            1, PB_MAX_RANGE,   NULL, 0},
    {"seeds",    OPT_INT,  "N",       "seeds in each (default not counted)",      1, PB_MAX_COUNTED,
     NULL,                                                                                                 0},
    {"all",      OPT_FLAG, NULL,      "nothing of the lot is left",               0, 0,              NULL, 0},
    {"medium",   OPT_TEXT, "TEXT",    "what they are sown on",                    0, 0,              NULL, 0},
    {"agent",    OPT_TEXT, "TEXT",    "what seed or capsule was sterilised with", 0, 0,              NULL,
     0                                                                                                      },
    {"chlorine", OPT_TEXT, "PERCENT", "active chlorine of it, as it was used",    0, 0,
     NULL,                                                                                                 0},
    {"minutes",  OPT_TEXT, "N",       "minutes in it",                            0, 0,              NULL, 0},
    {"light",    OPT_TEXT, "WORD",    "light or dark",                            0, 0,              NULL, 0},
    {"on",       OPT_TEXT, "DATE",    "day of the sowing (default today)",        0, 0,              NULL, 0},
    {"place",    OPT_TEXT, "TEXT",    "where they stand",                         0, 0,              NULL, 0},
    {"note",     OPT_TEXT, "TEXT",    "anything else (shared only with notes)",   0, 0,              NULL, 0},
};

/* Only the grower knows when a lot that nobody counted is empty. */
static enum pb_rc ask_if_empty(struct env *env, const char *code, struct pb_err *err)
{
    struct pb_batch lot;
    int64_t left = -1;
    pb_batch_init(&lot, PB_SEED);
    enum pb_rc rc = pb_find_batch(&env->act, NULL, PB_SEED, code, &lot, err);
    if (rc == PB_OK)
        rc = pb_batch_left(&lot, &left, err);
    if (rc == PB_OK && left < 0)
        say("  If nothing of it is left: podbook look %s used-up", lot.head.code);
    pb_batch_clear(&lot);
    return rc;
}

static enum pb_rc tell(struct env *env, const char *lot, bool all,
                       const struct pb_made *made, struct pb_err *err)
{
    enum pb_rc rc = print_filled(env, lot, made, err);
    if (rc == PB_OK && !env->json && !all)
        rc = ask_if_empty(env, lot, err);
    if (rc != PB_OK || env->json)
        return rc;
    say("Care: bleach never meets acid, ammonia or alcohol: rinse between, separate\n"
        "beakers, fresh air, gloves, eyes covered. Alcohol never near a flame: let it\n"
        "dry first. Follow the labels.");
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
    flask.amount = v[O_SEEDS].given ? v[O_SEEDS].number : -1;
    enum pb_rc rc = flask_fill(env, &cmd_sow, args, &flask, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_sow(&env->act, &f, v[O_ALL].given, &made, err);
    if (rc == PB_OK)
        rc = tell(env, args->words[0], v[O_ALL].given, &made, err);
    pb_made_clear(&made);
    pb_batch_clear(&flask);
    return rc;
}

const struct cmd cmd_sow = {
    .name = "sow",
    .args = "LOT",
    .arg_min = 1,
    .arg_max = 1,
    .summary = "enter flasks sown with the seed of a lot",
    .notes =
        "Each flask gets a code (F26-001). \"10 % bleach\" says little, bottles "
        "differ:\n"
        "give the percent of active chlorine as it was used. Then look:\n"
        "  podbook look F26-001 germinated\n"
        "  podbook look F26-001 stage-3 --scale \"Stewart and Kane 2006\" --count 40\n"
        "  podbook look F26-001..004 contaminated",
    .step = STEP_HARVEST,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
