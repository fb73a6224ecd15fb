/* podbook plant: enter a plant. */
#include "act/enter.h"
#include "act/fields.h"
#include "base/text.h"
#include "out.h"
#include "print.h"
#include "table.h"

#define TEXT(name, arg, help)                    \
    {                                            \
        name, OPT_TEXT, arg, help, 0, 0, NULL, 0 \
    }

/* Every option is a field of the record (act/fields.c), which checks its value.  Those
 * before OPT_SEED each give the whole origin. */
enum { OPT_SEED = 4, OPT_POLLEN };
static const struct opt opts[] = {
    TEXT("pup-of", "P", "a side shoot of this plant: the same clone"),
    TEXT("cutting-of", "P", "a cutting of this plant: the same clone"),
    TEXT("division-of", "P", "a division of this plant: the same clone"),
    TEXT("from", "CROSS", "raised from this cross of the book"),
    TEXT("seed-parent", "P", "bought or given, with this seed parent"),
    TEXT("pollen-parent", "P", "and this pollen parent"),
    TEXT("clone-name", "N", "name of the clone, written in single quotes"),
    TEXT("ploidy", "N", "sets of chromosomes: 2, 3, 4 ..."),
    TEXT("got", "DATE", "day it came"),
    TEXT("source", "TEXT", "where it came from (shared only with notes)"),
    TEXT("papers", "TEXT", "documents of its origin (shared only with notes)"),
    TEXT("place", "TEXT", "where it stands (shared only with notes)"),
    TEXT("note", "TEXT", "anything else (shared only with notes)"),
};

/* A plant has one origin. */
static enum pb_rc check_origins(struct env *env, const struct args *args,
                                struct pb_err *err)
{
    const char *first = NULL;
    for (size_t i = 0; i <= OPT_POLLEN; i++) {
        if (!args->vals[i].given)
            continue;
        if (first != NULL && !(i == OPT_POLLEN && args->vals[OPT_SEED].given))
            return env_usage(env, err, "a plant has one origin: either --%s or --%s",
                             first, opts[i].name);
        first = opts[i].name;
    }
    return PB_OK;
}

static enum pb_rc fill(struct env *env, const struct args *args, struct pb_plant *p,
                       struct pb_err *err)
{
    const struct pb_field own[] = {
        {"code",  args->words[0]},
        {"taxon", args->words[1]}
    };
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < PB_ARRAY_LEN(own) && rc == PB_OK; i++)
        rc = pb_field_set_plant(p, &own[i], env->act.today, err);
    for (size_t i = 0; i < PB_ARRAY_LEN(opts) && rc == PB_OK; i++) {
        const struct pb_field f = {opts[i].name, args->vals[i].text};
        if (args->vals[i].given)
            rc = pb_field_set_plant(p, &f, env->act.today, err);
    }
    return rc;
}

static bool may_give(const struct env *env, const struct pb_cross *x, const char *taxon)
{
    bool may = x->pollen_n == 0; /* by a parent that nobody knows */
    for (size_t i = 0; i < x->pollen_n; i++)
        may = may || pb_profile_may_give(&env->profiles, x->seed.taxon,
                                         x->pollen[i].parent.taxon, taxon);
    return may;
}

/* A seedling of another genus than its parents: a slip, or pollen of another plant. */
static enum pb_rc remark_genus(struct env *env, const struct pb_plant *p,
                               struct pb_err *err)
{
    struct pb_cross x;
    struct pb_buf parents;
    bool found = false;
    if (p->from_cross.n == 0)
        return PB_OK;
    pb_cross_init(&x);
    pb_buf_init(&parents, 65536);
    enum pb_rc rc =
        pb_cross_find(env->act.book, PB_CROSS_BY_ID, p->from_cross.id, &x, &found, err);
    if (rc == PB_OK && found && !may_give(env, &x, p->taxon)) {
        pb_buf_adds(&parents, x.seed.taxon);
        for (size_t i = 0; i < x.pollen_n; i++)
            pb_buf_printf(&parents, "%s%s", i == 0 ? " × " : " + ",
                          x.pollen[i].parent.taxon);
        remark("%s is of another genus than the parents of %s (%s); a hybrid genus is "
               "written with ×; to put it right: podbook amend %s taxon=TAXON or "
               "from=CROSS",
               p->taxon, x.head.code, whole(&parents), p->head.code);
    }
    pb_buf_clear(&parents);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_plant p;
    pb_plant_init(&p);
    enum pb_rc rc = check_origins(env, args, err);
    if (rc == PB_OK)
        rc = fill(env, args, &p, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_plant(&env->act, &p, err);
    if (rc == PB_OK)
        rc = print_plant(env, &p, err);
    if (rc == PB_OK)
        rc = remark_genus(env, &p, err);
    pb_plant_clear(&p);
    return rc;
}

const struct cmd cmd_plant = {
    .name = "plant",
    .args = "CODE TAXON",
    .arg_min = 2,
    .arg_max = 2,
    .summary = "enter a plant",
    .notes =
        "The code is yours: up to 32 letters, digits, - _ and . of ASCII.\n"
        "Pups, cuttings and divisions stay the clone of their source, at any remove.\n"
        "--seed-parent and --pollen-parent go together; either alone leaves the\n"
        "other unknown.",
    .step = STEP_POLLINATE,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
