/* podbook chances: what the book has learnt of ripening, setting, sowing and cuttings. */
#include "act/chances.h"
#include "base/text.h"
#include "book/learnt.h"
#include "out.h"
#include "table.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>

enum { MAX_TEXT = 1 << 16, PLOT_ROWS = 16, PLOT_COLS = 40, DAYS_AHEAD = 7, SHOWN = 8 };

static const double quantile_p[] = {0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95};
static const char *const quantile_keys[] = {"0.01", "0.025", "0.05", "0.1", "0.25",
                                            "0.5",  "0.75",  "0.9",  "0.95"};

/* ---- for machines ---------------------------------------------------------------------- */

static enum pb_rc ripening_json(const struct pb_chances *c, struct pb_buf *out,
                                struct pb_err *err)
{
    static const char *const keys[] = {"capsules", "window", "weight", "levels",
                                       "quantiles"};
    const struct pb_profile_stage *stage = pb_profile_ripening(&c->match);
    struct pb_cell days[PB_ARRAY_LEN(quantile_p)];
    struct pb_buf window, quantiles;
    if (c->law == NULL || stage == NULL) {
        pb_buf_adds(out, "null");
        return PB_OK;
    }
    for (size_t i = 0; i < PB_ARRAY_LEN(quantile_p); i++) {
        double day = 0;
        days[i] = pb_ripening_quantile(c->law, quantile_p[i], &day)
                      ? pb_cell_real(day, 6)
                      : pb_cell_null();
    }
    pb_buf_init(&window, 100);
    pb_buf_init(&quantiles, 2000);
    pb_buf_printf(&window, "[%d,%d]", stage->from, stage->to);
    enum pb_rc rc =
        pb_row_write(quantile_keys, days, PB_ARRAY_LEN(days), &quantiles, err);
    const struct pb_cell cells[] = {
        pb_cell_int((int64_t)c->lesson.capsules),
        json_cell(&window),
        pb_cell_real(pb_profile_weight(&c->match, stage), 6),
        pb_cell_int((int64_t)c->law->levels),
        json_cell(&quantiles),
    };
    if (rc == PB_OK)
        rc = pb_row_write(keys, cells, PB_ARRAY_LEN(keys), out, err);
    pb_buf_clear(&quantiles);
    pb_buf_clear(&window);
    return rc;
}

static enum pb_rc set_json(const struct pb_chances *c, struct pb_buf *out,
                           struct pb_err *err)
{
    static const char *const keys[] = {"flowers", "set",  "mean",
                                       "low",     "high", "flowers_needed"};
    const struct pb_cell cells[] = {
        pb_cell_int(c->all.flowers),
        pb_cell_int(c->all.set),
        pb_cell_real(c->all.rate.mean, 9),
        pb_cell_real(c->all.rate.low, 9),
        pb_cell_real(c->all.rate.high, 9),
        c->flowers_needed > PB_SETRATE_FLOWERS_SHOWN ? pb_cell_null()
                                                     : pb_cell_int(c->flowers_needed),
    };
    return pb_row_write(keys, cells, PB_ARRAY_LEN(keys), out, err);
}

static enum pb_rc rate_json(const struct pb_rate_count *r, struct pb_buf *out,
                            struct pb_err *err)
{
    static const char *const keys[] = {"of", "yes", "mean", "low", "high"};
    const struct pb_cell cells[] = {
        pb_cell_int(r->of),
        pb_cell_int(r->yes),
        pb_cell_real(r->rate.mean, 9),
        pb_cell_real(r->rate.low, 9),
        pb_cell_real(r->rate.high, 9),
    };
    return pb_row_write(keys, cells, PB_ARRAY_LEN(keys), out, err);
}

