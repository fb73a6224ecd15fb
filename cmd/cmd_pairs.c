/* podbook pairs: which crosses to make today. */
#include "act/pairs.h"
#include "base/text.h"
#include "out.h"
#include "table.h"

#include <string.h>

enum { MAX_TEXT = 1 << 20, SHOWN = 20, MOST_SET = 10000, DIGITS = 12 };

enum { OPT_SET, OPT_PER_PLANT, OPT_MAX_F, OPT_SELFINGS, OPT_COUNT };
static const struct opt opts[OPT_COUNT] = {
    {"set",       OPT_INT,  "N",  "only the best set of so many crosses",               1, MOST_SET, NULL, 0},
    {"per-plant", OPT_INT,  "M",  "in the set: a clone so often in each role (1)",      1,
     MOST_SET,                                                                                       NULL, 0},
    {"max-f",     OPT_TEXT, "F",  "leave out pairs whose progeny would be more inbred", 0, 0,
     NULL,                                                                                                 0},
    {"selfings",  OPT_FLAG, NULL, "let in pairs of one clone",                          0, 0,        NULL, 0},
};

/* ---- for machines ---------------------------------------------------------------------- */

static const struct column columns[] = {
    {"seed_parent",       "", 0, false},
    {"pollen_parent",     "", 0, false},
    {"F",                 "", 0, false},
    {"mean_kinship",      "", 0, false},
    {"expected_capsules", "", 0, false},
    {"warnings",          "", 0, false},
};

static enum pb_rc print_json(struct env *env, const struct pb_pairs_today *t,
                             struct pb_err *err)
{
    struct out o;
    struct pb_buf lines, warnings;
    enum pb_rc rc = PB_OK;
    pb_buf_init(&lines, MAX_TEXT);
    pb_buf_init(&warnings, MAX_TEXT);
    out_begin(&o, env, columns, PB_ARRAY_LEN(columns));
    for (size_t i = 0; i < t->best.n && rc == PB_OK; i++) {
        const struct pb_pair *p = &t->best.pair[i];
        pb_buf_reset(&lines);
        pb_buf_reset(&warnings);
        rc = pb_pairs_warnings(t, p, &lines, err);
        if (rc == PB_OK)
            rc = out_lines_json(lines.data, &warnings, err);
        const struct pb_cell cells[] = {
            pb_cell_text(t->seed.v[p->seed].code),
            pb_cell_text(t->pollen.v[p->pollen].code),
            pb_cell_real(p->f, DIGITS),
            pb_cell_real(p->mean_kinship, DIGITS),
            pb_cell_real(p->expected, DIGITS),
            json_cell(&warnings),
        };
        if (rc == PB_OK)
            rc = out_row(&o, cells, err);
    }
    if (rc == PB_OK)
        out_end(&o, "");
    else
        out_drop(&o);
    pb_buf_clear(&warnings);
    pb_buf_clear(&lines);
    return rc;
}

/* ---- for people ------------------------------------------------------------------------ */

static void say_lines(const char *lead, char *lines)
{
    for (char *line; (line = take_line(&lines)) != NULL;)
        say_wrapped(lead, strlen(lead), line);
}

static enum pb_rc say_pair(const struct pb_pairs_today *t, size_t i, struct pb_err *err)
{
    const struct pb_pair *p = &t->best.pair[i];
    const struct pb_candidate *seed = &t->seed.v[p->seed];
    const struct pb_candidate *pollen = &t->pollen.v[p->pollen];
    struct pb_buf b;
    pb_buf_init(&b, MAX_TEXT);
    say("%2zu. %s × %s", i + 1, seed->code, pollen->code);
    say("    F %.3f, mean kinship %.3f, %.2f capsules a flower", p->f, p->mean_kinship,
        p->expected);
    enum pb_rc rc = pb_pairs_reasons(t, p, &b, err);
    if (rc == PB_OK)
        say_wrapped("    ", 4, whole(&b));
    pb_buf_reset(&b);
    if (rc == PB_OK)
        rc = pb_pairs_warnings(t, p, &b, err);
    if (rc == PB_OK && has_text(&b))
        say_lines("    ! ", b.data);
    pb_buf_clear(&b);
    return rc;
}

/* Why there is nothing to suggest. */
static void say_none(const struct pb_pairs_today *t, bool selfings)
{
    if (t->pollen.n == 0 && t->seed.n == 0)
        say("Nothing in flower; enter what is with podbook bloom PLANT open.");
    else if (t->seed.n == 0)
        say("No seed parent is ready today.");
    else if (t->pollen.n == 0)
        say("No pollen: nothing in flower, none stored that is counted on.");
    else if (!selfings)
        say("No pair is left: one clone alone, or all too close; see --selfings, "
            "--max-f.");
    else
        say("No pair is left: all too close; see --max-f.");
}

static enum pb_rc print_all(struct pb_pairs_today *t, const struct pb_pairs_ask *ask,
                            struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    size_t shown = ask->set > 0 || t->best.n <= SHOWN ? t->best.n : SHOWN;
    if (t->best.n == 0)
        say_none(t, ask->selfings);
    for (size_t i = 0; i < shown && rc == PB_OK; i++)
        rc = say_pair(t, i, err);
    if (shown < t->best.n)
        say("... and %zu more; --json lists them all.", t->best.n - shown);
    if (ask->set > t->best.n && t->best.n > 0)
        say("Only %zu of %zu: each clone at most %d time%s in each role (--per-plant).",
            t->best.n, ask->set, (int)ask->per_plant, ask->per_plant == 1 ? "" : "s");
    if (has_text(&t->out)) {
        say("\nLeft out:");
        say_lines("  ", t->out.data);
    }
    return rc;
}

static enum pb_rc fill(struct env *env, const struct args *args,
                       struct pb_pairs_ask *ask, struct pb_err *err)
{
    const struct optval *v = args->vals;
    if (v[OPT_PER_PLANT].given && !v[OPT_SET].given)
        return env_usage(env, err,
                         "--per-plant goes with --set: it limits what is chosen");
    ask->set = v[OPT_SET].given ? (size_t)v[OPT_SET].number : 0;
    ask->per_plant = v[OPT_PER_PLANT].given ? (int32_t)v[OPT_PER_PLANT].number : 1;
    ask->selfings = v[OPT_SELFINGS].given;
    ask->max_f = 1;
    return v[OPT_MAX_F].given
               ? pb_parse_decimal("max-f", v[OPT_MAX_F].text, 0, 1, &ask->max_f, err)
               : PB_OK;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_pairs_ask ask = {0};
    struct pb_pairs_today t = {0};
    enum pb_rc rc = fill(env, args, &ask, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_READ, err);
    if (rc == PB_OK)
        rc = pb_act_pairs(&env->act, &ask, &t, err);
    if (rc == PB_OK)
        rc = env->json ? print_json(env, &t, err) : print_all(&t, &ask, err);
    pb_pairs_today_clear(&t);
    return rc;
}

const struct cmd cmd_pairs = {
    .name = "pairs",
    .args = "",
    .summary = "which crosses to make today",
    .notes =
        "From plants in flower (podbook bloom) and stored pollen (podbook pollen): "
        "least\n"
        "inbred progeny first, then least mean kinship, then most capsules expected.\n"
        "--set chooses crosses that are best together, not one after the other.",
    .step = STEP_POLLINATE,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
