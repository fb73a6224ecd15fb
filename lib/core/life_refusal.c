/* What is said of an event of a cross that cannot be.  See life_replay.h. */
#include "core/life_replay.h"

#include "base/buf.h"
#include "base/text.h"

#include <stdio.h>

/* The first end behind the event that is run; there is one. */
static const struct pb_life_step *first_end_behind(const struct pb_life_replay_run *r)
{
    size_t i = r->at + 1;
    while (!pb_life_ends_open(&r->events[r->at], &r->events[i]))
        i++;
    return &r->events[i];
}

enum { NAME_TEXT = 32, SAID = 65536 };

/* "look 3", as the book numbers it. */
static const char *name_of(const struct pb_life_step *e, char text[NAME_TEXT])
{
    (void)snprintf(text, NAME_TEXT, "%s %d",
                   e->what == PB_STEP_HARVEST ? "harvest" : "look", e->number);
    return text;
}

static const char *word_of(const struct pb_life_step *e)
{
    return e->what == PB_STEP_HARVEST ? "harvested" : pb_found_names[e->what];
}

/* " (2 split, 1 dropped)": how those ended that did. */
static void add_ended(const struct pb_life *life, struct pb_buf *out)
{
    static const enum pb_stand ended[] = {PB_STAND_SPLIT, PB_STAND_DROPPED,
                                          PB_STAND_LOST, PB_STAND_HARVESTED};
    const char *mark = " (";
    for (size_t i = 0; i < PB_ARRAY_LEN(ended); i++)
        if (life->by_stand[ended[i]] > 0) {
            pb_buf_printf(out, "%s%d %s", mark, life->by_stand[ended[i]],
                          pb_stand_names[ended[i]]);
            mark = ", ";
        }
    pb_buf_adds(out, mark[0] == ',' ? ")" : "");
}

/* ", 2 of them found otherwise that day (look 1)" */
static void add_same_day(const struct pb_life_replay_run *r, int found,
                         struct pb_buf *out)
{
    const struct pb_life_step *e = &r->events[r->at];
    const char *mark = " (";
    char name[NAME_TEXT];
    pb_buf_printf(out, ", %d of them found otherwise that day", found);
    for (size_t i = 0; i < r->at; i++)
        if (r->events[i].on == e->on && pb_life_is_intact(r->events[i].what) &&
            r->events[i].what != e->what) {
            pb_buf_printf(out, "%s%s", mark, name_of(&r->events[i], name));
            mark = ", ";
        }
    pb_buf_addc(out, ')');
}

/* The look that found an ovary swollen or further, before the one that is run. */
static const struct pb_life_step *last_swollen(const struct pb_life_replay_run *r)
{
    for (size_t i = r->at; i > 0; i--)
        if (r->events[i - 1].what >= PB_SWOLLEN &&
            pb_life_is_intact(r->events[i - 1].what))
            return &r->events[i - 1];
    return NULL;
}

static void add_reason(const struct pb_life_replay_run *r, int able, int found,
                       int spoken, struct pb_buf *out)
{
    const struct pb_life_step *e = &r->events[r->at];
    const struct pb_life *life = &r->life;
    const struct pb_life_step *swollen = last_swollen(r);
    char name[NAME_TEXT];
    int wanted = *e->count > 0 ? *e->count : 1;
    if (e->what == PB_UNCHANGED && swollen != NULL && wanted > able + found &&
        wanted <= life->open) {
        pb_buf_printf(out,
                      "an ovary found swollen before (%s) is not unchanged; say "
                      "holding, or amend the earlier look",
                      name_of(swollen, name));
        return;
    }
    if (*e->count == 0)
        pb_buf_printf(out, "none can be %s, ", word_of(e));
    else
        pb_buf_printf(out, "%d cannot be %s, ", *e->count, word_of(e));
    pb_buf_printf(out, "of %d flower%s %d %s still open", life->flowers,
                  life->flowers == 1 ? "" : "s", able + found,
                  able + found == 1 ? "is" : "are");
    add_ended(life, out);
    if (found > 0)
        add_same_day(r, found, out);
    if (spoken > 0)
        pb_buf_printf(out, ", and later records (%s) end what is open",
                      name_of(first_end_behind(r), name));
    if (e->what == PB_STEP_HARVEST && e->as != PB_AS_SPLIT &&
        life->by_stand[PB_STAND_SPLIT] > 0)
        pb_buf_printf(out,
                      "; take what was found split with podbook harvest %s --as split",
                      r->code);
}

enum pb_rc pb_life_refuse(const struct pb_life_replay_run *r, int able, int found,
                          int spoken, struct pb_err *err)
{
    const struct pb_life_step *e = &r->events[r->at], *named = e;
    char on[PB_DAY_TEXT], own[PB_DAY_TEXT], name[NAME_TEXT], other[NAME_TEXT];
    struct pb_buf b;
    pb_buf_init(&b, SAID);
    for (size_t i = 0; i < r->at; i++)
        if (pb_life_is_entered(r, &r->events[i]))
            named = &r->events[i];
    if (named != e)
        pb_buf_printf(&b, "%d %s on %s contradicts %s of ", *named->count,
                      word_of(named), pb_day_format(named->on, own), name_of(e, other));
    if (e->on < r->start) {
        pb_buf_printf(&b, "%s lies before the pollination on %s",
                      pb_day_format(e->on, on), pb_day_format(r->start, own));
    } else {
        pb_buf_printf(&b, "%s: ", pb_day_format(e->on, on));
        add_reason(r, able, found, spoken, &b);
    }
    enum pb_rc rc = pb_buf_status(&b, err);
    if (rc == PB_OK)
        rc = pb_fail_at(err, PB_EINVALID, name_of(named, name), 0, "%s",
                        pb_buf_peek(&b));
    pb_buf_clear(&b);
    return rc;
}