static enum pb_rc rates_json(const struct pb_chances *c, struct pb_buf *out,
                             struct pb_err *err)
{
    struct pb_buf texts[PB_RATE_N];
    struct pb_cell cells[PB_RATE_N];
    enum pb_rc rc = PB_OK;
    for (int i = 0; i < PB_RATE_N; i++) {
        pb_buf_init(&texts[i], MAX_TEXT);
        if (rc == PB_OK)
            rc = rate_json(&c->rates[i], &texts[i], err);
        cells[i] = json_cell(&texts[i]);
    }
    if (rc == PB_OK)
        rc = pb_row_write(pb_rate_names, cells, PB_RATE_N, out, err);
    for (int i = 0; i < PB_RATE_N; i++)
        pb_buf_clear(&texts[i]);
    return rc;
}

static enum pb_rc print_json(const struct pb_chances *c, struct pb_err *err)
{
    static const char *const keys[] = {"ripening", "set", "rates", "risk", "next_look"};
    struct pb_buf ripening, set, rates;
    char day[PB_DAY_TEXT];
    pb_buf_init(&ripening, MAX_TEXT);
    pb_buf_init(&set, MAX_TEXT);
    pb_buf_init(&rates, MAX_TEXT);
    enum pb_rc rc = ripening_json(c, &ripening, err);
    if (rc == PB_OK)
        rc = set_json(c, &set, err);
    if (rc == PB_OK)
        rc = rates_json(c, &rates, err);
    const struct pb_cell cells[] = {
        json_cell(&ripening),
        json_cell(&set),
        json_cell(&rates),
        c->risk >= 0 ? pb_cell_real(c->risk, 9) : pb_cell_null(),
        day_cell(c->next_look, day),
    };
    if (rc == PB_OK)
        rc = out_object(keys, cells, c->is_cross ? 5 : 3, err);
    pb_buf_clear(&rates);
    pb_buf_clear(&set);
    pb_buf_clear(&ripening);
    return rc;
}

/* ---- for people ------------------------------------------------------------------------ */

static void day_or_unknown(const struct pb_ripening_law *law, double p, char text[32])
{
    double day = 0;
    if (pb_ripening_quantile(law, p, &day)) {
        int tenths = (int)round(10 * day);
        (void)snprintf(text, 32, "%d.%d", tenths / 10, tenths % 10);
    } else {
        (void)snprintf(text, 32, "not known");
    }
}

/* The chance that a capsule has split by the day, as bars: from where one in a hundred has
 * to where nearly all have. */
static void plot(const struct pb_ripening_law *law)
{
    double first = 0, last = 0;
    if (!pb_ripening_quantile(law, 0.01, &first) ||
        !pb_ripening_quantile(law, 0.95, &last))
        return;
    int from = (int)floor(first), to = (int)ceil(last);
    int step = (to - from + PLOT_ROWS - 1) / PLOT_ROWS;
    step = step < 1 ? 1 : step;
    say("  split by day");
    for (int day = from; day < to + step; day += step) {
        double p = pb_ripening_split_by(law, day);
        char bar[PLOT_COLS + 1];
        int n = (int)round(p * PLOT_COLS);
        for (int i = 0; i < n; i++)
            bar[i] = '#';
        bar[n] = '\0';
        say("  %6d  %3.0f%%%s%s", day, 100 * p, n > 0 ? "  " : "", bar);
    }
}

