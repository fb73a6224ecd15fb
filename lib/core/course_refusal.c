/* What is said of an event that cannot be.  See course_run.h. */
#include "core/course_run.h"

#include "base/buf.h"

#include <stdio.h>

enum { NAME_TEXT = 48, SAID = 65536 };

/* The first end behind the event that is run; there is one. */
static const struct pb_event *first_end_behind(const struct pb_course_run *r)
{
    const struct pb_event *events = r->story->events;
    size_t i = r->at + 1;
    while (!pb_run_ends_open(r, &events[r->at], &events[i]))
        i++;
    return &events[i];
}

/* "look 3", "harvest 1", as the book numbers it: a look that a command wrote is one, too. */
static const char *name_of(const struct pb_course_run *r, const struct pb_event *e,
                           char text[NAME_TEXT])
{
    const char *command = pb_run_finding(r, e)->command;
    (void)snprintf(text, NAME_TEXT, "%s %d",
                   e->late && command != NULL ? command : "look", e->number);
    return text;
}

static const char *word_of(const struct pb_course_run *r, const struct pb_event *e)
{
    return pb_run_finding(r, e)->word;
}

/* " (2 split, 1 dropped)": where those stand that it cannot be said of. */
static void add_others(const struct pb_course_run *r, struct pb_buf *out)
{
    uint32_t from = pb_run_finding(r, &r->story->events[r->at])->from;
    const char *mark = " (";
    for (int s = 0; s < r->course->stand_n; s++)
        if (r->life.by_stand[s] > 0 && (from & PB_BIT(s)) == 0) {
            pb_buf_printf(out, "%s%d %s", mark, r->life.by_stand[s],
                          r->course->stands[s]);
            mark = ", ";
        }
    pb_buf_adds(out, mark[0] == ',' ? ")" : "");
}

/* ", 2 of them found otherwise that day (look 1)" */
static void add_same_day(const struct pb_course_run *r, int found, struct pb_buf *out)
{
    const struct pb_event *events = r->story->events, *e = &events[r->at];
    const char *mark = " (";
    char name[NAME_TEXT];
    pb_buf_printf(out, ", %d of them found otherwise that day", found);
    for (size_t i = 0; i < r->at; i++)
        if (events[i].on == e->on && events[i].found != e->found &&
            pb_run_finding(r, &events[i])->tally == PB_TALLY_SEEN) {
            pb_buf_printf(out, "%s%s", mark, name_of(r, &events[i], name));
            mark = ", ";
        }
    pb_buf_addc(out, ')');
}

/* The event before the one that is run that took a unit out of where that one can be. */
static const struct pb_event *what_bars_it(const struct pb_course_run *r)
{
    const struct pb_event *events = r->story->events;
    const struct pb_finding *f = pb_run_finding(r, &events[r->at]);
    for (size_t i = r->at; i > 0; i--) {
        int to = pb_run_finding(r, &events[i - 1])->to;
        if (to != PB_STAYS && pb_run_is_open(r, to) && (f->from & PB_BIT(to)) == 0)
            return &events[i - 1];
    }
    return NULL;
}

/* A text with "@" replaced. */
static void add_template(const char *text, const char *name, struct pb_buf *out)
{
    for (const char *p = text; *p != '\0'; p++)
        if (*p == '@')
            pb_buf_adds(out, name);
        else
            pb_buf_addc(out, *p);
}

/* Are there ended units that another finding of the same command could take? */
static bool is_taken_otherwise(const struct pb_course_run *r,
                               const struct pb_finding *f)
{
    for (int i = 0; i < r->course->finding_n; i++) {
        const struct pb_finding *other = &r->course->findings[i];
        uint32_t more = other->from & ~f->from & ~r->course->open;
        for (int s = 0; s < r->course->stand_n && other->command == f->command; s++)
            if ((more & PB_BIT(s)) != 0 && r->life.by_stand[s] > 0)
                return true;
    }
    return false;
}

/* Of one unit: "a flask that is discarded cannot be germinated", or which later look needs
 * it as it was. */
