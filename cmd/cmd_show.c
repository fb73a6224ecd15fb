/* podbook show: one record, whole. */
#include "base/text.h"
#include "print.h"
#include "table.h"

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    enum pb_rc rc = env_book(env, PB_BOOK_READ, err);
    return rc == PB_OK ? print_record(env, args->words[0], err) : rc;
}

const struct cmd cmd_show = {
    .name = "show",
    .args = "CODE",
    .arg_min = 1,
    .arg_max = 1,
    .summary = "show one plant, cross, seed or pollen lot",
    .step = STEP_READ,
    .run = run,
};