static void say_ripening(const struct pb_chances *c)
{
    const struct pb_profile_stage *stage = pb_profile_ripening(&c->match);
    char low[32], mid[32], high[32];
    if (c->law == NULL || stage == NULL) {
        say("Ripening: no profile times %s; see podbook profiles \"%s\".", c->taxon,
            c->taxon);
        return;
    }
    char clone[64] = "";
    if (c->of_clone)
        (void)snprintf(clone, sizeof(clone), ", %" PRIu64 " of this seed parent",
                       c->lesson.clone_capsules);
    day_or_unknown(c->law, 0.05, low);
    day_or_unknown(c->law, 0.5, mid);
    day_or_unknown(c->law, 0.95, high);
    say("Ripening, in days from the pollination");
    say("  half have split by day %s, nine in ten of them between %s and %s", mid, low,
        high);
    say("  profile %s alone: %s %d to %d, worth %g capsules", c->match.row->name,
        stage == pb_profile_stage(&c->match, PB_STAGE_SPLIT) ? "split" : "harvest",
        stage->from, stage->to, pb_profile_weight(&c->match, stage));
    say("  your own: %" PRIu64 " capsule%s (%" PRIu64 " seen to split, %" PRIu64
        " known to have held so long)%s",
        c->lesson.capsules, c->lesson.capsules == 1 ? "" : "s", c->seen, c->held,
        clone);
    say("  nothing is pooled across species: only %s counts here", c->taxon);
    struct pb_buf b;
    pb_buf_init(&b, MAX_TEXT);
    pb_timing_beyond(&c->match, &c->lesson, &b);
    if (has_text(&b))
        say_wrapped("  ", 2, whole(&b));
    pb_buf_clear(&b);
    plot(c->law);
}

static void say_share(const char *name, uint32_t yes, uint32_t of,
                      const struct pb_setrate *rate)
{
    int pad = 26 - (int)pb_text_cols(name);
    say("  %s%*s %4" PRIu32 " of %4" PRIu32 "  %5.1f%%  (%.1f to %.1f%%)", name,
        pad > 0 ? pad : 0, "", yes, of, 100 * rate->mean, 100 * rate->low,
        100 * rate->high);
}

static void say_count(const struct pb_set_count *s)
{
    say_share(s->name, s->set, s->flowers, &s->rate);
}

/* Nothing where nothing has come to an outcome yet. */
static void say_rates(const struct pb_chances *c)
{
    bool any = false;
    for (int i = 0; i < PB_RATE_N; i++) {
        const struct pb_rate_count *r = &c->rates[i];
        if (r->of == 0)
            continue;
        if (!any)
            say("\nSowing and cuttings%s: mean and 95%% interval",
                c->is_cross   ? ", flasks of this cross"
                : c->of_clone ? ", this plant's clone"
                              : "");
        any = true;
        say_share(pb_rate_words[i], r->yes, r->of, &r->rate);
    }
}

static void say_sets(const struct pb_chances *c)
{
    /* ORDER PARTING */
    static const char *const titles[PB_SET_BY_N] = {
        "by seed parent", "by direction", "selfed or crossed", "by flower age"};
    say("\nSet rate: capsules of pollinated flowers, mean and 95%% interval");
    if (c->all.flowers == 0)
        say("  no flower has been followed far enough yet");
    else
        say_count(&c->all);
    for (int by = 0; by < PB_SET_BY_N; by++) {
        const struct pb_set_table *t = &c->by[by];
        if (t->n == 0)
            continue;
        say("  %s", titles[by]);
        for (size_t i = 0; i < t->n && i < SHOWN; i++)
            say_count(&t->v[i]);
        if (t->n > SHOWN)
            say("  ... and %zu more", t->n - SHOWN);
    }
    if (c->flowers_needed > PB_SETRATE_FLOWERS_SHOWN)
        say("  for one capsule with a chance of 90%%: more than %d flowers",
            PB_SETRATE_FLOWERS_SHOWN);
    else
        say("  for one capsule with a chance of 90%%: %" PRIu32 " flower%s",
            c->flowers_needed, c->flowers_needed == 1 ? "" : "s");
}

