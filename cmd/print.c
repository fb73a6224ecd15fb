/* How records look to a person.  See print.h. */
#include "print.h"

#include "act/absence.h"
#include "act/due.h"
#include "act/share_record.h"
#include "base/text.h"
#include "book/doubts.h"
#include "out.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MAX_TEXT = 1 << 20 };

/* "field     text", wrapped; nothing for NULL. */
static void field(const char *name, const char *text)
{
    struct pb_buf lead;
    if (text == NULL || text[0] == '\0')
        return;
    pb_buf_init(&lead, 100);
    pb_buf_printf(&lead, "  %-13s", name);
    say_wrapped(whole(&lead), 15, text);
    pb_buf_clear(&lead);
}

static void origin_text(const struct pb_plant *p, struct pb_buf *out)
{
    const char *seed = p->seed_parent.code[0] != '\0' ? p->seed_parent.code : "unknown";
    const char *pollen =
        p->pollen_parent.code[0] != '\0' ? p->pollen_parent.code : "unknown";
    switch (p->origin) {
    case PB_ORIGIN_PUP:
    case PB_ORIGIN_CUTTING:
    case PB_ORIGIN_DIVISION:
        pb_buf_printf(out, "%s of %s", pb_origin_names[p->origin], p->source.code);
        if (p->genet.n != p->source.n)
            pb_buf_printf(out, ", of the clone of %s", p->genet.code);
        break;
    case PB_ORIGIN_CROSS:
        pb_buf_printf(out, "raised from %s%s", p->from_cross.code,
                      p->from_cross.n == 0 ? " (a cross of another book)" : "");
        break;
    case PB_ORIGIN_PARENTS:
        pb_buf_printf(out, "%s × %s, as stated", seed, pollen);
        break;
    case PB_ORIGIN_UNKNOWN:
    case PB_ORIGIN_N:
        break;
    }
}

static enum pb_rc plant_json(struct env *env, const struct pb_plant *p,
                             struct pb_err *err)
{
    struct pb_buf b;
    pb_buf_init(&b, MAX_TEXT);
    enum pb_rc rc = pb_share_plant(&env->act, p, true, &b, err);
    if (rc == PB_OK)
        (void)printf("%s\n", whole(&b));
    pb_buf_clear(&b);
    return rc;
}

enum pb_rc print_doubts(struct env *env, enum pb_kind kind, int64_t row,
                        struct pb_err *err)
{
    struct pb_doubts doubts = {NULL, 0};
    struct pb_buf b;
    enum pb_rc rc = pb_doubts_load(env->act.book, kind, row, &doubts, err);
    pb_buf_init(&b, MAX_TEXT);
    for (size_t i = 0; i < doubts.n && rc == PB_OK; i++) {
        pb_buf_reset(&b);
        pb_doubt_words(&doubts.v[i], &b);
        field(i == 0 ? "doubtful" : "", whole(&b));
    }
    pb_buf_clear(&b);
    pb_doubts_clear(&doubts);
    return rc;
}

enum pb_rc print_plant(struct env *env, const struct pb_plant *p, struct pb_err *err)
{
    struct pb_buf b;
    char day[DAY_TEXT];
    if (env->json)
        return plant_json(env, p, err);
    pb_buf_init(&b, MAX_TEXT);
    say("%s  %s%s%s%s", p->head.code, p->taxon, p->clone_name != NULL ? " '" : "",
        p->clone_name != NULL ? p->clone_name : "", p->clone_name != NULL ? "'" : "");
    origin_text(p, &b);
    field("origin", whole(&b));
    pb_buf_reset(&b);
    if (p->ploidy > 0) {
        pb_buf_printf(&b, "%d sets of chromosomes", p->ploidy);
        field("ploidy", whole(&b));
        pb_buf_reset(&b);
    }
    enum pb_rc rc = print_doubts(env, PB_PLANT, p->head.n, err);
    field("code there", p->head.origin_code);
    field("got", p->got != PB_DAY_NONE ? day_text(p->got, day) : NULL);
    field("source", p->source_text);
    field("papers", p->papers);
    field("place", p->place);
    field("note", p->note);
    if (p->elsewhere)
        field("elsewhere", p->named_only
                               ? "known as a parent only; not in this collection"
                               : "in another collection");
    if (p->gone != PB_GONE_NOT) {
        pb_buf_printf(&b, "%s", pb_gone_names[p->gone]);
        if (p->gone_on != PB_DAY_NONE)
            pb_buf_printf(&b, " on %s", day_text(p->gone_on, day));
        field("gone", whole(&b));
    }
    if (p->head.withdrawn)
        field("withdrawn", "out of every list and count");
    pb_buf_clear(&b);
    return rc;
}

