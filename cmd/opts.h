/*
 * Options as data: one table of a command drives parsing, help, completion and the
 * synopsis of its manual page.
 *
 * Rules: options before or after the arguments; the word after an option that takes a
 * value is its value, whatever it begins with; --name=value is the same; "--" ends options.
 */
#ifndef PB_CMD_OPTS_H
#define PB_CMD_OPTS_H

#include "base/buf.h"
#include "base/err.h"
#include "core/civil.h"

#include <stdbool.h>
#include <stddef.h>

enum opt_type {
    OPT_FLAG, /* no value */
    OPT_TEXT, /* any text; whoever uses it checks it */
    OPT_NAME, /* of a file or a folder: not empty */
    OPT_DATE,
    OPT_INT, /* in [low, high] */
    OPT_WORD /* one of the words */
};

struct opt {
    const char *name; /* without the dashes */
    enum opt_type type;
    const char *arg;   /* what its value is called: N, DATE, FILE; NULL: a flag */
    const char *help;  /* one line */
    int64_t low, high; /* of OPT_INT */
    const char *const *words; /* of OPT_WORD; a NULL row is passed over */
    size_t word_n;
};

/* The value of one option of the table. */
struct optval {
    bool given;
    const char *text; /* as typed; NULL: a flag */
    pb_day day;
    int64_t number; /* of OPT_INT; of OPT_WORD the index of the word */
};

enum { ARGS_OPTS = 32 };

struct args {
    const char **words; /* the arguments, borrowed from argv; the array is its own */
    size_t word_n;
    struct optval vals[ARGS_OPTS]; /* by the row of the option */
};

/* The steps of the job, by which the help page groups the commands.  ORDER STEP: help */
enum cmd_step {
    STEP_POLLINATE,
    STEP_WATCH,
    STEP_HARVEST,
    STEP_READ,
    STEP_SHARE,
    STEP_RIGHT,
    STEP_CARE,
    STEP_N
};

struct env;

struct cmd {
    const char *name;
    const char *args; /* "SEED-PARENT POLLEN-PARENT"; "" none */
    size_t arg_min, arg_max;
    const char *summary; /* one line, no full stop */
    const char *notes;   /* paragraphs for `help COMMAND`; NULL: none */
    enum cmd_step step;
    bool untimed; /* asks no timing, so a broken file of profiles is no hindrance */
    const struct opt *opts;
    size_t opt_n;
    enum pb_rc (*run)(struct env *env, const struct args *args, struct pb_err *err);
};

/* Options that every command takes.  ORDER COMMON: opts.c */
enum { COMMON_BOOK, COMMON_TODAY, COMMON_JSON, COMMON_HELP, COMMON_VERSION, COMMON_N };
extern const struct opt common_opts[COMMON_N];

/* What was typed before it is known what it means. */
struct line {
    const char *command; /* first word that is no option; NULL: none */
    struct optval common[COMMON_N];
};

/* The words of the command line while they are read. */
struct words {
    int argc;
    char **argv;
    int at;     /* the word that is being read */
    bool usage; /* out: the error is one of usage (exit status 2) */
};

/* First pass: find the command and the common options.  table: n commands. */
enum pb_rc line_read(struct words *r, const struct cmd *const *table, size_t n,
                     struct line *line, struct pb_err *err);

/*
 * Second pass: the command's own options and arguments, checked.
 *   today  for dates typed relative to it
 *   args   out: release with args_clear
 */
enum pb_rc args_read(struct words *r, const struct cmd *cmd, pb_day today,
                     struct args *args, struct pb_err *err);
void args_clear(struct args *args);

/* "podbook cross SEED-PARENT POLLEN-PARENT [--flowers N] ..." */
void cmd_synopsis(const struct cmd *cmd, struct pb_buf *out);

#endif