static void add_reason_of_one(const struct pb_course_run *r, struct pb_course_room room,
                              struct pb_buf *out)
{
    const struct pb_course *c = r->course;
    const struct pb_event *e = &r->story->events[r->at];
    int stand = r->life.groups[0].stand;
    if (room.able > 0 && room.spoken > 0) {
        const struct pb_event *later = first_end_behind(r);
        char name[NAME_TEXT], on[PB_DAY_TEXT];
        pb_buf_printf(out, "a %s that is %s on %s (%s) cannot be %s before that",
                      c->noun, word_of(r, later), pb_day_format(later->on, on),
                      name_of(r, later, name), word_of(r, e));
        return;
    }
    pb_buf_printf(out, "a %s that is %s cannot be %s", c->noun, c->stands[stand],
                  pb_run_finding(r, e)->word);
    for (int i = 0; i < c->advice_n; i++)
        if ((c->advice[i].stands & PB_BIT(stand)) != 0 &&
            (c->advice[i].findings & PB_BIT(e->found)) != 0) {
            pb_buf_adds(out, "; ");
            add_template(c->advice[i].text, r->story->code, out);
            return;
        }
}

static void add_reason(const struct pb_course_run *r, struct pb_course_room room,
                       struct pb_buf *out)
{
    const struct pb_event *e = &r->story->events[r->at];
    const struct pb_finding *f = pb_run_finding(r, e);
    const struct pb_event *bar = what_bars_it(r);
    char name[NAME_TEXT];
    int wanted = *e->count > 0 ? *e->count : 1, open = room.able + room.found;
    if (f->instead != NULL && bar != NULL && wanted > open && wanted <= r->life.open) {
        add_template(f->instead, name_of(r, bar, name), out);
        return;
    }
    if (*e->count == 0)
        pb_buf_printf(out, "none can be %s, ", f->word);
    else
        pb_buf_printf(out, "%d cannot be %s, ", *e->count, f->word);
    pb_buf_printf(out, "of %d %s%s %d ", r->life.units, r->course->unit,
                  r->life.units == 1 ? "" : "s", open);
    if (open < r->life.open) /* others are open, but not where it can be said of them */
        pb_buf_adds(out, "still can");
    else
        pb_buf_adds(out, open == 1 ? "is still open" : "are still open");
    add_others(r, out);
    if (room.found > 0)
        add_same_day(r, room.found, out);
    if (room.spoken > 0)
        pb_buf_printf(out, ", and later records (%s) end what is open",
                      name_of(r, first_end_behind(r), name));
    if (f->ended != NULL && is_taken_otherwise(r, f)) {
        pb_buf_adds(out, "; ");
        add_template(f->ended, r->story->code, out);
    }
}

enum pb_rc pb_run_refuse(const struct pb_course_run *r, struct pb_course_room room,
                         struct pb_err *err)
{
    const struct pb_event *e = &r->story->events[r->at], *named = e;
    char on[PB_DAY_TEXT], own[PB_DAY_TEXT], name[NAME_TEXT], other[NAME_TEXT];
    struct pb_buf b;
    pb_buf_init(&b, SAID);
    for (size_t i = 0; i < r->at; i++)
        if (pb_run_is_entered(r, &r->story->events[i]))
            named = &r->story->events[i];
    if (named != e && r->course->many)
        pb_buf_printf(&b, "%d ", *named->count);
    if (named != e)
        pb_buf_printf(&b, "%s on %s contradicts %s of ", word_of(r, named),
                      pb_day_format(named->on, own), name_of(r, e, other));
    if (e->on < r->story->start) {
        pb_buf_printf(&b, "%s lies before the %s on %s", pb_day_format(e->on, on),
                      r->course->start, pb_day_format(r->story->start, own));
    } else {
        pb_buf_printf(&b, "%s: ", pb_day_format(e->on, on));
        if (r->course->many)
            add_reason(r, room, &b);
        else
            add_reason_of_one(r, room, &b);
    }
    enum pb_rc rc = pb_buf_status(&b, err);
    bool is_fresh = pb_run_is_entered(r, named) && r->entered->fresh;
    if (rc == PB_OK)
        rc = pb_fail_at(err, PB_EINVALID, is_fresh ? NULL : name_of(r, named, name), 0,
                        "%s", pb_buf_peek(&b));
    pb_buf_clear(&b);
    return rc;
}
