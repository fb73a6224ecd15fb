/* Chances.  See chances.h. */
#include "act/chances.h"

#include "act/find.h"
#include "base/text.h"
#include "book/learnt.h"
#include "book/plants.h"
#include "core/intervals.h"
#include "core/taxon.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* One part of the flowers while they are counted: the key is what they share. */
struct part {
    int64_t key[2];
    uint32_t flowers, set;
};

struct parts {
    struct part *v;
    size_t n, cap;
};

struct tally {
    struct pb_act *a;
    struct pb_chances *c;
    int64_t genet; /* of the seed parent asked about, 0: a taxon was */
    struct parts by[PB_SET_BY_N];
    struct pb_intervals intervals;
};

static int by_key(const struct part *a, const int64_t key[2])
{
    if (a->key[0] != key[0])
        return a->key[0] < key[0] ? -1 : 1;
    return (a->key[1] > key[1]) - (a->key[1] < key[1]);
}

/* Count flowers into the part of a key; parts are kept sorted by key. */
static enum pb_rc count(struct parts *parts, int64_t key0, int64_t key1,
                        uint32_t flowers, uint32_t set, struct pb_err *err)
{
    const int64_t key[2] = {key0, key1};
    size_t low = 0, high = parts->n;
    while (low < high) {
        size_t mid = low + (high - low) / 2;
        if (by_key(&parts->v[mid], key) < 0)
            low = mid + 1;
        else
            high = mid;
    }
    if (low == parts->n || by_key(&parts->v[low], key) != 0) {
        if (parts->n == parts->cap) {
            size_t cap = parts->cap > 0 ? parts->cap * 2 : 16;
            struct part *more = realloc(parts->v, cap * sizeof(*more));
            if (more == NULL)
                return pb_fail_memory(err);
            parts->v = more;
            parts->cap = cap;
        }
        memmove(&parts->v[low + 1], &parts->v[low],
                (parts->n - low) * sizeof(*parts->v));
        parts->v[low] = (struct part){
            {key0, key1},
            0, 0
        };
        parts->n++;
    }
    parts->v[low].flowers += flowers;
    parts->v[low].set += set;
    return PB_OK;
}

/* 0 unknown, 1 selfed, 2 crossed. */
static int64_t kind_key(const struct pb_cross *x)
{
    bool selfed = false, crossed = false;
    for (size_t i = 0; i < x->pollen_n; i++) {
        bool same = x->pollen[i].parent.genet.n == x->seed.genet.n;
        selfed = selfed || same;
        crossed = crossed || !same;
    }
    return selfed == crossed ? 0 : selfed ? 1 : 2;
}

static enum pb_rc part_cross(struct tally *t, const struct pb_cross *x,
                             uint32_t flowers, uint32_t set, struct pb_err *err)
{
    int64_t seed = x->seed.genet.n;
    int64_t pollen = x->pollen_n == 1 ? x->pollen[0].parent.genet.n : 0;
    enum pb_rc rc = count(&t->by[PB_SET_BY_SEED], seed, 0, flowers, set, err);
    if (rc == PB_OK && pollen != 0)
        rc = count(&t->by[PB_SET_BY_DIRECTION], seed, pollen, flowers, set, err);
    if (rc == PB_OK)
        rc = count(&t->by[PB_SET_BY_KIND], kind_key(x), 0, flowers, set, err);
    if (rc == PB_OK && x->flower_age >= 0)
        rc = count(&t->by[PB_SET_BY_AGE], x->flower_age, 0, flowers, set, err);
    return rc;
}

static enum pb_rc add_life(void *ctx, struct pb_cross *x, struct pb_err *err)
{
    struct tally *t = ctx;
    struct pb_life life = {0};
    uint32_t flowers = 0, set = 0;
    enum pb_rc rc = pb_cross_replay(x, &life, NULL);
    if (rc == PB_EINVALID) /* a received record that contradicts itself */
        return PB_OK;
    if (rc != PB_OK)
        return pb_fail_memory(err);
    pb_life_set(&life, &flowers, &set);
    bool ours = t->genet == 0 || t->genet == x->seed.genet.n;
    if (ours) {
        t->c->all.flowers += flowers;
        t->c->all.set += set;
    }
    rc = pb_life_intervals(&life, x->pollinated, 0, &t->intervals, err);
    if (rc == PB_OK && flowers > 0)
        rc = part_cross(t, x, flowers, set, err);
    pb_life_clear(&life);
    return rc;
}

/* ---- names of the parts ---------------------------------------------------------------- */

static enum pb_rc code_of(struct pb_act *a, int64_t plant, char code[PB_MAX_CODE + 1],
                          struct pb_err *err)
{
    struct pb_parent p;
    memset(&p, 0, sizeof(p));
    enum pb_rc rc = pb_parent_load(a->book, plant, &p, err);
    memcpy(code, p.plant.code, sizeof(p.plant.code));
    free(p.taxon);
    free(p.clone_name);
    return rc;
}

