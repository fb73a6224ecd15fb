/* Made records of every kind: the same ones every run.  For the tests of JSON. */
#ifndef PB_TESTS_MADE_RECORD_H
#define PB_TESTS_MADE_RECORD_H

#include "unit.h"

#include "core/life.h"
#include "core/task.h"
#include "json_any.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Source of the step: xorshift64*, Vigna (2016), ACM Trans. Math. Softw. 42:30. */
static uint64_t seed;

static inline uint32_t rnd(uint32_t n)
{
    seed ^= seed >> 12;
    seed ^= seed << 25;
    seed ^= seed >> 27;
    return (uint32_t)((seed >> 33) % n);
}

static inline bool one_in(uint32_t n)
{
    return rnd(n) == 0;
}

static inline void make_id(char id[PB_ID_TEXT])
{
    static const char hex[] = "0123456789abcdef";
    for (size_t i = 0; i < PB_ID_TEXT - 1; i++)
        id[i] = i == 8 || i == 13 || i == 18 || i == 23 ? '-' : hex[rnd(16)];
    id[PB_ID_TEXT - 1] = '\0';
}

/* Letters of one to four bytes, marks, and what JSON escapes; never a blank at an end. */
static inline char *make_text(size_t most)
{
    static const char *const bits[] = {"a", "Z",      "0",  "\"",    "\\", "/",
                                       "×", "é",      "兰", "ก",     "🌸",  "e\u0301",
                                       "<", "\u00a0", " b", "\u200d"};
    struct pb_buf b;
    char *text = NULL;
    pb_buf_init(&b, most);
    size_t n = 1 + rnd(12);
    for (size_t i = 0; i < n; i++)
        pb_buf_adds(&b, i == 0 ? "x" : bits[rnd(PB_ARRAY_LEN(bits))]);
    assert_int_equal(pb_buf_take(&b, &text, NULL), PB_OK);
    return text;
}

static inline char *maybe_text(size_t most)
{
    return one_in(2) ? make_text(most) : NULL;
}

static inline void make_plant_code(char code[PB_MAX_CODE + 1])
{
    (void)snprintf(code, PB_MAX_CODE + 1, "%c%c.%u_%u", (int)('A' + rnd(26)),
                   (int)('a' + rnd(26)), (unsigned)rnd(1000), (unsigned)rnd(1000));
}

static inline void make_own_code(char letter, char code[PB_MAX_CODE + 1])
{
    pb_own_code_format(letter, pb_day_from_ymd(2000 + (int)rnd(60), 5, 1),
                       1 + (int64_t)rnd(20000), code);
}

static inline void make_plant_ref(struct pb_ref *ref)
{
    make_id(ref->id);
    make_plant_code(ref->code);
}

static inline void make_own_ref(char letter, struct pb_ref *ref)
{
    make_id(ref->id);
    make_own_code(letter, ref->code);
}

static inline pb_day any_day(void)
{
    return PB_DAY_MIN + (pb_day)rnd((uint32_t)(PB_DAY_MAX - PB_DAY_MIN) - 40000U);
}

/* x- keys as the reader keeps them: sorted, compact. */
static inline char *make_extra(bool looks, const char *look_id)
{
    struct pb_buf b;
    char *text = NULL;
    pb_buf_init(&b, PB_MAX_EXTRA);
    pb_buf_adds(&b, "{");
    if (looks)
        pb_buf_printf(&b, "\"looks/%s\":{\"x-l\":[true,null]},", look_id);
    pb_buf_printf(&b, "\"x-a\":%u,\"x-b\":{\"k\":[0.%u,-%u.5]}}", (unsigned)rnd(1000),
                  1 + (unsigned)rnd(9), (unsigned)rnd(100));
    assert_int_equal(pb_buf_take(&b, &text, NULL), PB_OK);
    return text;
}

static inline void make_head(struct pb_head *head)
{
    make_id(head->id);
    head->revision = 1 + (int64_t)rnd(1000000000);
    head->modified = PB_DAY_MIN * 86400LL + (int64_t)rnd(2000000000) * 100;
    head->withdrawn = one_in(8);
    if (one_in(3))
        make_own_code("XPSFC"[rnd(5)], head -> origin_code);
}

/* ---- looks, flowerings ------------------------------------------------------------------ */

