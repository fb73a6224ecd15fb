/* podbook gone: a plant has left the collection. */
#include "act/batch.h"
#include "act/enter.h"
#include "base/text.h"
#include "out.h"
#include "print.h"
#include "table.h"

static const struct opt opts[] = {
    {"on", OPT_DATE, "DATE", "day it left (default today)", 0, 0, NULL, 0},
};

/* A cutting that it came out of may still be followed. */
static enum pb_rc remark_cutting(struct env *env, const struct pb_plant *p,
                                 struct pb_err *err)
{
    struct pb_batch b;
    struct pb_batch_outlook o = {0};
    bool found = false;
    if (p->out_of.n == 0)
        return PB_OK;
    pb_batch_init(&b, PB_CUTTING);
    enum pb_rc rc =
        pb_batch_find(env->act.book, PB_BATCH_BY_ID, p->out_of.id, &b, &found, err);
    if (rc == PB_OK && found)
        rc = pb_batch_outlook_make(&env->act, &b, &o, err);
    if (rc == PB_OK && b.kind == PB_CUTTING && o.life.by_stand[PB_CUTTING_POTTED] > 0)
        remark("%s still waits for it to settle; end that with podbook look %s %s "
               "--count 1",
               b.head.code, b.head.code, p->gone == PB_DEAD ? "died" : "given");
    pb_batch_outlook_clear(&o);
    pb_batch_clear(&b);
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_plant p;
    int open = 0;
    int gone = pb_name_find(pb_gone_names, PB_GONE_N, args->words[1]);
    pb_day on = args->vals[0].given ? args->vals[0].day : env->act.today;
    if (gone < 0)
        return pb_fail(err, PB_EPARSE,
                       "expected dead, sold, given or discarded, got \"%s\"",
                       args->words[1]);
    const struct pb_leaving leaving = {args->words[0], (enum pb_gone)gone, on};
    pb_plant_init(&p);
    enum pb_rc rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_gone(&env->act, &leaving, &p, &open, err);
    if (rc == PB_OK)
        rc = print_plant(env, &p, err);
    if (rc == PB_OK && open > 0)
        remark("%d open cross%s it carries leave%s what is due with it", open,
               open == 1 ? "" : "es", open == 1 ? "s" : "");
    if (rc == PB_OK)
        rc = remark_cutting(env, &p, err);
    pb_plant_clear(&p);
    return rc;
}

const struct cmd cmd_gone = {
    .name = "gone",
    .args = "PLANT dead|sold|given|discarded",
    .arg_min = 2,
    .arg_max = 2,
    .summary = "book a plant out of the collection",
    .notes =
        "It leaves what is due and the living collection; its records, its pups and\n"
        "its crosses stay. A flowered jewel orchid that slumps is not dead: the shoot\n"
        "lives on in pups at its nodes.",
    .step = STEP_CARE,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
