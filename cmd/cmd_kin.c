/* podbook kin: who is related to whom. */
#include "act/kin.h"
#include "asked.h"
#include "base/text.h"
#include "out.h"
#include "print.h"
#include "table.h"

#include <stdlib.h>
#include <string.h>

enum { MAX_TEXT = 1 << 24, DIGITS = 12, MATRIX_COLS = 80 };

enum { OPT_BY_PLANT, OPT_ALL, OPT_COUNT };
static const struct opt opts[OPT_COUNT] = {
    {"by-plant", OPT_FLAG, NULL, "mean kinship over the living plants, not the clones",
     0,                                                                                    0, NULL, 0},
    {"all",      OPT_FLAG, NULL, "mean kinship over every plant of the book",           0, 0, NULL, 0},
};

static enum pb_kin_over over_of(const struct args *args)
{
    return args->vals[OPT_ALL].given        ? PB_KIN_OVER_ROWS
           : args->vals[OPT_BY_PLANT].given ? PB_KIN_OVER_PLANTS
                                            : PB_KIN_OVER_CLONES;
}

/* ---- everybody ------------------------------------------------------------------------- */

static const struct column columns[] = {
    {"code",         "code",         20, false},
    {"clone",        "clone",        20, false},
    {"F",            "F",            0,  true },
    {"mean_kinship", "mean kinship", 0,  true },
    {"living",       "living",       0,  false},
    {"doubtful",     "doubt",        0,  false}, /* of the table where there is one */
};

static void say_diversity(const struct pb_kin_all *all, enum pb_kin_over over)
{
    static const char *const what[] = {"living clone", "living plant", "plant"};
    const struct pb_diversity *d = &all->diversity;
    char n[PB_NUMBER_TEXT];
    if (!(d->weight > 0)) {
        say("\nNo living plants: nothing to take a mean over.");
        return;
    }
    say("\n%s %s%s: mean kinship %.3f, gene diversity %.3f,\n"
        "worth %.1f founders that are not related.",
        pb_text_number(d->weight, n), what[over], d->weight > 1 ? "s" : "",
        d->mean_kinship, d->gene_diversity, d->founder_equivalents);
}

/* Kinship is counted as in diploids; say so where they are not all. */
static void warn_ploidy(const struct pb_kin *kin)
{
    uint8_t first = 0;
    bool differ = false;
    for (size_t i = 0; i < kin->family.n; i++) {
        uint8_t p = kin->family.ploidy[i];
        if (p == 0 || (kin->family.flags[i] & PB_FAMILY_LIVING) == 0)
            continue;
        differ = differ || (first != 0 && p != first);
        first = p;
    }
    if (differ)
        remark("plants of different ploidy: kinship is counted as if all were diploid");
}

static enum pb_rc kin_rows(struct env *env, const struct pb_kin *kin,
                           const struct pb_kin_all *all, const char *only,
                           struct pb_err *err)
{
    struct out o;
    enum pb_rc rc = PB_OK;
    bool none = !(all->diversity.weight > 0), doubt = env->json;
    for (size_t i = 0; i < kin->family.n; i++)
        doubt = doubt || (kin->family.flags[i] & PB_FAMILY_DOUBTED) != 0;
    out_begin(&o, env, columns, PB_ARRAY_LEN(columns) - !doubt);
    for (size_t i = 0; i < kin->family.n && rc == PB_OK; i++) {
        int32_t g = kin->ped.genet_of[i];
        const char *code = pb_family_code(&kin->family, (int32_t)i);
        if ((kin->family.flags[i] & PB_FAMILY_WITHDRAWN) != 0 ||
            (only != NULL && strcmp(only, code) != 0))
            continue;
        const struct pb_cell cells[] = {
            pb_cell_text(code),
            pb_cell_text(pb_kin_clone(kin, g)),
            pb_cell_real(all->f[g], env->json ? DIGITS : 3),
            none ? pb_cell_null() : pb_cell_real(all->mean[g], env->json ? DIGITS : 3),
            pb_cell_bool((kin->family.flags[i] & PB_FAMILY_LIVING) != 0),
            pb_cell_bool((kin->family.flags[i] & PB_FAMILY_DOUBTED) != 0),
        };
        rc = out_row(&o, cells, err);
    }
    if (rc == PB_OK)
        out_end(&o, "No plants yet; enter one with podbook plant.");
    else
        out_drop(&o);
    return rc;
}

