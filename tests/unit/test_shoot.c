/* A plant after its flowering, as a course: what is found, and what it asks for. */
#include "unit.h"

#include "core/life.h"

enum { START = 20000, MOST = 4 };

struct step {
    int day;
    const char *word; /* NULL: no more */
};

struct asked {
    int ordinal; /* 0: nothing */
    int from, to;
};

/* Tell a story of these steps; v has room for them. */
static void tell(struct pb_story *story, struct pb_event *v, int *one,
                 const struct step *steps)
{
    *story =
        (struct pb_story){&pb_courses[PB_PLANT], 1, PB_SHOOT_OVER, START, v, 0, "LD-1"};
    for (const struct step *s = steps; s->word != NULL; s++) {
        int found = pb_finding_find(story->course, s->word);
        CLAIM(found >= 0, "%s", s->word);
        v[story->n] = (struct pb_event){START + s->day, found, (int)story->n + 1,
                                        false,          one,   false};
        story->n++;
    }
}

/* The one task that waits, or none. */
static void check_asked(const char *claim, const struct pb_tasks *tasks,
                        const struct asked *asked)
{
    const struct pb_task *waits = NULL;
    for (size_t k = 0; k < tasks->n; k++)
        waits = tasks->v[k].done ? waits : &tasks->v[k];
    CLAIM((waits == NULL) == (asked->ordinal == 0), "%s", claim);
    if (waits != NULL)
        CLAIM(waits->kind == PB_TASK_PUPS && waits->ordinal == asked->ordinal &&
                  waits->span.first == START + asked->from &&
                  waits->span.last == START + asked->to,
              "%s: %s/%d", claim, pb_task_names[waits->kind], waits->ordinal);
}

static void shoots_ask_for_pups(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        struct step steps[MOST];
        int found; /* the stand at the end */
        struct asked asked;
    } rows[] = {
        {"first after three weeks",                        {{0, NULL}},               PB_SHOOT_OVER, {1, 21, 31}},
        {"none yet: three weeks later again",
         {{25, "unchanged"}, {0, NULL}},
         PB_SHOOT_OVER,                                                                              {2, 46, 56}},
        {"a look before its day answers nothing",
         {{20, "unchanged"}, {0, NULL}},
         PB_SHOOT_OVER,                                                                              {1, 21, 31}},
        {"who takes cuttings has looked, and looks again",
         {{30, "cut"}, {0, NULL}},
         PB_SHOOT_OVER,                                                                              {2, 51, 61}},
        {"pups: nothing more",                             {{30, "pups"}, {0, NULL}}, PB_SHOOT_PUPS, {0, 0, 0}  },
        {"a pup that became a plant was one",
         {{30, "parted"}, {0, NULL}},
         PB_SHOOT_PUPS,                                                                              {0, 0, 0}  },
        {"no pups: nothing more",                          {{30, "none"}, {0, NULL}}, PB_SHOOT_NONE, {0, 0, 0}  },
        {"which may prove wrong",
         {{30, "none"}, {60, "pups"}, {0, NULL}},
         PB_SHOOT_PUPS,                                                                              {0, 0, 0}  },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_event v[MOST];
        int one = 1;
        struct pb_story story;
        struct pb_life life = {0};
        struct pb_timing t;
        struct pb_tasks tasks = {0};
        const char *claim = rows[i].claim;
        tell(&story, v, &one, rows[i].steps);
        pb_timing_init(&t, START);
        t.stages[PB_STAGE_PUPS] = (struct pb_stage_days){21, 63};
        CLAIM(pb_course_replay(&story, &life, NULL) == PB_OK, "%s", claim);
        CLAIM(life.by_stand[rows[i].found] == 1, "%s", claim);
        CLAIM(pb_course_tasks(&t, &story, &life, true, &tasks, NULL) == PB_OK, "%s",
              claim);
        check_asked(claim, &tasks, &rows[i].asked);
        pb_tasks_clear(&tasks);
        pb_life_clear(&life);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shoots_ask_for_pups),
    };
    return UNIT_MAIN("shoot", tests);
}
