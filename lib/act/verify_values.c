/* Texts and numbers of the book that cannot leave it.  See verify_values.h. */
#include "act/verify_values.h"

#include "act/fields.h"
#include "base/text.h"
#include "core/code_rule.h"

#include <stdio.h>

/* Whose values are looked at, and who is told. */
struct reading {
    const struct pb_head *head;
    int look; /* 0: the record's own */
    pb_fault_each *each;
    void *ctx;
};

enum { SAID = 400, DONE = 200 };

/* What is to be done about the value of a field; NULL: no field gives it. */
static void remedy_of(const struct reading *r, const char *field, const char *value,
                      char text[DONE])
{
    char look[16] = "";
    if (r->look > 0)
        (void)snprintf(look, sizeof(look), "/%d", r->look);
    if (field == NULL)
        (void)snprintf(text, DONE, "go back to a backup; no command writes it");
    else
        (void)snprintf(text, DONE, "%swrite it anew: podbook amend %s%s%s %s=%s",
                       r->head->withdrawn ? "take back that it was withdrawn (podbook "
                                            "history, podbook undo), then "
                                          : "",
                       r->head->code[0] == '-' ? "-- " : "", r->head->code, look, field,
                       value);
}

/* Tell a value of that name; remedy: as of remedy_of. */
static enum pb_rc tell(const struct reading *r, enum pb_check check, const char *name,
                       const char *why, const char *remedy, struct pb_err *err)
{
    char what[SAID], of[40] = "its ";
    if (r->look > 0)
        (void)snprintf(of, sizeof(of), "of its look %d the ", r->look);
    (void)snprintf(what, sizeof(what), "%s%s %.*s", of, name, SAID / 2, why);
    const struct pb_fault f = {check, r->head->code, what, remedy};
    return r->each(r->ctx, &f, err);
}

/* Tell a text of that name; field: what gives it, NULL: none does. */
static enum pb_rc tell_text(const struct reading *r, const char *name,
                            const char *field, const char *why, struct pb_err *err)
{
    char remedy[DONE];
    remedy_of(r, field, "TEXT", remedy);
    return tell(r, PB_CHECK_TEXT, name, why, remedy, err);
}

static enum pb_rc tell_field(void *ctx, const struct pb_field_fault *f,
                             struct pb_err *err)
{
    const struct reading *r = ctx;
    char remedy[DONE];
    if (!f->is_number)
        return tell_text(r, f->name, f->name, f->why, err);
    remedy_of(r, f->name, "NUMBER", remedy);
    return tell(r, PB_CHECK_NUMBER, f->name, f->why, remedy, err);
}

/* A code of at most PB_MAX_CODE bytes, and the field that gives it. */
static enum pb_rc judge_code(const struct reading *r, const char *name,
                             const char *code, enum pb_code_rule rule,
                             const char *field, struct pb_err *err)
{
    struct pb_err why = {0};
    char form[SAID / 2];
    if (pb_text_check(name, code, PB_MAX_CODE, &why) != PB_OK)
        return tell_text(r, name, field, why.text, err);
    if (pb_code_fits(rule, code, &why) == PB_OK)
        return PB_OK;
    (void)snprintf(form, sizeof(form), "cannot be one: %.*s", SAID / 2 - 20, why.text);
    return tell_text(r, name, field, form, err);
}

/* A code that no field gives; one that is not there is passed over. */
static enum pb_rc judge_other(const struct reading *r, const char *name,
                              const char *code, enum pb_code_rule rule,
                              struct pb_err *err)
{
    return code[0] == '\0' ? PB_OK : judge_code(r, name, code, rule, NULL, err);
}

