/* How long seed and pollen keep.  See print_kept.h. */
#include "print_kept.h"

#include "base/text.h"
#include "core/bloom.h"
#include "out.h"

#include <stdio.h>

enum { TEXT = 4096 };

/* Percent with as many digits as tell it from all and from none. */
static const char *percent(double value, char text[PB_NUMBER_TEXT])
{
    (void)snprintf(text, PB_NUMBER_TEXT, value > 99.9 || value < 1 ? "%.2f" : "%.1f",
                   value);
    return text;
}

/* ---- seed ------------------------------------------------------------------------------- */

/* What the equation still lacks. */
static void say_missing(const struct pb_batch *b)
{
    const struct pb_seed_constants *c = &b->constants;
    struct pb_buf text;
    const struct {
        const char *field;
        double value;
    } needs[] = {
        {"celsius",   b->celsius  },
        {"moisture",  c->moisture },
        {"viability", c->viability}
    };
    pb_buf_init(&text, TEXT);
    for (size_t i = 0; i < PB_ARRAY_LEN(needs); i++)
        if (needs[i].value <= PB_REAL_NONE)
            pb_buf_printf(&text, "%s%s", text.len > 0 ? ", " : "", needs[i].field);
    say("  its constants say nothing yet without %s", whole(&text));
    pb_buf_clear(&text);
}

static void say_computed(const struct env *env, const struct pb_batch *b)
{
    const struct pb_seed_constants *c = &b->constants;
    char day[DAY_TEXT], share[PB_NUMBER_TEXT], start[PB_NUMBER_TEXT];
    struct pb_buf text;
    pb_day today = env->act.today > b->on ? env->act.today : b->on;
    int last = pb_seedlife_last_day(c, b->celsius);
    pb_buf_init(&text, TEXT);
    pb_buf_printf(&text, "expected alive today: %s%% (%s%% at the harvest",
                  percent(pb_seedlife_after(c, b->celsius, today - b->on), share),
                  pb_text_number(c->viability, start));
    pb_buf_printf(&text, ", %s%% moisture", pb_text_number(c->moisture, start));
    pb_buf_printf(&text, ", %s °C)", pb_text_number(b->celsius, start));
    say_wrapped("  ", 2, whole(&text));
    pb_buf_reset(&text);
    if (c->below > c->viability)
        pb_buf_printf(&text, "from the start it was expected below %s%%: sow at once",
                      pb_text_number(c->below, start));
    else if (last >= 0)
        pb_buf_printf(&text, "sow by %s: after it fewer than %s%% are expected alive",
                      day_text(b->on + last, day), pb_text_number(c->below, start));
    else if (c->below > PB_REAL_NONE)
        pb_buf_printf(&text, "it stays above %s%% for more than a hundred years",
                      pb_text_number(c->below, start));
    if (has_text(&text))
        say_wrapped("  ", 2, whole(&text));
    pb_buf_reset(&text);
    pb_buf_printf(&text,
                  "by the equation of Ellis & Roberts 1980, Ann. Bot. 45:13-30; its "
                  "constants: %s",
                  c->source);
    say_wrapped("  ", 4, whole(&text));
    pb_buf_clear(&text);
}

/* The published days of a capsule that is held cold. */
static void say_cold(const struct pb_batch *b, const struct pb_batch_outlook *o)
{
    const struct pb_profile_stage *s = pb_profile_stage(&o->match, PB_STAGE_SOW);
    const struct pb_profile_source *src =
        s != NULL ? pb_profile_source(o->match.table, s->source, 0) : NULL;
    struct pb_buf text;
    if (src == NULL) {
        say("  no days are known for a capsule of this group that is held cold");
        return;
    }
    pb_buf_init(&text, TEXT);
    pb_buf_printf(&text, "held cold it can still be sown after %d days (%s): %s", s->to,
                  pb_confidence_words[pb_profile_confidence(&o->match, s)], src->text);
    say_wrapped("  ", 4, whole(&text));
    if (b->celsius > PB_REAL_NONE && !o->match.own &&
        (b->celsius < 4 || b->celsius > 6))
        say("  that was measured at 5 °C");
    pb_buf_clear(&text);
}

static void seed_lines(const struct env *env, const struct pb_batch *b,
                       const struct pb_batch_outlook *o)
{
    bool constants = b->constants.source != NULL;
    if (b->form == PB_FORM_COLD)
        say_cold(b, o);
    else if (b->form == PB_FORM_CLOSED)
        say("  in a closed capsule not held cold: a week is an allowance of ours");
    if (constants && b->form != PB_FORM_DRY)
        say("  its constants are for dry seed: podbook amend %s form=dry-seed",
            b->head.code);
    else if (constants && pb_seedlife_given(&b->constants, b->celsius))
        say_computed(env, b);
    else if (constants)
        say_missing(b);
}

/* ---- pollen ----------------------------------------------------------------------------- */

static void pollen_lines(const struct env *env, const struct pb_batch *b)
{
    char day[DAY_TEXT];
    enum pb_pollen_kept kept = pb_pollen_kept_as(b);
    int good = pb_pollen_good_days(kept, b->dried);
    pb_day until = b->on + good;
    if (good == 0)
        say("  frozen undried: growers do not count on it");
    else if (env->act.today > until)
        say("  past what growers count on since %s", day_text(until + 1, day));
    else
        say("  growers count on it until %s; life falls with time",
            day_text(until, day));
    if (good > 0)
        say_wrapped("  sources disagree: ", 4, pb_pollen_good_words(kept, b->dried));
}

void print_kept(const struct env *env, const struct pb_batch *b,
                const struct pb_batch_outlook *o)
{
    if (o->life.open == 0 || b->head.withdrawn)
        return;
    if (b->kind == PB_SEED)
        seed_lines(env, b, o);
    else if (b->kind == PB_POLLEN)
        pollen_lines(env, b);
}
