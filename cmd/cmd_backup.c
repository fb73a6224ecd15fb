/* podbook backup: a checked copy of the book. */
#include "act/backup.h"
#include "base/text.h"
#include "out.h"
#include "table.h"

#include <inttypes.h>

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    static const char *const keys[] = {"file", "commands", "bytes"};
    const char *path = args->words[0];
    struct pb_copied made;
    enum pb_rc rc = env_book(env, PB_BOOK_READ, err);
    if (rc == PB_OK)
        rc = pb_act_backup(&env->act, path, &made, err);
    if (rc != PB_OK)
        return rc;
    const struct pb_cell cells[] = {pb_cell_text(path), pb_cell_int(made.acts),
                                    pb_cell_int(made.bytes)};
    if (env->json)
        return out_object(keys, cells, PB_ARRAY_LEN(keys), err);
    say_line("%s: the book up to its command %" PRId64 ", checked", path, made.acts);
    say_line("To look into it: podbook --book %s list plants", path);
    return PB_OK;
}

const struct cmd cmd_backup = {
    .name = "backup",
    .args = "FILE",
    .arg_min = 1,
    .arg_max = 1,
    .summary = "copy the book to a file and check the copy",
    .notes = "The book may be in use. An older copy of this book is replaced, nothing\n"
             "else. A copy is a book: --book FILE reads it.",
    .step = STEP_CARE,
    .untimed = true,
    .run = run,
};
