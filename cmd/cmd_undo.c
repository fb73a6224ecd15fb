/* podbook undo: take back the newest command, or one by its number. */
#include "act/amend.h"
#include "base/text.h"
#include "out.h"
#include "table.h"

enum { MAX_TEXT = 1 << 26 };

static enum pb_rc print_json(const struct pb_undone *u, struct pb_err *err)
{
    static const char *const keys[] = {"number", "command", "taken_back_by", "records"};
    struct pb_buf codes;
    pb_buf_init(&codes, MAX_TEXT);
    enum pb_rc rc = out_lines_json(u->codes.data, &codes, err);
    const struct pb_cell cells[] = {
        pb_cell_int(u->n),
        pb_cell_text(u->command),
        pb_cell_int(u->by),
        json_cell(&codes),
    };
    if (rc == PB_OK)
        rc = out_object(keys, cells, PB_ARRAY_LEN(keys), err);
    pb_buf_clear(&codes);
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    int64_t n = 0;
    struct pb_undone undone = {0};
    enum pb_rc rc = PB_OK;
    if (args->word_n > 0)
        rc = pb_parse_int("NUMBER", args->words[0], 1, INT64_MAX, &n, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_undo(&env->act, n, &undone, err);
    if (rc == PB_OK && env->json)
        rc = print_json(&undone, err);
    else if (rc == PB_OK)
        say_wrapped("Taken back: ", 2, undone.command);
    pb_undone_clear(&undone);
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
    .untimed = true,
    .run = run,
};
