/* The commands: one row each, sorted by name, and their help. */
#ifndef PB_CMD_TABLE_H
#define PB_CMD_TABLE_H

#include "opts.h"

#define COMMAND(name) extern const struct cmd cmd_##name;
#include "commands.def"
#undef COMMAND

extern const struct cmd *const cmd_table[];
extern const size_t cmd_n;

/* The command of that name, NULL: there is none. */
const struct cmd *cmd_find(const char *name);

/* "no command "lok"; did you mean look?"  PB_ENOTFOUND; the usage error it is */
enum pb_rc cmd_unknown(const char *word, struct pb_err *err);

/* Print the page of one command, or of all, grouped by the steps of the job. */
void help_print(const struct cmd *cmd);
/* The same as JSON: an object of one command, an array of all. */
enum pb_rc help_json(const struct cmd *cmd, struct pb_err *err);

#endif