/* Looks that the reader takes; whether they can follow each other is not its business. */
static inline void make_looks(enum pb_kind kind, pb_day start, int units,
                              struct pb_look **looks, size_t *n)
{
    const struct pb_course *c = &pb_courses[kind];
    *n = rnd(5);
    *looks = calloc(*n + 1, sizeof(**looks));
    assert_non_null(*looks);
    for (size_t i = 0; i < *n; i++) {
        struct pb_look *look = &(*looks)[i];
        pb_look_init(look);
        make_id(look->id);
        look->number = (int)i + 1;
        look->on = start + (pb_day)rnd(400);
        do
            look->found =
                (int)rnd(kind == PB_CROSS ? PB_FOUND_N : (uint32_t)c->finding_n);
        while (kind == PB_PLANT && c->findings[look->found].command != NULL);
        look->count = 1;
        if (c->many)
            look->count += (int)rnd((uint32_t)units);
        else {
            look->amount = one_in(2) ? (int64_t)rnd(PB_MAX_COUNTED) : -1;
            look->sample = one_in(3) ? 1 + (int64_t)rnd(PB_MAX_COUNTED) : -1;
            look->scale = maybe_text(PB_MAX_NAME);
            look->method = maybe_text(PB_MAX_NAME);
        }
        look->note = maybe_text(PB_MAX_TEXT);
    }
}

static inline void make_flowerings(struct pb_plant_more *more)
{
    more->flowering_n = rnd(4);
    more->flowerings = calloc(more->flowering_n + 1, sizeof(*more->flowerings));
    assert_non_null(more->flowerings);
    for (size_t i = 0; i < more->flowering_n; i++) {
        struct pb_flowering *f = &more->flowerings[i];
        pb_day day = any_day();
        pb_flowering_init(f);
        f->number = (int)i + 1;
        for (int k = 0; k < PB_BLOOM_N; k++)
            if (k == PB_BLOOM_OPEN || one_in(2))
                f->on[k] = day += (pb_day)rnd(40);
    }
}

/* ---- records -------------------------------------------------------------------------- */

static inline void make_plant(struct pb_plant *p, struct pb_plant_more *more)
{
    make_head(&p->head);
    make_plant_code(p->head.code);
    p->taxon = make_text(PB_MAX_NAME);
    if (one_in(2)) {
        make_plant_ref(&p->genet);
        p->clone_name = maybe_text(PB_MAX_NAME);
    }
    p->ploidy = (int)rnd(PB_MAX_PLOIDY + 1);
    p->origin = (enum pb_origin)rnd(PB_ORIGIN_N);
    if (pb_origin_is_vegetative(p->origin))
        make_plant_ref(&p->source);
    if (p->origin == PB_ORIGIN_CROSS)
        make_own_ref('X', &p->from_cross);
    if (p->origin == PB_ORIGIN_PARENTS) {
        bool both = one_in(2), seed_alone = one_in(2);
        if (both || seed_alone) {
            make_plant_ref(&p->seed_parent);
            more->seed_taxon = make_text(PB_MAX_NAME);
        }
        if (both || !seed_alone) {
            make_plant_ref(&p->pollen_parent);
            more->pollen_taxon = make_text(PB_MAX_NAME);
        }
    }
    if (one_in(4))
        make_own_ref("FC"[rnd(2)], &p -> out_of);
    p->doubtful = one_in(6) ? make_text(PB_MAX_TEXT) : NULL;
    make_flowerings(more);
    make_looks(PB_PLANT, any_day(), 1, &more->looks, &more->look_n);
    p->got = one_in(2) ? any_day() : PB_DAY_NONE;
    p->gone = (enum pb_gone)rnd(PB_GONE_N);
    p->gone_on = p->gone != PB_GONE_NOT && one_in(2) ? any_day() : PB_DAY_NONE;
    p->source_text = maybe_text(PB_MAX_TEXT);
    p->papers = maybe_text(PB_MAX_TEXT);
    p->place = maybe_text(PB_MAX_TEXT);
    p->note = maybe_text(PB_MAX_TEXT);
    p->head.extra = one_in(3) ? make_extra(false, NULL) : NULL;
}

static inline void make_parent(struct pb_parent *parent)
{
    make_plant_ref(&parent->plant);
    parent->taxon = make_text(PB_MAX_NAME);
    parent->ploidy = (int)rnd(PB_MAX_PLOIDY + 1);
    if (one_in(2)) {
        make_plant_ref(&parent->genet);
        parent->clone_name = maybe_text(PB_MAX_NAME);
    }
    if (one_in(3))
        make_own_ref('X', &parent->raised_from);
}

