/* What a reminder says.  See remind_text.h. */
#include "act/remind_text.h"

#include "act/due.h"
#include "base/text.h"
#include "core/progeny.h"

#include <math.h>
#include <string.h>

enum {
    BYTES = 65536, /* of a text under construction */
    NOTE_BYTES =
        1000 /* a profile's note that is longer does not fit beside the names */
};

/* ORDER TASK */
static const char *const titles[] = {
    "Look for swelling",
    "Look whether it holds",
    "Look for ripeness",
    "Harvest",
    "Sow",
    "Look for germination",
    "Replate",
    "Deflask",
    "Look at the cut",
    "Put into water",
    "Look for roots",
    "Pot",
    "Look whether it has settled",
    "Look for pups",
    "Use the pollen",
};
_Static_assert(PB_ARRAY_LEN(titles) == PB_TASK_N, "ORDER TASK");

void pb_remind_text_init(struct pb_remind_text *text)
{
    pb_buf_init(&text->summary, BYTES);
    pb_buf_init(&text->description, BYTES);
}

void pb_remind_text_clear(struct pb_remind_text *text)
{
    pb_buf_clear(&text->summary);
    pb_buf_clear(&text->description);
}

/* The stage whose confidence the days of a task share; NULL: none is known. */
static const struct pb_profile_stage *stage_of(const struct pb_work *w,
                                               const struct pb_task *t)
{
    if (w->cross == NULL)
        return pb_work_stage(w, t);
    return pb_profile_stage(w->match, t->kind == PB_TASK_SWELLING ? PB_STAGE_SWELLING
                                                                  : PB_STAGE_HARVEST);
}

/* Have the grower's own capsules moved the days of the task? */
static bool is_learnt(const struct pb_work *w, const struct pb_task *t)
{
    if (w->cross == NULL || t->kind == PB_TASK_SWELLING)
        return false;
    const struct pb_profile_stage *s = pb_profile_stage(w->match, PB_STAGE_HARVEST);
    return s != NULL && (s->from != w->timing->stages[PB_STAGE_HARVEST].from ||
                         s->to != w->timing->stages[PB_STAGE_HARVEST].to);
}

bool pb_remind_is_guess(const struct pb_work *w, const struct pb_task *t)
{
    const struct pb_profile_stage *s = stage_of(w, t);
    return s == NULL ||
           (pb_profile_confidence(w->match, s) == PB_LOW && !is_learnt(w, t));
}

static void add_parent(struct pb_buf *b, const struct pb_parent *p)
{
    pb_buf_printf(b, "%s %s", p->taxon, p->plant.code);
}

static void cross_line(struct pb_buf *b, const struct pb_cross *x)
{
    char day[PB_DAY_TEXT];
    add_parent(b, &x->seed);
    pb_buf_adds(b, " × ");
    for (size_t i = 0; i < x->pollen_n; i++) {
        pb_buf_adds(b, i > 0 ? " + " : "");
        add_parent(b, &x->pollen[i].parent);
    }
    if (x->pollen_n == 0)
        pb_buf_adds(b, "unknown pollen");
    pb_buf_printf(b, "; %d flower%s, pollinated %s", x->flowers,
                  x->flowers == 1 ? "" : "s", pb_day_format(x->pollinated, day));
}

/* "Flask of X26-001, A × B; its sowing was on 2026-05-02" */
static void batch_line(struct pb_buf *b, const struct pb_work *w)
{
    const struct pb_batch *batch = w->batch;
    const struct pb_course *c = &pb_courses[w->kind];
    char day[PB_DAY_TEXT];
    size_t at = b->len;
    pb_buf_printf(b, "%s%s of %s, ", c->noun, batch->units > 1 ? "s" : "", w->pot);
    if (b->rc == PB_OK)
        b->data[at] = (char)(b->data[at] - 'a' + 'A');
    if (batch->cross.n != 0)
        pb_parents_formula(batch->taxon_seed, batch->taxon_pollen, false, b);
    else
        pb_buf_adds(b, batch->taxon);
    pb_buf_printf(b, "; day 0 is %s", pb_day_format(w->timing->start, day));
}

static void plant_line(struct pb_buf *b, const struct pb_work *w)
{
    char day[PB_DAY_TEXT];
    pb_buf_printf(b, "%s; day 0 is %s", w->plant->taxon,
                  pb_day_format(w->timing->start, day));
}

/* What the days rest on. */
static const char *basis_words(const struct pb_work *w, const struct pb_task *t,
                               const struct pb_profile_stage *s)
{
    if (w->cross != NULL && w->outlook->beyond && t->kind != PB_TASK_SWELLING)
        return "beyond what was seen of your own capsules; go by the looks";
    return is_learnt(w, t) ? "moved by your own capsules"
                           : pb_confidence_words[pb_profile_confidence(w->match, s)];
}

