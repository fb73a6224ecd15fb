/* The words of a command line, one a line of the input, as far as the parser goes. */
#include "fuzz.h"

#include "../../cmd/opts.h"
#include "../../cmd/table.h"
#include "base/limits.h"

enum { MAX_WORDS = 64 };

static void second_pass(struct words *words, const struct cmd *cmd)
{
    struct args args;
    struct pb_err err = {0};
    if (args_read(words, cmd, FUZZ_TODAY, &args, &err) != PB_OK) {
        MUST(err.text[0] != '\0', "refused without a word");
        return;
    }
    MUST(args.word_n >= cmd->arg_min && args.word_n <= cmd->arg_max,
         "%s with %zu arguments", cmd->name, args.word_n);
    for (size_t i = 0; i < cmd->opt_n; i++) {
        const struct opt *o = &cmd->opts[i];
        const struct optval *v = &args.vals[i];
        if (!v->given)
            continue;
        MUST(o->type == OPT_FLAG || v->text != NULL, "--%s without a value", o->name);
        MUST(o->type != OPT_INT || (v->number >= o->low && v->number <= o->high),
             "--%s %s is outside its range", o->name, v->text);
        MUST(o->type != OPT_WORD || (v->number >= 0 && (size_t)v->number < o->word_n),
             "--%s %s is no word", o->name, v->text);
        MUST(o->type != OPT_DATE || (v->day >= PB_DAY_MIN && v->day <= PB_DAY_MAX),
             "--%s %s is no day", o->name, v->text);
    }
    args_clear(&args);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = fuzz_text(data, size), *rest = text;
    char program[] = "podbook", *argv[MAX_WORDS + 1] = {program};
    struct words words = {1, argv, 0, false};
    struct line line;
    struct pb_err err = {0};
    for (char *word; words.argc < MAX_WORDS && (word = fuzz_line(&rest)) != NULL;)
        argv[words.argc++] = word;
    if (line_read(&words, cmd_table, cmd_n, &line, &err) == PB_OK &&
        line.command != NULL) {
        const struct cmd *cmd = cmd_find(line.command);
        if (cmd != NULL)
            second_pass(&words, cmd);
        else
            (void)cmd_unknown(line.command, &err);
    }
    free(text);
    return 0;
}