void print_flowering(const struct pb_flowering *f)
{
    struct pb_buf b;
    char name[32], day[DAY_TEXT];
    bool any = false;
    pb_buf_init(&b, MAX_TEXT);
    for (int i = 0; i < PB_BLOOM_N; i++)
        if (f->on[i] != PB_DAY_NONE) {
            pb_buf_printf(&b, "%s%s on %s", any ? ", " : "", pb_bloom_names[i],
                          day_text(f->on[i], day));
            any = true;
        }
    (void)snprintf(name, sizeof(name), "flowering %d", f->number);
    field(name, whole(&b));
    pb_buf_clear(&b);
}

enum pb_rc print_cross_json(struct env *env, const struct pb_cross *x,
                            const struct pb_outlook *o, struct pb_err *err)
{
    struct pb_buf b;
    pb_buf_init(&b, MAX_TEXT);
    enum pb_rc rc = pb_share_cross(&env->act, x, &o->view, true, &b, err);
    if (rc == PB_OK)
        (void)printf("%s\n", whole(&b));
    pb_buf_clear(&b);
    return rc;
}

static void add_parent(struct pb_buf *b, const struct pb_parent *p)
{
    pb_buf_printf(b, "%s %s", p->taxon, p->plant.code);
    if (p->clone_name != NULL)
        pb_buf_printf(b, " '%s'", p->clone_name);
}

void print_tag(const struct pb_cross *x)
{
    struct pb_buf b;
    char iso[PB_DAY_TEXT];
    int y = 0, m = 0, d = 0;
    pb_buf_init(&b, MAX_TEXT);
    add_parent(&b, &x->seed);
    pb_buf_adds(&b, " × ");
    for (size_t i = 0; i < x->pollen_n; i++) {
        pb_buf_adds(&b, i > 0 ? " + " : "");
        add_parent(&b, &x->pollen[i].parent);
    }
    if (x->pollen_n == 0)
        pb_buf_adds(&b, "unknown pollen");
    pb_day_to_ymd(x->pollinated, &y, &m, &d);
    say("Write on the tag:");
    say("  %s", x->head.code);
    say_wrapped("  ", 4, whole(&b));
    say("  %s, %s %d %s, %d flower%s%s%s", pb_day_format(x->pollinated, iso),
        pb_day_weekday_name(x->pollinated), d, pb_day_month_name(m), x->flowers,
        x->flowers == 1 ? "" : "s", x->at != NULL ? ", " : "",
        x->at != NULL ? x->at : "");
    pb_buf_clear(&b);
}

static void print_window(const struct pb_outlook *o, enum pb_stage stage,
                         const struct pb_span *span)
{
    const struct pb_profile_stage *s = pb_profile_stage(&o->match, stage);
    char first[DAY_TEXT], last[DAY_TEXT], days[48];
    if (s == NULL)
        return;
    if (span->first == PB_DAY_NONE) {
        say("  %-9s %s", pb_stage_names[stage],
            stage == PB_STAGE_SPLIT
                ? "not known: your own capsules hung so long that no end is in sight"
                : "no day to give: hardly anything is to be seen");
        return;
    }
    /* not by the span: it ends with the calendar */
    const struct pb_stage_days *d = &o->timing.stages[stage];
    bool learnt = d->from != s->from || d->to != s->to;
    (void)snprintf(days, sizeof(days), "day %d to %d", d->from, d->to);
    say("  %-9s %s to %s  %-15s %s", pb_stage_names[stage],
        day_text(span->first, first), day_text(span->last, last), days,
        o->beyond && stage == PB_STAGE_HARVEST ? "past what was seen"
        : learnt                               ? "your own capsules"
                 : pb_confidence_words[pb_profile_confidence(&o->match, s)]);
}

