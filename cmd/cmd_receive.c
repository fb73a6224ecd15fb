/* podbook receive: records of another book, and old spreadsheets. */
#include "act/receive.h"
#include "act/table_in.h"
#include "base/text.h"
#include "exchange/system.h"
#include "out.h"
#include "table.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

enum { FAULTS_MAX = 100 }; /* bad lines that are told one by one */
enum { ALIENS_MAX = 3 };   /* of them those that are no part of a record */

struct receiving {
    struct env *env;
    const char *file;
    struct out out;
    size_t faults, aliens; /* told or not; aliens beyond ALIENS_MAX are counted apart */
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
    r->aliens += p->alien;
    if (p->alien && r->aliens > ALIENS_MAX)
        return;
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
        if (p->revision == p->ours)
            say("%s  got their private texts; yours are in the history", p->code);
        else
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
    else if (p->why != NULL)
        say("%s  %s", p->code, p->why);
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
    if (r->aliens > ALIENS_MAX)
        remark(
            "%s: %zu more lines that are no JSON; podbook receive reads what podbook "
            "share prints",
            r->file, r->aliens - ALIENS_MAX);
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
    if (sum->yours > 0)
        say("%zu plant%s in your collection now; for plants that stay with their "
            "grower,\nundo it and say receive --elsewhere",
            sum->yours, sum->yours == 1 ? " is" : "s are");
}

