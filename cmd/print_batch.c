/* Batches for people.  See print_batch.h. */
#include "print_batch.h"

#include "act/bloom.h"
#include "act/due.h"
#include "act/share_record.h"
#include "base/text.h"
#include "core/progeny.h"
#include "out.h"
#include "print.h"
#include "print_kept.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

enum { LINE = 400 };

/* ---- JSON ------------------------------------------------------------------------------- */

static enum pb_rc batch_json(struct env *env, const struct pb_batch *b,
                             const struct pb_batch_outlook *o, struct pb_err *err)
{
    struct pb_buf text;
    pb_buf_init(&text, PB_MAX_RECORD);
    enum pb_rc rc = pb_share_batch(&env->act, b, o, true, &text, err);
    if (rc == PB_OK)
        (void)printf("%s\n", whole(&text));
    pb_buf_clear(&text);
    return rc;
}

/* ---- lines ------------------------------------------------------------------------------ */

static void add_real(struct pb_buf *out, const char *lead, double value,
                     const char *unit)
{
    if (value > PB_REAL_NONE)
        pb_buf_printf(out, "%s%g%s", lead, value, unit);
}

/* ORDER FORM */
static const char *const form_words[PB_FORM_N] = {
    "",
    "in the closed capsule",
    "dry seed",
    "held cold in the closed capsule",
};

/* "F26-001  flask of X26-001 (Ludisia discolor × Macodes petola)" */
static void say_cross(const char *noun, const struct pb_batch *b)
{
    struct pb_buf taxa;
    pb_buf_init(&taxa, LINE);
    pb_parents_formula(b->taxon_seed, b->taxon_pollen, false, &taxa);
    say("%s  %s of %s (%s)", b->head.code, noun, b->cross.code, whole(&taxa));
    pb_buf_clear(&taxa);
}

static void seed_head(const struct pb_batch *b, struct pb_buf *out)
{
    char day[DAY_TEXT];
    int64_t left = -1;
    say_cross("seed", b);
    if (b->capsules > 0)
        pb_buf_printf(out, "%d capsule%s, ", b->capsules, b->capsules == 1 ? "" : "s");
    pb_buf_printf(out, "harvested on %s", day_text(b->on, day));
    if (b->form != PB_FORM_NOT_SAID)
        pb_buf_printf(out, ", %s", form_words[b->form]);
    add_real(out, " at ", b->celsius, " °C");
    add_real(out, ", ", b->constants.moisture, "% moisture");
    if (b->amount >= 0)
        pb_buf_printf(out, ", %" PRId64 " seeds", b->amount);
    else if (out_has(pb_batch_left(b, &left, NULL)) && left < 0)
        pb_buf_adds(out, ", seeds not counted");
}

static void flask_head(const struct pb_batch *b, struct pb_buf *out)
{
    char day[DAY_TEXT];
    say_cross("flask", b);
    bool daughter = b->source_kind == PB_FLASK;
    pb_buf_printf(out, "%s", daughter ? "replated" : "sown");
    if (b->source.n != 0)
        pb_buf_printf(out, " from %s", b->source.code);
    pb_buf_printf(out, " on %s", day_text(b->on, day));
    if (daughter)
        pb_buf_printf(out, ", first sown on %s", day_text(b->began, day));
    if (b->amount >= 0)
        pb_buf_printf(out, ", %" PRId64 " %s", b->amount,
                      daughter ? "protocorms" : "seeds");
    if (b->medium != NULL)
        pb_buf_printf(out, ", on %s", b->medium);
    if (b->light != PB_LIGHT_NOT_SAID)
        pb_buf_printf(out, ", in the %s", pb_light_names[b->light]);
    if (b->agent != NULL)
        pb_buf_printf(out, ", sterilised with %s", b->agent);
    add_real(out, ", ", b->chlorine, "% active chlorine");
    if (b->minutes >= 0)
        pb_buf_printf(out, " for %d min", b->minutes);
}

static void cutting_head(const struct pb_batch *b, struct pb_buf *out)
{
    char day[DAY_TEXT];
    say("%s  cutting%s of %s  %s", b->head.code, b->units == 1 ? "" : "s",
        b->plant.code, b->taxon);
    pb_buf_printf(out, "%d cut on %s", b->units, day_text(b->on, day));
    if (b->nodes > 0)
        pb_buf_printf(out, ", %d node%s%s", b->nodes, b->nodes == 1 ? "" : "s",
                      b->units == 1 ? "" : " each");
    if (b->medium != NULL)
        pb_buf_printf(out, ", %s", b->medium);
}

static void pollen_head(const struct pb_batch *b, struct pb_buf *out)
{
    char day[DAY_TEXT];
    say("%s  pollen of %s  %s", b->head.code, b->plant.code, b->taxon);
    pb_buf_printf(out, "taken on %s, %s%s%s%s", day_text(b->on, day),
                  b->cap_removed ? "anther cap removed, " : "",
                  b->dried ? "dried, " : "",
                  b->kept == PB_KEPT_ROOM       ? "kept in a "
                  : b->kept != PB_KEPT_NOT_SAID ? "kept in the "
                  : b->celsius <= PB_REAL_NONE  ? "where it is kept is not said"
                                                : "kept",
                  b->kept != PB_KEPT_NOT_SAID ? pb_kept_names[b->kept] : "");
    add_real(out, " at ", b->celsius, " °C");
}

static void print_head(const struct pb_batch *b)
{
    static void (*const heads[PB_KIND_N])(const struct pb_batch *, struct pb_buf *) = {
        [PB_SEED] = seed_head,
        [PB_FLASK] = flask_head,
        [PB_CUTTING] = cutting_head,
        [PB_POLLEN] = pollen_head,
    };
    struct pb_buf text;
    pb_buf_init(&text, 65536);
    heads[b->kind](b, &text);
    say_wrapped("  ", 2, whole(&text));
    pb_buf_clear(&text);
}

