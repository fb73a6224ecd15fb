/* Every move of every kind of record, from every stand, against the tables typed once more
 * (courses.def); and what every plan says. */
#include "unit.h"

#include "core/life.h"

#include <stdlib.h>
#include <string.h>

enum { START = 20000 };

static const struct kind {
    enum pb_kind kind;
    char letter;
    const char *noun, *unit, *start;
    bool many, staged;
    const char *stands, *open;
} kinds[] = {
#define KIND(kind, ...) {PB_##kind, __VA_ARGS__},
#define MOVE(...)
#define PLAN(...)
#define ADVICE(...)
#include "courses.def"
#undef KIND
#undef MOVE
};

static const struct move {
    enum pb_kind kind;
    const char *word, *command, *from, *to;
    enum pb_tally tally;
    const char *with;
} moves[] = {
#define KIND(...)
#define MOVE(kind, word, command, from, to, tally, with) \
    {PB_##kind, word, command, from, to, PB_TALLY_##tally, with},
#include "courses.def"
#undef MOVE
#undef PLAN
};

static const struct plan {
    enum pb_kind kind;
    const char *task;
    enum pb_how how;
    const char *stage;
    int from, to;
    const char *wanted, *since, *answers;
} plans[] = {
#define MOVE(...)
#define PLAN(kind, task, how, ...) {PB_##kind, task, PB_HOW_##how, __VA_ARGS__},
#include "courses.def"
#undef PLAN
#undef ADVICE
};

static const struct advice {
    enum pb_kind kind;
    const char *stand, *findings, *said;
} advices[] = {
#define PLAN(...)
#define ADVICE(kind, ...) {PB_##kind, __VA_ARGS__},
#include "courses.def"
};

/* Is a word in a set? */
static bool has(const char *set, const char *word)
{
    size_t len = strlen(word);
    for (const char *at = strstr(set, word); at != NULL; at = strstr(at + 1, word))
        if ((at == set || at[-1] == '|') && (at[len] == '\0' || at[len] == '|'))
            return true;
    return false;
}

static uint32_t stands_of(const struct pb_course *c, const char *set)
{
    uint32_t bits = 0;
    for (int s = 0; s < c->stand_n; s++)
        bits |= has(set, c->stands[s]) ? PB_BIT(s) : 0;
    return bits;
}

/* The place of the i-th row of a kind in a table whose rows begin with it; n: none. */
static size_t row_of(const void *table, size_t n, size_t size, enum pb_kind kind, int i)
{
    for (size_t k = 0; k < n; k++) {
        enum pb_kind own;
        memcpy(&own, (const char *)table + k * size, sizeof(own));
        if (own == kind && i-- == 0)
            return k;
    }
    return n;
}

#define ROW_OF(table, kind, i) \
    row_of(table, PB_ARRAY_LEN(table), sizeof((table)[0]), kind, i)

/* The table has n rows of the kind. */
#define ASSERT_ROWS(table, kind, n)                                    \
    do {                                                               \
        assert_int_equal(ROW_OF(table, kind, n), PB_ARRAY_LEN(table)); \
        assert_true(ROW_OF(table, kind, (n)-1) < PB_ARRAY_LEN(table)); \
    } while (0)

/* ---- moves ------------------------------------------------------------------------------ */

/* One unit that stands there, and one finding two days later. */
static enum pb_rc find(const struct pb_course *c, int stand, int found,
                       struct pb_life *life, struct pb_err *err)
{
    int count = 0;
    struct pb_event event = {START + 2, found, 1, false, &count, false};
    struct pb_story story = {c, 1, stand, START, &event, 1, "F26-001"};
    memset(life, 0, sizeof(*life));
    memset(err, 0, sizeof(*err));
    return pb_course_replay(&story, life, err);
}

static void every_kind_is_as_it_is_told(void **state)
{
    (void)state;
    assert_int_equal(PB_ARRAY_LEN(kinds), PB_KIND_N);
    for (size_t i = 0; i < PB_ARRAY_LEN(kinds); i++) {
        const struct kind *k = &kinds[i];
        const struct pb_course *c = &pb_courses[k->kind];
        char stands[200] = "";
        for (int s = 0; s < c->stand_n; s++) {
            strcat(stands, s > 0 ? "|" : "");
            strcat(stands, c->stands[s]);
        }
        CLAIM(strcmp(stands, k->stands) == 0, "%s: %s", k->noun, stands);
        CLAIM(c->letter == (k->letter == ' ' ? '\0' : k->letter), "%s: letter",
              k->noun);
        CLAIM(strcmp(c->noun, k->noun) == 0 && strcmp(c->unit, k->unit) == 0 &&
                  strcmp(c->start, k->start) == 0,
              "%s: words", k->noun);
        CLAIM(c->many == k->many && c->staged == k->staged, "%s: many", k->noun);
        CLAIM(c->open == stands_of(c, k->open), "%s: open", k->noun);
    }
}

static void check_move(const struct pb_course *c, const struct move *m, int found,
                       int stand)
{
    struct pb_life life;
    struct pb_err err;
    const char *at = c->stands[stand];
    bool may = has(m->from, at);
    enum pb_rc rc = find(c, stand, found, &life, &err);
    CLAIM(rc == (may ? PB_OK : PB_EINVALID), "%s, %s: %s", c->noun, at, m->word);
    if (!may) {
        pb_err_clear(&err);
        return;
    }
    const struct pb_life_group *g = &life.groups[0];
    const char *to = m->to[0] != '\0' ? m->to : at;
    CLAIM(strcmp(c->stands[g->stand], to) == 0, "%s, %s: %s leaves it %s", c->noun, at,
          m->word, c->stands[g->stand]);
    CLAIM(g->last_intact == (m->tally == PB_TALLY_SEEN ? START + 2 : PB_DAY_NONE),
          "%s, %s: %s, seen that day", c->noun, at, m->word);
    CLAIM(life.open == (has(kinds[c->kind].open, to) ? 1 : 0), "%s, %s: %s, still open",
          c->noun, at, m->word);
    pb_life_clear(&life);
}

static void every_finding_moves_from_where_it_may(void **state)
{
    (void)state;
    for (int k = 0; k < PB_KIND_N; k++) {
        const struct pb_course *c = &pb_courses[k];
        ASSERT_ROWS(moves, c->kind, c->finding_n);
        for (int f = 0; f < c->finding_n; f++) {
            const struct move *m = &moves[ROW_OF(moves, c->kind, f)];
            CLAIM(strcmp(c->findings[f].word, m->word) == 0, "%s: %s", c->noun,
                  c->findings[f].word);
            for (int s = 0; s < c->stand_n; s++)
                check_move(c, m, f, s);
        }
    }
}

static void every_finding_says_what_goes_with_it(void **state)
{
    (void)state;
    static const struct {
        unsigned flag;
        const char *word;
    } flags[] = {
        {PB_LEAST_FIRST, "least"      },
        {PB_AMOUNT,      "amount"     },
        {PB_SAMPLE,      "sample"     },
        {PB_SCALE,       "scale"      },
        {PB_ENTERS,      "enters"     },
        {PB_COUNT,       "count"      },
        {PB_PLANTS_LAST, "plants last"},
        {PB_GOES_ON,     "goes on"    },
    };
    for (int k = 0; k < PB_KIND_N; k++) {
        const struct pb_course *c = &pb_courses[k];
        for (int i = 0; i < c->finding_n; i++) {
            const struct pb_finding *f = &c->findings[i];
            const struct move *m = &moves[ROW_OF(moves, c->kind, i)];
            unsigned with = 0;
            for (size_t n = 0; n < PB_ARRAY_LEN(flags); n++)
                with |= has(m->with, flags[n].word) ? flags[n].flag : 0;
            CLAIM(f->flags == with, "%s: %s", c->noun, f->word);
            CLAIM(strcmp(f->command != NULL ? f->command : "", m->command) == 0,
                  "%s: %s is written by another command", c->noun, f->word);
        }
    }
}

/* ---- what is said of those that cannot be ---------------------------------------------- */

/* The piece that is said of a finding; NULL: no advice. */
static const char *advice_of(const struct pb_course *c, int stand, const char *word)
{
    for (size_t i = 0; i < PB_ARRAY_LEN(advices); i++)
        if (advices[i].kind == c->kind &&
            strcmp(advices[i].stand, c->stands[stand]) == 0 &&
            has(advices[i].findings, word))
            return advices[i].said;
    return NULL;
}

static void every_refusal_advises_where_there_is_a_way(void **state)
{
    (void)state;
    for (int k = 0; k < PB_KIND_N; k++) {
        const struct pb_course *c = &pb_courses[k];
        for (int f = 0; f < c->finding_n && !c->many; f++)
            for (int s = 0; s < c->stand_n; s++) {
                struct pb_life life;
                struct pb_err err;
                const char *said = advice_of(c, s, c->findings[f].word);
                if (find(c, s, f, &life, &err) == PB_OK) {
                    pb_life_clear(&life);
                    CLAIM(said == NULL, "%s, %s: %s", c->noun, c->stands[s],
                          c->findings[f].word);
                    continue;
                }
                CLAIM(said != NULL ? strstr(err.text, said) != NULL
                                   : strchr(err.text, ';') == NULL,
                      "%s", err.text);
                pb_err_clear(&err);
            }
    }
}

static void a_split_capsule_is_taken_as_split(void **state)
{
    (void)state;
    static const char how[] = "take what was found split with podbook harvest F26-001 "
                              "--as split";
    for (int as = 0; as < PB_AS_N; as++) {
        struct pb_life life;
        struct pb_err err;
        enum pb_rc rc =
            find(&pb_courses[PB_CROSS], PB_STAND_SPLIT, PB_FOUND_N + as, &life, &err);
        assert_int_equal(rc, as == PB_AS_SPLIT ? PB_OK : PB_EINVALID);
        CLAIM(rc == PB_OK || strstr(err.text, how) != NULL, "%s", err.text);
        pb_life_clear(&life);
        pb_err_clear(&err);
    }
}

/* ---- plans ------------------------------------------------------------------------------ */

static uint32_t answers_of(const struct pb_course *c, const char *set)
{
    uint32_t bits = 0;
    if (strcmp(set, "*") == 0)
        return UINT32_MAX;
    for (int f = 0; f < c->finding_n; f++)
        bits |= has(set, c->findings[f].word) ? PB_BIT(f) : 0;
    return bits;
}

static void every_plan_is_as_it_is_told(void **state)
{
    (void)state;
    for (int k = 0; k < PB_KIND_N; k++) {
        const struct pb_course *c = &pb_courses[k];
        ASSERT_ROWS(plans, c->kind, c->plan_n);
        for (int i = 0; i < c->plan_n; i++) {
            const struct pb_plan *p = &c->plans[i];
            const struct plan *told = &plans[ROW_OF(plans, c->kind, i)];
            const char *task = pb_task_names[p->task];
            const char *stage = p->stage == PB_STAGE_N ? "" : pb_stage_names[p->stage];
            CLAIM(strcmp(task, told->task) == 0, "%s: %s", c->noun, task);
            CLAIM(p->how == told->how && strcmp(stage, told->stage) == 0, "%s: %s",
                  c->noun, task);
            CLAIM(p->from == told->from && p->to == told->to, "%s: %s, %d to %d",
                  c->noun, task, p->from, p->to);
            CLAIM(p->wanted == stands_of(c, told->wanted) &&
                      p->since == stands_of(c, told->since),
                  "%s: %s, for whom", c->noun, task);
            CLAIM(p->answers == answers_of(c, told->answers), "%s: %s, what answers",
                  c->noun, task);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_is_as_it_is_told),
        cmocka_unit_test(every_finding_moves_from_where_it_may),
        cmocka_unit_test(every_finding_says_what_goes_with_it),
        cmocka_unit_test(every_refusal_advises_where_there_is_a_way),
        cmocka_unit_test(a_split_capsule_is_taken_as_split),
        cmocka_unit_test(every_plan_is_as_it_is_told),
    };
    return UNIT_MAIN("moves", tests);
}
