/* podbook share: records out as JSON, or in the forms of gene banks and laboratories. */
#include "act/passport.h"
#include "base/text.h"
#include "exchange/replace.h"
#include "out.h"
#include "table.h"

#include <stdio.h>

enum { CODES_MAX = 100000 };

enum { OPT_NOTES, OPT_AS, OPT_OUT, OPT_COUNT };
static const struct opt opts[OPT_COUNT] = {
    {"with-notes", OPT_FLAG, NULL,   "private texts too: note, source, papers, place", 0,
     0,                                                                                      NULL,              0},
    {"as",         OPT_WORD, "FORM", "for a gene bank or a laboratory",                0, 0, pb_passport_names,
     PB_PASSPORT_N                                                                                               },
    {"out",        OPT_NAME, "FILE", "write to this file, replacing it whole",         0, 0, NULL,              0},
};

/* A record to standard output, or to the file (ctx) that is being written. */
static enum pb_rc print(void *ctx, const char *json, size_t n, struct pb_err *err)
{
    struct pb_replace *file = ctx;
    if (file != NULL) {
        enum pb_rc rc = pb_replace_write(file, json, n, err);
        return rc == PB_OK ? pb_replace_write(file, "\n", 1, err) : rc;
    }
    if (fwrite(json, 1, n, stdout) == n && fputc('\n', stdout) != EOF)
        return PB_OK;
    return pb_fail(err, PB_EIO, "the output could not be written; is the disk full?");
}

static enum pb_rc share(struct env *env, const struct args *args, void *ctx,
                        struct pb_err *err)
{
    const struct optval *as = &args->vals[OPT_AS];
    const struct pb_share what = {args->words, args->word_n,
                                  args->vals[OPT_NOTES].given};
    return as->given ? pb_act_passport(&env->act, &what, (enum pb_passport)as->number,
                                       print, ctx, err)
                     : pb_act_share(&env->act, &what, print, ctx, err);
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    const struct optval *as = &args->vals[OPT_AS], *out = &args->vals[OPT_OUT];
    struct pb_replace *file = NULL;
    if (as->given && as->number == PB_PASSPORT_MCPD && env->json)
        return pb_fail(err, PB_EINVALID, "--as mcpd is a table; leave --json out");
    enum pb_rc rc = env_book(env, PB_BOOK_READ, err);
    if (rc == PB_OK && out->given)
        rc = pb_replace_begin(out->text, &file, err);
    if (rc == PB_OK)
        rc = share(env, args, file, err);
    return pb_replace_end(file, rc, err);
}

const struct cmd cmd_share = {
    .name = "share",
    .args = "[CODE...]",
    .arg_max = CODES_MAX,
    .summary = "print records as JSON, one a line, for another book or program",
    .notes =
        "Without a code: every record, those too that have come to their end.\n"
        "Private texts stay at home unless --with-notes is given.\n"
        "--as mcpd: a table of passport descriptors, of the plants that are here and "
        "of\n"
        "crosses with seed or a flask. --as crossings: cross objects of the open "
        "Breeding\n"
        "API. podbook-share(1) says what goes where and what has no place there.",
    .step = STEP_SHARE,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
