/* podbook amend: put a record right. */
#include "act/amend.h"
#include "base/text.h"
#include "out.h"
#include "print.h"
#include "table.h"

#include <stdlib.h>
#include <string.h>

static const struct opt opts[] = {
    {"withdraw", OPT_FLAG, NULL, "take the record out of every list and count", 0, 0,
     NULL, 0},
};

enum { FIELDS = 32 };

/* Is the last of n names among those before it? */
static bool is_given_twice(char (*names)[PB_MAX_CODE + 1], size_t n)
{
    for (size_t i = 0; i + 1 < n; i++)
        if (strcmp(names[i], names[n - 1]) == 0)
            return true;
    return false;
}

/* FIELD=VALUE words into fields; the names are copied into `names`.  Of two values for one
 * field nobody can tell which is meant. */
static enum pb_rc split(struct env *env, const struct args *args,
                        struct pb_field *fields, char (*names)[PB_MAX_CODE + 1],
                        size_t *n, struct pb_err *err)
{
    for (size_t i = 1; i < args->word_n; i++) {
        const char *equals = strchr(args->words[i], '=');
        size_t len = equals != NULL ? (size_t)(equals - args->words[i]) : 0;
        if (len == 0 || len > PB_MAX_CODE)
            return pb_fail(err, PB_EPARSE, "expected FIELD=VALUE, got \"%s\"",
                           args->words[i]);
        memcpy(names[i - 1], args->words[i], len);
        names[i - 1][len] = '\0';
        if (is_given_twice(names, i))
            return env_usage(env, err, "%s is given twice", names[i - 1]);
        fields[i - 1] = (struct pb_field){names[i - 1], equals + 1};
    }
    *n = args->word_n - 1;
    return PB_OK;
}

static enum pb_rc tell(struct env *env, const struct pb_amended *amended,
                       struct pb_err *err)
{
    if (env->json)
        return print_record(env, amended->code, err);
    if (!amended->changed) {
        say("%s was so already; nothing changed", amended->code);
        return PB_OK;
    }
    say("%s is amended; podbook show %s shows it", amended->code, amended->code);
    if (has_text(&amended->clone))
        say_wrapped("Its clone has the new taxon with it: ", 2, whole(&amended->clone));
    return PB_OK;
}

static enum pb_rc tell_withdrawn(struct env *env, const char *code, struct pb_err *err)
{
    static const char *const keys[] = {"code", "withdrawn"};
    const struct pb_cell cells[] = {pb_cell_text(code), pb_cell_bool(true)};
    if (env->json)
        return out_object(keys, cells, PB_ARRAY_LEN(keys), err);
    say("%s is withdrawn; podbook undo brings it back", code);
    return PB_OK;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_field fields[FIELDS];
    char names[FIELDS][PB_MAX_CODE + 1];
    struct pb_amended amended = {0};
    const char *code = args->words[0];
    bool withdraw = args->vals[0].given;
    size_t n = 0;
    enum pb_rc rc = split(env, args, fields, names, &n, err);
    if (rc == PB_OK && withdraw && n > 0)
        rc = env_usage(env, err, "--withdraw goes alone, without FIELD=VALUE");
    if (rc == PB_OK && !withdraw && n == 0)
        rc = env_usage(env, err, "what is to change?  Say FIELD=VALUE or --withdraw");
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = withdraw ? pb_act_withdraw(&env->act, code, err)
                      : pb_act_amend(&env->act, code, fields, n, &amended, err);
    if (rc == PB_OK && withdraw)
        rc = tell_withdrawn(env, code, err);
    else if (rc == PB_OK)
        rc = tell(env, &amended, err);
    pb_amended_clear(&amended);
    return rc;
}

const struct cmd cmd_amend = {
    .name = "amend",
    .args = "CODE [FIELD=VALUE ...]",
    .arg_min = 1,
    .arg_max = FIELDS,
    .summary = "put a record right; a look too (X26-001/3)",
    .notes =
        "FIELD= with nothing behind it takes the field away.\n"
        "plant: code taxon pup-of cutting-of division-of from seed-parent\n"
        "  pollen-parent clone-name ploidy doubtful got source papers place note\n"
        "  elsewhere gone gone-on\n"
        "cross: seed-parent pollen-parent on flowers flower-age at own-pollen grex\n"
        "  profile doubtful bagged note\n"
        "seed lot: on count as held-cold seeds form celsius moisture viability below\n"
        "  ke cw ch cq constants place note elsewhere\n"
        "flask: on seeds medium agent chlorine minutes light place note elsewhere\n"
        "cutting: on count nodes medium place note elsewhere\n"
        "pollen lot: on kept celsius dried cap-removed place note elsewhere\n"
        "look: found on count note, where it is said so of scale method\n"
        "doubtful=WHY: its parents are not believed; all that comes of it is marked.\n"
        "Nothing is erased: podbook history CODE shows what it was.",
    .step = STEP_RIGHT,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
