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
    .summary = "show one record whole, with its life and what came of it",
    .notes =
        "A plant is shown with its whole life, in the order of the days: where it\n"
        "came from, its flowerings, pollen, crosses, harvests, cuttings and pups.",
    .step = STEP_READ,
    .run = run,
};
