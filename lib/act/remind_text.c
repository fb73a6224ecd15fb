/* What a reminder says.  See remind_text.h. */
#include "act/remind_text.h"

#include "act/due.h"
#include "base/text.h"

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
static const struct pb_profile_stage *stage_of(const struct pb_outlook *o,
                                               const struct pb_task *t)
{
    return pb_profile_stage(&o->match, t->kind == PB_TASK_SWELLING ? PB_STAGE_SWELLING
                                                                   : PB_STAGE_HARVEST);
}

/* Have the grower's own capsules moved the days of the task? */
static bool is_learnt(const struct pb_outlook *o, const struct pb_task *t)
{
    const struct pb_profile_stage *s = pb_profile_stage(&o->match, PB_STAGE_HARVEST);
    return t->kind != PB_TASK_SWELLING && s != NULL &&
           (s->from != o->timing.stages[PB_STAGE_HARVEST].from ||
            s->to != o->timing.stages[PB_STAGE_HARVEST].to);
}

bool pb_remind_is_guess(const struct pb_outlook *o, const struct pb_task *t)
{
    const struct pb_profile_stage *s = stage_of(o, t);
    return s == NULL ||
           (pb_profile_confidence(&o->match, s) == PB_LOW && !is_learnt(o, t));
}

static void add_parent(struct pb_buf *b, const struct pb_parent *p)
{
    pb_buf_printf(b, "%s %s", p->taxon, p->plant.code);
}

static void names_line(struct pb_buf *b, const struct pb_cross *x)
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

static void days_line(struct pb_buf *b, const struct pb_outlook *o,
                      const struct pb_task *t)
{
    const struct pb_profile_stage *s = stage_of(o, t);
    int from = t->span.first - o->timing.start, to = t->span.last - o->timing.start;
    pb_buf_printf(b, "Day %d", from);
    if (to > from)
        pb_buf_printf(b, " to %d", to);
    pb_buf_adds(b, " after the pollination");
    if (o->match.row != NULL && s != NULL)
        pb_buf_printf(b, ", by profile %s (%s)", o->match.row->name,
                      o->beyond && t->kind != PB_TASK_SWELLING
                          ? "beyond what was seen of your own capsules; go by the looks"
                      : is_learnt(o, t)
                          ? "moved by your own capsules"
                          : pb_confidence_words[pb_profile_confidence(&o->match, s)]);
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

static void what_line(struct pb_buf *b, const struct pb_outlook *o,
                      const struct pb_task *t)
{
    const struct pb_profile_stage *s = pb_profile_stage(&o->match, PB_STAGE_SWELLING);
    size_t at = b->len;
    pb_buf_adds(b, pb_task_words(t->kind, s != NULL && s->no_sign));
    if (b->rc == PB_OK && b->data[at] >= 'a' && b->data[at] <= 'z')
        b->data[at] = (char)(b->data[at] - 'a' + 'A');
}

enum pb_rc pb_remind_text_write(struct pb_remind_text *text, const struct pb_cross *x,
                                const struct pb_outlook *o, const struct pb_task *t,
                                struct pb_err *err)
{
    const struct pb_profile *row = o->match.row;
    pb_buf_reset(&text->summary);
    pb_buf_printf(&text->summary, "%s: %s ", titles[t->kind], x->head.code);
    pb_cross_parents(x, &text->summary);
    struct pb_buf *b = &text->description;
    pb_buf_reset(b);
    what_line(b, o, t);
    pb_buf_addc(b, '\n');
    names_line(b, x);
    pb_buf_addc(b, '\n');
    days_line(b, o, t);
    risk_line(b, o, t);
    if (pb_remind_is_guess(o, t) && row != NULL) {
        bool fits = row->note != NULL && strlen(row->note) <= NOTE_BYTES;
        pb_buf_printf(b, "\n%s",
                      fits ? row->note
                           : "Nobody measured it; judge the capsule, not the date");
    }
    enum pb_rc rc = pb_buf_status(&text->summary, err);
    return rc == PB_OK ? pb_buf_status(b, err) : rc;
}

enum pb_rc pb_remind_text_away(struct pb_remind_text *text, struct pb_span away,
                               const char *codes, struct pb_err *err)
{
    char first[PB_DAY_TEXT], last[PB_DAY_TEXT];
    pb_buf_reset(&text->summary);
    pb_buf_adds(&text->summary, "Somebody must look while you are away");
    pb_buf_reset(&text->description);
    pb_buf_printf(&text->description,
                  "Away %s to %s; the harvest windows of these meet it: %s\n"
                  "Ask somebody to look, harvest before you leave, or bag the capsules",
                  pb_day_format(away.first, first), pb_day_format(away.last, last),
                  codes);
    enum pb_rc rc = pb_buf_status(&text->summary, err);
    return rc == PB_OK ? pb_buf_status(&text->description, err) : rc;
}
