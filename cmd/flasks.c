/* What sow, replate and deflask share.  See flasks.h. */
#include "flasks.h"

#include "act/fields.h"
#include "act/find.h"
#include "base/text.h"
#include "out.h"
#include "print_batch.h"

#include <inttypes.h>
#include <string.h>

enum pb_rc flask_fill(struct env *env, const struct cmd *cmd, const struct args *args,
                      struct pb_batch *flask, struct pb_err *err)
{
    static const char *const fields[] = {"on",      "medium", "agent", "chlorine",
                                         "minutes", "light",  "place", "note"};
    enum pb_rc rc = PB_OK;
    flask->on = env->act.today;
    for (size_t i = 0; i < cmd->opt_n && rc == PB_OK; i++) {
        const struct pb_field f = {cmd->opts[i].name, args->vals[i].text};
        bool is_field = false;
        for (size_t k = 0; k < PB_ARRAY_LEN(fields); k++)
            is_field = is_field || strcmp(fields[k], f.name) == 0;
        if (is_field && args->vals[i].given)
            rc = pb_field_set_batch(flask, &f, env->act.today, err);
    }
    return rc;
}

void made_text(const struct pb_made *made, struct pb_buf *out)
{
    pb_buf_adds(out, made->code[0]);
    if (made->n > 1)
        pb_buf_printf(out, " to %s", made->code[made->n - 1]);
}

static enum pb_rc load(struct env *env, const char *code, struct pb_batch *b,
                       struct pb_err *err)
{
    pb_batch_init(b, PB_SEED);
    return pb_find_batch(&env->act, NULL, PB_KIND_N, code, b, err);
}

enum pb_rc print_left(struct env *env, const char *flask, bool part, struct pb_err *err)
{
    struct pb_batch b;
    int64_t left = -1;
    enum pb_rc rc = load(env, flask, &b, err);
    if (rc == PB_OK)
        rc = pb_batch_left(&b, &left, err);
    pb_batch_clear(&b);
    if (rc == PB_OK && left > 0)
        say("  left %s: %" PRId64 " of those that were counted",
            part ? "in it" : "behind", left);
    return rc;
}

enum pb_rc print_batch_code(struct env *env, const char *code, struct pb_err *err)
{
    struct pb_batch b;
    enum pb_rc rc = load(env, code, &b, err);
    if (rc == PB_OK)
        rc = print_batch_after(env, &b, err);
    pb_batch_clear(&b);
    return rc;
}

static enum pb_rc print_whole(struct env *env, const char *code, struct pb_err *err)
{
    struct pb_batch b;
    enum pb_rc rc = load(env, code, &b, err);
    if (rc == PB_OK)
        rc = print_batch(env, &b, err);
    pb_batch_clear(&b);
    return rc;
}

static enum pb_rc filled_json(struct env *env, const char *from,
                              const struct pb_made *made, struct pb_err *err)
{
    say("{\"from\":");
    enum pb_rc rc = print_batch_code(env, from, err);
    say(",\"flasks\":");
    for (size_t i = 0; i < made->n && rc == PB_OK; i++) {
        out_array(env, (int64_t)i, (int64_t)made->n);
        rc = print_whole(env, made->code[i], err);
    }
    out_array(env, (int64_t)made->n, (int64_t)made->n);
    say("}");
    return rc;
}

enum pb_rc print_filled(struct env *env, const char *from, const struct pb_made *made,
                        struct pb_err *err)
{
    struct pb_buf codes;
    if (env->json)
        return filled_json(env, from, made, err);
    pb_buf_init(&codes, 2 * PB_MAX_CODE + 8);
    made_text(made, &codes);
    if (made->n > 1)
        say("%s: %zu flasks alike; the first is", whole(&codes), made->n);
    pb_buf_clear(&codes);
    enum pb_rc rc = print_whole(env, made->code[0], err);
    return rc == PB_OK ? print_batch_code(env, from, err) : rc;
}
