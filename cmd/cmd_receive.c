/* podbook receive: records of another book. */
#include "act/receive.h"
#include "base/text.h"
#include "out.h"
#include "table.h"

#include <errno.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

enum { FAULTS_MAX = 100 }; /* bad lines that are told one by one */

struct receiving {
    struct env *env;
    const char *file;
    struct out out;
    size_t faults;
};

static const struct column columns[] = {
    {"line",     "", 0, false},
    {"kind",     "", 0, false},
    {"code",     "", 0, false},
    {"there",    "", 0, false},
    {"result",   "", 0, false},
    {"conflict", "", 0, false},
    {"why",      "", 0, false},
};

static enum pb_rc json_row(struct receiving *r, const struct pb_receipt *p,
                           struct pb_err *err)
{
    const struct pb_cell cells[] = {
        pb_cell_int(p->line),
        p->kind < PB_KIND_N ? pb_cell_text(pb_kind_names[p->kind]) : pb_cell_null(),
        pb_cell_text(p->code),
        pb_cell_text(p->there),
        pb_cell_text(p->bad ? "bad" : pb_merge_names[p->merge]),
        pb_cell_bool(p->conflict),
        pb_cell_text(p->why),
    };
    return out_row(&r->out, cells, err);
}

static void fault(struct receiving *r, const struct pb_receipt *p)
{
    if (r->faults++ < FAULTS_MAX)
        remark("%s:%ld: %s%s%s", r->file, p->line, p->there,
               p->there[0] != '\0' ? ": " : "", p->why);
}

/* What a grower should know of a line that is none of the many that went in as they are. */
static void tell(const struct pb_receipt *p)
{
    switch (p->merge) {
    case PB_MERGE_ADD:
        if (strcmp(p->code, p->there) != 0)
            say("%s  new here; %s there", p->code, p->there);
        break;
    case PB_MERGE_REPLACE:
        say("%s  replaced by theirs (revision %" PRId64 "; yours, %" PRId64
            ", is in the history)",
            p->code, p->revision, p->ours);
        break;
    case PB_MERGE_OLDER:
        say("%s  theirs is older (revision %" PRId64 ", yours %" PRId64
            "); yours stays",
            p->code, p->revision, p->ours);
        break;
    case PB_MERGE_CLASH:
        say("%s  was changed in both books (revision %" PRId64 "); yours stays",
            p->code, p->revision);
        break;
    case PB_MERGE_SAME:
    case PB_MERGE_N:
        break;
    }
    if (p->conflict)
        say("%s  its looks contradict each other: %s", p->code, p->why);
}

static enum pb_rc receipt(void *ctx, const struct pb_receipt *p, struct pb_err *err)
{
    struct receiving *r = ctx;
    if (p->bad)
        fault(r, p);
    if (r->env->json)
        return json_row(r, p, err);
    if (!p->bad)
        tell(p);
    return PB_OK;
}

static void summary(const struct receiving *r, const struct pb_received *sum)
{
    if (r->faults > FAULTS_MAX)
        remark("%s: %zu more bad lines", r->file, r->faults - FAULTS_MAX);
    if (r->env->json)
        return;
    say("%zu added, %zu replaced, %zu the same, %zu older, %zu clashed, %zu bad line%s",
        sum->merged[PB_MERGE_ADD], sum->merged[PB_MERGE_REPLACE],
        sum->merged[PB_MERGE_SAME], sum->merged[PB_MERGE_OLDER],
        sum->merged[PB_MERGE_CLASH], sum->bad, sum->bad == 1 ? "" : "s");
    if (sum->elsewhere > 0)
        say("%zu plant%s entered as elsewhere, because a record names %s",
            sum->elsewhere, sum->elsewhere == 1 ? "" : "s",
            sum->elsewhere == 1 ? "it" : "them");
}

static enum pb_rc receive(struct env *env, FILE *in, const char *file,
                          struct pb_err *err)
{
    struct receiving r = {.env = env, .file = file};
    struct pb_received sum;
    const struct pb_receiving what = {in, file, receipt, &r};
    out_begin(&r.out, env, columns, PB_ARRAY_LEN(columns));
    enum pb_rc rc = pb_act_receive(&env->act, &what, &sum, err);
    if (rc != PB_OK) {
        out_drop(&r.out);
        return rc;
    }
    if (env->json)
        out_end(&r.out, "");
    summary(&r, &sum);
    if (sum.bad > 0)
        env->status = 1;
    return PB_OK;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    const char *file = args->words[0];
    bool standard = strcmp(file, "-") == 0;
    enum pb_rc rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc != PB_OK)
        return rc;
    FILE *in = standard ? stdin : fopen(file, "rb");
    if (in == NULL)
        return pb_fail_at(err, PB_EIO, file, 0, "cannot be opened: %s",
                          strerror(errno)); /* NOLINT(concurrency-mt-unsafe) */
    rc = receive(env, in, standard ? "standard input" : file, err);
    if (!standard)
        (void)fclose(in);
    return rc;
}

const struct cmd cmd_receive = {
    .name = "receive",
    .args = "FILE",
    .arg_min = 1,
    .arg_max = 1,
    .summary = "take in the records that somebody shared",
    .notes =
        "FILE as podbook share prints it, - for standard input. Taking in the same\n"
        "file again changes nothing. A newer record replaces yours, an older one is\n"
        "left, and where both of you changed one, yours stays and you are told. A bad\n"
        "line is named and passed over (exit status 1); the good ones are kept.\n"
        "Plants that a record names and you do not have are entered as elsewhere.",
    .step = STEP_SHARE,
    .run = run,
};
