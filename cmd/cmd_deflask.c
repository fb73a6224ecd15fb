/* podbook deflask: seedlings out of a flask. */
#include "act/due.h"
#include "act/find.h"
#include "base/text.h"
#include "flasks.h"
#include "out.h"
#include "print.h"
#include "table.h"

#include <string.h>

enum {
    O_PLANTS,
    O_PREFIX,
    O_FIRST,
    O_PART,
    O_RESCUE,
    O_TO,
    O_TAXON,
    O_ON,
    O_PLACE,
    O_NOTE
};
static const char *const to_words[] = {"compot"};
static const struct opt opts[] = {
    {"plants", OPT_INT,  "N",    "how many came out",                              1, PB_MAX_RANGE, NULL, 0},
    {"prefix", OPT_TEXT, "TEXT",
     "of their codes, a number follows (default the flask's\n"
     "code and \"-\")",                                                            0, 0,            NULL, 0},
    {"first",  OPT_INT,  "N",    "number of the first (default 1)",                1, 999999,       NULL, 0},
    {"part",   OPT_FLAG, NULL,   "the rest goes on growing where it is",           0, 0,            NULL, 0},
    {"rescue", OPT_FLAG, NULL,   "out of a contaminated flask, what can be saved", 0, 0,
     NULL,                                                                                                0},
    {"to",     OPT_WORD, "WORD", "compot: all into one pot, plants come later",    0, 0,
     to_words,                                                                                            1},
    {"taxon",  OPT_TEXT, "TEXT", "what they are called (default by the cross)",    0, 0,
     NULL,                                                                                                0},
    {"on",     OPT_DATE, "DATE", "day they came out (default today)",              0, 0,            NULL, 0},
    {"place",  OPT_TEXT, "TEXT", "where they stand",                               0, 0,            NULL, 0},
    {"note",   OPT_TEXT, "TEXT", "anything else (shared only with notes)",         0, 0,            NULL, 0},
};

/* ---- what is told ----------------------------------------------------------------------- */

static enum pb_rc load_plant(struct env *env, const char *code, struct pb_plant *p,
                             struct pb_err *err)
{
    pb_plant_init(p);
    return pb_find_plant(&env->act, NULL, code, p, err);
}

static enum pb_rc tell_json(struct env *env, const char *flask,
                            const struct pb_deflasked *d, struct pb_err *err)
{
    int64_t n = (int64_t)d->plants.n;
    say("{\"from\":");
    enum pb_rc rc = print_batch_code(env, flask, err);
    if (d->generation > 0)
        say(",\"generation\":%d,\"plants\":", d->generation);
    else
        say(",\"generation\":null,\"plants\":");
    for (int64_t i = 0; i < n && rc == PB_OK; i++) {
        struct pb_plant p;
        out_array(env, i, n);
        rc = load_plant(env, d->plants.code[i], &p, err);
        if (rc == PB_OK)
            rc = print_plant(env, &p, err);
        pb_plant_clear(&p);
    }
    if (n == 0)
        out_array(env, 0, 0);
    else
        out_array(env, n, n);
    say("}");
    return rc;
}

/* "AG-1 to AG-12: 12 plants, Ludisia discolor, of X26-001 (AR-1 × GH-2), generation 1" */
static enum pb_rc tell_plants(struct env *env, const struct pb_deflasked *d,
                              struct pb_err *err)
{
    struct pb_plant p;
    struct pb_cross x;
    struct pb_buf text, parents;
    pb_cross_init(&x);
    pb_buf_init(&text, 65536);
    pb_buf_init(&parents, 65536);
    enum pb_rc rc = load_plant(env, d->plants.code[0], &p, err);
    if (rc == PB_OK)
        rc = pb_find_cross(&env->act, NULL, p.from_cross.code, &x, err);
    if (rc == PB_OK) {
        pb_cross_parents(&x, &parents);
        made_text(&d->plants, &text);
        pb_buf_printf(&text, ": %zu plant%s, %s, of %s (%s), generation %d",
                      d->plants.n, d->plants.n == 1 ? "" : "s", p.taxon, x.head.code,
                      whole(&parents), d->generation);
        say_wrapped("", 2, whole(&text));
    }
    pb_buf_clear(&parents);
    pb_buf_clear(&text);
    pb_cross_clear(&x);
    pb_plant_clear(&p);
    return rc;
}