/* What the grower's own capsules say, and when the risk has passed what is accepted. */
static void print_learnt(const struct pb_outlook *o)
{
    struct pb_buf b;
    pb_buf_init(&b, MAX_TEXT);
    pb_outlook_learnt(o, &b);
    field("learnt", whole(&b));
    pb_buf_reset(&b);
    if (o->view.risk_day != PB_DAY_NONE && o->view.risk_day <= o->view.harvest.last) {
        char day[DAY_TEXT];
        pb_buf_printf(&b, "from day %d (%s) more than %g%% have split",
                      (int)(o->view.risk_day - o->timing.start),
                      day_text(o->view.risk_day, day), 100 * o->lesson.tolerance);
        if (o->view.risk_day < o->view.harvest.first)
            pb_buf_adds(&b, ", before the harvest window opens: look early, or bag the "
                            "capsule");
        field("risk", whole(&b));
    }
    pb_buf_clear(&b);
}

static bool rests_on(const struct pb_outlook *o, enum pb_stage stage,
                     const struct pb_profile_source *source)
{
    const struct pb_profile_stage *s = pb_profile_stage(&o->match, stage);
    const struct pb_profile_source *src = NULL;
    for (size_t i = 0; s != NULL && src != source; i++) {
        src = pb_profile_source(o->match.table, s->source, i);
        if (src == NULL)
            break;
    }
    return src == source;
}

/* The windows that a cross is shown, in order. */
static const enum pb_stage windows[] = {PB_STAGE_SWELLING, PB_STAGE_HARVEST,
                                        PB_STAGE_SPLIT};

/* Append the names of the windows that rest on a source; the place of the first. */
static size_t name_windows(const struct pb_outlook *o,
                           const struct pb_profile_source *source, struct pb_buf *out)
{
    size_t first = PB_ARRAY_LEN(windows);
    for (size_t k = 0; k < PB_ARRAY_LEN(windows); k++)
        if (rests_on(o, windows[k], source)) {
            bool more = first < k;
            first = more ? first : k;
            pb_buf_printf(out, "%s%s", more ? ", " : "", pb_stage_names[windows[k]]);
        }
    return first;
}

/* The sources that the windows rest on, each once. */
static void print_sources(const struct pb_outlook *o)
{
    const char *name = "source";
    struct pb_buf b;
    pb_buf_init(&b, MAX_TEXT);
    for (size_t k = 0; k < PB_ARRAY_LEN(windows); k++) {
        const struct pb_profile_stage *s = pb_profile_stage(&o->match, windows[k]);
        for (size_t i = 0; s != NULL; i++) {
            const struct pb_profile_source *src =
                pb_profile_source(o->match.table, s->source, i);
            if (src == NULL)
                break;
            pb_buf_reset(&b);
            if (name_windows(o, src, &b) < k)
                continue;
            pb_buf_printf(&b, ": %s", src->text);
            field(name, whole(&b));
            name = "";
        }
    }
    pb_buf_clear(&b);
}

/* Why there are no windows, and how to get some. */
static void print_no_timing(const struct pb_cross *x, const struct pb_profile_match *m)
{
    struct pb_buf b;
    pb_buf_init(&b, MAX_TEXT);
    if (m->basis == PB_BASIS_SPLIT) {
        pb_buf_printf(&b,
                      "No windows for %s: several profiles serve parts of its genus (",
                      x->seed.taxon);
        for (size_t i = 0; i < m->part_n; i++)
            pb_buf_printf(&b, "%s%s", i > 0 ? ", " : "", m->parts[i]->name);
        pb_buf_printf(&b, "). Choose one: podbook amend %s profile=NAME", x->head.code);
    } else {
        pb_buf_printf(
            &b,
            "No windows: no profile times %s. The cross is kept all the same; "
            "choose one of podbook profiles (podbook amend %s profile=NAME), or "
            "give your own in profiles.json (man podbook-profiles).",
            x->seed.taxon, x->head.code);
    }
    say_wrapped("", 0, whole(&b));
    pb_buf_clear(&b);
}

void match_text(const struct pb_profile_match *m, struct pb_buf *out)
{
    bool chosen = m->basis == PB_BASIS_CHOSEN;
    pb_buf_printf(out, "%s, %s%s%s%s", m->row->name, chosen ? "chosen by name" : "by ",
                  chosen ? "" : pb_basis_names[m->basis],
                  m->by_parent ? " of its seed parent" : "",
                  m->own ? " (your own profiles.json)" : "");
}