static void say_cross(const struct env *env, const struct pb_chances *c)
{
    char day[DAY_TEXT];
    if (c->risk < 0)
        return;
    say("%s, day %d after the pollination: chance that it has split",
        c->cross.head.code, (int)(env->act.today - c->cross.pollinated));
    for (int i = 0; i <= DAYS_AHEAD; i++) {
        pb_day on = pb_day_add(env->act.today, i);
        say("  by %s  %5.1f%%", day_text(on, day),
            100 * pb_lesson_risk(&c->outlook.lesson, c->outlook.hanging,
                                 on - c->cross.pollinated));
    }
    pb_day look = c->next_look > env->act.today ? c->next_look : env->act.today;
    say("  of one found whole on %s: %.1f%% by the day after", day_text(look, day),
        100 * pb_outlook_a_day(&c->outlook, look));
    pb_day early = PB_DAY_NONE;
    if (pb_outlook_early(&c->outlook, PB_DAY_MAX, &early))
        say("  from %s the risk is over %g%%, before the harvest window opens",
            day_text(early, day), 100 * c->lesson.tolerance);
    if (c->next_look != PB_DAY_NONE)
        say("  next look on %s (risk accepted: %g%%)", day_text(c->next_look, day),
            100 * c->lesson.tolerance);
    say("%s", "");
}

/* ---- all taxa -------------------------------------------------------------------------- */

static const struct column columns[] = {
    {"taxon",         "taxon",       34, false},
    {"capsules",      "capsules",    0,  true },
    {"half_split_by", "half by day", 0,  true },
    {"flowers",       "flowers",     0,  true },
    {"set",           "set",         0,  true },
    {"mean",          "rate",        0,  true },
};

struct listing {
    struct env *env;
    struct out out;
};

static enum pb_rc taxon_row(void *ctx, const char *taxon, struct pb_err *err)
{
    struct listing *l = ctx;
    struct pb_chances c;
    double day = 0;
    enum pb_rc rc = pb_act_chances(&l->env->act, taxon, &c, err);
    bool known = rc == PB_OK && c.law != NULL && pb_ripening_quantile(c.law, 0.5, &day);
    const struct pb_cell cells[] = {
        pb_cell_text(taxon),
        pb_cell_int((int64_t)c.lesson.capsules),
        known ? pb_cell_real(day, 1) : pb_cell_null(),
        pb_cell_int(c.all.flowers),
        pb_cell_int(c.all.set),
        c.all.flowers > 0 ? pb_cell_real(c.all.rate.mean, 3) : pb_cell_null(),
    };
    if (rc == PB_OK)
        rc = out_row(&l->out, cells, err);
    pb_chances_clear(&c);
    return rc;
}

static enum pb_rc list_taxa(struct env *env, struct pb_err *err)
{
    struct listing l = {.env = env};
    out_begin(&l.out, env, columns, PB_ARRAY_LEN(columns));
    enum pb_rc rc = pb_taxa_each(env->act.book, taxon_row, &l, err);
    if (rc == PB_OK)
        out_end(&l.out, "No crosses yet.");
    else
        out_drop(&l.out);
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_chances c = {0};
    enum pb_rc rc = env_book(env, PB_BOOK_READ, err);
    if (rc != PB_OK)
        return rc;
    if (args->word_n == 0)
        return list_taxa(env, err);
    rc = pb_act_chances(&env->act, args->words[0], &c, err);
    if (rc == PB_OK && env->json)
        rc = print_json(&c, err);
    else if (rc == PB_OK) {
        (void)snprintf(c.all.name, sizeof(c.all.name), "%s",
                       c.of_clone ? "this seed parent" : "all");
        say_cross(env, &c);
        say_ripening(&c);
        say_sets(&c);
        say_rates(&c);
    }
    pb_chances_clear(&c);
    return rc;
}

const struct cmd cmd_chances = {
    .name = "chances",
    .args = "[CROSS|PLANT|TAXON]",
    .arg_max = 1,
    .summary = "what your own records have taught: ripening, set, sowing, cuttings",
    .notes =
        "The word is tried as the code of a cross, of a plant, as a taxon. podbook\n"
        "setting risk=0.05 changes the risk that looks are planned by.",
    .step = STEP_READ,
    .opts = NULL,
    .run = run,
};