static inline void make_events(struct pb_cross *x)
{
    x->harvest_n = rnd(3);
    x->harvests = calloc(x->harvest_n + 1, sizeof(*x->harvests));
    assert_non_null(x->harvests);
    make_looks(PB_CROSS, x->pollinated, x->flowers, &x->looks, &x->look_n);
    for (size_t i = 0; i < x->harvest_n; i++) {
        struct pb_harvest *h = &x->harvests[i];
        h->number = (int)i + 1;
        h->on = x->pollinated + (pb_day)rnd(400);
        h->as = (enum pb_as)rnd(PB_AS_N);
        h->count = 1 + (int)rnd((uint32_t)x->flowers);
        h->held_cold = one_in(3);
    }
}

static inline void make_cross(struct pb_cross *x)
{
    make_head(&x->head);
    make_own_code('X', x->head.code);
    make_parent(&x->seed);
    x->pollen_n = rnd(PB_MAX_POLLEN_PARENTS + 1);
    for (size_t i = 0; i < x->pollen_n; i++) {
        make_parent(&x->pollen[i].parent);
        if (one_in(2))
            make_own_code('P', x->pollen[i].lot);
        x->pollen[i].age_days = one_in(2) ? (int)rnd(PB_MAX_POLLEN_AGE + 1) : -1;
    }
    x->pollinated = any_day();
    x->flowers = 1 + (int)rnd(PB_MAX_FLOWERS);
    x->flower_age = one_in(2) ? (int)rnd(PB_MAX_FLOWER_AGE + 1) : -1;
    x->at = maybe_text(PB_MAX_NAME);
    x->own_pollen = (enum pb_own_pollen)rnd(PB_OWN_N);
    x->grex = maybe_text(PB_MAX_NAME);
    x->profile = maybe_text(PB_MAX_NAME);
    x->bagged = one_in(2) ? x->pollinated + (pb_day)rnd(400) : PB_DAY_NONE;
    x->doubtful = one_in(6) ? make_text(PB_MAX_TEXT) : NULL;
    x->note = maybe_text(PB_MAX_TEXT);
    make_events(x);
    if (one_in(3))
        x->head.extra = make_extra(x->look_n > 0, x->look_n > 0 ? x->looks[0].id : "");
}

/* Anything that a view may say: the schema is to take it, the reader to pass it over. */
static inline void make_view(struct pb_cross_view *view, const struct pb_cross *x)
{
    pb_cross_view_init(view);
    view->kind = (enum pb_cross_kind)rnd(PB_CROSS_KIND_N);
    if (one_in(2))
        view->swelling = pb_span_after(x->pollinated, 4, 7);
    if (one_in(2))
        view->harvest = pb_span_after(x->pollinated, 21, 25);
    if (one_in(2))
        view->split = pb_span_after(x->pollinated, 21, 30);
    view->risk_day = one_in(2) ? x->pollinated : PB_DAY_NONE;
    enum pb_stand stand = (enum pb_stand)rnd(PB_STAND_N);
    view->by_stand[stand] = x->flowers;
    view->open = stand < PB_STAND_SPLIT ? x->flowers : 0;
    view->state = x->head.withdrawn ? "withdrawn" : pb_stand_names[stand];
}

/* A number of at most three decimals, as people type them. */
static inline double maybe_real(int low, int high)
{
    if (one_in(2))
        return PB_REAL_NONE;
    return ((double)low * 1000 + (double)rnd((uint32_t)(high - low) * 1000U + 1U)) /
           1000;
}

static inline void make_constants(struct pb_seed_constants *c)
{
    c->ke = maybe_real(-1000, 1000);
    c->cw = maybe_real(-1000, 1000);
    c->ch = maybe_real(-1000, 1000);
    c->cq = maybe_real(-1000, 1000);
    c->viability = maybe_real(0, 100);
    c->moisture = maybe_real(0, 100);
    c->below = maybe_real(0, 100);
    c->source = maybe_text(PB_MAX_TEXT);
}