void print_windows(const struct pb_cross *x, const struct pb_outlook *o)
{
    const struct pb_profile_match *m = &o->match;
    const struct pb_profile_stage *ripening;
    if (m->row == NULL) {
        print_no_timing(x, m);
        return;
    }
    say("Windows, counted from the pollination:");
    print_window(o, PB_STAGE_SWELLING, &o->view.swelling);
    print_window(o, PB_STAGE_HARVEST, &o->view.harvest);
    print_window(o, PB_STAGE_SPLIT, &o->view.split);
    print_learnt(o);
    struct pb_buf b;
    pb_buf_init(&b, MAX_TEXT);
    match_text(m, &b);
    field("profile", whole(&b));
    pb_buf_clear(&b);
    print_sources(o);
    ripening = pb_profile_stage(m, PB_STAGE_HARVEST);
    if (ripening != NULL && pb_profile_confidence(m, ripening) == PB_LOW)
        field("a guess", m->row->note != NULL
                             ? m->row->note
                             : "Nobody measured it; judge the capsule, not the date.");
}

void life_text(const struct pb_life *life, struct pb_buf *out)
{
    bool any = false;
    for (int i = PB_STAND_N - 1; i >= 0; i--) {
        if (life->by_stand[i] == 0)
            continue;
        pb_buf_printf(out, "%s%d %s", any ? ", " : "", life->by_stand[i],
                      i == PB_STAND_POLLINATED ? "not looked at yet"
                                               : pb_stand_names[i]);
        any = true;
    }
    pb_buf_printf(out, " (of %d flower%s)", life->units, life->units == 1 ? "" : "s");
}

bool print_absent(const struct pb_cross *x, struct pb_buf *out)
{
    if (x->seed.gone)
        pb_buf_printf(out, "its plant %s is gone", x->seed.plant.code);
    else if (x->seed.elsewhere)
        pb_buf_printf(out, "its plant %s stands in another collection",
                      x->seed.plant.code);
    return x->seed.gone || x->seed.elsewhere;
}

/* What is never due is not promised. */
static void print_never(const struct pb_cross *x)
{
    struct pb_buf why;
    pb_buf_init(&why, MAX_TEXT);
    if (print_absent(x, &why))
        say_wrapped("Next: nothing of it is due; ", 6, whole(&why));
    pb_buf_clear(&why);
}

const char *late_text(const struct pb_task *t, pb_day today)
{
    return pb_task_state_on(t, today) == PB_OVERDUE ? " (overdue)" : "";
}

void print_next(const struct pb_cross *x, const struct pb_outlook *o, pb_day today)
{
    const struct pb_task *shown[PB_SHOWN_MAX];
    size_t n = pb_tasks_due(&o->tasks, today, PB_DAY_MAX, shown);
    if (o->life.open > 0 && (x->seed.gone || x->seed.elsewhere)) {
        print_never(x);
        return;
    }
    for (size_t i = 0; i < n; i++) {
        char first[DAY_TEXT], last[DAY_TEXT], when[2 * DAY_TEXT + 8], what[64];
        const struct pb_span *span = &shown[i]->span;
        pb_task_words_for(x, o, shown[i], today, what);
        if (span->first == span->last)
            (void)snprintf(when, sizeof(when), "on %s", day_text(span->first, first));
        else
            (void)snprintf(when, sizeof(when), "%s to %s", day_text(span->first, first),
                           day_text(span->last, last));
        const char *late = late_text(shown[i], today);
        bool fits = strlen("Next:   ") + strlen(when) + strlen(what) + strlen(late) <=
                    OUT_WIDTH;
        say("Next: %s%s%s%s", when, fits ? "  " : "\n      ", what, late);
    }
}

enum pb_rc print_cross_after(struct env *env, const struct pb_cross *x,
                             struct pb_err *err)
{
    struct pb_outlook o;
    struct pb_buf b;
    pb_outlook_init(&o);
    pb_buf_init(&b, MAX_TEXT);
    enum pb_rc rc = pb_outlook_make(&env->act, x, &o, err);
    if (rc == PB_OK && env->json)
        rc = print_cross_json(env, x, &o, err);
    else if (rc == PB_OK) {
        life_text(&o.life, &b);
        say("%s: %s", x->head.code, whole(&b));
        if (o.life.open == 0)
            say("Every flower is accounted for; the cross is closed.");
        print_next(x, &o, env->act.today);
    }
    pb_buf_clear(&b);
    pb_outlook_clear(&o);
    return rc;
}
