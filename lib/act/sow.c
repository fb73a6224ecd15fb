/* From seed to seedling.  See sow.h. */
#include "act/sow.h"

#include "act/enter.h"
#include "act/find.h"
#include "act/generation.h"
#include "base/text.h"
#include "core/progeny.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void pb_made_clear(struct pb_made *made)
{
    free(made->code);
    *made = (struct pb_made){NULL, 0};
}

void pb_deflasked_clear(struct pb_deflasked *d)
{
    pb_made_clear(&d->plants);
    d->generation = 0;
}

static enum pb_rc reserve(struct pb_made *made, int n, struct pb_err *err)
{
    made->n = 0;
    made->code = calloc((size_t)n, sizeof(*made->code));
    return made->code != NULL ? PB_OK : pb_fail_memory(err);
}

static void add_code(struct pb_made *made, const char code[PB_MAX_CODE + 1])
{
    memcpy(made->code[made->n++], code, sizeof(*made->code));
}

static void set_ref(struct pb_ref *ref, const struct pb_head *head)
{
    ref->n = head->n;
    memcpy(ref->id, head->id, sizeof(ref->id));
    memcpy(ref->code, head->code, sizeof(ref->code));
}

/* The look that is left on what something was taken from.
 *   amount  how many things, -1: not counted */
static enum pb_rc take_out(struct pb_act *a, struct pb_batch *from, int found,
                           pb_day on, int64_t amount, struct pb_err *err)
{
    struct pb_look look;
    pb_look_init(&look);
    look.on = on;
    look.found = found;
    look.amount = amount;
    enum pb_rc rc = pb_batch_look(a, from, &look, err);
    pb_look_clear(&look);
    return rc;
}

/* ---- into flasks ------------------------------------------------------------------------ */

/* Things in all flasks together, -1: not counted. */
static enum pb_rc sum_up(const struct pb_filling *f, int64_t *sum, struct pb_err *err)
{
    *sum = f->flask->amount >= 0 ? f->flask->amount * f->flasks : -1;
    if (*sum <= PB_MAX_COUNTED)
        return PB_OK;
    return pb_fail(err, PB_ELIMIT,
                   "%d times %" PRId64 " is %" PRId64 ", at most %d can be counted",
                   f->flasks, f->flask->amount, *sum, PB_MAX_COUNTED);
}

static enum pb_rc enter_flasks(struct pb_act *a, const struct pb_filling *f,
                               const struct pb_batch *from, struct pb_made *made,
                               struct pb_err *err)
{
    struct pb_batch *flask = f->flask;
    set_ref(&flask->source, &from->head);
    flask->source_kind = from->kind;
    flask->began = from->kind == PB_FLASK ? from->began : flask->on;
    flask->cross = from->cross;
    enum pb_rc rc = reserve(made, f->flasks, err);
    for (int i = 0; i < f->flasks && rc == PB_OK; i++) {
        memset(&flask->head, 0, sizeof(flask->head));
        rc = pb_batch_enter(a, flask, err);
        if (rc == PB_OK)
            add_code(made, flask->head.code);
    }
    return rc;
}

static enum pb_rc sow(struct pb_act *a, const struct pb_filling *f, bool all,
                      struct pb_made *made, struct pb_err *err)
{
    const struct pb_course *c = &pb_courses[PB_SEED];
    struct pb_batch lot;
    int64_t seeds = -1;
    pb_batch_init(&lot, PB_SEED);
    enum pb_rc rc = sum_up(f, &seeds, err);
    if (rc == PB_OK)
        rc = pb_find_batch(a, NULL, PB_SEED, f->from, &lot, err);
    if (rc == PB_OK)
        rc = take_out(a, &lot, pb_finding_find(c, "sown"), f->flask->on, seeds, err);
    if (rc == PB_OK && all)
        rc = take_out(a, &lot, pb_finding_find(c, "used-up"), f->flask->on, -1, err);
    if (rc == PB_OK)
        rc = enter_flasks(a, f, &lot, made, err);
    pb_batch_clear(&lot);
    return rc;
}