static void days_line(struct pb_buf *b, const struct pb_work *w,
                      const struct pb_task *t)
{
    const struct pb_profile_stage *s = stage_of(w, t);
    int from = t->span.first - w->timing->start, to = t->span.last - w->timing->start;
    pb_buf_printf(b, "Day %d", from);
    if (to > from)
        pb_buf_printf(b, " to %d", to);
    pb_buf_printf(b, " after the %s", pb_courses[w->kind].start);
    if (w->match->row != NULL && s != NULL)
        pb_buf_printf(b, ", by profile %s (%s)", w->match->row->name,
                      basis_words(w, t, s));
}

/* That the capsule may split before its window opens must not come too late. */
static void risk_line(struct pb_buf *b, const struct pb_outlook *o,
                      const struct pb_task *t)
{
    char day[PB_DAY_TEXT];
    if (t->kind != PB_TASK_HARVEST || o->view.risk_day == PB_DAY_NONE ||
        o->view.risk_day >= o->view.harvest.first)
        return;
    pb_buf_printf(b,
                  "\nFrom %s more than %d%% have split, before this window opens: look "
                  "early, or bag the capsule",
                  pb_day_format(o->view.risk_day, day),
                  (int)round(100 * o->lesson.tolerance));
}

/* Without a count: how many of several want it changes with each look. */
static void what_line(struct pb_buf *b, const struct pb_work *w,
                      const struct pb_task *t)
{
    const struct pb_profile_stage *s = pb_profile_stage(w->match, PB_STAGE_SWELLING);
    const char *words = w->batch != NULL ? pb_batch_task(w->batch, t)->words : NULL;
    size_t at = b->len;
    pb_buf_adds(b, words != NULL ? words
                                 : pb_task_words(t->kind, s != NULL && s->no_sign));
    if (b->rc == PB_OK && b->data[at] >= 'a' && b->data[at] <= 'z')
        b->data[at] = (char)(b->data[at] - 'a' + 'A');
}

/* What to hold against the days of a guess. */
static const char *guess_words(const struct pb_work *w)
{
    const struct pb_profile *row = w->match->row;
    if (w->cross == NULL)
        return "Nobody measured it here; go by what you see, not by the date";
    if (row->note != NULL && strlen(row->note) <= NOTE_BYTES)
        return row->note;
    return "Nobody measured it; judge the capsule, not the date";
}

static void summary_line(struct pb_buf *b, const struct pb_work *w,
                         const struct pb_task *t)
{
    const char *title = w->batch != NULL ? pb_batch_task(w->batch, t)->title : NULL;
    pb_buf_printf(b, "%s: %s ", title != NULL ? title : titles[t->kind], w->head->code);
    if (w->cross != NULL)
        pb_cross_parents(w->cross, b);
    else if (w->batch != NULL)
        pb_buf_printf(b, "of %s", w->pot);
    else
        pb_buf_adds(b, w->plant->taxon);
}

enum pb_rc pb_remind_text_write(struct pb_remind_text *text, const struct pb_work *w,
                                const struct pb_task *t, struct pb_err *err)
{
    struct pb_buf *b = &text->description;
    pb_buf_reset(&text->summary);
    summary_line(&text->summary, w, t);
    pb_buf_reset(b);
    what_line(b, w, t);
    pb_buf_addc(b, '\n');
    if (w->cross != NULL)
        cross_line(b, w->cross);
    else if (w->batch != NULL)
        batch_line(b, w);
    else
        plant_line(b, w);
    pb_buf_addc(b, '\n');
    days_line(b, w, t);
    if (w->cross != NULL)
        risk_line(b, w->outlook, t);
    if (pb_remind_is_guess(w, t) && (w->cross == NULL || w->match->row != NULL))
        pb_buf_printf(b, "\n%s", guess_words(w));
    enum pb_rc rc = pb_buf_status(&text->summary, err);
    return rc == PB_OK ? pb_buf_status(b, err) : rc;
}

enum pb_rc pb_remind_text_away(struct pb_remind_text *text,
                               const struct pb_work_away *away, struct pb_err *err)
{
    char first[PB_DAY_TEXT], last[PB_DAY_TEXT];
    struct pb_buf *b = &text->description;
    bool harvests = away->harvests.len > 0, others = away->others.len > 0;
    pb_buf_reset(&text->summary);
    pb_buf_adds(&text->summary, "Somebody must look while you are away");
    pb_buf_reset(b);
    pb_buf_printf(b, "Away %s to %s; ", pb_day_format(away->absence.span.first, first),
                  pb_day_format(away->absence.span.last, last));
    if (harvests)
        pb_buf_printf(b, "the harvest windows of these meet it: %s",
                      pb_buf_peek(&away->harvests));
    if (others)
        pb_buf_printf(b, "%sthis cannot wait: %s", harvests ? "\n" : "",
                      pb_buf_peek(&away->others));
    pb_buf_printf(b, "\n%s",
                  !harvests ? "Ask somebody, or do it before you leave"
                  : others  ? "Ask somebody, or see to it before you leave"
                            : "Ask somebody to look, harvest before you leave, or bag "
                              "the capsules");
    enum pb_rc rc = pb_buf_status(&text->summary, err);
    return rc == PB_OK ? pb_buf_status(b, err) : rc;
}