/* What belongs to one kind; a number that its kind does not have stays not given. */
static inline void make_batch_fields(struct pb_batch *b)
{
    b->amount = b->kind <= PB_FLASK && one_in(2) ? (int64_t)rnd(PB_MAX_COUNTED) : -1;
    if (b->kind == PB_SEED) {
        b->capsules = (int)rnd(20);
        b->form = (enum pb_seed_form)rnd(PB_FORM_N);
        make_constants(&b->constants);
    }
    if (b->kind == PB_SEED || b->kind == PB_POLLEN)
        b->celsius = maybe_real(-200, 100);
    if (b->kind == PB_FLASK || b->kind == PB_CUTTING)
        b->medium = maybe_text(PB_MAX_NAME);
    if (b->kind == PB_FLASK) {
        b->agent = maybe_text(PB_MAX_NAME);
        b->chlorine = maybe_real(0, 100);
        b->minutes = (int)rnd(1442) - 1;
        b->light = (enum pb_light)rnd(PB_LIGHT_N);
    }
    if (b->kind == PB_CUTTING) {
        b->units = 1 + (int)rnd(PB_MAX_FLOWERS);
        b->nodes = (int)rnd(101);
    }
    if (b->kind == PB_POLLEN) {
        b->kept = (enum pb_pollen_kept)rnd(PB_KEPT_N);
        b->dried = one_in(2);
        b->cap_removed = one_in(2);
    }
}

static inline void make_batch(struct pb_record *rec)
{
    struct pb_batch *b = &rec->batch;
    pb_batch_init(b, rec->kind);
    make_head(&b->head);
    make_own_code(pb_courses[b->kind].letter, b->head.code);
    b->on = any_day();
    if (b->kind == PB_SEED || b->kind == PB_FLASK) {
        make_cross(&rec->cross);
        memcpy(b->cross.id, rec->cross.head.id, sizeof(b->cross.id));
        b->on = rec->cross.pollinated + (pb_day)rnd(400);
    } else {
        make_parent(&rec->parent);
        b->plant = rec->parent.plant;
    }
    b->began = b->on;
    if (b->kind == PB_FLASK && one_in(2)) {
        b->source_kind = one_in(2) ? PB_SEED : PB_FLASK;
        make_own_ref(pb_courses[b->source_kind].letter, &b->source);
        if (b->source_kind == PB_FLASK)
            b->began = b->on - (pb_day)rnd(100);
        if (b->began < PB_DAY_MIN)
            b->began = b->on;
    }
    make_batch_fields(b);
    b->place = maybe_text(PB_MAX_TEXT);
    b->note = maybe_text(PB_MAX_TEXT);
    make_looks(b->kind, b->on, b->units, &b->looks, &b->look_n);
    if (one_in(3))
        b->head.extra = make_extra(b->look_n > 0, b->look_n > 0 ? b->looks[0].id : "");
}

/* What is computed of a made record: the schema is to take it, the reader to pass it over. */
struct made_views {
    struct pb_cross_view cross;
    struct pb_batch_view batch;
    struct pb_tasks tasks;
    struct pb_task task[2];
    struct pb_doubt doubt;
    struct pb_doubts doubts;
    int by_stand[PB_STANDS_MAX];
    struct any_view view;
};

static inline void make_views(struct made_views *m, const struct pb_record *rec)
{
    const struct pb_course *c = &pb_courses[rec->kind];
    static char why[] = "the tag fell off";
    memset(m, 0, sizeof(*m));
    (void)strcpy(m->doubt.code, "AR-1");
    m->doubt.why = why;
    m->doubts = (struct pb_doubts){&m->doubt, rnd(2)};
    make_view(&m->cross, &rec->cross);
    m->cross.doubts = &m->doubts;
    for (size_t i = 0; i < PB_ARRAY_LEN(m->task); i++) {
        m->task[i].kind = (enum pb_task_kind)rnd(PB_TASK_N);
        m->task[i].span = pb_span_after(any_day(), 1, 3);
        m->task[i].done = one_in(3);
    }
    m->tasks.v = m->task;
    m->tasks.n = rnd(3);
    m->by_stand[rnd((uint32_t)c->stand_n)] = rec->batch.units;
    m->batch = (struct pb_batch_view){c->stands[rnd((uint32_t)c->stand_n)],
                                      rec->kind <= PB_FLASK && one_in(2) ? 7 : -1,
                                      m->by_stand,
                                      rec->batch.units,
                                      &m->tasks,
                                      &m->doubts};
    m->view = (struct any_view){&m->cross, &m->batch, &m->doubts};
}

static inline void make(struct pb_record *rec)
{
    pb_record_init(rec);
    rec->kind = (enum pb_kind)rnd(PB_KIND_N);
    if (rec->kind == PB_PLANT)
        make_plant(&rec->plant, &rec->more);
    else if (rec->kind == PB_CROSS)
        make_cross(&rec->cross);
    else
        make_batch(rec);
}

#endif
