/* What the machine gives a command: the book's place, today, now, the profiles. */
#ifndef PB_CMD_ENV_H
#define PB_CMD_ENV_H

#include "act/act.h"
#include "opts.h"

struct pb_profile_table;

struct env {
    struct pb_act act;  /* book NULL until env_book */
    struct pb_buf path; /* of the book */
    bool usual_place;   /* neither --book nor $PODBOOK_FILE: its folder may be made */
    struct pb_buf command; /* the words for the history */
    const struct cmd *cmd; /* that runs; borrowed */
    bool json;
    bool usage; /* the error is one of usage (exit status 2) */
    int status; /* exit status of a command that did what it should */
    struct pb_profiles profiles;
    struct pb_profile_table *own; /* the grower's own file, NULL: none */
};

/*
 * Read environment and common options.  Opens nothing.
 *   argc, argv  for the words that the history keeps
 */
enum pb_rc env_init(struct env *env, const struct line *line, int argc, char **argv,
                    struct pb_err *err);
/* Open the book, with the profiles that time it unless the command asks for none; at most
 * once a command.  Writing makes the folder of the usual place. */
enum pb_rc env_book(struct env *env, enum pb_book_mode mode, struct pb_err *err);
/* Read the grower's own profiles; without a file the built-in ones serve alone. */
enum pb_rc env_profiles(struct env *env, struct pb_err *err);
void env_clear(struct env *env);

/*
 * Wrong usage that only the command itself can see: options that exclude each other, an
 * argument or option that wants another.  What is merely a bad value is no such thing.
 * Returns PB_EINVALID; the text gets "; see podbook help COMMAND".
 */
enum pb_rc env_usage(struct env *env, struct pb_err *err, const char *fmt, ...)
    PB_PRINTF(3, 4);

#endif
