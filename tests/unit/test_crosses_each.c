/* Many crosses in a row are read with the looks and harvests that each has alone. */
#include "books.h"

#include "book/crosses.h"
#include "book/plants.h"

enum {
    TODAY = 20514,
    CROSSES = 16,
    PATTERN = 7 /* bits: which of seven in a row have some */
};

static int64_t enter_plant(struct pb_act *a, const char *code)
{
    struct pb_plant p;
    pb_plant_init(&p);
    (void)snprintf(p.head.code, sizeof(p.head.code), "%s", code);
    p.taxon = pb_text_copy("Ludisia discolor");
    assert_non_null(p.taxon);
    pb_act_new_head(a, &p.head);
    assert_int_equal(pb_plant_insert(a->book, &p, NULL), PB_OK);
    int64_t n = p.head.n;
    pb_plant_clear(&p);
    return n;
}

/* Cross i has a look, a harvest, both or neither, as the bits say. */
static void enter_cross(struct pb_act *a, int64_t seed, int i, bool looked,
                        bool harvested)
{
    struct pb_cross x;
    struct pb_look look;
    struct pb_harvest harvest = {
        .number = 1, .on = TODAY - 1, .count = 1, .as = PB_AS_CLOSED};
    pb_cross_init(&x);
    pb_look_init(&look);
    (void)snprintf(x.head.code, sizeof(x.head.code), "X26-%03d", i + 1);
    pb_act_new_head(a, &x.head);
    x.seed.plant.n = seed;
    x.pollinated = TODAY - 30;
    x.flowers = 3;
    look.number = 1;
    look.on = TODAY - 2;
    look.found = PB_HOLDING;
    look.count = 1;
    pb_ids_next(a, look.id);
    x.looks = &look;
    x.look_n = looked;
    x.harvests = &harvest;
    x.harvest_n = harvested;
    assert_int_equal(pb_cross_insert(a->book, &x, true, NULL), PB_OK);
    if (looked && i % 3 == 0) /* as if there had never been one */
        assert_int_equal(pb_look_withdraw(a->book, look.n, NULL), PB_OK);
}

struct walk {
    struct pb_book *book;
    int n;
};

static enum pb_rc compare(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct walk *w = ctx;
    struct pb_cross alone;
    bool found = false;
    (void)err;
    pb_cross_init(&alone);
    assert_int_equal(
        pb_cross_find(w->book, PB_CROSS_BY_CODE, x->head.code, &alone, &found, NULL),
        PB_OK);
    CLAIM(found && x->look_n == alone.look_n && x->harvest_n == alone.harvest_n,
          "%s: %zu looks for %zu, %zu harvests for %zu", x->head.code, x->look_n,
          alone.look_n, x->harvest_n, alone.harvest_n);
    pb_cross_clear(&alone);
    w->n++;
    return PB_OK;
}

static void each_as_alone(void **state)
{
    (void)state;
    for (int pattern = 0; pattern < 1 << PATTERN; pattern++) {
        struct side s;
        struct pb_err err = {0};
        side_open(&s, 1, TODAY);
        assert_int_equal(pb_book_begin(s.act.book, "test", TODAY, 0, NULL), PB_OK);
        int64_t seed = enter_plant(&s.act, "LD-1");
        for (int i = 0; i < CROSSES; i++)
            enter_cross(&s.act, seed, i, (pattern >> i % PATTERN & 1) != 0,
                        (pattern >> i * 3 % PATTERN & 1) != 0);
        assert_int_equal(pb_book_end(s.act.book, PB_OK, NULL), PB_OK);
        for (enum pb_cross_set set = PB_CROSSES_DUE; set <= PB_CROSSES_EVERY; set++) {
            struct walk w = {s.act.book, 0};
            enum pb_rc rc = pb_crosses_each(s.act.book, set, 0, compare, &w, &err);
            CLAIM(rc == PB_OK && w.n == CROSSES, "pattern %d: %d crosses: %s", pattern,
                  w.n, err.text);
        }
        side_close(&s);
    }
}

int main(void)
{
    static const struct CMUnitTest tests[] = {cmocka_unit_test(each_as_alone)};
    return UNIT_MAIN("crosses_each", tests);
}
