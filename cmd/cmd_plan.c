/* podbook plan: when to pollinate, when to harvest; records nothing. */
#include "act/enter.h"
#include "act/fields.h"
#include "act/find.h"
#include "act/timing.h"
#include "base/text.h"
#include "out.h"
#include "print.h"
#include "table.h"

#include <stdlib.h>
#include <string.h>

enum { O_POLLINATE, O_HARVEST, WORDS = 65536 };
static const struct opt opts[] = {
    {"pollinate", OPT_DATE, "DATE", "pollinate then (default today): when is harvest?",
     0,                                                                                    0, NULL, 0},
    {"harvest",   OPT_DATE, "DATE", "harvest then: when is there to pollinate?",        0, 0,
     NULL,                                                                                          0},
};

/* Windows hang on the seed parent, which is a plant of the book. */
static enum pb_rc seed_parent(struct env *env, const char *code, struct pb_parent *p,
                              struct pb_err *err)
{
    struct pb_plant plant;
    if (strchr(code, '=') != NULL)
        return pb_fail_at(err, PB_EINVALID, "SEED-PARENT", 0,
                          "the seed parent of a plan must be in the book; podbook "
                          "plant enters a new one, podbook cross one that was "
                          "pollinated");
    pb_plant_init(&plant);
    enum pb_rc rc = pb_find_plant(&env->act, "SEED-PARENT", code, &plant, err);
    if (rc == PB_OK) {
        p->plant.n = plant.head.n;
        memcpy(p->plant.id, plant.head.id, sizeof(p->plant.id));
        memcpy(p->plant.code, plant.head.code, sizeof(p->plant.code));
        p->genet = plant.genet;
        p->ploidy = plant.ploidy;
        p->taxon = plant.taxon; /* moves over */
        plant.taxon = NULL;
    }
    pb_plant_clear(&plant);
    return rc;
}

static enum pb_rc plan_json(const struct pb_cross *x, const struct pb_outlook *o,
                            struct pb_span pollinate, struct pb_buf *words,
                            struct pb_err *err)
{
    static const char *const keys[] = {
        "seed_parent",  "pollen_parent", "pollinate_from", "pollinate_to",
        "harvest_from", "harvest_to",    "kind",           "warnings"};
    char a[PB_DAY_TEXT], b[PB_DAY_TEXT], c[PB_DAY_TEXT], d[PB_DAY_TEXT];
    struct pb_buf pollen, warnings;
    pb_buf_init(&pollen, WORDS);
    pb_buf_init(&warnings, (size_t)2 * WORDS);
    for (size_t i = 0; i < x->pollen_n; i++)
        pb_buf_printf(&pollen, "%s%s", i > 0 ? "+" : "",
                      x->pollen[i].parent.plant.code);
    enum pb_rc rc = out_lines_json(words->data, &warnings, err);
    const struct pb_cell cells[] = {
        pb_cell_text(x->seed.plant.code),
        x->pollen_n > 0 ? pb_cell_text(whole(&pollen)) : pb_cell_null(),
        day_cell(pollinate.first, a),
        day_cell(pollinate.last, b),
        day_cell(o->view.harvest.first, c),
        day_cell(o->view.harvest.last, d),
        pb_cell_text(pb_cross_kind_names[o->view.kind]),
        json_cell(&warnings),
    };
    if (rc == PB_OK)
        rc = out_object(keys, cells, PB_ARRAY_LEN(keys), err);
    pb_buf_clear(&warnings);
    pb_buf_clear(&pollen);
    return rc;
}

/* Nothing can be said without the days of the harvest. */
static enum pb_rc check_timed(const struct pb_cross *x, const struct pb_outlook *o,
                              struct pb_err *err)
{
    if (o->timing.stages[PB_STAGE_HARVEST].from >= 0)
        return PB_OK;
    return pb_fail(err, PB_ENOTFOUND,
                   "no profile times %s; see podbook profiles \"%s\"", x->seed.taxon,
                   x->seed.taxon);
}

