/* Records by their typed code.  See find.h. */
#include "act/find.h"

#include "base/text.h"
#include "book/pollens.h"

#include <string.h>

enum pb_code_form pb_code_form(const char *code, int *look)
{
    struct pb_own_code own;
    *look = 0;
    if (!pb_own_code_parse(code, &own))
        return PB_FORM_PLANT;
    *look = own.look;
    return own.letter == 'X'   ? PB_FORM_CROSS
           : own.letter == 'S' ? PB_FORM_SEED
           : own.letter == 'P' ? PB_FORM_POLLEN
                               : PB_FORM_OTHER;
}

enum pb_rc pb_not_found(struct pb_act *a, const char *what, enum pb_codes kind,
                        const char *code, struct pb_err *err)
{
    /* ORDER CODES */
    static const char *const names[PB_CODES_N] = {
        "record", "plant", "cross", "seed lot", "pollen lot", "cross, plant or taxon",
    };
    struct pb_near near = {.n = 0};
    struct pb_buf b;
    enum pb_rc rc = pb_codes_near(a->book, kind, code, &near, err);
    if (rc != PB_OK)
        return rc;
    pb_buf_init(&b, 256);
    for (size_t i = 0; i < near.n; i++)
        pb_buf_printf(&b, "%s%s",
                      i == 0           ? "; did you mean "
                      : i + 1 < near.n ? ", "
                                       : " or ",
                      near.code[i]);
    if (near.n > 0)
        pb_buf_addc(&b, '?');
    rc = pb_fail_at(err, PB_ENOTFOUND, what, 0, "no %s \"%s\" in the book%s",
                    names[kind], code, pb_buf_peek(&b));
    pb_buf_clear(&b);
    return rc;
}

static enum pb_rc wrong_kind(const char *what, const char *code, const char *expected,
                             enum pb_code_form is, struct pb_err *err)
{
    /* ORDER of enum pb_code_form */
    static const char *const names[] = {"plant", "cross", "seed lot", "pollen lot",
                                        "record of another kind"};
    return pb_fail_at(err, PB_EINVALID, what, 0,
                      "%s is the code of a %s, expected a %s", code, names[is],
                      expected);
}

static enum pb_rc withdrawn(const char *what, const char *code, struct pb_err *err)
{
    return pb_fail_at(err, PB_EINVALID, what, 0,
                      "%s was withdrawn; podbook history %s tells when", code, code);
}

enum pb_rc pb_find_plant(struct pb_act *a, const char *what, const char *code,
                         struct pb_plant *p, struct pb_err *err)
{
    int look = 0;
    bool found = false;
    enum pb_code_form form = pb_code_form(code, &look);
    if (form != PB_FORM_PLANT)
        return wrong_kind(what, code, "plant", form, err);
    enum pb_rc rc = pb_plant_find(a->book, PB_PLANT_BY_CODE, code, p, &found, err);
    if (rc != PB_OK)
        return rc;
    if (!found)
        return pb_not_found(a, what, PB_CODES_PLANT, code, err);
    return p->head.withdrawn ? withdrawn(what, p->head.code, err) : PB_OK;
}

enum pb_rc pb_find_plant_ref(struct pb_act *a, const char *what, const char *code,
                             struct pb_ref *ref, struct pb_err *err)
{
    int look = 0;
    bool found = false, is_withdrawn = false;
    struct pb_ref kept = {0, "", ""};
    enum pb_code_form form = pb_code_form(code, &look);
    if (form != PB_FORM_PLANT)
        return wrong_kind(what, code, "plant", form, err);
    enum pb_rc rc = pb_plant_find_ref(a->book, code, &kept, &is_withdrawn, &found, err);
    if (rc == PB_OK && !found)
        rc = pb_not_found(a, what, PB_CODES_PLANT, code, err);
    if (rc == PB_OK && is_withdrawn)
        rc = withdrawn(what, kept.code, err);
    if (rc == PB_OK)
        *ref = kept;
    return rc;
}

enum pb_rc pb_find_cross(struct pb_act *a, const char *what, const char *code,
                         struct pb_cross *x, struct pb_err *err)
{
    int look = 0;
    bool found = false;
    char bare[PB_MAX_CODE + 1] = "";
    enum pb_code_form form = pb_code_form(code, &look);
    if (form != PB_FORM_CROSS && form != PB_FORM_PLANT)
        return wrong_kind(what, code, "cross", form, err);
    size_t n = look > 0 ? strcspn(code, "/") : strlen(code);
    if (n > PB_MAX_CODE)
        return pb_not_found(a, what, PB_CODES_CROSS, code, err);
    memcpy(bare, code, n);
    bare[n] = '\0';
    enum pb_rc rc = pb_cross_find(a->book, PB_CROSS_BY_CODE, bare, x, &found, err);
    if (rc != PB_OK)
        return rc;
    if (!found && form == PB_FORM_PLANT) {
        struct pb_plant p;
        bool plant = false;
        pb_plant_init(&p);
        rc = pb_plant_find(a->book, PB_PLANT_BY_CODE, code, &p, &plant, err);
        pb_plant_clear(&p);
        if (rc == PB_OK && plant)
            return wrong_kind(what, code, "cross", form, err);
    }
    if (rc == PB_OK && !found)
        return pb_not_found(a, what, PB_CODES_CROSS, bare, err);
    if (rc != PB_OK)
        return rc;
    return x->head.withdrawn ? withdrawn(what, x->head.code, err) : PB_OK;
}

enum pb_rc pb_find_seed(struct pb_act *a, const char *what, const char *code,
                        struct pb_seed *s, struct pb_err *err)
{
    int look = 0;
    bool found = false;
    enum pb_code_form form = pb_code_form(code, &look);
    if (form != PB_FORM_SEED)
        return wrong_kind(what, code, "seed lot", form, err);
    enum pb_rc rc = pb_seed_find(a->book, code, s, &found, err);
    if (rc != PB_OK)
        return rc;
    if (!found)
        return pb_not_found(a, what, PB_CODES_SEED, code, err);
    return s->head.withdrawn ? withdrawn(what, s->head.code, err) : PB_OK;
}

enum pb_rc pb_find_pollen(struct pb_act *a, const char *what, const char *code,
                          struct pb_pollen_lot *lot, struct pb_err *err)
{
    int look = 0;
    bool found = false;
    enum pb_code_form form = pb_code_form(code, &look);
    if (form != PB_FORM_POLLEN)
        return wrong_kind(what, code, "pollen lot", form, err);
    enum pb_rc rc = pb_pollen_find(a->book, code, lot, &found, err);
    if (rc != PB_OK)
        return rc;
    if (!found)
        return pb_not_found(a, what, PB_CODES_POLLEN, code, err);
    return lot->head.withdrawn ? withdrawn(what, lot->head.code, err) : PB_OK;
}
