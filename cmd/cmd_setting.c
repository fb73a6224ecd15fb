/* podbook setting: what the grower prefers, kept in the book. */
#include "act/setting.h"
#include "base/text.h"
#include "out.h"
#include "table.h"

#include <string.h>

static const struct column columns[] = {
    {"name",  "name",       0, false},
    {"value", "value",      0, true },
    {"help",  "what it is", 0, false},
};

static enum pb_rc print_all(struct env *env, struct pb_err *err)
{
    struct out o;
    enum pb_rc rc = PB_OK;
    out_begin(&o, env, columns, PB_ARRAY_LEN(columns));
    for (size_t i = 0; i < pb_settings_n && rc == PB_OK; i++) {
        double value = 0;
        rc = pb_act_setting(&env->act, pb_settings[i].name, &value, err);
        const struct pb_cell cells[] = {
            pb_cell_text(pb_settings[i].name),
            pb_settings[i].whole ? pb_cell_int((int64_t)value) : pb_cell_real(value, 3),
            pb_cell_text(pb_settings[i].help),
        };
        if (rc == PB_OK)
            rc = out_row(&o, cells, err);
    }
    if (rc == PB_OK)
        out_end(&o, "");
    else
        out_drop(&o);
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    char name[33] = "";
    if (args->word_n == 0) {
        enum pb_rc opened = env_book(env, PB_BOOK_READ, err);
        return opened == PB_OK ? print_all(env, err) : opened;
    }
    const char *equals = strchr(args->words[0], '=');
    size_t n = equals != NULL ? (size_t)(equals - args->words[0]) : 0;
    if (n == 0 || n >= sizeof(name))
        return pb_fail(err, PB_EPARSE, "expected NAME=VALUE, got \"%s\"",
                       args->words[0]);
    memcpy(name, args->words[0], n);
    enum pb_rc rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_setting_keep(&env->act, name, equals + 1, err);
    if (rc == PB_OK && env->json)
        return print_all(env, err);
    if (rc == PB_OK)
        say("%s is %s", name, equals[1] != '\0' ? equals + 1 : "back to its default");
    return rc;
}

const struct cmd cmd_setting = {
    .name = "setting",
    .args = "[NAME=VALUE]",
    .arg_max = 1,
    .summary = "show or change what podbook goes by",
    .notes = "NAME= with nothing behind it goes back to the default.",
    .step = STEP_CARE,
    .untimed = true,
    .run = run,
};
