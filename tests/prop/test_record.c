/*
 * Records as JSON, over many made ones: what is written is read back and written again
 * the same; and no damage to a line makes the reader do anything but refuse it or take it
 * for what it says.  PB_JSON_CORPUS=FILE: the made records also go there, one a line;
 * PB_JSON_TAKEN=FILE: the damaged lines that were taken.
 */
#include "unit.h"

#include "core/merge.h"
#include "exchange/record.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RECORDS = 2000, DAMAGED = 60000 };

/* ---- a small generator; the same numbers every run ------------------------------------ */

/* Source of the step: xorshift64*, Vigna (2016), ACM Trans. Math. Softw. 42:30. */
static uint64_t seed;

static uint32_t rnd(uint32_t n)
{
    seed ^= seed >> 12;
    seed ^= seed << 25;
    seed ^= seed >> 27;
    return (uint32_t)((seed >> 33) % n);
}

static bool one_in(uint32_t n)
{
    return rnd(n) == 0;
}

static void make_id(char id[PB_ID_TEXT])
{
    static const char hex[] = "0123456789abcdef";
    for (size_t i = 0; i < PB_ID_TEXT - 1; i++)
        id[i] = i == 8 || i == 13 || i == 18 || i == 23 ? '-' : hex[rnd(16)];
    id[PB_ID_TEXT - 1] = '\0';
}

/* Letters of one to four bytes, marks, and what JSON escapes; never a blank at an end. */
static char *make_text(size_t most)
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

static char *maybe_text(size_t most)
{
    return one_in(2) ? make_text(most) : NULL;
}

static void make_plant_code(char code[PB_MAX_CODE + 1])
{
    (void)snprintf(code, PB_MAX_CODE + 1, "%c%c.%u_%u", (int)('A' + rnd(26)),
                   (int)('a' + rnd(26)), (unsigned)rnd(1000), (unsigned)rnd(1000));
}

static void make_own_code(char letter, char code[PB_MAX_CODE + 1])
{
    pb_own_code_format(letter, pb_day_from_ymd(2000 + (int)rnd(60), 5, 1),
                       1 + (int64_t)rnd(20000), code);
}

static void make_plant_ref(struct pb_ref *ref)
{
    make_id(ref->id);
    make_plant_code(ref->code);
}

static void make_cross_ref(struct pb_ref *ref)
{
    make_id(ref->id);
    make_own_code('X', ref->code);
}

static pb_day any_day(void)
{
    return PB_DAY_MIN + (pb_day)rnd((uint32_t)(PB_DAY_MAX - PB_DAY_MIN) - 40000U);
}

/* x- keys as the reader keeps them: sorted, compact. */
static char *make_extra(bool looks, const char *look_id)
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

static void make_head(struct pb_head *head)
{
    make_id(head->id);
    head->revision = 1 + (int64_t)rnd(1000000000);
    head->modified = PB_DAY_MIN * 86400LL + (int64_t)rnd(2000000000) * 100;
    head->withdrawn = one_in(8);
    if (one_in(3))
        make_own_code("XPSFC"[rnd(5)], head -> origin_code);
}

/* ---- records -------------------------------------------------------------------------- */

static void make_plant(struct pb_plant *p, struct pb_plant_taxa *taxa)
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
        make_cross_ref(&p->from_cross);
    if (p->origin == PB_ORIGIN_PARENTS) {
        bool both = one_in(2), seed_alone = one_in(2);
        if (both || seed_alone) {
            make_plant_ref(&p->seed_parent);
            taxa->seed = make_text(PB_MAX_NAME);
        }
        if (both || !seed_alone) {
            make_plant_ref(&p->pollen_parent);
            taxa->pollen = make_text(PB_MAX_NAME);
        }
    }
    p->got = one_in(2) ? any_day() : PB_DAY_NONE;
    p->gone = (enum pb_gone)rnd(PB_GONE_N);
    p->gone_on = p->gone != PB_GONE_NOT && one_in(2) ? any_day() : PB_DAY_NONE;
    p->source_text = maybe_text(PB_MAX_TEXT);
    p->papers = maybe_text(PB_MAX_TEXT);
    p->place = maybe_text(PB_MAX_TEXT);
    p->note = maybe_text(PB_MAX_TEXT);
    p->head.extra = one_in(3) ? make_extra(false, NULL) : NULL;
}

static void make_parent(struct pb_parent *parent)
{
    make_plant_ref(&parent->plant);
    parent->taxon = make_text(PB_MAX_NAME);
    parent->ploidy = (int)rnd(PB_MAX_PLOIDY + 1);
    if (one_in(2)) {
        make_plant_ref(&parent->genet);
        parent->clone_name = maybe_text(PB_MAX_NAME);
    }
    if (one_in(3))
        make_cross_ref(&parent->raised_from);
}

