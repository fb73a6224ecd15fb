/* podbook undo: take back the newest command, or one by its number. */
#include "act/amend.h"
#include "base/text.h"
#include "out.h"
#include "table.h"

#include <stdlib.h>

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    int64_t n = 0;
    char *command = NULL;
    enum pb_rc rc = PB_OK;
    if (args->word_n > 0)
        rc = pb_parse_int("NUMBER", args->words[0], 1, INT64_MAX, &n, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_undo(&env->act, n, &command, err);
    if (rc == PB_OK)
        say("Taken back: %s", command);
    free(command);
    return rc;
}

const struct cmd cmd_undo = {
    .name = "undo",
    .args = "[NUMBER]",
    .arg_max = 1,
    .summary = "take back the newest command",
    .notes = "Said again, it goes one further. NUMBER takes back that command of\n"
             "podbook history. Where later records rest on it, they are named and\n"
             "nothing changes. Codes are not given again.",
    .step = STEP_RIGHT,
    .run = run,
};