static enum pb_rc kin_all(struct env *env, const struct args *args, struct pb_err *err)
{
    const struct pb_family_ask ask = {NULL, 0, false};
    struct pb_kin kin;
    struct pb_kin_all all = {0};
    enum pb_rc rc = pb_kin_load(&env->act, &ask, &kin, err);
    if (rc == PB_OK)
        rc = pb_kin_compute(&kin, over_of(args), &all, err);
    if (rc == PB_OK)
        rc = kin_rows(env, &kin, &all, NULL, err);
    if (rc == PB_OK && !env->json && kin.family.n > 0)
        say_diversity(&all, over_of(args));
    if (rc == PB_OK)
        warn_ploidy(&kin);
    pb_kin_all_clear(&all);
    pb_kin_clear(&kin);
    return rc;
}

/* ---- one or two ------------------------------------------------------------------------ */

/* "62.5% Anoectochilus roxburghii, 12.5% unknown" */
static enum pb_rc shares_text(const struct pb_kin *kin, int32_t genet,
                              struct pb_buf *out, struct pb_err *err)
{
    struct pb_founder_share *list = NULL;
    size_t n = 0;
    enum pb_rc rc = pb_kin_shares(kin, genet, &list, &n, err);
    for (size_t i = 0; i < n && rc == PB_OK; i++)
        pb_buf_printf(out, "%s%.4g%% %s", i > 0 ? ", " : "", 100 * list[i].share,
                      list[i].taxon[0] != '\0' ? list[i].taxon : "unknown");
    free(list);
    return rc;
}

static enum pb_rc say_shares(const struct pb_kin *kin, const char *lead, int32_t genet,
                             struct pb_err *err)
{
    struct pb_buf b;
    pb_buf_init(&b, MAX_TEXT);
    enum pb_rc rc = shares_text(kin, genet, &b, err);
    if (rc == PB_OK)
        say_wrapped(lead, strlen(lead), whole(&b));
    pb_buf_clear(&b);
    return rc;
}

static enum pb_rc shares_json(const struct pb_kin *kin, int32_t genet,
                              struct pb_buf *out, struct pb_err *err)
{
    static const char *const keys[] = {"taxon", "share"};
    struct pb_founder_share *list = NULL;
    size_t n = 0;
    enum pb_rc rc = pb_kin_shares(kin, genet, &list, &n, err);
    pb_buf_addc(out, '[');
    for (size_t i = 0; i < n && rc == PB_OK; i++) {
        const struct pb_cell cells[] = {pb_cell_text(list[i].taxon),
                                        pb_cell_real(list[i].share, DIGITS)};
        pb_buf_adds(out, i > 0 ? "," : "");
        rc = pb_row_write(keys, cells, 2, out, err);
    }
    pb_buf_addc(out, ']');
    free(list);
    return rc;
}

static enum pb_rc one_json(const struct pb_kin *kin, const struct pb_kin_all *all,
                           const struct pb_kin *up, const struct pb_plant *p,
                           struct pb_err *err)
{
    static const char *const keys[] = {"code",   "clone",    "F",       "mean_kinship",
                                       "living", "doubtful", "founders"};
    int32_t row = pb_family_index(&kin->family, p->head.n);
    int32_t g = kin->ped.genet_of[row];
    struct pb_buf founders;
    pb_buf_init(&founders, MAX_TEXT);
    enum pb_rc rc = shares_json(up, pb_kin_genet(up, p->head.n), &founders, err);
    const struct pb_cell cells[] = {
        pb_cell_text(p->head.code),
        pb_cell_text(pb_kin_clone(kin, g)),
        pb_cell_real(all->f[g], DIGITS),
        all->diversity.weight > 0 ? pb_cell_real(all->mean[g], DIGITS) : pb_cell_null(),
        pb_cell_bool((kin->family.flags[row] & PB_FAMILY_LIVING) != 0),
        pb_cell_bool((kin->family.flags[row] & PB_FAMILY_DOUBTED) != 0),
        json_cell(&founders),
    };
    if (rc == PB_OK)
        rc = out_object(keys, cells, PB_ARRAY_LEN(keys), err);
    pb_buf_clear(&founders);
    return rc;
}

