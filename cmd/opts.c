/* Options as data: two passes over the words of the command line.  See opts.h. */
#include "opts.h"

#include "base/text.h"
#include "core/record.h"

#include <stdlib.h>
#include <string.h>

/* ORDER COMMON */
const struct opt common_opts[COMMON_N] = {
    {"book",    OPT_TEXT, "FILE", "the book; else $PODBOOK_FILE, else the usual place", 0,
     0,                                                                                       NULL, 0},
    {"today",   OPT_TEXT, "DATE", "take this day for today",                            0, 0, NULL, 0},
    {"json",    OPT_FLAG, NULL,   "print for machines",                                 0, 0, NULL, 0},
    {"help",    OPT_FLAG, NULL,   "print help",                                         0, 0, NULL, 0},
    {"version", OPT_FLAG, NULL,   "print the version",                                  0, 0, NULL, 0},
};

/* One word of the command line, taken apart. */
struct word {
    bool is_option;
    const char *text; /* an argument; or the option as typed */
    const char *name; /* of an option, without dashes; name_n bytes */
    size_t name_n;
    const char *value; /* behind "=", NULL: none */
};

static struct word take_apart(const char *text)
{
    struct word w = {false, text, NULL, 0, NULL};
    if (text[0] != '-' || text[1] == '\0')
        return w;
    if (strcmp(text, "-h") == 0)
        return (struct word){true, text, "help", 4, NULL};
    w.is_option = true;
    w.name = text + (text[1] == '-' ? 2 : 1);
    const char *equals = strchr(w.name, '=');
    w.name_n = equals != NULL ? (size_t)(equals - w.name) : strlen(w.name);
    w.value = equals != NULL ? equals + 1 : NULL;
    return w;
}

static const struct opt *find(const struct opt *opts, size_t n, const struct word *w)
{
    if (w->text[1] != '-' && strcmp(w->name, "help") != 0)
        return NULL; /* one dash */
    for (size_t i = 0; i < n; i++)
        if (strlen(opts[i].name) == w->name_n &&
            memcmp(opts[i].name, w->name, w->name_n) == 0)
            return &opts[i];
    return NULL;
}

/* The option of any command that has it, NULL: none.  What a word before the command means
 * must not depend on the command that follows, so all that have it agree on its value. */
static const struct opt *find_any(const struct cmd *const *table, size_t n,
                                  const struct word *w)
{
    const struct opt *o = NULL;
    for (size_t i = 0; i < n && o == NULL; i++)
        o = find(table[i]->opts, table[i]->opt_n, w);
    return o;
}

/* The value of an option; the reading moves on where it is the next word. */
static enum pb_rc take_value(struct words *r, const struct opt *o, const struct word *w,
                             struct optval *val, struct pb_err *err)
{
    r->usage = true;
    if (val->given)
        return pb_fail(err, PB_EINVALID, "--%s is given twice", o->name);
    val->given = true;
    if (o->type == OPT_FLAG && w->value != NULL)
        return pb_fail(err, PB_EINVALID, "--%s takes no value", o->name);
    if (o->type != OPT_FLAG) {
        val->text = w->value;
        if (val->text == NULL && r->at + 1 < r->argc)
            val->text = r->argv[++r->at];
        if (val->text == NULL)
            return pb_fail(err, PB_EINVALID, "--%s wants a value: --%s %s", o->name,
                           o->name, o->arg);
    }
    r->usage = false;
    return PB_OK;
}

/* An option that the command does not know; cmd NULL: no command stands there. */
static enum pb_rc unknown(const struct cmd *cmd, const struct word *w,
                          struct pb_err *err)
{
    const char *names[ARGS_OPTS + COMMON_N];
    char name[65] = "";
    size_t n = 0;
    if (w->name_n < sizeof(name))
        memcpy(name, w->name, w->name_n);
    for (size_t i = 0; cmd != NULL && i < cmd->opt_n; i++)
        names[n++] = cmd->opts[i].name;
    for (size_t i = 0; i < COMMON_N; i++)
        names[n++] = common_opts[i].name;
    const char *best = w->name_n > 1 ? pb_text_nearest(name, names, n) : NULL;
    return pb_fail(err, PB_EINVALID, "no option %s%s%s%s; see podbook help%s%s",
                   w->text, best != NULL ? " (did you mean --" : "",
                   best != NULL ? best : "", best != NULL ? "?)" : "",
                   cmd != NULL ? " " : "", cmd != NULL ? cmd->name : "");
}

