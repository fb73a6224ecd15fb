/* Looks on records of whatever kind.  See look.h. */
#include "act/look.h"

#include "act/cut.h"
#include "act/enter.h"
#include "act/find.h"
#include "act/shoot.h"
#include "base/text.h"

static enum pb_rc copy_text(const char *text, char **copy, struct pb_err *err)
{
    if (text == NULL)
        return PB_OK;
    *copy = pb_text_copy(text);
    return *copy != NULL ? PB_OK : pb_fail_memory(err);
}

/* Each record gets a look of its own. */
static enum pb_rc copy_look(const struct pb_look *from, struct pb_look *look,
                            struct pb_err *err)
{
    *look = *from;
    look->scale = look->method = look->note = NULL;
    enum pb_rc rc = copy_text(from->scale, &look->scale, err);
    if (rc == PB_OK)
        rc = copy_text(from->method, &look->method, err);
    return rc == PB_OK ? copy_text(from->note, &look->note, err) : rc;
}

static enum pb_rc look_at_cross(struct pb_act *a, const char *code,
                                struct pb_look *look, struct pb_err *err)
{
    struct pb_cross x;
    pb_cross_init(&x);
    enum pb_rc rc = pb_cross_look(a, code, look, &x, err);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc look_at_plant(struct pb_act *a, const char *code,
                                struct pb_look *look, struct pb_err *err)
{
    struct pb_plant p;
    pb_plant_init(&p);
    enum pb_rc rc = pb_find_plant(a, NULL, code, &p, err);
    if (rc == PB_OK)
        rc = pb_shoot_look(a, &p, look, err);
    pb_plant_clear(&p);
    return rc;
}

static enum pb_rc look_at_batch(struct pb_act *a, const char *code, const char *as,
                                struct pb_look *look, struct pb_err *err)
{
    struct pb_batch b;
    pb_batch_init(&b, PB_SEED);
    enum pb_rc rc = pb_find_batch(a, NULL, PB_KIND_N, code, &b, err);
    if (rc == PB_OK)
        rc = as != NULL ? pb_cutting_look(a, &b, look, as, err)
                        : pb_batch_look(a, &b, look, err);
    pb_batch_clear(&b);
    return rc;
}

static enum pb_rc look_at(struct pb_act *a, const char *code,
                          const struct pb_looking *l, struct pb_err *err)
{
    struct pb_look look;
    int number = 0;
    enum pb_rc rc = copy_look(l->look, &look, err);
    if (rc != PB_OK) {
        pb_look_clear(&look);
        return rc;
    }
    switch (pb_code_kind(code, &number)) {
    case PB_PLANT:
        rc = look_at_plant(a, code, &look, err);
        break;
    case PB_CROSS:
    case PB_KIND_N: /* it says so */
        rc = look_at_cross(a, code, &look, err);
        break;
    case PB_SEED:
    case PB_FLASK:
    case PB_CUTTING:
    case PB_POLLEN:
        rc = look_at_batch(a, code, l->as, &look, err);
        break;
    }
    pb_look_clear(&look);
    return rc;
}

static enum pb_rc look_at_all(struct pb_act *a, const struct pb_looking *l,
                              struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (int64_t i = 0; i < l->codes.n && rc == PB_OK; i++) {
        struct pb_err why = {0};
        char code[PB_MAX_CODE + 1];
        const char *at = pb_code_range_at(&l->codes, i, code);
        rc = look_at(a, at, l, l->codes.is_range ? &why : err);
        if (rc != PB_OK && l->codes.is_range)
            rc = pb_fail_at(err, rc, at, 0, "%s%s%s", why.where,
                            why.where[0] != '\0' ? ": " : "", why.text);
    }
    return rc;
}

enum pb_rc pb_act_looks(struct pb_act *a, const struct pb_looking *l,
                        struct pb_err *err)
{
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = look_at_all(a, l, err);
    return pb_book_end(a->book, rc, err);
}
