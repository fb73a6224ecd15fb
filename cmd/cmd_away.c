/* podbook away: days on which nobody looks. */
#include "act/absence.h"
#include "act/work.h"
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
    struct pb_work_away *away; /* of those days alone */
    size_t harvest_n;          /* harvest windows told */
};

static enum pb_rc tell_harvest(void *ctx, const struct pb_work *w, struct pb_err *err)
{
    struct meeting *m = ctx;
    char first[DAY_TEXT], last[DAY_TEXT];
    enum pb_rc rc = pb_work_aways_note(m->away, 1, w, err);
    if (rc != PB_OK || !pb_work_harvest_meets(w, m->away->absence.span))
        return rc;
    struct pb_span h = w->outlook->view.harvest;
    if (m->harvest_n++ == 0)
        say("Harvest windows that it meets:");
    say("  %s on %s: harvest %s to %s", w->head->code, w->pot, day_text(h.first, first),
        day_text(h.last, last));
    return PB_OK;
}

static enum pb_rc tell_work(struct env *env, struct pb_span span, struct pb_err *err)
{
    enum { BYTES = 4096 };
    struct pb_work_away away = {.absence = {.span = span}};
    struct meeting m = {.away = &away};
    struct pb_works works;
    pb_buf_init(&away.harvests, BYTES);
    pb_buf_init(&away.others, BYTES);
    pb_works_init(&works, &env->act);
    enum pb_rc rc = pb_works_open(&works, tell_harvest, &m, err);
    if (rc == PB_OK && away.others.len > 0) {
        say("%s", m.harvest_n > 0 ? "Other work that cannot wait:"
                                  : "Work that it meets and that cannot wait:");
        say_wrapped("  ", 2, whole(&away.others));
    }
    if (rc == PB_OK && m.harvest_n > 0)
        say("Ask somebody to look, harvest before you leave, or bag the capsules.");
    else if (rc == PB_OK)
        say("%s", away.others.len > 0 ? "Ask somebody, or do it before you leave."
                                      : "No harvest window meets it so far.");
    pb_works_clear(&works);
    pb_buf_clear(&away.others);
    pb_buf_clear(&away.harvests);
    return rc;
}

static enum pb_rc tell(struct env *env, struct pb_span span,
                       const struct pb_absence_met *met, struct pb_err *err)
{
    char first[DAY_TEXT], last[DAY_TEXT];
    say("Away %s to %s%s.", day_text(span.first, first), day_text(span.last, last),
        met->same ? ", which is kept already" : "");
    if (met->overlaps)
        say("It shares days with %s to %s, which stays too.",
            day_text(met->overlaps_with.first, first),
            day_text(met->overlaps_with.last, last));
    return tell_work(env, span, err);
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
        "cross, plan and due warn when a harvest window meets one, due also when work\n"
        "on cuttings, seed, flasks or pollen cannot wait; the calendar reminds on the\n"
        "day before you leave that someone must look.",
    .step = STEP_WATCH,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