/* The commands there are, and what is read of the line. */
struct table {
    const struct cmd *const *v;
    size_t n;
    struct line *line;
};

/* An option on the way to the command: a common one is read, of another only its value is
 * passed over.
 *   strange  in and out: the first option that no command has, text NULL: none yet */
static enum pb_rc pass_option(struct words *r, const struct table *t,
                              const struct word *w, struct word *strange,
                              struct pb_err *err)
{
    const struct opt *o = find(common_opts, COMMON_N, w);
    if (o != NULL)
        return take_value(r, o, w, &t->line->common[o - common_opts], err);
    o = find_any(t->v, t->n, w);
    if (o == NULL && strange->text == NULL)
        *strange = *w;
    if (o != NULL && o->type != OPT_FLAG && w->value == NULL)
        r->at++;
    return PB_OK;
}

enum pb_rc line_read(struct words *r, const struct cmd *const *table, size_t n,
                     struct line *line, struct pb_err *err)
{
    struct word strange = {false, NULL, NULL, 0, NULL};
    const struct table t = {table, n, line};
    memset(line, 0, sizeof(*line));
    for (r->at = 1; r->at < r->argc; r->at++) {
        const char *text = r->argv[r->at];
        if (strcmp(text, "--") == 0) {
            if (line->command == NULL && r->at + 1 < r->argc)
                line->command = r->argv[r->at + 1];
            break;
        }
        const struct word w = take_apart(text);
        enum pb_rc rc = PB_OK;
        if (w.is_option)
            rc = pass_option(r, &t, &w, &strange, err);
        else if (line->command == NULL)
            line->command = text;
        if (rc != PB_OK)
            return rc;
    }
    r->usage = line->command == NULL && strange.text != NULL;
    return r->usage ? unknown(NULL, &strange, err) : PB_OK;
}

static enum pb_rc check_value(const struct opt *o, pb_day today, struct optval *val,
                              struct pb_err *err)
{
    struct pb_buf b;
    int word = -1;
    switch (o->type) {
    case OPT_FLAG:
    case OPT_TEXT:
        return PB_OK;
    case OPT_NAME:
        return val->text[0] != '\0'
                   ? PB_OK
                   : pb_fail_at(err, PB_EPARSE, o->name, 0,
                                "no name was given: --%s %s", o->name, o->arg);
    case OPT_DATE:
        return pb_day_parse(o->name, val->text, today, &val->day, err);
    case OPT_INT:
        return pb_parse_int(o->name, val->text, o->low, o->high, &val->number, err);
    case OPT_WORD:
        word = pb_name_find(o->words, o->word_n, val->text);
        break;
    }
    val->number = word;
    if (word >= 0)
        return PB_OK;
    pb_buf_init(&b, 400);
    for (size_t i = 0; i < o->word_n; i++)
        if (o->words[i] != NULL)
            pb_buf_printf(&b, "%s%s", b.len > 0 ? ", " : "", o->words[i]);
    enum pb_rc rc =
        pb_fail_at(err, PB_EPARSE, o->name, 0, "expected one of %s, got \"%s\"",
                   pb_buf_peek(&b), val->text);
    pb_buf_clear(&b);
    return rc;
}

static enum pb_rc count_words(const struct cmd *cmd, const struct args *args,
                              struct pb_err *err)
{
    if (args->word_n < cmd->arg_min)
        return pb_fail(err, PB_EINVALID,
                       "an argument is missing: podbook %s %s; see podbook help %s",
                       cmd->name, cmd->args, cmd->name);
    if (args->word_n > cmd->arg_max)
        return pb_fail(err, PB_EINVALID,
                       "\"%s\" is one argument too many: podbook %s%s%s; see podbook "
                       "help %s",
                       args->words[cmd->arg_max], cmd->name,
                       cmd->args[0] != '\0' ? " " : "", cmd->args, cmd->name);
    return PB_OK;
}

