/* What is taken from a plant.  See taken.h. */
#include "taken.h"

#include "act/fields.h"

#include <string.h>

enum pb_rc taken_fill(struct env *env, const struct cmd *cmd, const struct args *args,
                      struct pb_batch *b, struct pb_err *err)
{
    size_t n = strlen(args->words[0]);
    enum pb_rc rc = PB_OK;
    if (n == 0 || n > PB_MAX_CODE)
        return pb_fail(err, PB_EPARSE, "expected the code of a plant, got \"%s\"",
                       args->words[0]);
    memcpy(b->plant.code, args->words[0], n + 1);
    b->on = env->act.today;
    for (size_t i = 0; i < cmd->opt_n && rc == PB_OK; i++) {
        const char *text = args->vals[i].text;
        const struct pb_field f = {cmd->opts[i].name, text != NULL ? text : "yes"};
        if (args->vals[i].given)
            rc = pb_field_set_batch(b, &f, env->act.today, err);
    }
    return rc;
}