static enum pb_rc kin_one(struct env *env, const struct args *args,
                          const struct asked *q, struct pb_err *err)
{
    const struct pb_family_ask whole = {NULL, 0, false}, above = {q->rows, 1, true};
    struct pb_kin kin, up;
    struct pb_kin_all all = {0};
    memset(&up, 0, sizeof(up));
    enum pb_rc rc = pb_kin_load(&env->act, &whole, &kin, err);
    if (rc == PB_OK)
        rc = pb_kin_compute(&kin, over_of(args), &all, err);
    if (rc == PB_OK)
        rc = pb_kin_load(&env->act, &above, &up, err);
    if (rc == PB_OK && env->json)
        rc = one_json(&kin, &all, &up, &q->v[0], err);
    else if (rc == PB_OK) {
        rc = kin_rows(env, &kin, &all, q->v[0].head.code, err);
        if (rc == PB_OK)
            rc = say_shares(&up, "from founders  ", pb_kin_genet(&up, q->rows[0]), err);
    }
    pb_kin_all_clear(&all);
    pb_kin_clear(&up);
    pb_kin_clear(&kin);
    return rc;
}

/* Of the plants asked about, those that stand under a mark of doubtful parents: quoted
 * for JSON, or not. */
static void doubted(const struct pb_kin *kin, const struct asked *q, const char *quote,
                    struct pb_buf *out)
{
    for (size_t i = 0; i < q->n; i++) {
        int32_t row = pb_family_index(&kin->family, q->rows[i]);
        if (row != PB_UNKNOWN && !asked_again(q, i) &&
            (kin->family.flags[row] & PB_FAMILY_DOUBTED) != 0)
            pb_buf_printf(out, "%s%s%s%s",
                          out->len == 0      ? ""
                          : quote[0] != '\0' ? ","
                                             : ", ",
                          quote, q->v[i].head.code, quote);
    }
}

static void doubted_json(const struct pb_kin *kin, const struct asked *q,
                         struct pb_buf *out)
{
    struct pb_buf list;
    pb_buf_init(&list, MAX_TEXT);
    doubted(kin, q, "\"", &list); /* a code holds nothing to be escaped */
    pb_buf_printf(out, "[%s]", whole(&list));
    pb_buf_clear(&list);
}

static void say_doubted(const struct pb_kin *kin, const struct asked *q,
                        const char *lead)
{
    struct pb_buf list;
    pb_buf_init(&list, MAX_TEXT);
    doubted(kin, q, "", &list);
    if (has_text(&list)) {
        pb_buf_adds(&list, "; podbook show tells why");
        say_wrapped(lead, strlen(lead), whole(&list));
    }
    pb_buf_clear(&list);
}

/* "2 generations above S-1", or "S-1 itself". */
static void above(int32_t up, const char *code, struct pb_buf *out)
{
    if (up == 0)
        pb_buf_printf(out, "%s itself", code);
    else
        pb_buf_printf(out, "%d generation%s above %s", (int)up, up == 1 ? "" : "s",
                      code);
}

static enum pb_rc say_common(const struct pb_kin *kin, const struct asked *q,
                             const int32_t genet[2], struct pb_err *err)
{
    struct pb_common *list = NULL;
    size_t n = 0;
    enum pb_rc rc = pb_relation_common(&kin->ped, genet[0], genet[1], &list, &n, err);
    for (size_t i = 0; i < n && rc == PB_OK; i++) {
        struct pb_buf b;
        pb_buf_init(&b, MAX_TEXT);
        pb_buf_printf(&b, "%s: ", pb_kin_clone(kin, list[i].genet));
        above(list[i].up_a, q->v[0].head.code, &b);
        pb_buf_adds(&b, ", ");
        above(list[i].up_b, q->v[1].head.code, &b);
        say("  %-16s %s", i == 0 ? "common ancestors" : "", whole(&b));
        pb_buf_clear(&b);
    }
    free(list);
    return rc;
}

