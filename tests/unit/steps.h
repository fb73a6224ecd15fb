/* Batches that are made of a row of looks, for the tests of their courses. */
#ifndef PB_TESTS_STEPS_H
#define PB_TESTS_STEPS_H

#include "unit.h"

#include "core/batch.h"

enum { START = 20000 };

struct step {
    int day;
    const char *word; /* NULL: no more */
    int count;
    int64_t amount;
};

#define END           \
    {                 \
        0, NULL, 0, 0 \
    }

/* A batch with looks; its looks are in v, by number. */
static inline void make(struct pb_batch *b, struct pb_look *v, const struct step *steps)
{
    b->on = b->began = START;
    b->looks = v;
    for (b->look_n = 0; steps[b->look_n].word != NULL; b->look_n++) {
        const struct step *s = &steps[b->look_n];
        struct pb_look *l = &v[b->look_n];
        pb_look_init(l);
        l->number = (int)b->look_n + 1;
        l->on = START + s->day;
        l->found = pb_finding_find(&pb_courses[b->kind], s->word);
        CLAIM(l->found >= 0, "%s", s->word);
        l->count = s->count;
        l->amount = s->amount;
    }
}

#endif