static enum pb_rc tell(struct env *env, const struct args *args,
                       const struct pb_deflasked *d, struct pb_err *err)
{
    const char *flask = args->words[0];
    if (env->json)
        return tell_json(env, flask, d, err);
    enum pb_rc rc = d->plants.n > 0 ? tell_plants(env, d, err) : PB_OK;
    if (rc == PB_OK)
        rc = print_batch_code(env, flask, err);
    if (rc == PB_OK && d->plants.n > 0)
        rc = print_left(env, flask, args->vals[O_PART].given, err);
    if (rc == PB_OK && args->vals[O_RESCUE].given)
        say("Mould spores hurt the lungs: open a bad flask outdoors, with a mask, and\n"
            "rinse the seedlings well.");
    if (rc == PB_OK)
        say("Wash the medium off the roots; keep them moist and close for some weeks.");
    return rc;
}

/* ---- the command ------------------------------------------------------------------------ */

static enum pb_rc check_usage(struct env *env, const struct optval *v,
                              struct pb_err *err)
{
    if (v[O_RESCUE].given && v[O_PART].given)
        return env_usage(env, err,
                         "--rescue empties the flask: it does not go with --part");
    if (v[O_TO].given && v[O_PART].given)
        return env_usage(env, err, "a compot takes all: --to does not go with --part");
    if (v[O_TO].given && (v[O_PREFIX].given || v[O_FIRST].given || v[O_TAXON].given))
        return env_usage(
            env, err,
            "no plant gets a code yet: --prefix, --first and --taxon do not "
            "go with --to compot");
    if (!v[O_TO].given && !v[O_PLANTS].given)
        return env_usage(env, err,
                         "how many plants are there?  Say --plants N, or --to "
                         "compot");
    return PB_OK;
}

static enum pb_rc check_texts(const struct optval *v, struct pb_err *err)
{
    static const struct {
        int row;
        const char *what;
        size_t most;
    } texts[] = {
        {O_TAXON, "taxon", PB_MAX_NAME},
        {O_PLACE, "place", PB_MAX_TEXT},
        {O_NOTE,  "note",  PB_MAX_TEXT},
    };
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < PB_ARRAY_LEN(texts) && rc == PB_OK; i++)
        if (v[texts[i].row].given)
            rc = pb_text_check(texts[i].what, v[texts[i].row].text, texts[i].most, err);
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    const struct optval *v = args->vals;
    const struct pb_deflasking d = {
        .flask = args->words[0],
        .on = v[O_ON].given ? v[O_ON].day : env->act.today,
        .how = v[O_RESCUE].given ? PB_EMPTY_RESCUE
               : v[O_PART].given ? PB_EMPTY_PART
                                 : PB_EMPTY_ALL,
        .compot = v[O_TO].given,
        .plants = v[O_PLANTS].given ? (int)v[O_PLANTS].number : 0,
        .prefix = v[O_PREFIX].text,
        .first = v[O_FIRST].given ? (int)v[O_FIRST].number : 1,
        .taxon = v[O_TAXON].text,
        .place = v[O_PLACE].text,
        .note = v[O_NOTE].text,
    };
    struct pb_deflasked out = {0};
    enum pb_rc rc = check_usage(env, v, err);
    if (rc == PB_OK)
        rc = check_texts(v, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_deflask(&env->act, &d, &out, err);
    if (rc == PB_OK)
        rc = tell(env, args, &out, err);
    pb_deflasked_clear(&out);
    return rc;
}

const struct cmd cmd_deflask = {
    .name = "deflask",
    .args = "FLASK",
    .arg_min = 1,
    .arg_max = 1,
    .summary = "take seedlings out of a flask; they become plants",
    .notes = "--plants 12 --prefix AG- enters AG-1 to AG-12, raised from the flask's "
             "cross.\n"
             "Seedlings that stay together first go --to compot; their plants come out "
             "of the\n"
             "same code later. A contaminated flask is emptied with --rescue only: all "
             "that\n"
             "can be saved, counted apart.",
    .step = STEP_HARVEST,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