/* Only of plants a field gives the code. */
static enum pb_rc judge_head(const struct reading *r, enum pb_kind kind,
                             struct pb_err *err)
{
    const struct pb_head *h = r->head;
    struct pb_err why = {0};
    enum pb_rc rc = judge_code(r, "code", h->code, (enum pb_code_rule)kind,
                               kind == PB_PLANT ? "code" : NULL, err);
    if (rc == PB_OK)
        rc = judge_other(r, "code there", h->origin_code, PB_RULE_ANY, err);
    if (rc != PB_OK || h->extra == NULL ||
        pb_text_check("", h->extra, PB_MAX_EXTRA, &why) == PB_OK)
        return rc;
    return tell_text(r, "x- part", NULL, why.text, err);
}

/* The figures of seed viability go together. */
static enum pb_rc judge_seedlife(const struct reading *r, const struct pb_batch *b,
                                 struct pb_err *err)
{
    struct pb_err why = {0};
    char remedy[DONE];
    if (pb_seedlife_check(&b->constants, b->celsius, &why) == PB_OK)
        return PB_OK;
    remedy_of(r, "FIELD", "VALUE", remedy);
    return tell(r, PB_CHECK_NUMBER, "seed viability:", why.text, remedy, err);
}

enum pb_rc pb_verify_values_looks(const struct pb_head *head,
                                  const struct pb_course *course,
                                  struct pb_look_list looks, pb_fault_each *each,
                                  void *ctx, struct pb_err *err)
{
    struct reading r = {head, 0, each, ctx};
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < looks.n && rc == PB_OK; i++) {
        r.look = looks.v[i].number;
        rc = pb_field_faults_look(&looks.v[i], course, tell_field, &r, err);
    }
    return rc;
}

enum pb_rc pb_verify_values_plant(const struct pb_plant *p, pb_fault_each *each,
                                  void *ctx, struct pb_err *err)
{
    struct reading r = {&p->head, 0, each, ctx};
    enum pb_rc rc = judge_head(&r, PB_PLANT, err);
    if (rc == PB_OK)
        rc = pb_field_faults_plant(p, tell_field, &r, err);
    if (rc == PB_OK)
        rc = judge_other(&r, "code of its cross", p->from_cross.code, PB_RULE_CROSS,
                         err);
    return rc == PB_OK ? judge_other(&r, "code of what it came out of", p->out_of.code,
                                     PB_RULE_OUT_OF, err)
                       : rc;
}

enum pb_rc pb_verify_values_cross(const struct pb_cross *x, pb_fault_each *each,
                                  void *ctx, struct pb_err *err)
{
    struct reading r = {&x->head, 0, each, ctx};
    enum pb_rc rc = judge_head(&r, PB_CROSS, err);
    if (rc == PB_OK)
        rc = pb_field_faults_cross(x, tell_field, &r, err);
    for (size_t i = 0; i < x->pollen_n && rc == PB_OK; i++)
        rc = judge_other(&r, "code of its stored pollen", x->pollen[i].lot,
                         PB_RULE_POLLEN, err);
    return rc == PB_OK
               ? pb_verify_values_looks(&x->head, &pb_courses[PB_CROSS],
                                        (struct pb_look_list){x->looks, x->look_n},
                                        each, ctx, err)
               : rc;
}

enum pb_rc pb_verify_values_batch(const struct pb_batch *b, pb_fault_each *each,
                                  void *ctx, struct pb_err *err)
{
    struct reading r = {&b->head, 0, each, ctx};
    enum pb_rc rc = judge_head(&r, b->kind, err);
    if (rc == PB_OK)
        rc = pb_field_faults_batch(b, tell_field, &r, err);
    if (rc == PB_OK)
        rc = judge_other(&r, "code of its source", b->source.code, PB_RULE_SOWN, err);
    if (rc == PB_OK && b->kind == PB_SEED)
        rc = judge_seedlife(&r, b, err);
    return rc == PB_OK
               ? pb_verify_values_looks(&b->head, &pb_courses[b->kind],
                                        (struct pb_look_list){b->looks, b->look_n},
                                        each, ctx, err)
               : rc;
}
