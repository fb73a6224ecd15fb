/*
 * Questions to a lesson.  See learn.h.
 *
 * A capsule that is not among the data is answered for by the brief, as far as its table
 * goes.  One that is needs the nodes of the whole law; a list asks the same of many crosses
 * of one clone, so that these answers are remembered.
 */
#include "act/learning.h"

#include <stdlib.h>

enum {
    MEMO_RISKS = 64, /* answers remembered of a law, by intact day and day */
    MEMO_NEXT = 32   /* next looks, by intact day */
};

struct pb_lesson_memo {
    struct {
        struct pb_hanging capsule;
        int32_t day; /* 0: nothing remembered */
        double risk;
    } risks[MEMO_RISKS];
    struct {
        struct pb_hanging capsule;
        int32_t latest, day; /* day 0: nothing remembered */
    } next[MEMO_NEXT];
};

static bool same_capsule(struct pb_hanging a, struct pb_hanging b)
{
    return a.intact == b.intact && a.in_data == b.in_data;
}

/* NULL: no memory for one, which only costs time. */
static struct pb_lesson_memo *memo_of(struct pb_learnt_law *l)
{
    if (l->memo == NULL)
        l->memo = calloc(1, sizeof(*l->memo));
    return l->memo;
}

static bool is_brief(const struct pb_lesson *lesson, struct pb_hanging c, int32_t day)
{
    return !c.in_data && pb_ripening_brief_has(lesson->brief, c.intact, day);
}

/* Where the law could not be had the worst is answered; pb_learn_status tells. */
static double risk_by_law(struct pb_learnt_law *l, struct pb_hanging c, int32_t day)
{
    const struct pb_ripening_law *law = pb_learnt_whole(l);
    if (law == NULL)
        return 1;
    return c.in_data ? pb_ripening_risk(law, c.intact, day)
                     : pb_ripening_risk_apart(law, c.intact, day);
}

double pb_lesson_risk(const struct pb_lesson *lesson, struct pb_hanging c, int32_t day)
{
    if (day <= 0)
        return 0;
    if (is_brief(lesson, c, day))
        return pb_ripening_brief_risk(lesson->brief, c.intact, day);
    struct pb_lesson_memo *m = memo_of(lesson->law);
    size_t slot = (size_t)(uint32_t)(c.intact * 31 + day * 7 + c.in_data) % MEMO_RISKS;
    if (m != NULL && m->risks[slot].day == day &&
        same_capsule(m->risks[slot].capsule, c))
        return m->risks[slot].risk;
    double risk = risk_by_law(lesson->law, c, day);
    if (m != NULL) {
        m->risks[slot].capsule = c;
        m->risks[slot].day = day;
        m->risks[slot].risk = risk;
    }
    return risk;
}

int32_t pb_lesson_risk_day(const struct pb_lesson *lesson, struct pb_hanging c,
                           int32_t latest)
{
    int32_t low = c.intact,
            high = latest + 1; /* low is within, high is past or unknown */
    while (high - low > 1) {
        int32_t mid = low + (high - low) / 2;
        double risk = is_brief(lesson, c, mid)
                          ? pb_ripening_brief_risk(lesson->brief, c.intact, mid)
                          : risk_by_law(lesson->law, c, mid);
        if (risk <= lesson->tolerance)
            low = mid;
        else
            high = mid;
    }
    return high;
}

int32_t pb_lesson_next_look(const struct pb_lesson *lesson, struct pb_hanging c,
                            int32_t latest)
{
    struct pb_lesson_memo *m =
        is_brief(lesson, c, latest) ? NULL : memo_of(lesson->law);
    size_t slot = (size_t)(uint32_t)(c.intact * 2 + c.in_data) % MEMO_NEXT;
    if (m != NULL && m->next[slot].day != 0 && m->next[slot].latest == latest &&
        same_capsule(m->next[slot].capsule, c))
        return m->next[slot].day;
    int32_t day = pb_lesson_risk_day(lesson, c, latest) - 1;
    day = day > c.intact ? day : c.intact + 1;
    if (m != NULL) {
        m->next[slot].capsule = c;
        m->next[slot].latest = latest;
        m->next[slot].day = day;
    }
    return day;
}
