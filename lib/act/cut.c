/* Cuttings that become plants.  See cut.h. */
#include "act/cut.h"

#include "act/enter.h"
#include "base/text.h"
#include "book/offspring.h"

#include <stdlib.h>
#include <string.h>

/* The next code of a list joined by commas.
 *   list  in: what is left of it; out: the rest, NULL: that was the last */
static enum pb_rc next_code(const char **list, char code[PB_MAX_CODE + 1],
                            struct pb_err *err)
{
    size_t n = strcspn(*list, ",");
    if (n > PB_MAX_CODE)
        return pb_fail_at(err, PB_ELIMIT, "as", 0,
                          "a code has at most %d bytes, got \"%.*s\"", PB_MAX_CODE,
                          (int)n, *list);
    memcpy(code, *list, n);
    code[n] = '\0';
    *list = (*list)[n] == ',' ? *list + n + 1 : NULL;
    return PB_OK;
}

static int count_codes(const char *as)
{
    int n = 1;
    for (const char *p = as; *p != '\0'; p++)
        n += *p == ',';
    return n;
}

/* What does not hang on the book. */
static enum pb_rc check_asked(const struct pb_batch *b, struct pb_look *look,
                              const char *as, struct pb_err *err)
{
    const struct pb_course *c = &pb_courses[b->kind];
    const struct pb_finding *f = &c->findings[look->found];
    int n = count_codes(as);
    if ((f->flags & PB_ENTERS) == 0)
        return pb_fail_at(err, PB_EINVALID, "as", 0,
                          "a %s that is %s is no plant of its own yet", c->noun,
                          f->word);
    if (look->count == 0)
        look->count = n;
    if (look->count < n)
        return pb_fail_at(err, PB_EINVALID, "as", 0,
                          "%d plant%s cannot come out of %d %s%s", n, n == 1 ? "" : "s",
                          look->count, c->unit, look->count == 1 ? "" : "s");
    return PB_OK;
}

static struct pb_ref batch_ref(const struct pb_batch *b)
{
    struct pb_ref ref = {.n = b->head.n};
    memcpy(ref.id, b->head.id, sizeof(ref.id));
    memcpy(ref.code, b->head.code, sizeof(ref.code));
    return ref;
}

/* Days on which units were potted that stand in their pots, but for those whose plants are
 * out already. */
struct potted {
    pb_day *on; /* its own */
    size_t n;
};

static enum pb_rc potted_days(const struct pb_batch *b, struct potted *days,
                              struct pb_err *err)
{
    struct pb_life life = {0};
    size_t most = (size_t)b->units;
    enum pb_rc rc = pb_batch_replay(b, &life, err);
    days->on = rc == PB_OK ? calloc(most, sizeof(*days->on)) : NULL;
    if (rc == PB_OK && days->on == NULL)
        rc = pb_fail_memory(err);
    for (size_t i = 0; i < life.group_n && rc == PB_OK; i++) {
        const struct pb_life_group *g = &life.groups[i];
        bool stands = g->stand == PB_CUTTING_POTTED || g->stand == PB_CUTTING_SETTLED;
        for (int k = 0; k < g->count && stands; k++)
            days->on[days->n++] = g->on[PB_CUTTING_POTTED];
    }
    pb_life_clear(&life);
    return rc;
}

static void drop_day(struct potted *days, size_t i)
{
    days->on[i] = days->on[--days->n];
}

static enum pb_rc drop_plant(void *ctx, const struct pb_offspring *o,
                             struct pb_err *err)
{
    struct potted *days = ctx;
    (void)err;
    for (size_t i = 0; i < days->n; i++)
        if (days->on[i] == o->got) {
            drop_day(days, i);
            break;
        }
    return PB_OK;
}

/* The day that the next plant was potted: the first that no plant is of yet, at the latest
 * the day of the look. */
