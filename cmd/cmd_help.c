/* Help, made from the same rows that parse.  See table.h. */
#include "table.h"

#include "base/text.h"
#include "out.h"

enum { MAX_TEXT = 1 << 20 };

/* ORDER STEP */
static const char *const steps[STEP_N] = {
    "Pollinate and enter", "Watch",
    "Harvest and sow",     "Read the book",
    "Share with others",   "Put right and look back",
    "Care for the book",
};

static void print_all(void)
{
    say("podbook keeps hand pollinations of orchids, from pollen to capsule to plant.\n"
        "usage: podbook [--book FILE] [--today DATE] [--json] COMMAND ...");
    for (int step = 0; step < STEP_N; step++) {
        say("\n%s", steps[step]);
        for (size_t i = 0; i < cmd_n; i++)
            if (cmd_table[i]->step == (enum cmd_step)step)
                say("  %-10s %s", cmd_table[i]->name, cmd_table[i]->summary);
    }
    say("\nDates are YYYY-MM-DD, today, yesterday, -3d (three days ago), +2w.\n"
        "podbook help COMMAND tells more; so does man podbook-COMMAND.");
}

static void print_options(const struct opt *opts, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        struct pb_buf b;
        pb_buf_init(&b, 400);
        pb_buf_printf(&b, "--%s%s%s", opts[i].name, opts[i].arg != NULL ? " " : "",
                      opts[i].arg != NULL ? opts[i].arg : "");
        say("  %-22s %s", whole(&b), opts[i].help);
        for (size_t w = 0; w < opts[i].word_n; w++)
            if (opts[i].words[w] != NULL)
                say("  %-22s   %s", "", opts[i].words[w]);
        pb_buf_clear(&b);
    }
}

void help_print(const struct cmd *cmd)
{
    struct pb_buf b;
    if (cmd == NULL) {
        print_all();
        return;
    }
    pb_buf_init(&b, 4000);
    cmd_synopsis(cmd, &b);
    say_wrapped("usage: ", 11, whole(&b));
    pb_buf_clear(&b);
    say("\n%s: %s", cmd->name, cmd->summary);
    if (cmd->opt_n > 0) {
        say("\nOptions:");
        print_options(cmd->opts, cmd->opt_n);
    }
    say("\nOptions of every command:");
    print_options(common_opts, COMMON_N);
    if (cmd->notes != NULL)
        say("\n%s", cmd->notes);
}

/* ---- for machines ---------------------------------------------------------------------- */

static const char *const option_keys[] = {"option", "value", "words", "help"};

/* Append the options as a JSON array. */
static enum pb_rc options_json(const struct opt *opts, size_t n, struct pb_buf *out,
                               struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    pb_buf_addc(out, '[');
    for (size_t i = 0; i < n && rc == PB_OK; i++) {
        struct pb_buf lines, words;
        pb_buf_init(&lines, MAX_TEXT);
        pb_buf_init(&words, MAX_TEXT);
        for (size_t w = 0; w < opts[i].word_n; w++)
            if (opts[i].words[w] != NULL)
                pb_buf_printf(&lines, "%s\n", opts[i].words[w]);
        rc = pb_buf_status(&lines, err);
        if (rc == PB_OK)
            rc = out_lines_json(lines.data, &words, err);
        if (rc == PB_OK)
            rc = pb_buf_status(&words, err);
        const struct pb_cell cells[] = {
            pb_cell_text(opts[i].name),
            pb_cell_text(opts[i].arg),
            json_cell(&words),
            pb_cell_text(opts[i].help),
        };
        pb_buf_adds(out, i > 0 ? "," : "");
        if (rc == PB_OK)
            rc = pb_row_write(option_keys, cells, PB_ARRAY_LEN(option_keys), out, err);
        pb_buf_clear(&words);
        pb_buf_clear(&lines);
    }
    pb_buf_addc(out, ']');
    return rc;
}

static enum pb_rc command_json(const struct cmd *cmd, struct pb_buf *out,
                               struct pb_err *err)
{
    static const char *const keys[] = {"name",    "usage",   "step",
                                       "summary", "options", "notes"};
    struct pb_buf usage, options;
    pb_buf_init(&usage, MAX_TEXT);
    pb_buf_init(&options, MAX_TEXT);
    cmd_synopsis(cmd, &usage);
    enum pb_rc rc = options_json(cmd->opts, cmd->opt_n, &options, err);
    const struct pb_cell cells[] = {
        pb_cell_text(cmd->name),
        pb_cell_text(whole(&usage)),
        pb_cell_text(steps[cmd->step]),
        pb_cell_text(cmd->summary),
        json_cell(&options),
        pb_cell_text(cmd->notes),
    };
    if (rc == PB_OK)
        rc = pb_row_write(keys, cells, PB_ARRAY_LEN(keys), out, err);
    pb_buf_clear(&options);
    pb_buf_clear(&usage);
    return rc;
}

enum pb_rc help_json(const struct cmd *cmd, struct pb_err *err)
{
    struct pb_buf b;
    enum pb_rc rc = PB_OK;
    pb_buf_init(&b, MAX_TEXT);
    if (cmd != NULL)
        rc = command_json(cmd, &b, err);
    for (size_t i = 0; cmd == NULL && i < cmd_n && rc == PB_OK; i++) {
        pb_buf_adds(&b, i > 0 ? ",\n" : "[\n");
        rc = command_json(cmd_table[i], &b, err);
    }
    pb_buf_adds(&b, cmd == NULL ? "\n]" : "");
    if (rc == PB_OK)
        rc = pb_buf_status(&b, err);
    if (rc == PB_OK)
        out_json(whole(&b));
    pb_buf_clear(&b);
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    const struct cmd *cmd = args->word_n > 0 ? cmd_find(args->words[0]) : NULL;
    if (args->word_n > 0 && cmd == NULL) {
        env->usage = true;
        return cmd_unknown(args->words[0], err);
    }
    if (env->json)
        return help_json(cmd, err);
    help_print(cmd);
    return PB_OK;
}

const struct cmd cmd_help = {
    .name = "help",
    .args = "[COMMAND]",
    .arg_max = 1,
    .summary = "tell what the commands do",
    .step = STEP_CARE,
    .run = run,
};
