/*
 * Doubtful parents in made books of every origin a plant can have, mixed pollen among them:
 * the marks above each record, and who stands under one, against a plain count of masks.
 */
#include "pair.h"

#include "book/doubts.h"

enum { BOOKS = 60, PLANTS = 16, CROSSES = PLANTS, FIRST_CROSS = PLANTS };

/* One made book: bit i of a mask is the mark of plant i, of cross i - FIRST_CROSS. */
struct made {
    struct side side;
    uint32_t random;
    uint32_t mark;                    /* who is marked */
    uint32_t above[PLANTS + CROSSES]; /* what each comes of, itself included */
    int cross_n;
};

static int pick(struct made *m, int n)
{
    m->random = unit_next(m->random);
    return (int)((m->random >> 16) % (uint32_t)n);
}

static const char *code_of(int i, char code[PB_MAX_CODE + 1])
{
    if (i < FIRST_CROSS)
        (void)snprintf(code, PB_MAX_CODE + 1, "P-%d", i);
    else
        (void)snprintf(code, PB_MAX_CODE + 1, "X26-%03d", i - FIRST_CROSS + 1);
    return code;
}

/* A cross of plants before i, its pollen of one to three of them. */
static int make_cross(struct made *m, int i)
{
    struct pb_err err = {0};
    struct pb_cross x;
    int entered = 0, node = FIRST_CROSS + m->cross_n++, seed = pick(m, i);
    uint32_t used = 0;
    pb_cross_init(&x);
    (void)code_of(seed, x.seed.plant.code);
    m->above[node] = UINT32_C(1) << node | m->above[seed];
    for (int k = pick(m, 3); k >= 0; k--) {
        int pollen = pick(m, i);
        if ((used & UINT32_C(1) << pollen) != 0)
            continue;
        used |= UINT32_C(1) << pollen;
        (void)code_of(pollen, x.pollen[x.pollen_n++].parent.plant.code);
        m->above[node] |= m->above[pollen];
    }
    x.pollinated = TODAY - 30 + m->cross_n; /* each after those that it descends from */
    x.flowers = 1;
    CLAIM(pb_act_cross(&m->side.act, &x, &entered, &err) == PB_OK, "%s", err.text);
    pb_cross_clear(&x);
    return node;
}

/* An origin for plant i among what there is already. */
static void make_origin(struct made *m, int i, struct pb_plant *p)
{
    int from = pick(m, i), other = pick(m, i);
    m->above[i] = UINT32_C(1) << i;
    switch (pick(m, 4)) {
    case 0:
        p->origin = PB_ORIGIN_PUP;
        (void)code_of(from, p->source.code);
        m->above[i] |= m->above[from];
        break;
    case 1:
        p->origin = PB_ORIGIN_PARENTS;
        (void)code_of(from, p->seed_parent.code);
        (void)code_of(other, p->pollen_parent.code);
        m->above[i] |= m->above[from] | m->above[other];
        break;
    case 2:
        p->origin = PB_ORIGIN_CROSS;
        from = make_cross(m, i);
        (void)code_of(from, p->from_cross.code);
        m->above[i] |= m->above[from];
        break;
    default:
        break;
    }
}

static void make(struct made *m, unsigned number)
{
    char code[PB_MAX_CODE + 1];
    memset(m, 0, sizeof(*m));
    m->random = number;
    side_open(&m->side, number, TODAY);
    for (int i = 0; i < PLANTS; i++) {
        struct pb_err err = {0};
        struct pb_plant p;
        pb_plant_init(&p);
        (void)code_of(i, p.head.code);
        p.taxon = pb_text_copy("Ludisia discolor");
        m->above[i] = UINT32_C(1) << i;
        if (i > 0)
            make_origin(m, i, &p);
        CLAIM(pb_act_plant(&m->side.act, &p, &err) == PB_OK, "%s", err.text);
        pb_plant_clear(&p);
    }
    for (int i = 0; i < FIRST_CROSS + m->cross_n; i++)
        if (pick(m, 8) == 0) {
            amend(&m->side, code_of(i, code), "doubtful", "who knows");
            m->mark |= UINT32_C(1) << i;
        }
}

/* The marks above one record, by their codes. */
static void check_above(struct made *m, int i)
{
    struct pb_doubts doubts = {NULL, 0};
    struct pb_err err = {0};
    uint32_t want = m->above[i] & m->mark, got = 0;
    char code[PB_MAX_CODE + 1];
    bool is_plant = i < FIRST_CROSS;
    int64_t row = is_plant ? i + 1 : i - FIRST_CROSS + 1; /* in the order of entry */
    enum pb_rc rc = pb_doubts_load(m->side.act.book, is_plant ? PB_PLANT : PB_CROSS,
                                   row, &doubts, &err);
    CLAIM(rc == PB_OK, "%s", err.text);
    for (size_t k = 0; k < doubts.n; k++)
        for (int j = 0; j < PLANTS + CROSSES; j++)
            if (strcmp(code_of(j, code), doubts.v[k].code) == 0) {
                CLAIM((got & UINT32_C(1) << j) == 0, "%s twice", code);
                CLAIM(doubts.v[k].own == (j == i) && (j != i || k == 0),
                      "the own mark of %s", code);
                got |= UINT32_C(1) << j;
            }
    CLAIM(got == want, "marks above %s: %x, expected %x", code_of(i, code), got, want);
    pb_doubts_clear(&doubts);
}

static void check_below(struct made *m)
{
    int64_t *rows = NULL;
    size_t n = 0, at = 0;
    struct pb_err err = {0};
    CLAIM(pb_doubted_plants(m->side.act.book, &rows, &n, &err) == PB_OK, "%s",
          err.text);
    for (int i = 0; i < PLANTS; i++)
        if ((m->above[i] & m->mark) != 0) {
            CLAIM(at < n && rows[at] == i + 1, "P-%d stands under a mark", i);
            at++;
        }
    CLAIM(at == n, "%zu plants stand under a mark, got %zu", at, n);
    free(rows);
}

static void made_books(void **state)
{
    (void)state;
    int under = 0, mixed = 0;
    for (unsigned number = 1; number <= BOOKS; number++) {
        struct made m;
        make(&m, number);
        for (int i = 0; i < FIRST_CROSS + m.cross_n; i++) {
            check_above(&m, i);
            under += (m.above[i] & m.mark & ~(UINT32_C(1) << i)) != 0;
        }
        mixed += m.cross_n;
        check_below(&m);
        side_close(&m.side);
    }
    /* the books say something */
    assert_true(under > 100 && mixed > 100);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(made_books),
    };
    return UNIT_MAIN("doubts", tests);
}
