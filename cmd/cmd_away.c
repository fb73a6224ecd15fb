/* podbook away: days on which nobody looks. */
#include "act/absence.h"
#include "act/due.h"
#include "base/text.h"
#include "out.h"
#include "table.h"

#include <stdlib.h>
#include <string.h>

static const struct opt opts[] = {
    {"cancel", OPT_FLAG, NULL, "take that absence away again", 0, 0, NULL, 0},
};

static const struct column columns[] = {
    {"from", "from", 0, false},
    {"to",   "to",   0, false},
};

static enum pb_rc list(struct env *env, struct pb_err *err)
{
    struct pb_absence *v = NULL;
    size_t n = 0;
    struct out o;
    enum pb_rc rc = pb_absences_from(env->act.book, env->act.today, &v, &n, err);
    if (rc != PB_OK)
        return rc;
    out_begin(&o, env, columns, PB_ARRAY_LEN(columns));
    for (size_t i = 0; i < n && rc == PB_OK; i++) {
        char first[PB_DAY_TEXT], last[PB_DAY_TEXT];
        const struct pb_cell cells[] = {day_cell(v[i].span.first, first),
                                        day_cell(v[i].span.last, last)};
        rc = out_row(&o, cells, err);
    }
    if (rc == PB_OK)
        out_end(&o, "No absence is planned.");
    else
        out_drop(&o);
    free(v);
    return rc;
}

struct meeting {
    struct env *env;
    struct pb_span span;
    struct pb_outlook outlook;
    size_t n; /* harvest windows told */
};

static enum pb_rc tell_harvest(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct meeting *m = ctx;
    char first[DAY_TEXT], last[DAY_TEXT];
    enum pb_rc rc = pb_outlook_make(&m->env->act, x, &m->outlook, err);
    struct pb_span h = m->outlook.view.harvest;
    if (rc != PB_OK || h.first == PB_DAY_NONE || !pb_span_meets(h, m->span))
        return rc;
    if (m->n++ == 0)
        say("Harvest windows that it meets:");
    say("  %s on %s: harvest %s to %s", x->head.code, x->seed.plant.code,
        day_text(h.first, first), day_text(h.last, last));
    return rc;
}

static enum pb_rc tell(struct env *env, struct pb_span span,
                       const struct pb_absence_met *met, struct pb_err *err)
{
    struct meeting m = {.env = env, .span = span};
    char first[DAY_TEXT], last[DAY_TEXT];
    say("Away %s to %s%s.", day_text(span.first, first), day_text(span.last, last),
        met->same ? ", which is kept already" : "");
    if (met->overlaps)
        say("It shares days with %s to %s, which stays too.",
            day_text(met->overlaps_with.first, first),
            day_text(met->overlaps_with.last, last));
    pb_outlook_init(&m.outlook);
    enum pb_rc rc =
        pb_crosses_each(env->act.book, PB_CROSSES_DUE, 0, tell_harvest, &m, err);
    pb_outlook_clear(&m.outlook);
    if (rc == PB_OK)
        say("%s",
            m.n > 0
                ? "Ask somebody to look, harvest before you leave, or bag the capsules."
                : "No harvest window meets it so far.");
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_span span = {PB_DAY_NONE, PB_DAY_NONE};
    struct pb_absence_met met = {0};
    if (args->word_n == 1 || (args->word_n == 0 && args->vals[0].given))
        return env_usage(env, err, "an absence has a first and a last day");
    if (args->word_n == 0) {
        enum pb_rc opened = env_book(env, PB_BOOK_READ, err);
        return opened == PB_OK ? list(env, err) : opened;
    }
    enum pb_rc rc =
        pb_day_parse("FROM", args->words[0], env->act.today, &span.first, err);
    if (rc == PB_OK)
        rc = pb_day_parse("TO", args->words[1], env->act.today, &span.last, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = args->vals[0].given ? pb_act_away_cancel(&env->act, span, err)
                                 : pb_act_away(&env->act, span, &met, err);
    if (rc != PB_OK)
        return rc;
    if (env->json)
        return list(env, err);
    if (!args->vals[0].given)
        return tell(env, span, &met, err);
    say("%s", "That absence is off.");
    return PB_OK;
}

const struct cmd cmd_away = {
    .name = "away",
    .args = "[FROM TO]",
    .arg_max = 2,
    .summary = "keep an absence; list those to come",
    .notes =
        "cross, plan and due warn when a harvest window meets one, and the calendar\n"
        "reminds on the day before you leave that someone must look.",
    .step = STEP_WATCH,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