enum pb_rc pb_act_sow(struct pb_act *a, const struct pb_filling *f, bool all,
                      struct pb_made *made, struct pb_err *err)
{
    struct pb_made m = {NULL, 0};
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = sow(a, f, all, &m, err);
    rc = pb_book_end(a->book, rc, err);
    if (rc == PB_OK)
        *made = m;
    else
        pb_made_clear(&m);
    return rc;
}

static enum pb_rc replate(struct pb_act *a, const struct pb_filling *f,
                          enum pb_emptying how, struct pb_made *made,
                          struct pb_err *err)
{
    /* ORDER EMPTYING */
    static const int found[] = {PB_FLASK_ALL_REPLATED, PB_FLASK_PART_REPLATED,
                                PB_FLASK_RESCUED_TO_FLASKS};
    struct pb_batch flask;
    int64_t moved = -1;
    pb_batch_init(&flask, PB_FLASK);
    enum pb_rc rc = sum_up(f, &moved, err);
    if (rc == PB_OK)
        rc = pb_find_batch(a, NULL, PB_FLASK, f->from, &flask, err);
    if (rc == PB_OK)
        rc = take_out(a, &flask, found[how], f->flask->on, moved, err);
    if (rc == PB_OK)
        rc = enter_flasks(a, f, &flask, made, err);
    pb_batch_clear(&flask);
    return rc;
}

enum pb_rc pb_act_replate(struct pb_act *a, const struct pb_filling *f,
                          enum pb_emptying how, struct pb_made *made,
                          struct pb_err *err)
{
    struct pb_made m = {NULL, 0};
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = replate(a, f, how, &m, err);
    rc = pb_book_end(a->book, rc, err);
    if (rc == PB_OK)
        *made = m;
    else
        pb_made_clear(&m);
    return rc;
}

/* ---- out of them ------------------------------------------------------------------------ */

/* ORDER EMPTYING; a compot takes all that there is */
static int deflask_found(const struct pb_deflasking *d)
{
    static const int plants[] = {PB_FLASK_ALL_DEFLASKED, PB_FLASK_PART_DEFLASKED,
                                 PB_FLASK_RESCUED};
    static const int compot[] = {PB_FLASK_TO_COMPOT, PB_FLASK_TO_COMPOT,
                                 PB_FLASK_RESCUED_TO_COMPOT};
    return d->compot ? compot[d->how] : plants[d->how];
}

static enum pb_rc name_seedlings(const struct pb_deflasking *d,
                                 const struct pb_cross *x, struct pb_buf *taxon,
                                 struct pb_err *err)
{
    struct pb_err why = {0};
    if (d->taxon != NULL) {
        pb_buf_adds(taxon, d->taxon);
        return pb_buf_status(taxon, err);
    }
    enum pb_rc rc = pb_progeny_taxon(x, taxon, &why);
    if (rc == PB_ELIMIT)
        return pb_fail(err, PB_ELIMIT,
                       "the name of the seedlings is longer than %d bytes; give "
                       "another with --taxon",
                       PB_MAX_NAME);
    return rc == PB_OK ? rc : pb_fail(err, rc, "%s", why.text);
}

static enum pb_rc seedling_code(const struct pb_deflasking *d,
                                const struct pb_batch *flask, int i,
                                char code[PB_MAX_CODE + 1], struct pb_err *err)
{
    const char *prefix = d->prefix != NULL ? d->prefix : flask->head.code;
    char text[PB_MAX_CODE + 16]; /* a number of any length behind any code fits */
    int n = snprintf(text, sizeof(text), "%s%s%d", prefix, d->prefix != NULL ? "" : "-",
                     d->first + i);
    if (n < 0 || n > PB_MAX_CODE)
        return pb_fail_at(
            err, PB_ELIMIT, "prefix", 0,
            "with its number \"%s\" is longer than the %d bytes of a code", prefix,
            PB_MAX_CODE);
    memcpy(code, text, (size_t)n + 1);
    return pb_code_check("prefix", code, err);
}

