/* podbook pollen: a stored pollen lot. */
#include "act/batch.h"
#include "base/text.h"
#include "out.h"
#include "print_batch.h"
#include "table.h"

#include <string.h>

enum { OPT_ON, OPT_KEPT, OPT_DRIED, OPT_NOTE, OPT_COUNT };
static const struct opt opts[OPT_COUNT] = {
    {"on",    OPT_DATE, "DATE", "day it was taken (default today)",       0, 0, NULL,          0        },
    {"kept",  OPT_WORD, "WORD", "where it is kept",                       0, 0, pb_kept_names, PB_KEPT_N},
    {"dried", OPT_FLAG, NULL,   "dried before it was put away",           0, 0, NULL,          0        },
    {"note",  OPT_TEXT, "TEXT", "anything else (shared only with notes)", 0, 0, NULL,          0        },
};

static enum pb_rc fill(struct env *env, const struct args *args, struct pb_batch *lot,
                       struct pb_err *err)
{
    const struct optval *v = args->vals;
    size_t n = strlen(args->words[0]);
    if (n == 0 || n > PB_MAX_CODE)
        return pb_fail(err, PB_EPARSE, "expected the code of a plant, got \"%s\"",
                       args->words[0]);
    memcpy(lot->plant.code, args->words[0], n + 1);
    lot->on = v[OPT_ON].given ? v[OPT_ON].day : env->act.today;
    lot->kept =
        v[OPT_KEPT].given ? (enum pb_pollen_kept)v[OPT_KEPT].number : PB_KEPT_NOT_SAID;
    lot->dried = v[OPT_DRIED].given;
    if (!v[OPT_NOTE].given)
        return PB_OK;
    enum pb_rc rc = pb_text_check("note", v[OPT_NOTE].text, PB_MAX_TEXT, err);
    if (rc == PB_OK) {
        lot->note = pb_text_copy(v[OPT_NOTE].text);
        rc = lot->note != NULL ? PB_OK : pb_fail_memory(err);
    }
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_batch lot;
    pb_batch_init(&lot, PB_POLLEN);
    enum pb_rc rc = fill(env, args, &lot, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_take(&env->act, &lot, err);
    if (rc == PB_OK)
        rc = print_batch(env, &lot, err);
    if (rc == PB_OK && !env->json && lot.kept == PB_KEPT_FREEZER && !lot.dried)
        remark("pollen that is frozen undried is often lost; dry it first");
    pb_batch_clear(&lot);
    return rc;
}

const struct cmd cmd_pollen = {
    .name = "pollen",
    .args = "PLANT",
    .arg_min = 1,
    .arg_max = 1,
    .summary = "enter a stored pollen lot",
    .notes = "The lot gets a code of its own (P26-001) that podbook cross takes as the "
             "pollen\n"
             "parent; the cross then keeps the age of the pollen. When it is used up:\n"
             "  podbook look P26-001 used-up",
    .step = STEP_POLLINATE,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
