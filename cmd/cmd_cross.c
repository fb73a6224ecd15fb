/* podbook cross: record a cross right after pollinating. */
#include "act/enter.h"
#include "act/fields.h"
#include "base/text.h"
#include "out.h"
#include "print.h"
#include "table.h"

enum { WORDS = 65536 }; /* bytes of what is said of a pair */

/* Every option is a field of the record (act/fields.c), which checks its value. */
static const struct opt opts[] = {
    {"flowers",    OPT_TEXT, "N",    "flowers pollinated (default 1)",         0, 0, NULL, 0       },
    {"on",         OPT_TEXT, "DATE", "day of the pollination (default today)", 0, 0, NULL, 0       },
    {"flower-age", OPT_TEXT, "DAYS", "days the flowers had been open",         0, 0, NULL, 0       },
    {"at",         OPT_TEXT, "TEXT", "place on the spike",                     0, 0, NULL, 0       },
    {"own-pollen", OPT_WORD, "WORD", "was the flower's own pollen taken off?", 0, 0,
     pb_own_pollen_names,                                                                  PB_OWN_N},
    {"grex",       OPT_TEXT, "NAME", "registered name of this cross",          0, 0, NULL, 0       },
    {"profile",    OPT_TEXT, "NAME", "time it by this profile",                0, 0, NULL, 0       },
    {"note",       OPT_TEXT, "TEXT", "anything else (shared only with notes)", 0, 0, NULL, 0       },
};

static enum pb_rc fill(struct env *env, const struct args *args, struct pb_cross *x,
                       struct pb_err *err)
{
    const struct pb_field parents[] = {
        {"seed-parent",   args->words[0]},
        {"pollen-parent", args->words[1]}
    };
    enum pb_rc rc = PB_OK;
    x->pollinated = env->act.today;
    x->flowers = 1;
    for (size_t i = 0; i < PB_ARRAY_LEN(parents) && rc == PB_OK; i++)
        rc = pb_field_set_cross(x, &parents[i], env->act.today, err);
    for (size_t i = 0; i < PB_ARRAY_LEN(opts) && rc == PB_OK; i++) {
        const struct pb_field f = {opts[i].name, args->vals[i].text};
        if (args->vals[i].given)
            rc = pb_field_set_cross(x, &f, env->act.today, err);
    }
    return rc;
}

/* The plant may have left on the day of the pollination or since. */
static void remark_absent(const struct pb_cross *x)
{
    struct pb_buf why;
    pb_buf_init(&why, 4096);
    if (print_absent(x, &why))
        remark(
            "nothing of %s is due: %s; if it is still here, say podbook amend %s gone=",
            x->head.code, whole(&why), x->seed.plant.code);
    pb_buf_clear(&why);
}

static enum pb_rc tell_json(struct env *env, const struct pb_cross *x,
                            struct pb_outlook *o, struct pb_err *err)
{
    struct pb_buf b;
    pb_buf_init(&b, WORDS);
    enum pb_rc rc = pair_words(env, x, o->view.kind, &b, err);
    if (rc == PB_OK && !x->seed.gone)
        rc = away_words(env, o->view.harvest, &b, err);
    o->view.warnings = pb_buf_peek(&b);
    if (rc == PB_OK)
        rc = print_cross_json(env, x, o, err);
    o->view.warnings = NULL;
    pb_buf_clear(&b);
    return rc;
}

static enum pb_rc tell_words(struct env *env, const struct pb_cross *x,
                             const struct pb_outlook *o, struct pb_err *err)
{
    struct pb_buf b;
    pb_buf_init(&b, WORDS);
    enum pb_rc rc = pair_words(env, x, o->view.kind, &b, err);
    if (rc == PB_OK && has_text(&b)) {
        say("%s", "");
        print_words(&b);
    }
    if (rc == PB_OK)
        rc = print_doubts(env, PB_CROSS, x->head.n, err);
    if (rc == PB_OK) {
        say("%s", "");
        print_windows(x, o);
    }
    pb_buf_reset(&b);
    if (rc == PB_OK && !x->seed.gone)
        rc = away_words(env, o->view.harvest, &b, err);
    if (rc == PB_OK)
        print_words(&b);
    pb_buf_clear(&b);
    return rc;
}

static enum pb_rc tell(struct env *env, const struct pb_cross *x, int entered,
                       struct pb_err *err)
{
    struct pb_outlook o;
    pb_outlook_init(&o);
    enum pb_rc rc = pb_outlook_make(&env->act, x, &o, err);
    if (rc == PB_OK && env->json)
        rc = tell_json(env, x, &o, err);
    else if (rc == PB_OK) {
        print_tag(x);
        if (entered > 0)
            say("\n%d new plant%s entered with it.", entered, entered == 1 ? "" : "s");
        rc = tell_words(env, x, &o, err);
    }
    if (rc == PB_OK)
        remark_absent(x);
    pb_outlook_clear(&o);
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_cross x;
    int entered = 0;
    pb_cross_init(&x);
    enum pb_rc rc = fill(env, args, &x, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_cross(&env->act, &x, &entered, err);
    if (rc == PB_OK) {
        /* what is told is of one state; where that cannot be had it is told all the same */
        (void)pb_book_hold(env->act.book, NULL);
        rc = tell(env, &x, entered, err);
    }
    pb_cross_clear(&x);
    return rc;
}

const struct cmd cmd_cross = {
    .name = "cross",
    .args = "SEED-PARENT POLLEN-PARENT",
    .arg_min = 2,
    .arg_max = 2,
    .summary = "record a cross right after pollinating",
    .notes = "The seed parent carries the capsule and is written first.\n"
             "The pollen parent may be a plant, stored pollen (P26-001), several "
             "joined by +\n"
             "(A+B), or unknown.\n"
             "A parent written CODE=TAXON is entered as a plant in the same act:\n"
             "  podbook cross GH-2=\"Goodyera hispida\" AR-1 --flowers 3\n"
             "Clean tools between plants: sap carries viruses that have no cure.",
    .step = STEP_POLLINATE,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