/* Of a command that takes a file, that it has a name. */
static enum pb_rc check_file(const struct cmd *cmd, const struct args *args,
                             struct pb_err *err)
{
    const char *file = args->words[0]; /* NULL behind the last */
    if (strcmp(cmd->args, "FILE") != 0 || file == NULL || file[0] != '\0')
        return PB_OK;
    return pb_fail_at(err, PB_EPARSE, cmd->args, 0, "no name was given");
}

/* One option of the command, or a common one, which the first pass has read already. */
static enum pb_rc read_option(struct words *r, const struct cmd *cmd,
                              const struct word *w, struct args *args,
                              struct pb_err *err)
{
    struct optval passed = {false, NULL, 0, 0};
    const struct opt *o = find(cmd->opts, cmd->opt_n, w);
    if (o != NULL)
        return take_value(r, o, w, &args->vals[o - cmd->opts], err);
    o = find(common_opts, COMMON_N, w);
    if (o != NULL)
        return take_value(r, o, w, &passed, err);
    r->usage = true;
    return unknown(cmd, w, err);
}

static enum pb_rc read_words(struct words *r, const struct cmd *cmd, struct args *args,
                             struct pb_err *err)
{
    bool options = true, named = false;
    enum pb_rc rc = PB_OK;
    for (r->at = 1; r->at < r->argc && rc == PB_OK; r->at++) {
        if (options && strcmp(r->argv[r->at], "--") == 0) {
            options = false;
            continue;
        }
        const struct word w = take_apart(r->argv[r->at]);
        if (options && w.is_option) {
            rc = read_option(r, cmd, &w, args, err);
            continue;
        }
        if (named)
            args->words[args->word_n++] = r->argv[r->at];
        named = true;
    }
    return rc;
}

enum pb_rc args_read(struct words *r, const struct cmd *cmd, pb_day today,
                     struct args *args, struct pb_err *err)
{
    memset(args, 0, sizeof(*args));
    args->words = calloc((size_t)r->argc + 1, sizeof(*args->words));
    enum pb_rc rc = args->words != NULL ? PB_OK : pb_fail_memory(err);
    if (rc == PB_OK)
        rc = read_words(r, cmd, args, err);
    if (rc == PB_OK) {
        rc = count_words(cmd, args, err);
        r->usage = rc != PB_OK;
    }
    if (rc == PB_OK)
        rc = check_file(cmd, args, err);
    for (size_t i = 0; i < cmd->opt_n && rc == PB_OK; i++)
        if (args->vals[i].given)
            rc = check_value(&cmd->opts[i], today, &args->vals[i], err);
    if (rc != PB_OK)
        args_clear(args);
    return rc;
}

void args_clear(struct args *args)
{
    free(args->words);
    args->words = NULL;
}

static void add_words(const struct opt *o, struct pb_buf *out)
{
    const char *mark = " ";
    for (size_t w = 0; w < o->word_n; w++)
        if (o->words[w] != NULL) {
            pb_buf_printf(out, "%s%s", mark, o->words[w]);
            mark = "|";
        }
}

void cmd_synopsis(const struct cmd *cmd, struct pb_buf *out)
{
    pb_buf_printf(out, "podbook %s", cmd->name);
    if (cmd->args[0] != '\0')
        pb_buf_printf(out, " %s", cmd->args);
    for (size_t i = 0; i < cmd->opt_n; i++) {
        const struct opt *o = &cmd->opts[i];
        pb_buf_printf(out, " [--%s", o->name);
        if (o->type == OPT_WORD)
            add_words(o, out);
        else if (o->arg != NULL)
            pb_buf_printf(out, " %s", o->arg);
        pb_buf_addc(out, ']');
    }
}