static enum pb_rc enter_seedling(struct pb_act *a, struct pb_plant *p,
                                 struct pb_err *err)
{
    struct pb_err why = {0};
    enum pb_rc rc = pb_plant_enter(a, p, &why);
    if (rc == PB_ECONFLICT)
        return pb_fail_at(err, rc, "prefix", 0,
                          "%s; the plants can begin at another number with --first",
                          why.text);
    return rc != PB_OK ? pb_fail_at(err, rc, why.where, why.line, "%s", why.text) : rc;
}

static enum pb_rc enter_seedlings(struct pb_act *a, const struct pb_deflasking *d,
                                  const struct pb_batch *flask, struct pb_plant *like,
                                  struct pb_made *made, struct pb_err *err)
{
    enum pb_rc rc = reserve(made, d->plants, err);
    for (int i = 0; i < d->plants && rc == PB_OK; i++) {
        memset(&like->head, 0, sizeof(like->head));
        rc = seedling_code(d, flask, i, like->head.code, err);
        if (rc == PB_OK)
            rc = enter_seedling(a, like, err);
        if (rc == PB_OK)
            add_code(made, like->head.code);
    }
    return rc;
}

static enum pb_rc copy(const char *text, char **to, struct pb_err *err)
{
    *to = text != NULL ? pb_text_copy(text) : NULL;
    return text != NULL && *to == NULL ? pb_fail_memory(err) : PB_OK;
}

/* The plants that came out: they differ in their codes alone. */
static enum pb_rc raise_plants(struct pb_act *a, const struct pb_deflasking *d,
                               const struct pb_batch *flask, struct pb_deflasked *out,
                               struct pb_err *err)
{
    struct pb_cross x;
    struct pb_plant p;
    struct pb_buf taxon;
    pb_cross_init(&x);
    pb_plant_init(&p);
    pb_buf_init(&taxon, PB_MAX_NAME);
    p.origin = PB_ORIGIN_CROSS;
    p.from_cross = flask->cross;
    set_ref(&p.out_of, &flask->head);
    p.got = d->on;
    enum pb_rc rc = pb_find_cross(a, NULL, flask->cross.code, &x, err);
    if (rc == PB_OK)
        rc = name_seedlings(d, &x, &taxon, err);
    if (rc == PB_OK)
        rc = copy(pb_buf_peek(&taxon), &p.taxon, err);
    if (rc == PB_OK)
        rc = copy(d->place, &p.place, err);
    if (rc == PB_OK)
        rc = copy(d->note, &p.note, err);
    if (rc == PB_OK)
        rc = enter_seedlings(a, d, flask, &p, &out->plants, err);
    if (rc == PB_OK)
        rc = pb_cross_generation(a, &x, &out->generation, err);
    pb_buf_clear(&taxon);
    pb_plant_clear(&p);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc deflask(struct pb_act *a, const struct pb_deflasking *d,
                          struct pb_deflasked *out, struct pb_err *err)
{
    struct pb_batch flask;
    int64_t amount = d->plants > 0 ? d->plants : -1;
    pb_batch_init(&flask, PB_FLASK);
    enum pb_rc rc = pb_find_batch(a, NULL, PB_FLASK, d->flask, &flask, err);
    if (rc == PB_OK)
        rc = take_out(a, &flask, deflask_found(d), d->on, amount, err);
    if (rc == PB_OK && !d->compot)
        rc = raise_plants(a, d, &flask, out, err);
    pb_batch_clear(&flask);
    return rc;
}

enum pb_rc pb_act_deflask(struct pb_act *a, const struct pb_deflasking *d,
                          struct pb_deflasked *out, struct pb_err *err)
{
    struct pb_deflasked made = {
        {NULL, 0},
        0
    };
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = deflask(a, d, &made, err);
    rc = pb_book_end(a->book, rc, err);
    if (rc == PB_OK)
        *out = made;
    else
        pb_deflasked_clear(&made);
    return rc;
}
