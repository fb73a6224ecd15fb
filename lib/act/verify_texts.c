/* Texts of the book that cannot leave it.  See verify_texts.h. */
#include "act/verify_texts.h"

#include "act/fields.h"
#include "base/text.h"
#include "core/code_rule.h"

#include <stdio.h>

/* Whose texts are looked at, and who is told. */
struct reading {
    const struct pb_head *head;
    int look; /* 0: the record's own */
    pb_fault_each *each;
    void *ctx;
};

enum { SAID = 400, DONE = 200 };

/* What is to be done about a text that a field gives; NULL: none does. */
static void remedy_of(const struct reading *r, const char *field, char text[DONE])
{
    char look[16] = "";
    if (r->look > 0)
        (void)snprintf(look, sizeof(look), "/%d", r->look);
    if (field == NULL)
        (void)snprintf(text, DONE, "go back to a backup; no command writes it");
    else
        (void)snprintf(text, DONE, "%swrite it anew: podbook amend %s%s%s %s=TEXT",
                       r->head->withdrawn ? "take back that it was withdrawn (podbook "
                                            "history, podbook undo), then "
                                          : "",
                       r->head->code[0] == '-' ? "-- " : "", r->head->code, look,
                       field);
}

/* Tell a text of that name; field: what gives it, NULL: none does. */
static enum pb_rc tell(const struct reading *r, const char *name, const char *field,
                       const char *why, struct pb_err *err)
{
    char what[SAID], of[40] = "its ", remedy[DONE];
    if (r->look > 0)
        (void)snprintf(of, sizeof(of), "of its look %d the ", r->look);
    (void)snprintf(what, sizeof(what), "%s%s %.*s", of, name, SAID / 2, why);
    remedy_of(r, field, remedy);
    const struct pb_fault f = {PB_CHECK_TEXT, r->head->code, what, remedy};
    return r->each(r->ctx, &f, err);
}

static enum pb_rc judge_field(void *ctx, const struct pb_field_text *t,
                              struct pb_err *err)
{
    struct pb_err why = {0};
    return pb_text_check(t->name, t->text, t->most, &why) == PB_OK
               ? PB_OK
               : tell(ctx, t->name, t->name, why.text, err);
}

/* A code, and the field that gives it. */
static enum pb_rc judge_code(const struct reading *r, const struct pb_field_text *t,
                             enum pb_code_rule rule, const char *field,
                             struct pb_err *err)
{
    struct pb_err why = {0};
    char form[SAID / 2];
    if (pb_text_check(t->name, t->text, t->most, &why) != PB_OK)
        return tell(r, t->name, field, why.text, err);
    if (pb_code_fits(rule, t->text, &why) == PB_OK)
        return PB_OK;
    (void)snprintf(form, sizeof(form), "cannot be one: %.*s", SAID / 2 - 20, why.text);
    return tell(r, t->name, field, form, err);
}

/* A code that no field gives; one that is not there is passed over. */
static enum pb_rc judge_other(const struct reading *r, const char *name,
                              const char *code, enum pb_code_rule rule,
                              struct pb_err *err)
{
    const struct pb_field_text t = {name, code, PB_MAX_CODE};
    return code[0] == '\0' ? PB_OK : judge_code(r, &t, rule, NULL, err);
}

/* Only of plants a field gives the code. */
static enum pb_rc judge_head(const struct reading *r, enum pb_kind kind,
                             struct pb_err *err)
{
    const struct pb_head *h = r->head;
    const struct pb_field_text code = {"code", h->code, PB_MAX_CODE};
    struct pb_err why = {0};
    enum pb_rc rc = judge_code(r, &code, (enum pb_code_rule)kind,
                               kind == PB_PLANT ? "code" : NULL, err);
    if (rc == PB_OK)
        rc = judge_other(r, "code there", h->origin_code, PB_RULE_ANY, err);
    if (rc != PB_OK || h->extra == NULL ||
        pb_text_check("", h->extra, PB_MAX_EXTRA, &why) == PB_OK)
        return rc;
    return tell(r, "x- part", NULL, why.text, err);
}

enum pb_rc pb_verify_texts_looks(const struct pb_head *head,
                                 const struct pb_course *course,
                                 struct pb_look_list looks, pb_fault_each *each,
                                 void *ctx, struct pb_err *err)
{
    struct reading r = {head, 0, each, ctx};
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < looks.n && rc == PB_OK; i++) {
        r.look = looks.v[i].number;
        rc = pb_field_texts_look(&looks.v[i], course, judge_field, &r, err);
    }
    return rc;
}

enum pb_rc pb_verify_texts_plant(const struct pb_plant *p, pb_fault_each *each,
                                 void *ctx, struct pb_err *err)
{
    struct reading r = {&p->head, 0, each, ctx};
    enum pb_rc rc = judge_head(&r, PB_PLANT, err);
    if (rc == PB_OK)
        rc = pb_field_texts_plant(p, judge_field, &r, err);
    if (rc == PB_OK)
        rc = judge_other(&r, "code of its cross", p->from_cross.code, PB_RULE_CROSS,
                         err);
    return rc == PB_OK ? judge_other(&r, "code of what it came out of", p->out_of.code,
                                     PB_RULE_OUT_OF, err)
                       : rc;
}

enum pb_rc pb_verify_texts_cross(const struct pb_cross *x, pb_fault_each *each,
                                 void *ctx, struct pb_err *err)
{
    struct reading r = {&x->head, 0, each, ctx};
    enum pb_rc rc = judge_head(&r, PB_CROSS, err);
    if (rc == PB_OK)
        rc = pb_field_texts_cross(x, judge_field, &r, err);
    for (size_t i = 0; i < x->pollen_n && rc == PB_OK; i++)
        rc = judge_other(&r, "code of its stored pollen", x->pollen[i].lot,
                         PB_RULE_POLLEN, err);
    return rc == PB_OK
               ? pb_verify_texts_looks(&x->head, &pb_courses[PB_CROSS],
                                       (struct pb_look_list){x->looks, x->look_n}, each,
                                       ctx, err)
               : rc;
}

enum pb_rc pb_verify_texts_batch(const struct pb_batch *b, pb_fault_each *each,
                                 void *ctx, struct pb_err *err)
{
    struct reading r = {&b->head, 0, each, ctx};
    enum pb_rc rc = judge_head(&r, b->kind, err);
    if (rc == PB_OK)
        rc = pb_field_texts_batch(b, judge_field, &r, err);
    if (rc == PB_OK)
        rc = judge_other(&r, "code of its source", b->source.code, PB_RULE_SOWN, err);
    return rc == PB_OK
               ? pb_verify_texts_looks(&b->head, &pb_courses[b->kind],
                                       (struct pb_look_list){b->looks, b->look_n}, each,
                                       ctx, err)
               : rc;
}