static enum pb_rc name_part(struct pb_act *a, enum pb_set_by by, const struct part *p,
                            struct pb_set_count *out, struct pb_err *err)
{
    static const char *const kinds[] = {"mixed or unknown", "selfed", "crossed"};
    char seed[PB_MAX_CODE + 1] = "", pollen[PB_MAX_CODE + 1] = "";
    enum pb_rc rc = PB_OK;
    switch (by) {
    case PB_SET_BY_SEED:
    case PB_SET_BY_DIRECTION:
        rc = code_of(a, p->key[0], seed, err);
        if (rc == PB_OK && by == PB_SET_BY_DIRECTION)
            rc = code_of(a, p->key[1], pollen, err);
        (void)snprintf(out->name, sizeof(out->name), "%s%s%s", seed,
                       pollen[0] != '\0' ? " × " : "", pollen);
        break;
    case PB_SET_BY_KIND:
        (void)snprintf(out->name, sizeof(out->name), "%s", kinds[p->key[0]]);
        break;
    case PB_SET_BY_AGE:
        (void)snprintf(out->name, sizeof(out->name), "flower day %d", (int)p->key[0]);
        break;
    case PB_SET_BY_N:
        break;
    }
    return rc;
}

static int most_flowers(const void *pa, const void *pb)
{
    const struct pb_set_count *a = pa, *b = pb;
    if (a->flowers != b->flowers)
        return a->flowers > b->flowers ? -1 : 1;
    return strcmp(a->name, b->name);
}

static enum pb_rc make_table(struct tally *t, enum pb_set_by by, struct pb_err *err)
{
    const struct parts *parts = &t->by[by];
    struct pb_set_table *table = &t->c->by[by];
    enum pb_rc rc = PB_OK;
    if (parts->n == 0)
        return PB_OK;
    table->v = calloc(parts->n, sizeof(*table->v));
    if (table->v == NULL)
        return pb_fail_memory(err);
    for (size_t i = 0; i < parts->n && rc == PB_OK; i++) {
        struct pb_set_count *row = &table->v[i];
        row->flowers = parts->v[i].flowers;
        row->set = parts->v[i].set;
        rc = name_part(t->a, by, &parts->v[i], row, err);
        if (rc == PB_OK)
            rc = pb_setrate_interval(row->set, row->flowers, &row->rate, err);
        table->n++;
    }
    if (rc == PB_OK && by != PB_SET_BY_AGE) /* ages stay in their own order */
        qsort(table->v, table->n, sizeof(*table->v), most_flowers);
    return rc;
}

static enum pb_rc count_sets(struct tally *t, struct pb_err *err)
{
    struct pb_buf key;
    pb_buf_init(&key, PB_MAX_NAME);
    pb_taxon_key(t->c->taxon, &key);
    enum pb_rc rc = pb_buf_status(&key, err);
    if (rc == PB_OK)
        rc = pb_taxon_lives(t->a->book, pb_buf_peek(&key), add_life, t, err);
    const struct pb_rates_ask ask = {pb_buf_peek(&key), t->genet,
                                     t->c->is_cross ? t->c->cross.head.n : 0};
    if (rc == PB_OK)
        rc = pb_act_rates(t->a, &ask, t->c->rates, err);
    pb_buf_clear(&key);
    for (int by = 0; by < PB_SET_BY_N && rc == PB_OK; by++)
        rc = make_table(t, (enum pb_set_by)by, err);
    for (size_t i = 0; i < t->intervals.n; i++)
        *(t->intervals.v[i].by == PB_RIPENING_NEVER ? &t->c->held : &t->c->seen) +=
            t->intervals.v[i].count;
    if (rc == PB_OK)
        rc =
            pb_setrate_interval(t->c->all.set, t->c->all.flowers, &t->c->all.rate, err);
    return rc;
}

static enum pb_rc plan_flowers(struct pb_chances *c, struct pb_err *err)
{
    double share = c->match.row != NULL && c->match.row->set_rate.source != NULL
                       ? c->match.row->set_rate.share
                       : PB_SETRATE_NONE;
    struct pb_setrate_belief belief;
    enum pb_rc rc = pb_setrate_learn(pb_setrate_prior(share), c->all.set,
                                     c->all.flowers, &belief, err);
    if (rc == PB_OK)
        c->flowers_needed =
            pb_setrate_flowers(belief, PB_SETRATE_CHANCE, PB_SETRATE_FLOWERS_SHOWN);
    return rc;
}

/* ---- what was asked about -------------------------------------------------------------- */