static enum pb_rc pair_json(const struct pb_kin *kin, const struct asked *q,
                            const struct pb_kin_pair *pair, struct pb_err *err)
{
    static const char *const keys[] = {"a",         "b",        "kinship",
                                       "progeny_F", "relation", "doubtful"};
    struct pb_buf doubtful;
    pb_buf_init(&doubtful, MAX_TEXT);
    doubted_json(kin, q, &doubtful);
    const struct pb_cell cells[] = {
        pb_cell_text(q->v[0].head.code),
        pb_cell_text(q->v[1].head.code),
        pb_cell_real(pair->kinship, DIGITS),
        pb_cell_real(pair->kinship, DIGITS),
        pb_cell_text(pb_relation_words(pair->relation)),
        json_cell(&doubtful),
    };
    enum pb_rc rc = out_object(keys, cells, PB_ARRAY_LEN(keys), err);
    pb_buf_clear(&doubtful);
    return rc;
}

static enum pb_rc say_pair(const struct pb_kin *kin, const struct asked *q,
                           const struct pb_kin_pair *pair, struct pb_err *err)
{
    struct pb_buf b;
    char number[PB_NUMBER_TEXT];
    const int32_t genet[2] = {pb_kin_genet(kin, q->rows[0]),
                              pb_kin_genet(kin, q->rows[1])};
    const bool itself = asked_again(q, 1);
    if (itself)
        say("%s with itself", q->v[0].head.code);
    else
        say("%s and %s", q->v[0].head.code, q->v[1].head.code);
    say("  %-16s %s", "relation", pb_relation_words(pair->relation));
    say("  %-16s %s, which is F of their progeny", "kinship",
        pb_text_number(pair->kinship, number));
    enum pb_rc rc = genet[0] != genet[1] ? say_common(kin, q, genet, err) : PB_OK;
    for (size_t i = 0; i < (itself ? 1 : 2) && rc == PB_OK; i++) {
        pb_buf_init(&b, MAX_TEXT);
        pb_buf_printf(&b, "  %-16s ", q->v[i].head.code);
        rc = say_shares(kin, whole(&b), genet[i], err);
        pb_buf_clear(&b);
    }
    pb_buf_init(&b, MAX_TEXT);
    pb_ploidy_words(q->v[0].ploidy, q->v[1].ploidy, &b);
    if (rc == PB_OK && has_text(&b))
        say_wrapped("  ploidy           ", 19, whole(&b));
    pb_buf_clear(&b);
    say_doubted(kin, q, "  doubtful         ");
    return rc;
}

static enum pb_rc kin_two(struct env *env, const struct pb_kin *kin,
                          const struct asked *q, struct pb_err *err)
{
    struct pb_kin_pair pair;
    enum pb_rc rc = pb_kin_pair(kin, pb_kin_genet(kin, q->rows[0]),
                                pb_kin_genet(kin, q->rows[1]), &pair, err);
    if (rc == PB_OK)
        rc = env->json ? pair_json(kin, q, &pair, err) : say_pair(kin, q, &pair, err);
    return rc;
}

/* ---- several --------------------------------------------------------------------------- */

static void matrix_json(const struct pb_kin *kin, const struct asked *q,
                        const double *k)
{
    struct pb_buf b;
    pb_buf_init(&b, MAX_TEXT);
    pb_buf_adds(&b, "{\"codes\":[");
    for (size_t i = 0; i < q->n; i++) /* a code holds nothing to be escaped */
        pb_buf_printf(&b, "%s\"%s\"", i > 0 ? "," : "", q->v[i].head.code);
    pb_buf_adds(&b, "],\"kinship\":[");
    for (size_t r = 0; r < q->n; r++) {
        pb_buf_adds(&b, r > 0 ? ",[" : "[");
        for (size_t c = 0; c < q->n; c++)
            pb_buf_printf(&b, "%s%.*f", c > 0 ? "," : "", DIGITS, k[r * q->n + c]);
        pb_buf_addc(&b, ']');
    }
    pb_buf_adds(&b, "],\"doubtful\":");
    doubted_json(kin, q, &b);
    pb_buf_addc(&b, '}');
    out_json(whole(&b));
    pb_buf_clear(&b);
}

