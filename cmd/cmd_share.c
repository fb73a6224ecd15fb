/* podbook share: records out as JSON. */
#include "act/share.h"
#include "base/text.h"
#include "out.h"
#include "table.h"

#include <stdio.h>

enum { CODES_MAX = 100000 };

static const struct opt opts[] = {
    {"with-notes", OPT_FLAG, NULL, "private texts too: note, source, papers, place", 0,
     0, NULL, 0},
};

static enum pb_rc print(void *ctx, const char *json, size_t n, struct pb_err *err)
{
    (void)ctx;
    if (fwrite(json, 1, n, stdout) == n && fputc('\n', stdout) != EOF)
        return PB_OK;
    return pb_fail(err, PB_EIO, "the output could not be written; is the disk full?");
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    const struct pb_share what = {args->words, args->word_n, args->vals[0].given};
    enum pb_rc rc = env_profiles(env, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_READ, err);
    return rc == PB_OK ? pb_act_share(&env->act, &what, print, NULL, err) : rc;
}

const struct cmd cmd_share = {
    .name = "share",
    .args = "[CODE...]",
    .arg_max = CODES_MAX,
    .summary = "print records as JSON, one a line, for another book or program",
    .notes = "Without a code: every plant that is or was here, every cross.\n"
             "Private texts stay at home unless --with-notes is given.",
    .step = STEP_SHARE,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
