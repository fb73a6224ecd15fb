/* Cuttings that become plants.  See cut.h. */
#include "act/cut.h"

#include "act/enter.h"
#include "base/text.h"

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

static enum pb_rc enter_plant(struct pb_act *a, const struct pb_batch *b,
                              const char *code, pb_day on, struct pb_err *err)
{
    struct pb_plant p;
    pb_plant_init(&p);
    memcpy(p.head.code, code, strlen(code) + 1);
    p.origin = PB_ORIGIN_CUTTING;
    p.source = b->plant;
    p.out_of.n = b->head.n;
    memcpy(p.out_of.id, b->head.id, sizeof(p.out_of.id));
    memcpy(p.out_of.code, b->head.code, sizeof(p.out_of.code));
    p.ploidy = b->ploidy;
    p.got = on;
    p.taxon = pb_text_copy(b->taxon);
    enum pb_rc rc = p.taxon != NULL ? pb_plant_enter(a, &p, err) : pb_fail_memory(err);
    pb_plant_clear(&p);
    return rc;
}

enum pb_rc pb_cutting_look(struct pb_act *a, struct pb_batch *b, struct pb_look *look,
                           const char *as, struct pb_err *err)
{
    char code[PB_MAX_CODE + 1];
    enum pb_rc rc = check_asked(b, look, as, err);
    if (rc == PB_OK)
        rc = pb_batch_look(a, b, look, err);
    while (rc == PB_OK && as != NULL) {
        rc = next_code(&as, code, err);
        if (rc == PB_OK)
            rc = enter_plant(a, b, code, look->on, err);
    }
    return rc == PB_OK ? pb_batch_check_out(a, b, err) : rc;
}
