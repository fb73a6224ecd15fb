/* Books for the benches.  See book_make.h. */
#include "book_make.h"

#include "base/text.h"
#include "book/crosses.h"
#include "book/plants.h"

#include <stdio.h>
#include <stdlib.h>

enum { FLOWERS = 4 };

static const char *const genera[] = {"Macodes", "Dossinia", "Ludisia", "Anoectochilus",
                                     "Spiranthes"};

void bench_must(enum pb_rc rc, const struct pb_err *err)
{
    if (rc == PB_OK)
        return;
    (void)fprintf(stderr, "bench: %s %s\n", err->where, err->text);
    exit(1);
}

static int64_t enter_plant(struct pb_act *a, int taxon, int clone)
{
    struct pb_err err = {0};
    struct pb_plant p;
    char text[64];
    pb_plant_init(&p);
    (void)snprintf(p.head.code, sizeof(p.head.code), "T%d.%d", taxon, clone);
    (void)snprintf(text, sizeof(text), "%s species%c%c",
                   genera[(size_t)taxon % PB_ARRAY_LEN(genera)], 'a' + taxon / 10,
                   'a' + taxon % 10);
    p.taxon = pb_text_copy(text);
    pb_act_new_head(a, &p.head);
    bench_must(pb_plant_insert(a->book, &p, &err), &err);
    int64_t n = p.head.n;
    pb_plant_clear(&p);
    return n;
}

/* What was found of a finished cross: held from day 24 to 28 on, three days later split or
 * two days later taken. */
static void finish(struct pb_act *a, struct pb_cross *x, int i, struct pb_look looks[2],
                   struct pb_harvest *harvest)
{
    for (int k = 0; k < 2; k++) {
        pb_look_init(&looks[k]);
        looks[k].number = k + 1;
        looks[k].count = FLOWERS;
        looks[k].found = k == 0 ? (int)PB_HOLDING : (int)PB_SPLIT;
        looks[k].on = x->pollinated + 24 + i % 5 + 3 * k;
        pb_ids_next(a, looks[k].id);
    }
    *harvest = (struct pb_harvest){
        .number = 1, .on = looks[0].on + 2, .count = FLOWERS, .as = PB_AS_CLOSED};
    x->looks = looks;
    x->look_n = i % 3 == 0 ? 2 : 1;
    x->harvests = harvest;
    x->harvest_n = i % 3 == 0 ? 0 : 1;
}

/* Cross i of n of its sort: the taxa take turns, and the clones of each. */
static void enter_cross(struct pb_act *a, const struct bench_book *what,
                        const int64_t *plants, int i, bool finished)
{
    enum { DAYS = 3000, RESTED = 200, HANGING = 40 };
    int n = finished ? what->finished : what->open, turn = i / what->taxa;
    const int64_t *clones = plants + i % what->taxa * what->clones;
    int32_t ago = (int32_t)(((int64_t)n - 1 - i) * (finished ? DAYS : HANGING) / n);
    struct pb_err err = {0};
    struct pb_cross x;
    struct pb_look looks[2];
    struct pb_harvest harvest;
    pb_cross_init(&x);
    x.seed.plant.n = clones[turn % what->clones];
    x.pollen[0].parent.plant.n = clones[(turn + 1) % what->clones];
    x.pollen_n = 1;
    x.flowers = FLOWERS;
    x.flower_age = 2 + i % 4;
    x.pollinated = BENCH_TODAY - ago - (finished ? RESTED : 0);
    a->now++; /* so that ids go up, as those of a grower do */
    bench_must(pb_book_next_code(a->book, 'X', x.pollinated, x.head.code, &err), &err);
    pb_act_new_head(a, &x.head);
    if (finished)
        finish(a, &x, i, looks, &harvest);
    bench_must(pb_cross_insert(a->book, &x, !finished, &err), &err);
    x.looks = NULL; /* not its own */
    x.look_n = 0;
    x.harvests = NULL;
    x.harvest_n = 0;
    pb_cross_clear(&x);
}

void bench_book_make(struct pb_act *a, const struct bench_book *what)
{
    struct pb_err err = {0};
    int plant_n = what->taxa * what->clones;
    int64_t *plants = calloc((size_t)plant_n, sizeof(*plants));
    if (plants == NULL)
        exit(1);
    a->now = INT64_C(86400) * BENCH_TODAY - what->finished - what->open;
    bench_must(pb_book_begin(a->book, "bench", BENCH_TODAY, 0, &err), &err);
    for (int i = 0; i < plant_n; i++)
        plants[i] = enter_plant(a, i / what->clones, i % what->clones);
    for (int i = 0; i < what->finished; i++)
        enter_cross(a, what, plants, i, true);
    for (int i = 0; i < what->open; i++)
        enter_cross(a, what, plants, i, false);
    bench_must(pb_book_end(a->book, PB_OK, &err), &err);
    free(plants);
}