static enum pb_rc receive(struct env *env, struct pb_receiving *what,
                          struct pb_err *err)
{
    struct receiving r = {.env = env, .file = what->file};
    struct pb_received sum;
    what->each = receipt;
    what->ctx = &r;
    out_begin(&r.out, env, columns, PB_ARRAY_LEN(columns));
    enum pb_rc rc = pb_act_receive(&env->act, what, &sum, err);
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

/* ---- tables ---------------------------------------------------------------------------- */

enum {
    OPT_ELSEWHERE,
    OPT_HERE,
    OPT_TABLE,
    OPT_AS,
    OPT_KEEP_GOOD,
    OPT_SEPARATOR,
    OPT_DATE_FORM,
    OPT_COUNT
};
static const struct opt opts[OPT_COUNT] = {
    {"elsewhere", OPT_FLAG, NULL,   "plants stay where they are, in the other collection",
     0,                                                                                       0, NULL,              0             },
    {"here",      OPT_FLAG, NULL,   "what its sender gave or sold has come here",          0, 0, NULL,
     0                                                                                                                            },
    {"table",     OPT_FLAG, NULL,   "FILE is a table, as spreadsheets write CSV",          0, 0, NULL,
     0                                                                                                                            },
    {"as",        OPT_WORD, "WORD", "what its rows are",                                   0, 0, pb_table_as_names,
     PB_TABLE_AS_N                                                                                                                },
    {"keep-good", OPT_FLAG, NULL,   "enter the good rows where others are bad",            0, 0,
     NULL,                                                                                                          0             },
    {"separator", OPT_TEXT, "C",    "what parts the cells: a character, or tab",           0, 0,
     NULL,                                                                                                          0             },
    {"date-form", OPT_WORD, "FORM", "how days are written, beside YYYY-MM-DD",             0, 0,
     pb_date_form_names,                                                                                            PB_DATE_FORM_N},
};

static const struct column note_columns[] = {
    {"line",   "", 0, false},
    {"column", "", 0, false},
    {"code",   "", 0, false},
    {"bad",    "", 0, false},
    {"why",    "", 0, false},
};

/* A bad row or a column that is left: in words, or as JSON. */
static enum pb_rc table_note(void *ctx, const struct pb_table_note *n,
                             struct pb_err *err)
{
    struct receiving *r = ctx;
    r->faults += n->bad;
    if (!n->bad || r->faults <= FAULTS_MAX)
        remark("%s:%ld: %s%s%s", r->file, n->line, n->column,
               !n->bad                ? " "
               : n->column[0] != '\0' ? ": "
                                      : "",
               n->why);
    if (!r->env->json)
        return PB_OK;
    const struct pb_cell cells[] = {
        pb_cell_int(n->line), pb_cell_text(n->column), pb_cell_text(n->code),
        pb_cell_bool(n->bad), pb_cell_text(n->why),
    };
    return out_row(&r->out, cells, err);
}

static enum pb_rc read_separator(const struct optval *v, char *separator,
                                 struct pb_err *err)
{
    *separator = '\0';
    if (!v->given)
        return PB_OK;
    *separator = v->text[0];
    if (strcmp(v->text, "tab") == 0)
        *separator = '\t';
    if (strcmp(v->text, "tab") != 0 &&
        (strlen(v->text) != 1 || (unsigned char)v->text[0] >= 128 ||
         strchr("\"\r\n \t", v->text[0]) != NULL))
        return pb_fail_at(err, PB_EPARSE, "separator", 0,
                          "expected one character of ASCII, or tab, got \"%s\"",
                          v->text);
    return PB_OK;
}

static enum pb_rc receive_table(struct env *env, FILE *in, const char *file,
                                const struct args *args, struct pb_err *err)
{
    const struct optval *v = args->vals;
    struct receiving r = {.env = env, .file = file};
    struct pb_table_sum sum = {0, 0};
    struct pb_table_ask ask = {.in = in,
                               .file = file,
                               .as = (enum pb_table_as)v[OPT_AS].number,
                               .dates = v[OPT_DATE_FORM].given
                                            ? (enum pb_date_form)v[OPT_DATE_FORM].number
                                            : PB_DATE_ISO,
                               .keep_good = v[OPT_KEEP_GOOD].given,
                               .each = table_note,
                               .ctx = &r};
    enum pb_rc rc = read_separator(&v[OPT_SEPARATOR], &ask.separator, err);
    if (rc != PB_OK)
        return rc;
    out_begin(&r.out, env, note_columns, PB_ARRAY_LEN(note_columns));
    rc = pb_act_table(&env->act, &ask, &sum, err);
    if (env->json)
        out_end(&r.out, "");
    if (r.faults > FAULTS_MAX)
        remark("%s: %zu more bad rows%s", file, r.faults - FAULTS_MAX,
               env->json ? "" : "; --json lists them all");
    if (rc == PB_OK && !env->json)
        say("%zu %s entered, %zu bad row%s", sum.entered,
            sum.entered != 1            ? pb_table_as_names[ask.as]
            : ask.as == PB_TABLE_PLANTS ? "plant"
                                        : "cross",
            sum.bad, sum.bad == 1 ? "" : "s");
    if (rc == PB_OK && sum.bad > 0)
        env->status = 1;
    return rc;
}

/* The options of a table go with --table, which wants --as. */
static enum pb_rc check_options(struct env *env, const struct args *args,
                                struct pb_err *err)
{
    if (args->vals[OPT_TABLE].given && !args->vals[OPT_AS].given)
        return env_usage(env, err,
                         "--table wants to know what its rows are: --as plants or "
                         "--as crosses");
    for (int i = OPT_AS; i < OPT_COUNT && !args->vals[OPT_TABLE].given; i++)
        if (args->vals[i].given)
            return env_usage(env, err, "--%s goes with --table", opts[i].name);
    for (int i = OPT_ELSEWHERE; i <= OPT_HERE && args->vals[OPT_TABLE].given; i++)
        if (args->vals[i].given)
            return env_usage(env, err, "--%s goes with records, not with --table",
                             opts[i].name);
    if (args->vals[OPT_ELSEWHERE].given && args->vals[OPT_HERE].given)
        return env_usage(env, err, "it is --here or --elsewhere, not both");
    return PB_OK;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    const char *file = args->words[0];
    bool standard = strcmp(file, "-") == 0;
    enum pb_rc rc = check_options(env, args, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc != PB_OK)
        return rc;
    FILE *in = standard ? stdin : fopen(file, "rb");
    if (in == NULL)
        return pb_fail_system(err, file, 0, "cannot be opened");
    file = standard ? "standard input" : file;
    struct pb_receiving what = {.in = in,
                                .file = file,
                                .stay = args->vals[OPT_ELSEWHERE].given,
                                .here = args->vals[OPT_HERE].given};
    rc = args->vals[OPT_TABLE].given ? receive_table(env, in, file, args, err)
                                     : receive(env, &what, err);
    if (!standard)
        (void)fclose(in);
    return rc;
}

const struct cmd cmd_receive = {
    .name = "receive",
    .args = "FILE",
    .arg_min = 1,
    .arg_max = 1,
    .summary = "take in the records that somebody shared, or a table",
    .notes =
        "FILE as podbook share prints it, - for standard input. Taking in the same\n"
        "file again changes nothing. A record of a higher revision replaces yours, "
        "which\n"
        "goes to the history, an older one is left; of two of one revision that "
        "differ\n"
        "yours stays and you are told. A bad line is named and passed over (exit "
        "status\n"
        "1); the good ones are kept.\n"
        "Plants that a record names and you do not have are entered as elsewhere; "
        "those\n"
        "whose own record comes are yours now, unless you say --elsewhere. What was\n"
        "given or sold there is closed, unless you say --here: it came to you.\n"
        "\n"
        "With --table FILE is an old spreadsheet saved as CSV: for plants the columns\n"
        "code, taxon, seed_parent, pollen_parent, clone_of, ploidy, got, source,\n"
        "papers, place, note; for crosses code, seed_parent, pollen_parent,\n"
        "pollinated, flowers, note.\n"
        "All rows go in or, where one is bad, none; --keep-good enters the good ones.",
    .step = STEP_SHARE,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