static void print_look(const struct pb_course *c, const struct pb_look *l)
{
    char day[DAY_TEXT];
    struct pb_buf text;
    pb_buf_init(&text, 65536);
    pb_buf_printf(&text, "%s", c->findings[l->found].word);
    if (c->many)
        pb_buf_printf(&text, " %d", l->count);
    if (l->amount >= 0)
        pb_buf_printf(&text, " %" PRId64, l->amount);
    if (l->sample >= 0)
        pb_buf_printf(&text, " of %" PRId64, l->sample);
    if (l->method != NULL)
        pb_buf_printf(&text, " (%s)", l->method);
    if (l->scale != NULL)
        pb_buf_printf(&text, " (scale: %s)", l->scale);
    if (l->note != NULL)
        pb_buf_printf(&text, " - %s", l->note);
    char lead[48];
    (void)snprintf(lead, sizeof(lead), "  %3d  %s  ", l->number, day_text(l->on, day));
    say_wrapped(lead, 23, whole(&text));
    pb_buf_clear(&text);
}

/* "2 in water, 1 potted (of 3 cuttings)"; of one unit its stand. */
static void print_state(const struct pb_batch *b, const struct pb_life *life,
                        const char *lead)
{
    const struct pb_course *c = &pb_courses[b->kind];
    struct pb_buf text;
    int64_t left = -1;
    if (!c->many) {
        bool counted = b->kind == PB_SEED && life->open > 0 &&
                       out_has(pb_batch_left(b, &left, NULL)) && left >= 0;
        say(counted ? "%s: %s, %" PRId64 " seed%s left" : "%s: %s", lead,
            pb_batch_state(b, life), left, left == 1 ? "" : "s");
        return;
    }
    pb_buf_init(&text, LINE);
    for (int s = 0; s < c->stand_n; s++)
        if (life->by_stand[s] > 0)
            pb_buf_printf(&text, "%s%d %s", text.len > 0 ? ", " : "", life->by_stand[s],
                          c->stands[s]);
    say("%s: %s (of %d %s%s)", lead, whole(&text), life->units, c->unit,
        life->units == 1 ? "" : "s");
    pb_buf_clear(&text);
}

void print_task(const struct env *env, const struct pb_task *t, const char *words)
{
    char first[DAY_TEXT], last[DAY_TEXT];
    say("  next: %s to %s  %s%s", day_text(t->span.first, first),
        day_text(t->span.last, last), words, late_text(t, env->act.today));
}

static void print_tasks(const struct env *env, const struct pb_batch *b,
                        const struct pb_batch_outlook *o)
{
    char words[64];
    for (size_t i = 0; i < o->tasks.n; i++)
        if (!o->tasks.v[i].done) {
            pb_batch_words(b, &o->life, &o->tasks.v[i], words);
            print_task(env, &o->tasks.v[i], words);
        }
}

/* The plants that came out of it. */
static enum pb_rc print_plants(const struct env *env, const struct pb_batch *b,
                               struct pb_err *err)
{
    char(*codes)[PB_MAX_CODE + 1] = NULL;
    size_t n = 0;
    struct pb_buf text;
    enum pb_rc rc = pb_batch_plants(env->act.book, b->head.n, &codes, &n, err);
    pb_buf_init(&text, 1 << 20);
    for (size_t i = 0; i < n; i++)
        pb_buf_printf(&text, "%s%s", i > 0 ? ", " : "", codes[i]);
    if (rc == PB_OK && n > 0)
        say_wrapped("  plants: ", 10, whole(&text));
    pb_buf_clear(&text);
    free(codes);
    return rc;
}

static void print_now(struct env *env, const struct pb_batch *b,
                      const struct pb_batch_outlook *o, const char *lead)
{
    print_state(b, &o->life, lead);
    if (o->conflict)
        say("  its looks contradict each other; amend or withdraw the wrong one");
    print_tasks(env, b, o);
}

static enum pb_rc print_whole(struct env *env, const struct pb_batch *b,
                              const struct pb_batch_outlook *o, struct pb_err *err)
{
    print_head(b);
    print_kept(env, b, o);
    enum pb_rc rc = print_doubts(env, b->kind, b->head.n, err);
    if (b->elsewhere)
        say("  in another collection: it asks for nothing here");
    for (size_t i = 0; i < b->look_n; i++)
        print_look(&pb_courses[b->kind], &b->looks[i]);
    print_now(env, b, o, "  now");
    if (b->note != NULL)
        say_wrapped("  ", 2, b->note);
    return rc;
}

static enum pb_rc print_short(struct env *env, const struct pb_batch *b,
                              const struct pb_batch_outlook *o, struct pb_err *err)
{
    print_now(env, b, o, b->head.code);
    return b->kind == PB_CUTTING ? print_plants(env, b, err) : PB_OK;
}

static enum pb_rc print(struct env *env, const struct pb_batch *b, bool whole,
                        struct pb_err *err)
{
    struct pb_batch_outlook o = {0};
    enum pb_rc rc = pb_batch_outlook_make(&env->act, b, &o, err);
    if (rc == PB_OK)
        rc = env->json ? batch_json(env, b, &o, err)
             : whole   ? print_whole(env, b, &o, err)
                       : print_short(env, b, &o, err);
    pb_batch_outlook_clear(&o);
    return rc;
}

enum pb_rc print_batch(struct env *env, const struct pb_batch *b, struct pb_err *err)
{
    return print(env, b, true, err);
}

enum pb_rc print_batch_after(struct env *env, const struct pb_batch *b,
                             struct pb_err *err)
{
    return print(env, b, false, err);
}
