/* Two books, A and B, that exchange records: steps in either, texts between them. */
#ifndef PB_TESTS_PAIR_H
#define PB_TESTS_PAIR_H

#include "books.h"

#include "act/amend.h"
#include "book/crosses.h"
#include "book/history.h"
#include "book/plants.h"

#include <stdlib.h>

enum { TODAY = 20514 }; /* 2026-03-02 */

/* ---- steps ------------------------------------------------------------------------------ */

static inline void plant(struct side *s, const char *code, const char *taxon,
                         const char *of)
{
    struct pb_err err = {0};
    struct pb_plant p;
    pb_plant_init(&p);
    (void)snprintf(p.head.code, sizeof(p.head.code), "%s", code);
    p.taxon = pb_text_copy(taxon);
    if (of != NULL) {
        p.origin = PB_ORIGIN_PUP;
        (void)snprintf(p.source.code, sizeof(p.source.code), "%s", of);
    }
    CLAIM(pb_act_plant(&s->act, &p, &err) == PB_OK, "%s: %s", code, err.text);
    pb_plant_clear(&p);
}

static inline void cross(struct side *s, const char *seed, const char *pollen,
                         int flowers)
{
    struct pb_err err = {0};
    struct pb_cross x;
    int entered = 0;
    pb_cross_init(&x);
    (void)snprintf(x.seed.plant.code, sizeof(x.seed.plant.code), "%s", seed);
    (void)snprintf(x.pollen[0].parent.plant.code, PB_MAX_CODE + 1, "%s", pollen);
    x.pollen_n = 1;
    x.pollinated = TODAY - 30;
    x.flowers = flowers;
    x.note = pb_text_copy("a note of the cross");
    CLAIM(pb_act_cross(&s->act, &x, &entered, &err) == PB_OK, "%s", err.text);
    pb_cross_clear(&x);
}

static inline void look(struct side *s, const char *code, enum pb_found found,
                        int count)
{
    struct pb_err err = {0};
    struct pb_cross x;
    struct pb_look l = {.on = TODAY - 20, .found = (int)found, .count = count};
    l.note = pb_text_copy("a note of the look");
    pb_cross_init(&x);
    CLAIM(pb_act_look(&s->act, code, &l, &x, &err) == PB_OK, "%s", err.text);
    pb_cross_clear(&x);
}

static inline void harvest(struct side *s, const char *code, pb_day on, int count)
{
    struct pb_err err = {0};
    struct pb_cross x;
    const struct pb_harvesting h = {
        code, {.on = on, .count = count},
         false, NULL
    };
    size_t made = 0;
    pb_cross_init(&x);
    CLAIM(pb_act_harvest(&s->act, &h, &x, &made, &err) == PB_OK, "%s", err.text);
    pb_cross_clear(&x);
}

static inline void amend(struct side *s, const char *code, const char *field,
                         const char *value)
{
    struct pb_err err = {0};
    struct pb_amended amended;
    const struct pb_field f = {field, value};
    CLAIM(pb_act_amend(&s->act, code, &f, 1, &amended, &err) == PB_OK, "%s", err.text);
    pb_amended_clear(&amended);
}

static inline void withdraw(struct side *s, const char *code)
{
    struct pb_err err = {0};
    CLAIM(pb_act_withdraw(&s->act, code, &err) == PB_OK, "%s", err.text);
}

static inline void undo(struct side *s)
{
    struct pb_err err = {0};
    struct pb_undone undone = {0};
    CLAIM(pb_act_undo(&s->act, 0, &undone, &err) == PB_OK, "%s", err.text);
    pb_undone_clear(&undone);
}

static inline void find(struct side *s, const char *code, struct pb_cross *x)
{
    bool found = false;
    pb_cross_init(x);
    assert_int_equal(
        pb_cross_find(s->act.book, PB_CROSS_BY_CODE, code, x, &found, NULL), PB_OK);
    CLAIM(found, "no cross %s", code);
}

static inline void find_plant(struct side *s, const char *code, struct pb_plant *p)
{
    bool found = false;
    pb_plant_init(p);
    assert_int_equal(
        pb_plant_find(s->act.book, PB_PLANT_BY_CODE, code, p, &found, NULL), PB_OK);
    CLAIM(found, "no plant %s", code);
}

static inline void tells(const char *claim, const char *told, const char *expected)
{
    CLAIM(strcmp(told, expected) == 0, "%s: told\n%sinstead of\n%s", claim, told,
          expected);
}

static inline int acts(struct side *s)
{
    int64_t n = 0;
    assert_int_equal(pb_history_newest(s->act.book, &n, NULL), PB_OK);
    return (int)n;
}

/* Two books, texts between them. */
struct pair {
    struct side a, b;
    struct pb_buf text;
};

/* A: AR-1, its pup AR-1b, GH-2, and X26-001 = AR-1b × GH-2 with one look. */
static inline int set_up(void **state)
{
    struct pair *p = calloc(1, sizeof(*p));
    if (p == NULL)
        return -1;
    side_open(&p->a, 1, TODAY);
    side_open(&p->b, 2, TODAY);
    pb_buf_init(&p->text, 1 << 22);
    plant(&p->a, "AR-1", "Anoectochilus roxburghii", NULL);
    plant(&p->a, "AR-1b", "Anoectochilus roxburghii", "AR-1");
    plant(&p->a, "GH-2", "Goodyera hispida", NULL);
    amend(&p->a, "GH-2", "source", "a friend");
    cross(&p->a, "AR-1b", "GH-2", 3);
    look(&p->a, "X26-001", PB_SWOLLEN, 3);
    *state = p;
    return 0;
}

static inline int tear_down(void **state)
{
    struct pair *p = *state;
    side_close(&p->a);
    side_close(&p->b);
    pb_buf_clear(&p->text);
    free(p);
    return 0;
}

/* All that A shares, into B. */
static inline const char *a_to_b(struct pair *p, bool notes)
{
    side_share(&p->a, NULL, notes, &p->text);
    return side_receive(&p->b, pb_buf_peek(&p->text));
}

static inline const char *b_to_a(struct pair *p)
{
    side_share(&p->b, NULL, false, &p->text);
    return side_receive(&p->a, pb_buf_peek(&p->text));
}

/* A test of a pair. */
#define T(f) cmocka_unit_test_setup_teardown(f, set_up, tear_down)

#endif
