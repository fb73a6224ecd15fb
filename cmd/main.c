/* podbook: find the command, run it, print what went wrong, say it in the exit status. */
#include "act/learn.h"
#include "base/text.h"
#include "book/book.h"
#include "env.h"
#include "out.h"
#include "table.h"

#include <signal.h>
#include <stdio.h>
#include <string.h>

enum { EXIT_DONE, EXIT_FAILED, EXIT_USAGE };

/* The one place that prints an error.  It needs no memory. */
static int failed_after(const char *command, const struct pb_err *err, bool usage,
                        bool kept)
{
    char line[32] = ": ";
    const char *where = err->where, *name = command != NULL ? command : "";
    if (err->line > 0)
        (void)snprintf(line, sizeof(line), ":%ld: ", err->line);
    (void)fflush(stdout);
    remark("%s%s%s%s%s%s", name, name[0] != '\0' ? ": " : "", where,
           where[0] != '\0' ? line : "", err->text,
           kept ? "; the book has kept what the command did" : "");
    return usage ? EXIT_USAGE : EXIT_FAILED;
}

static int failed(const char *command, const struct pb_err *err, bool usage)
{
    return failed_after(command, err, usage, false);
}

/* Has all that was printed been written?  Where there is a book the act is done. */
static enum pb_rc written(const struct env *env, struct pb_err *err)
{
    static const char history[] = "; podbook history tells what was kept";
    const char *kept = env != NULL && env->act.book != NULL ? history : "";
    enum pb_rc rc = env != NULL ? pb_learn_status(&env->act, err) : PB_OK;
    if (rc == PB_OK && kept[0] != '\0')
        rc = pb_book_check_same(env->act.book, err);
    if (rc != PB_OK)
        return rc;
    rc = out_status();
    if (rc == PB_OK && (fflush(stdout) != 0 || ferror(stdout)))
        return pb_fail(err, PB_EIO,
                       "the output could not be written (is the disk full?)%s", kept);
    if (rc == PB_OK)
        return PB_OK;
    return pb_fail(err, rc, "%s, so the output is not whole%s",
                   rc == PB_ENOMEM ? "out of memory" : "a text is too long", kept);
}

static int run(const struct cmd *cmd, const struct line *line, struct words *words)
{
    struct env env;
    struct args args;
    struct pb_err err = {0};
    int status = EXIT_DONE;
    enum pb_rc rc = env_init(&env, line, words->argc, words->argv, &err);
    env.cmd = cmd;
    if (rc == PB_OK) {
        rc = args_read(words, cmd, env.act.today, &args, &err);
        if (rc == PB_OK) {
            rc = cmd->run(&env, &args, &err);
            args_clear(&args);
        }
    }
    /* an act that is kept stays, whatever cannot be told of it then */
    bool kept = rc != PB_OK && env.act.book != NULL && pb_book_has_kept(env.act.book);
    if (rc == PB_OK)
        rc = written(&env, &err);
    status = rc == PB_OK
                 ? env.status
                 : failed_after(cmd->name, &err, words->usage || env.usage, kept);
    env_clear(&env);
    return status;
}

static int help(const struct cmd *cmd, bool json)
{
    struct pb_err err = {0};
    enum pb_rc rc = PB_OK;
    if (json)
        rc = help_json(cmd, &err);
    else
        help_print(cmd);
    if (rc == PB_OK)
        rc = written(NULL, &err);
    return rc == PB_OK ? EXIT_DONE : failed(NULL, &err, false);
}

int main(int argc, char **argv)
{
    struct line line;
    struct pb_err err = {0};
    struct words words = {argc, argv, 0, false};
    (void)signal(SIGPIPE, SIG_DFL);
    (void)signal(SIGXFSZ,
                 SIG_IGN); /* a file that may not grow is a disk that refuses */
    pb_book_one_thread();
    enum pb_rc rc = line_read(&words, cmd_table, cmd_n, &line, &err);
    if (rc != PB_OK)
        return failed(NULL, &err, words.usage);
    if (line.common[COMMON_VERSION].given) {
        say("podbook %s", PB_VERSION);
        return written(NULL, &err) == PB_OK ? EXIT_DONE : failed(NULL, &err, false);
    }
    if (line.command == NULL && !line.common[COMMON_HELP].given && argc > 1) {
        (void)pb_fail(&err, PB_EINVALID, "which command?  podbook help lists them");
        return failed(NULL, &err, true);
    }
    const struct cmd *cmd = line.command != NULL ? cmd_find(line.command) : NULL;
    if (line.command != NULL && cmd == NULL) {
        (void)cmd_unknown(line.command, &err);
        return failed(NULL, &err, true);
    }
    if (cmd == NULL || line.common[COMMON_HELP].given) {
        return help(cmd, line.common[COMMON_JSON].given);
    }
    return run(cmd, &line, &words);
}