static enum pb_rc of_cross(struct pb_act *a, const char *code, struct pb_chances *c,
                           struct pb_parent *seed, struct pb_err *err)
{
    const struct pb_task *shown[PB_SHOWN_MAX];
    enum pb_rc rc = pb_find_cross(a, NULL, code, &c->cross, err);
    if (rc == PB_OK)
        rc = pb_outlook_make(a, &c->cross, &c->outlook, err);
    if (rc != PB_OK)
        return rc;
    c->is_cross = true;
    if (c->outlook.lesson.brief != NULL && c->outlook.is_hanging)
        c->risk = pb_lesson_risk(&c->outlook.lesson, c->outlook.hanging,
                                 a->today - c->cross.pollinated);
    size_t n = pb_tasks_due(&c->outlook.tasks, a->today, PB_DAY_MAX, shown);
    if (c->cross.seed.gone || c->cross.seed.elsewhere)
        n = 0; /* nobody is asked */
    for (size_t i = 0; i < n; i++)
        if (shown[i]->kind != PB_TASK_HARVEST)
            c->next_look = shown[i]->span.first;
    seed->plant = c->cross.seed.plant;
    seed->genet = c->cross.seed.genet;
    seed->taxon = pb_text_copy(c->cross.seed.taxon);
    return seed->taxon != NULL ? PB_OK : pb_fail_memory(err);
}

/* A plant by its code, else a taxon as it is written. */
static enum pb_rc of_plant_or_taxon(struct pb_act *a, const char *what,
                                    struct pb_parent *seed, struct pb_err *err)
{
    struct pb_plant p;
    bool found = false;
    pb_plant_init(&p);
    enum pb_rc rc = pb_plant_find(a->book, PB_PLANT_BY_CODE, what, &p, &found, err);
    if (rc == PB_OK && found) {
        seed->plant.n = p.head.n;
        seed->genet = p.genet;
        seed->taxon = p.taxon; /* moves over */
        p.taxon = NULL;
    } else if (rc == PB_OK) {
        rc = pb_text_check("TAXON", what, PB_MAX_NAME, err);
        seed->taxon = rc == PB_OK ? pb_text_copy(what) : NULL;
        if (rc == PB_OK && seed->taxon == NULL)
            rc = pb_fail_memory(err);
    }
    pb_plant_clear(&p);
    return rc;
}

/* A word that is neither a code nor a name of anything: most likely a slip. */
static enum pb_rc check_known(struct pb_act *a, const char *what,
                              const struct pb_parent *seed, const struct pb_chances *c,
                              struct pb_err *err)
{
    bool named = strchr(what, ' ') != NULL || c->match.row != NULL ||
                 c->match.basis == PB_BASIS_SPLIT;
    if (seed->plant.n != 0 || named || c->all.flowers > 0)
        return PB_OK;
    return pb_not_found(a, NULL, PB_CODES_GROWN, what, err);
}

enum pb_rc pb_act_chances(struct pb_act *a, const char *what, struct pb_chances *c,
                          struct pb_err *err)
{
    struct pb_parent seed;
    struct tally t = {.a = a, .c = c};
    int look = 0;
    memset(&seed, 0, sizeof(seed));
    memset(c, 0, sizeof(*c));
    pb_cross_init(&c->cross);
    pb_outlook_init(&c->outlook);
    c->risk = -1;
    c->next_look = PB_DAY_NONE;
    enum pb_rc rc = pb_code_kind(what, &look) != PB_PLANT
                        ? of_cross(a, what, c, &seed, err)
                        : of_plant_or_taxon(a, what, &seed, err);
    if (rc == PB_OK)
        rc = pb_timing_find(a, &seed, c->is_cross ? c->cross.profile : NULL, &c->match,
                            err);
    if (rc == PB_OK)
        rc = pb_learn(a, &seed, &c->match, &c->lesson, err);
    if (rc == PB_OK && c->lesson.brief != NULL)
        rc = pb_lesson_law(&c->lesson, &c->law, err);
    c->taxon = seed.taxon; /* moves over */
    c->of_clone = seed.plant.n != 0;
    t.genet = seed.genet.n;
    if (rc == PB_OK)
        rc = count_sets(&t, err);
    if (rc == PB_OK)
        rc = plan_flowers(c, err);
    if (rc == PB_OK)
        rc = check_known(a, what, &seed, c, err);
    if (rc == PB_OK)
        rc = pb_learn_status(a, err);
    for (int by = 0; by < PB_SET_BY_N; by++)
        free(t.by[by].v);
    free(t.intervals.v);
    return rc;
}

void pb_chances_clear(struct pb_chances *c)
{
    for (int by = 0; by < PB_SET_BY_N; by++)
        free(c->by[by].v);
    free(c->taxon);
    pb_outlook_clear(&c->outlook);
    pb_cross_clear(&c->cross);
    memset(c, 0, sizeof(*c));
}