static void make_events(struct pb_cross *x)
{
    x->look_n = rnd(5);
    x->looks = calloc(x->look_n + 1, sizeof(*x->looks));
    x->harvest_n = rnd(3);
    x->harvests = calloc(x->harvest_n + 1, sizeof(*x->harvests));
    assert_non_null(x->looks);
    assert_non_null(x->harvests);
    for (size_t i = 0; i < x->look_n; i++) {
        struct pb_look *look = &x->looks[i];
        make_id(look->id);
        look->number = (int)i + 1;
        look->on = x->pollinated + (pb_day)rnd(400);
        look->found = (enum pb_found)rnd(PB_FOUND_N);
        look->count = 1 + (int)rnd((uint32_t)x->flowers);
        look->note = maybe_text(PB_MAX_TEXT);
    }
    for (size_t i = 0; i < x->harvest_n; i++) {
        struct pb_harvest *h = &x->harvests[i];
        h->number = (int)i + 1;
        h->on = x->pollinated + (pb_day)rnd(400);
        h->as = (enum pb_as)rnd(PB_AS_N);
        h->count = 1 + (int)rnd((uint32_t)x->flowers);
        h->held_cold = one_in(3);
    }
}

static void make_cross(struct pb_cross *x)
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
    x->note = maybe_text(PB_MAX_TEXT);
    make_events(x);
    if (one_in(3))
        x->head.extra = make_extra(x->look_n > 0, x->look_n > 0 ? x->looks[0].id : "");
}

/* Anything that a view may say: the schema is to take it, the reader to pass it over. */
static void make_view(struct pb_cross_view *view, const struct pb_cross *x)
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

static void make(struct pb_record *rec)
{
    pb_record_init(rec);
    if (one_in(3)) {
        rec->kind = PB_PLANT;
        make_plant(&rec->plant, &rec->taxa);
    } else {
        rec->kind = PB_CROSS;
        make_cross(&rec->cross);
    }
}

static void write(const struct pb_record *rec, const struct pb_cross_view *view,
                  bool notes, struct pb_buf *out)
{
    struct pb_err err = {0};
    pb_buf_reset(out);
    enum pb_rc rc = rec->kind == PB_PLANT
                        ? pb_plant_write(&rec->plant, &rec->taxa, notes, out, &err)
                        : pb_cross_write(&rec->cross, view, notes, out, &err);
    CLAIM(rc == PB_OK, "%s", err.text);
}

/* ---- there and back ------------------------------------------------------------------- */

static bool same(const struct pb_record *a, const struct pb_record *b)
{
    bool answer = false;
    enum pb_rc rc = a->kind == PB_PLANT
                        ? pb_plant_same(&a->plant, &b->plant, true, &answer, NULL)
                        : pb_cross_same(&a->cross, &b->cross, true, &answer, NULL);
    assert_int_equal(rc, PB_OK);
    return answer;
}

static void keep_private(struct pb_record *theirs, const struct pb_record *ours)
{
    enum pb_rc rc =
        ours->kind == PB_PLANT
            ? pb_plant_keep_private(&theirs->plant, &ours->plant, false, NULL)
            : pb_cross_keep_private(&theirs->cross, &ours->cross, false, NULL);
    assert_int_equal(rc, PB_OK);
}

static void read_back(const struct pb_buf *text, struct pb_record *rec)
{
    struct pb_err err = {0};
    pb_record_init(rec);
    CLAIM(pb_record_read(NULL, 0, pb_buf_peek(text), text->len, rec, &err) == PB_OK,
          "%s: %s", err.text, pb_buf_peek(text));
}

/* One made record, written with and without notes, with what is computed and without. */
static void round_trip(FILE *corpus, struct pb_buf *full, struct pb_buf *other)
{
    struct pb_record rec, back;
    struct pb_cross_view view;
    make(&rec);
    if (rec.kind == PB_CROSS)
        make_view(&view, &rec.cross);
    write(&rec, NULL, true, full);
    read_back(full, &back);
    write(&back, NULL, true, other);
    assert_string_equal(pb_buf_peek(full), pb_buf_peek(other));
    assert_true(same(&rec, &back));
    pb_record_clear(&back);

    write(&rec, &view, true, other);
    if (corpus != NULL)
        (void)fprintf(corpus, "%s\n", pb_buf_peek(other));
    read_back(other, &back);
    write(&back, NULL, true, other);
    assert_string_equal(pb_buf_peek(full), pb_buf_peek(other));
    pb_record_clear(&back);

    write(&rec, NULL, false, other);
    read_back(other, &back);
    keep_private(&back, &rec);
    assert_true(same(&rec, &back));
    pb_record_clear(&back);
    pb_record_clear(&rec);
}

