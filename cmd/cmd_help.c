/* Help, made from the same rows that parse.  See table.h. */
#include "table.h"

#include "base/text.h"
#include "out.h"

/* ORDER STEP */
static const char *const steps[STEP_N] = {
    "Pollinate and enter",
    "Watch",
    "Harvest",
    "Read the book",
    "Share with others",
    "Put right and look back",
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
        say("  %-22s %s", pb_buf_peek(&b), opts[i].help);
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
    say_wrapped("usage: ", 11, pb_buf_peek(&b));
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

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    const struct cmd *cmd = args->word_n > 0 ? cmd_find(args->words[0]) : NULL;
    if (args->word_n > 0 && cmd == NULL) {
        env->usage = true;
        return cmd_unknown(args->words[0], err);
    }
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