static pb_day next_potted(struct potted *days, pb_day look)
{
    size_t first = days->n;
    for (size_t i = 0; i < days->n; i++)
        if (days->on[i] <= look && (first == days->n || days->on[i] < days->on[first]))
            first = i;
    if (first == days->n)
        return look;
    pb_day on = days->on[first];
    drop_day(days, first);
    return on;
}

static enum pb_rc enter_plant(struct pb_act *a, const struct pb_batch *b,
                              const char *code, pb_day on, struct pb_err *err)
{
    struct pb_plant p;
    pb_plant_init(&p);
    memcpy(p.head.code, code, strlen(code) + 1);
    p.origin = PB_ORIGIN_CUTTING;
    p.source = b->plant;
    p.out_of = batch_ref(b);
    p.ploidy = b->ploidy;
    p.got = on;
    p.taxon = pb_text_copy(b->taxon);
    enum pb_rc rc = p.taxon != NULL ? pb_plant_enter(a, &p, err) : pb_fail_memory(err);
    pb_plant_clear(&p);
    return rc;
}

/* What is potted is potted that day; what stands in its pot already was before. */
static enum pb_rc enter_plants(struct pb_act *a, const struct pb_batch *b,
                               const struct pb_look *look, const char *as,
                               struct pb_err *err)
{
    const struct pb_finding *f = &pb_courses[b->kind].findings[look->found];
    const struct pb_ref me = batch_ref(b);
    struct potted days = {NULL, 0};
    char code[PB_MAX_CODE + 1];
    enum pb_rc rc = PB_OK;
    if ((f->from & PB_BIT(PB_CUTTING_POTTED)) != 0)
        rc = potted_days(b, &days, err);
    if (rc == PB_OK)
        rc = pb_offspring_of(a->book, PB_OFFSPRING_OF_BATCH, &me, drop_plant, &days,
                             err);
    while (rc == PB_OK && as != NULL) {
        rc = next_code(&as, code, err);
        if (rc == PB_OK)
            rc = enter_plant(a, b, code, next_potted(&days, look->on), err);
    }
    free(days.on);
    return rc;
}

enum pb_rc pb_cutting_look(struct pb_act *a, struct pb_batch *b, struct pb_look *look,
                           const char *as, struct pb_err *err)
{
    enum pb_rc rc = check_asked(b, look, as, err);
    if (rc == PB_OK)
        rc = pb_batch_look(a, b, look, err);
    if (rc == PB_OK)
        rc = enter_plants(a, b, look, as, err);
    return rc == PB_OK ? pb_batch_check_out(a, b, err) : rc;
}

/* Plants that are in the book as living. */
struct living {
    struct pb_buf codes;
    int n;
};

static enum pb_rc note_living(void *ctx, const struct pb_offspring *o,
                              struct pb_err *err)
{
    struct living *l = ctx;
    if (o->gone == PB_GONE_NOT)
        pb_buf_printf(&l->codes, "%s%s", l->n++ > 0 ? ", " : "", o->plant.code);
    return pb_buf_status(&l->codes, err);
}

enum pb_rc pb_batch_outlived(struct pb_act *a, const struct pb_batch *b,
                             struct pb_buf *codes, struct pb_err *err)
{
    const struct pb_ref me = batch_ref(b);
    struct potted days = {NULL, 0};
    struct living l = {.n = 0};
    if (b->kind != PB_CUTTING)
        return PB_OK;
    pb_buf_init(&l.codes, PB_BATCH_PLANTS_TEXT);
    enum pb_rc rc = potted_days(b, &days, err);
    if (rc == PB_OK)
        rc = pb_offspring_of(a->book, PB_OFFSPRING_OF_BATCH, &me, note_living, &l, err);
    if (rc == PB_OK && (size_t)l.n > days.n) {
        pb_buf_adds(codes, pb_buf_peek(&l.codes));
        rc = pb_buf_status(codes, err);
    }
    pb_buf_clear(&l.codes);
    free(days.on);
    return rc;
}
