/* Records by their typed code.  See find.h. */
#include "act/find.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

enum pb_kind pb_code_kind(const char *code, int *look)
{
    struct pb_own_code own;
    *look = 0;
    if (!pb_own_code_parse(code, &own)) {
        const char *slash = strchr(code, '/'); /* a look of a plant */
        int64_t number = 0;
        if (slash != NULL &&
            pb_parse_int("", slash + 1, 1, PB_MAX_LOOKS, &number, NULL) == PB_OK)
            *look = (int)number;
        return PB_PLANT;
    }
    *look = own.look;
    for (int k = 0; k < PB_KIND_N; k++)
        if (pb_courses[k].letter == own.letter)
            return (enum pb_kind)k;
    return PB_KIND_N;
}

enum pb_rc pb_not_found(struct pb_act *a, const char *what, enum pb_codes kind,
                        const char *code, struct pb_err *err)
{
    /* ORDER CODES */
    static const char *const names[PB_CODES_N] = {
        "record", "plant",   "cross",      "seed lot",
        "flask",  "cutting", "pollen lot", "cross, plant or taxon",
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
                             struct pb_err *err)
{
    int look = 0;
    enum pb_kind is = pb_code_kind(code, &look);
    return pb_fail_at(err, PB_EINVALID, what, 0,
                      "%s is the code of a %s, expected a %s", code,
                      is == PB_KIND_N ? "record of another kind"
                      : look > 0      ? "look"
                                      : pb_courses[is].noun,
                      expected);
}

/* A record is expected, and the code is one of a look?  Whoever does something to the
 * record then most likely meant the look. */
static enum pb_rc check_no_look(const char *what, const char *code,
                                const char *expected, int look, struct pb_err *err)
{
    if (look == 0)
        return PB_OK;
    return pb_fail_at(err, PB_EINVALID, what, 0,
                      "%s is the code of a look, expected a %s; podbook amend %s "
                      "found=... puts the look right",
                      code, expected, code);
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
    enum pb_kind kind = pb_code_kind(code, &look);
    if (kind != PB_PLANT)
        return wrong_kind(what, code, "plant", err);
    enum pb_rc rc = check_no_look(what, code, "plant", look, err);
    if (rc == PB_OK)
        rc = pb_plant_find(a->book, PB_PLANT_BY_CODE, code, p, &found, err);
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
    enum pb_kind kind = pb_code_kind(code, &look);
    if (kind != PB_PLANT)
        return wrong_kind(what, code, "plant", err);
    enum pb_rc rc = check_no_look(what, code, "plant", look, err);
    if (rc == PB_OK)
        rc = pb_plant_find_ref(a->book, code, &kept, &is_withdrawn, &found, err);
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
    enum pb_kind kind = pb_code_kind(code, &look);
    if (kind != PB_CROSS && kind != PB_PLANT)
        return wrong_kind(what, code, "cross", err);
    enum pb_rc rc = check_no_look(what, code, "cross", look, err);
    if (rc == PB_OK)
        rc = pb_cross_find(a->book, PB_CROSS_BY_CODE, code, x, &found, err);
    if (rc != PB_OK)
        return rc;
    if (!found && kind == PB_PLANT) {
        struct pb_plant p;
        bool plant = false;
        pb_plant_init(&p);
        rc = pb_plant_find(a->book, PB_PLANT_BY_CODE, code, &p, &plant, err);
        pb_plant_clear(&p);
        if (rc == PB_OK && plant)
            return wrong_kind(what, code, "cross", err);
    }
    if (rc == PB_OK && !found)
        return pb_not_found(a, what, PB_CODES_CROSS, code, err);
    if (rc != PB_OK)
        return rc;
    return x->head.withdrawn ? withdrawn(what, x->head.code, err) : PB_OK;
}

/* ORDER KIND, ORDER CODES */
_Static_assert((int)PB_CODES_GROWN - (int)PB_CODES_PLANT == (int)PB_KIND_N,
               "ORDER CODES");

static enum pb_codes code_kind(enum pb_kind kind)
{
    return kind < PB_KIND_N ? (enum pb_codes)(PB_CODES_PLANT + (int)kind)
                            : PB_CODES_RECORD;
}

enum pb_rc pb_find_batch(struct pb_act *a, const char *what, enum pb_kind kind,
                         const char *code, struct pb_batch *b, struct pb_err *err)
{
    int look = 0;
    bool found = false;
    enum pb_kind is = pb_code_kind(code, &look);
    const char *noun = kind < PB_KIND_N ? pb_courses[kind].noun : "record";
    bool fits = kind < PB_KIND_N ? is == kind : is >= PB_SEED && is < PB_KIND_N;
    if (!fits)
        return wrong_kind(what, code, noun, err);
    enum pb_rc rc = check_no_look(what, code, noun, look, err);
    if (rc == PB_OK)
        rc = pb_batch_find(a->book, PB_BATCH_BY_CODE, code, b, &found, err);
    if (rc != PB_OK)
        return rc;
    if (!found)
        return pb_not_found(a, what, code_kind(is), code, err);
    return b->head.withdrawn ? withdrawn(what, b->head.code, err) : PB_OK;
}

enum pb_rc pb_find_record(struct pb_act *a, const char *what, const char *code,
                          struct pb_looked *of, struct pb_err *err)
{
    struct pb_ref plant = {0, "", ""};
    struct pb_cross x;
    struct pb_batch b;
    int look = 0;
    enum pb_kind kind = pb_code_kind(code, &look);
    enum pb_rc rc = PB_OK;
    pb_cross_init(&x);
    pb_batch_init(&b, PB_SEED);
    if (kind == PB_PLANT)
        rc = pb_find_plant_ref(a, what, code, &plant, err);
    else if (kind == PB_CROSS)
        rc = pb_find_cross(a, what, code, &x, err);
    else
        rc = pb_find_batch(a, what, PB_KIND_N, code, &b, err);
    if (rc == PB_OK)
        *of = (struct pb_looked){kind, kind == PB_PLANT   ? plant.n
                                       : kind == PB_CROSS ? x.head.n
                                                          : b.head.n};
    pb_batch_clear(&b);
    pb_cross_clear(&x);
    return rc;
}

/* ---- looks ------------------------------------------------------------------------------ */

void pb_code_bare(const char *code, char bare[PB_BARE_CODE])
{
    int look = 0;
    (void)pb_code_kind(code, &look);
    size_t n = look > 0 ? strcspn(code, "/") : strlen(code);
    n = n < PB_BARE_CODE ? n : PB_BARE_CODE - 1;
    memcpy(bare, code, n);
    bare[n] = '\0';
}

enum pb_rc pb_pick_look(const char *code, struct pb_look *looks, size_t n, int number,
                        struct pb_look **look, struct pb_err *err)
{
    for (size_t i = 0; i < n; i++)
        if (looks[i].number == number) {
            *look = &looks[i];
            return PB_OK;
        }
    return pb_fail(err, PB_ENOTFOUND,
                   "%s has no look %d; podbook show %s lists its looks", code, number,
                   code);
}

enum pb_rc pb_find_look(struct pb_act *a, const char *code, struct pb_look *look,
                        struct pb_err *err)
{
    char bare[PB_BARE_CODE];
    int number = 0;
    struct pb_looked of;
    struct pb_look *looks = NULL, *found = NULL;
    size_t n = 0;
    (void)pb_code_kind(code, &number);
    pb_code_bare(code, bare);
    enum pb_rc rc = pb_find_record(a, NULL, bare, &of, err);
    if (rc == PB_OK)
        rc = pb_looks_load(a->book, of, &looks, &n, err);
    if (rc == PB_OK)
        rc = pb_pick_look(bare, looks, n, number, &found, err);
    if (rc == PB_OK) {
        *look = *found; /* its texts move over */
        pb_look_init(found);
    }
    for (size_t i = 0; i < n; i++)
        pb_look_clear(&looks[i]);
    free(looks);
    return rc;
}
