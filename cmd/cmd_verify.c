/* podbook verify: is the book sound? */
#include "act/verify.h"
#include "base/text.h"
#include "out.h"
#include "table.h"

#include <inttypes.h>

static const struct column columns[] = {
    {"check",  "", 0, false},
    {"code",   "", 0, false},
    {"what",   "", 0, false},
    {"remedy", "", 0, false},
};

static enum pb_rc tell_row(void *ctx, const struct pb_fault *f, struct pb_err *err)
{
    const struct pb_cell cells[] = {
        pb_cell_text(pb_check_names[f->check]),
        pb_cell_text(f->code),
        pb_cell_text(f->what),
        pb_cell_text(f->remedy),
    };
    return out_row(ctx, cells, err);
}

static enum pb_rc tell_person(void *ctx, const struct pb_fault *f, struct pb_err *err)
{
    (void)ctx;
    (void)err;
    say("%s: %s: %s\n  %s", f->code != NULL ? f->code : "the book",
        pb_check_names[f->check], f->what, f->remedy);
    return PB_OK;
}

static void sum_up(const struct pb_verified *v)
{
    if (v->faults > 0)
        say("%" PRId64 " fault%s%s", v->faults, v->faults == 1 ? "" : "s",
            v->damaged ? "; the file is damaged, so its records were not looked at"
                       : "");
    else
        say("The book is sound: %" PRId64 " plant%s, %" PRId64 " cross%s, %" PRId64
            " other record%s",
            v->plants, v->plants == 1 ? "" : "s", v->crosses,
            v->crosses == 1 ? "" : "es", v->batches, v->batches == 1 ? "" : "s");
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_verified v;
    struct pb_err why = {0};
    struct out o;
    (void)args;
    /* a broken file of profiles is no fault of the book */
    enum pb_rc rc = env_profiles(env, NULL);
    rc = rc == PB_ENOMEM ? pb_fail_memory(err) : env_book(env, PB_BOOK_CHECK, err);
    if (rc != PB_OK)
        return rc;
    out_begin(&o, env, columns, PB_ARRAY_LEN(columns));
    rc = pb_act_verify(&env->act, env->json ? tell_row : tell_person, &o, &v, &why);
    if (rc != PB_OK) {
        const char *where = rc == PB_ENOTFOUND ? pb_buf_peek(&env->path) : why.where;
        out_drop(&o);
        return pb_fail_at(err, rc, where, why.line, "%s", why.text);
    }
    env->status = v.faults > 0;
    if (env->json)
        out_end(&o, "");
    else
        sum_up(&v);
    return PB_OK;
}

const struct cmd cmd_verify = {
    .name = "verify",
    .args = "",
    .summary = "look whether the book is sound, and change nothing",
    .notes = "Says of each fault what is wrong and what to do. Exit status 1 where\n"
             "there is one.",
    .step = STEP_CARE,
    .untimed = true,
    .run = run,
};