/* The file that a variable of the environment names, NULL where it does not. */
static FILE *file_in(const char *variable)
{
    const char *path = getenv(variable);
    FILE *f = path != NULL ? fopen(path, "wb") : NULL;
    assert_true(path == NULL || f != NULL);
    return f;
}

static void there_and_back(void **state)
{
    (void)state;
    struct pb_buf full, other;
    FILE *corpus = file_in("PB_JSON_CORPUS");
    pb_buf_init(&full, PB_MAX_RECORD);
    pb_buf_init(&other, PB_MAX_RECORD);
    seed = 20260302;
    for (int i = 0; i < RECORDS; i++)
        round_trip(corpus, &full, &other);
    if (corpus != NULL)
        assert_int_equal(fclose(corpus), 0);
    pb_buf_clear(&full);
    pb_buf_clear(&other);
}

/* ---- damage --------------------------------------------------------------------------- */

/* Change, drop, double or move some bytes: enough stays whole to get past the parser. */
static void damage(char *text, size_t *n, size_t max)
{
    static const char bits[] = "{}[],:\"\\0123456789.eE+-tfnx \x01\x7f\xc3\xff";
    uint32_t hits = 1 + rnd(3);
    while (hits-- > 0 && *n > 8) {
        size_t at = rnd((uint32_t)*n);
        size_t len = 1 + rnd(8);
        size_t from = rnd((uint32_t)(*n - 8));
        if (len > *n - at)
            len = *n - at;
        switch (rnd(5)) {
        case 0:
            text[at] = bits[rnd(sizeof(bits) - 1)];
            break;
        case 1:
            text[at] ^= (char)(1U << rnd(7));
            break;
        case 2:
            memmove(text + at, text + at + len, *n - at - len);
            *n -= len;
            break;
        case 3:
            memmove(text + at, text + from, len > 8 ? 8 : len);
            break;
        default:
            if (*n + len < max) {
                memmove(text + at + len, text + at, *n - at);
                *n += len;
            }
            break;
        }
    }
}

/* What the reader took of a damaged line is a record like any other. */
static void check_taken(const struct pb_record *rec)
{
    struct pb_record again;
    struct pb_buf first, second;
    pb_buf_init(&first, PB_MAX_RECORD);
    pb_buf_init(&second, PB_MAX_RECORD);
    write(rec, NULL, true, &first);
    read_back(&first, &again);
    write(&again, NULL, true, &second);
    assert_string_equal(pb_buf_peek(&first), pb_buf_peek(&second));
    pb_buf_clear(&first);
    pb_buf_clear(&second);
    pb_record_clear(&again);
}

static void damaged(void **state)
{
    (void)state;
    enum { MAX = 65536 };
    static char text[MAX];
    FILE *file = file_in("PB_JSON_TAKEN");
    struct pb_buf first;
    int taken = 0;
    pb_buf_init(&first, PB_MAX_RECORD);
    seed = 4711;
    for (int i = 0; i < DAMAGED; i++) {
        struct pb_record rec;
        struct pb_err err = {0};
        if (i % 50 == 0) {
            make(&rec);
            write(&rec, NULL, true, &first);
            pb_record_clear(&rec);
        }
        size_t n = first.len;
        assert_true(n < MAX);
        memcpy(text, pb_buf_peek(&first), n);
        damage(text, &n, MAX);
        pb_record_init(&rec);
        enum pb_rc rc = pb_record_read("f", 1, text, n, &rec, &err);
        CLAIM((rc == PB_OK) == (err.rc == PB_OK), "rc %d, error %d", (int)rc,
              (int)err.rc);
        CLAIM(rc == PB_OK || err.text[0] != '\0', "no reason");
        if (rc == PB_OK) {
            taken++;
            check_taken(&rec);
            if (file != NULL)
                (void)fprintf(file, "%.*s\n", (int)n, text);
        }
        pb_record_clear(&rec);
    }
    pb_buf_clear(&first);
    if (file != NULL)
        assert_int_equal(fclose(file), 0);
    CLAIM(taken > DAMAGED / 50 && taken < DAMAGED / 2, "%d of %d were taken", taken,
          DAMAGED);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(there_and_back),
        cmocka_unit_test(damaged),
    };
    return UNIT_MAIN("record", tests);
}