/* Backwards: the days on which to pollinate so that the window holds the day. */
static enum pb_rc backwards(struct env *env, struct pb_cross *x, struct pb_outlook *o,
                            pb_day harvest, struct pb_span *when, struct pb_err *err)
{
    struct pb_stage_days h = o->timing.stages[PB_STAGE_HARVEST];
    *when = (struct pb_span){pb_day_add(harvest, -h.to), pb_day_add(harvest, -h.from)};
    x->pollinated = pb_day_add(harvest, -(h.from + h.to) / 2);
    return pb_outlook_make(&env->act, x, o, err);
}

static void say_backwards(const struct env *env, const struct pb_cross *x,
                          pb_day harvest, struct pb_span when)
{
    char first[DAY_TEXT], last[DAY_TEXT], day[DAY_TEXT], best[DAY_TEXT];
    say("To harvest on %s pollinate %s to %s, best about %s.", day_text(harvest, day),
        day_text(when.first, first), day_text(when.last, last),
        day_text(x->pollinated, best));
    if (when.last < env->act.today)
        say("That is past: the capsules would not be ready.");
}

static enum pb_rc answer(struct env *env, const struct args *args,
                         const struct pb_cross *x, const struct pb_outlook *o,
                         struct pb_span when, struct pb_err *err)
{
    const struct optval *harvest = &args->vals[O_HARVEST];
    struct pb_buf words;
    char day[DAY_TEXT];
    pb_buf_init(&words, WORDS);
    enum pb_rc rc = pair_words(env, x, o->view.kind, &words, err);
    if (rc == PB_OK)
        rc = away_words(env, o->view.harvest, &words, err);
    if (rc == PB_OK && env->json)
        rc = plan_json(x, o, when, &words, err);
    else if (rc == PB_OK) {
        if (harvest->given)
            say_backwards(env, x, harvest->day, when);
        say("Pollinated on %s:", day_text(x->pollinated, day));
        print_windows(x, o);
        print_words(&words);
    }
    pb_buf_clear(&words);
    return rc;
}

static enum pb_rc make(struct env *env, const struct args *args, struct pb_cross *x,
                       struct pb_outlook *o, struct pb_err *err)
{
    const struct optval *v = args->vals;
    enum pb_rc rc = seed_parent(env, args->words[0], &x->seed, err);
    const struct pb_field pollen = {"pollen-parent", args->words[1]};
    x->flowers = 1;
    x->pollinated = v[O_POLLINATE].given ? v[O_POLLINATE].day : env->act.today;
    struct pb_span when = {x->pollinated, x->pollinated};
    if (rc == PB_OK)
        rc = pb_field_set_cross(x, &pollen, env->act.today, err);
    if (rc == PB_OK)
        rc = pb_cross_plan_pollen(&env->act, x, err);
    if (rc == PB_OK)
        rc = pb_outlook_make(&env->act, x, o, err);
    if (rc == PB_OK)
        rc = check_timed(x, o, err);
    if (rc == PB_OK && v[O_HARVEST].given)
        rc = backwards(env, x, o, v[O_HARVEST].day, &when, err);
    return rc == PB_OK ? answer(env, args, x, o, when, err) : rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_cross x;
    struct pb_outlook o;
    if (args->vals[O_POLLINATE].given && args->vals[O_HARVEST].given)
        return env_usage(env, err, "either --pollinate or --harvest, not both");
    pb_cross_init(&x);
    pb_outlook_init(&o);
    enum pb_rc rc = env_book(env, PB_BOOK_READ, err);
    if (rc == PB_OK)
        rc = make(env, args, &x, &o, err);
    pb_outlook_clear(&o);
    pb_cross_clear(&x);
    return rc;
}

const struct cmd cmd_plan = {
    .name = "plan",
    .args = "SEED-PARENT POLLEN-PARENT",
    .arg_min = 2,
    .arg_max = 2,
    .summary = "when to pollinate for a harvest; records nothing",
    .notes =
        "With the learnt window of the seed parent, where the book has one. The\n"
        "pollen parent is written as for podbook cross; a new plant is not entered.",
    .step = STEP_POLLINATE,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