/* Codes across and down, as many columns at a time as a line has room for. */
static void say_matrix(const struct asked *q, const double *k)
{
    size_t wide = 5;
    for (size_t i = 0; i < q->n; i++) {
        size_t n = strlen(q->v[i].head.code);
        wide = n > wide ? n : wide;
    }
    size_t most = (MATRIX_COLS - wide) / (wide + 2);
    most = most > 0 ? most : 1;
    for (size_t from = 0; from < q->n; from += most) {
        size_t to = from + most < q->n ? from + most : q->n;
        struct pb_buf b;
        pb_buf_init(&b, MAX_TEXT);
        pb_buf_printf(&b, "%s%*s", from > 0 ? "\n" : "", (int)wide, "");
        for (size_t c = from; c < to; c++)
            pb_buf_printf(&b, "  %*s", (int)wide, q->v[c].head.code);
        for (size_t r = 0; r < q->n; r++) {
            pb_buf_printf(&b, "\n%-*s", (int)wide, q->v[r].head.code);
            for (size_t c = from; c < to; c++)
                pb_buf_printf(&b, "  %*.3f", (int)wide, k[r * q->n + c]);
        }
        say("%s", whole(&b));
        pb_buf_clear(&b);
    }
}

static enum pb_rc kin_several(struct env *env, const struct pb_kin *kin,
                              const struct asked *q, struct pb_err *err)
{
    int32_t *genet = calloc(q->n, sizeof(*genet));
    double *k = calloc(q->n * q->n, sizeof(*k));
    enum pb_rc rc = genet == NULL || k == NULL ? pb_fail_memory(err) : PB_OK;
    for (size_t i = 0; i < q->n && rc == PB_OK; i++)
        genet[i] = pb_kin_genet(kin, q->rows[i]);
    if (rc == PB_OK)
        rc = pb_kinship_some(&kin->ped, (struct pb_genets){genet, q->n},
                             (struct pb_genets){genet, q->n}, k, err);
    if (rc == PB_OK && env->json)
        matrix_json(kin, q, k);
    else if (rc == PB_OK) {
        say_matrix(q, k);
        say_doubted(kin, q, "doubtful parents: ");
    }
    free(genet);
    free(k);
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct asked q = {0};
    struct pb_kin kin;
    if (args->vals[OPT_BY_PLANT].given && args->vals[OPT_ALL].given)
        return env_usage(env, err, "either --by-plant or --all, not both");
    enum pb_rc rc = env_book(env, PB_BOOK_READ, err);
    if (rc == PB_OK && args->word_n == 0)
        return kin_all(env, args, err);
    if (rc == PB_OK)
        rc = asked_find(env, args, &q, err);
    if (rc == PB_OK && args->word_n == 1)
        rc = kin_one(env, args, &q, err);
    else if (rc == PB_OK) {
        const struct pb_family_ask ask = {q.rows, q.n, true};
        rc = pb_kin_load(&env->act, &ask, &kin, err);
        if (rc == PB_OK) {
            rc = args->word_n == 2 ? kin_two(env, &kin, &q, err)
                                   : kin_several(env, &kin, &q, err);
            pb_kin_clear(&kin);
        }
    }
    asked_clear(&q);
    return rc;
}

const struct cmd cmd_kin = {
    .name = "kin",
    .args = "[A B ...]",
    .arg_max = 1000,
    .summary = "who is related to whom: kinship and inbreeding",
    .notes =
        "Without a code: F and mean kinship of every plant, and how varied the living\n"
        "collection is. With one: the same of it, and the species it comes from. With\n"
        "two: what they are to each other. With more: the kinship of each with each.",
    .step = STEP_READ,
    .untimed = true,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
