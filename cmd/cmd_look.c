/* podbook look: one observation on a record of any kind. */
#include "act/fields.h"
#include "act/find.h"
#include "act/look.h"
#include "base/text.h"
#include "core/scale.h"
#include "out.h"
#include "print.h"
#include "print_batch.h"
#include "print_shoot.h"
#include "table.h"

#include <string.h>

enum { REMARK = 1000 };

enum { O_ON, O_COUNT, O_OF, O_SCALE, O_METHOD, O_AS, O_NOTE };
static const struct opt opts[] = {
    {"on",     OPT_DATE, "DATE",     "day of the look (default today)",                   0, 0,              NULL, 0},
    {"count",  OPT_INT,  "N",        "how many (default all that are still open)",        0,
     PB_MAX_COUNTED,                                                                                         NULL, 0},
    {"of",     OPT_INT,  "N",        "how many were looked at: --count of them",          1, PB_MAX_COUNTED,
     NULL,                                                                                                         0},
    {"scale",  OPT_TEXT, "NAME",     "whose stage-1 to stage-5: published scales differ", 0,
     0,                                                                                                      NULL, 0},
    {"method", OPT_TEXT, "TEXT",     "how the sample was looked at",                      0, 0,              NULL, 0},
    {"as",     OPT_TEXT, "CODE,...", "cuttings potted: the plants that they become",      0, 0,
     NULL,                                                                                                         0},
    {"note",   OPT_TEXT, "TEXT",     "anything else (shared only with notes)",            0, 0,              NULL, 0},
};

static enum pb_rc take_text(const char *what, const struct optval *v, size_t most,
                            char **text, struct pb_err *err)
{
    if (!v->given)
        return PB_OK;
    enum pb_rc rc = pb_text_check(what, v->text, most, err);
    *text = rc == PB_OK ? pb_text_copy(v->text) : NULL;
    return rc == PB_OK && *text == NULL ? pb_fail_memory(err) : rc;
}

/* The units of a course that has several, else the things counted in the one. */
static enum pb_rc take_count(const struct pb_course *course, const struct args *args,
                             struct pb_look *look, struct pb_err *err)
{
    const struct optval *count = &args->vals[O_COUNT], *of = &args->vals[O_OF];
    int64_t units = 0;
    enum pb_rc rc = PB_OK;
    if (count->given && course->many)
        rc = pb_parse_int("count", count->text, 1, PB_MAX_FLOWERS, &units, err);
    else if (count->given)
        look->amount = count->number;
    look->count = (int)units;
    look->sample = of->given ? of->number : -1;
    return rc;
}

static enum pb_rc fill(struct env *env, const struct pb_course *course,
                       const struct args *args, struct pb_look *look,
                       struct pb_err *err)
{
    const struct optval *v = args->vals;
    enum pb_rc rc = pb_field_found(course, "FOUND", args->words[1], &look->found, err);
    look->on = v[O_ON].given ? v[O_ON].day : env->act.today;
    if (rc == PB_OK)
        rc = take_count(course, args, look, err);
    if (rc == PB_OK)
        rc = take_text("scale", &v[O_SCALE], PB_MAX_NAME, &look->scale, err);
    if (rc == PB_OK)
        rc = take_text("method", &v[O_METHOD], PB_MAX_NAME, &look->method, err);
    if (rc == PB_OK)
        rc = take_text("note", &v[O_NOTE], PB_MAX_TEXT, &look->note, err);
    return rc == PB_OK ? pb_look_check(course, look, err) : rc;
}

/* ---- what is said of a finding ---------------------------------------------------------- */

/* Findings that are easily taken for more, or less, than they say, or that hurt. */
static const struct {
    enum pb_kind kind;
    const char *word, *text;
} remarks[] = {
    {PB_CROSS, "unchanged",
     "Unchanged closes nothing; look again, and book it as dropped when it falls."},
    {PB_CROSS, "swollen",
     "Swelling answers the pollen; it does not yet mean that seed is forming."    },
    {PB_CROSS, "split",
     "Seed that is still there can be taken: podbook harvest @ --as split"        },
    {PB_FLASK, "contaminated",
     "Keep it away from the others and closed. Mould spores hurt the lungs: open it\n"
     "outdoors, with a mask, or not at all."                                      },
};

static void say_remark(enum pb_kind kind, const char *word, const char *code)
{
    struct pb_buf b;
    for (size_t i = 0; i < PB_ARRAY_LEN(remarks); i++) {
        if (remarks[i].kind != kind || strcmp(remarks[i].word, word) != 0)
            continue;
        pb_buf_init(&b, REMARK);
        for (const char *p = remarks[i].text; *p != '\0'; p++)
            if (*p == '@')
                pb_buf_adds(&b, code);
            else
                pb_buf_addc(&b, *p);
        say("%s", whole(&b));
        pb_buf_clear(&b);
    }
}

/* Does the ovary of this group hardly swell? */
static bool swells_without_sign(struct env *env, const struct pb_cross *x)
{
    struct pb_profile_match m;
    const struct pb_profile_stage *s = NULL;
    if (out_has(pb_timing_find(&env->act, &x->seed, x->profile, &m, NULL)))
        s = pb_profile_stage(&m, PB_STAGE_SWELLING);
    return s != NULL && s->no_sign;
}

static enum pb_rc print_cross(struct env *env, const char *code, const char *word,
                              struct pb_err *err)
{
    struct pb_cross x;
    pb_cross_init(&x);
    enum pb_rc rc = pb_find_cross(&env->act, NULL, code, &x, err);
    if (rc == PB_OK)
        rc = print_cross_after(env, &x, err);
    if (rc == PB_OK && !env->json) {
        if (strcmp(word, "unchanged") == 0 && swells_without_sign(env, &x))
            say("In this group the ovary hardly swells: unchanged says little, go on "
                "looking.");
        else
            say_remark(PB_CROSS, word, x.head.code);
    }
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc print_plant_look(struct env *env, const char *code,
                                   struct pb_err *err)
{
    struct pb_plant p;
    pb_plant_init(&p);
    enum pb_rc rc = pb_find_plant(&env->act, NULL, code, &p, err);
    if (rc == PB_OK)
        rc = print_shoot_after(env, &p, err);
    pb_plant_clear(&p);
    return rc;
}

/* A cutting that became a plant is booked twice: what ended it does not end the plant.
 *   given  it was given away */
static enum pb_rc say_living(struct env *env, const struct pb_batch *b, bool given,
                             struct pb_err *err)
{
    struct pb_buf codes, text;
    pb_buf_init(&codes, PB_BATCH_PLANTS_TEXT);
    pb_buf_init(&text, PB_BATCH_PLANTS_TEXT + REMARK);
    enum pb_rc rc = pb_batch_outlived(&env->act, b, &codes, err);
    if (rc == PB_OK && has_text(&codes)) {
        const char *all = whole(&codes);
        size_t one = strcspn(all, ",");
        pb_buf_printf(&text,
                      "%s came out of it and %s in the book as living. What is gone is "
                      "booked on the plant: podbook gone %.*s %s",
                      all, all[one] == '\0' ? "is" : "are", (int)one, all,
                      given ? "given" : "dead");
        say_wrapped("", 2, whole(&text));
    }
    pb_buf_clear(&text);
    pb_buf_clear(&codes);
    return rc;
}

/* Does the word end what it is said of? */
static bool ends(const struct pb_course *c, const char *word)
{
    int to = c->findings[pb_finding_find(c, word)].to;
    return to != PB_STAYS && (c->open & PB_BIT(to)) == 0;
}

static enum pb_rc print_other(struct env *env, const char *code, const char *word,
                              struct pb_err *err)
{
    struct pb_batch b;
    pb_batch_init(&b, PB_SEED);
    enum pb_rc rc = pb_find_batch(&env->act, NULL, PB_KIND_N, code, &b, err);
    if (rc == PB_OK)
        rc = print_batch_after(env, &b, err);
    if (rc == PB_OK && b.kind == PB_CUTTING && !env->json &&
        ends(&pb_courses[PB_CUTTING], word))
        rc = say_living(env, &b, strcmp(word, "given") == 0, err);
    pb_batch_clear(&b);
    return rc;
}

/* A scale that is not known may be one that was misspelt; it counts as written. */
static void remark_scale(const char *scale)
{
    const char *meant = pb_scale_meant(scale);
    struct pb_buf b;
    pb_buf_init(&b, REMARK);
    pb_buf_adds(&b, "The scale \"");
    pb_text_escape(&b, scale);
    pb_buf_adds(&b, "\" is not known here, so its stages are taken as 1 to 5. ");
    if (meant != NULL)
        pb_buf_printf(&b, "Did you mean %s? Then amend the look: scale=\"%s\"", meant,
                      meant);
    else
        pb_buf_adds(&b, "Known:");
    for (size_t i = 0; meant == NULL && pb_scale_name(i) != NULL; i++)
        pb_buf_printf(&b, "%s %s", i > 0 ? "," : "", pb_scale_name(i));
    say_wrapped("", 0, pb_buf_peek(&b));
    pb_buf_clear(&b);
}

static enum pb_rc print_all(struct env *env, const struct pb_code_range *codes,
                            enum pb_kind kind, const char *word, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    char code[PB_MAX_CODE + 1];
    for (int64_t i = 0; i < codes->n && rc == PB_OK; i++) {
        const char *at = pb_code_range_at(codes, i, code);
        if (codes->is_range)
            out_array(env, i, codes->n);
        rc = kind == PB_CROSS   ? print_cross(env, at, word, err)
             : kind == PB_PLANT ? print_plant_look(env, at, err)
                                : print_other(env, at, word, err);
    }
    if (rc == PB_OK && codes->is_range)
        out_array(env, codes->n, codes->n);
    if (rc == PB_OK && kind != PB_CROSS && !env->json)
        say_remark(kind, word, pb_code_range_at(codes, 0, code));
    return rc;
}

/* A word of crosses said of what has no code of one: says what it is. */
static enum pb_rc refuse_cross_word(struct env *env, const char *code,
                                    struct pb_err *err)
{
    struct pb_cross x;
    pb_cross_init(&x);
    enum pb_rc rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_find_cross(&env->act, NULL, code, &x, err);
    pb_cross_clear(&x);
    return rc;
}

/* ---- the command ------------------------------------------------------------------------ */

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_look look;
    struct pb_looking l = {.look = &look};
    int number = 0;
    pb_look_init(&look);
    enum pb_rc rc = pb_code_range_parse("CODE", args->words[0], &l.codes, err);
    char code[PB_MAX_CODE + 1];
    enum pb_kind kind = PB_KIND_N;
    if (rc == PB_OK)
        kind = pb_code_kind(pb_code_range_at(&l.codes, 0, code), &number);
    /* a code of no kind of podbook's own is refused as that of a cross is */
    const enum pb_kind of = kind == PB_KIND_N ? PB_CROSS : kind;
    l.as = args->vals[O_AS].given ? args->vals[O_AS].text : NULL;
    if (rc == PB_OK && l.as != NULL && (of != PB_CUTTING || l.codes.is_range))
        rc = pb_fail_at(err, PB_EINVALID, "as", 0,
                        "only cuttings become plants so, those of one code at a time");
    if (rc == PB_OK && of == PB_PLANT && !l.codes.is_range &&
        pb_finding_find(&pb_courses[PB_PLANT], args->words[1]) < 0 &&
        pb_finding_find(&pb_courses[PB_CROSS], args->words[1]) >= 0)
        rc = refuse_cross_word(env, args->words[0], err);
    if (rc == PB_OK)
        rc = fill(env, &pb_courses[of], args, &look, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_looks(&env->act, &l, err);
    if (rc == PB_OK)
        rc = print_all(env, &l.codes, of, args->words[1], err);
    const struct optval *scale = &args->vals[O_SCALE];
    if (rc == PB_OK && scale->given && !env->json && !pb_scale_is_known(scale->text))
        remark_scale(scale->text);
    if (rc == PB_OK && l.as != NULL && !env->json)
        say("Entered: %s, of the clone of its source.", l.as);
    pb_look_clear(&look);
    return rc;
}

const struct cmd cmd_look = {
    .name = "look",
    .args = "CODE FOUND",
    .arg_min = 2,
    .arg_max = 2,
    .summary = "write down what a look found",
    .notes =
        "CODE is a cross, plant, seed lot, flask, cutting or pollen lot, or a range\n"
        "(F26-001..004). FOUND is, of a\n"
        "cross: unchanged unsure swollen holding yellowing (a count as seen that day)\n"
        "  split dropped lost (newly found that day, these add up)\n"
        "seed lot: counted viable used-up given discarded\n"
        "flask: unchanged germinated stage-1 stage-2 stage-3 stage-4 stage-5\n"
        "  contaminated settled given discarded\n"
        "cutting: unchanged callused in-water rooted potted settled rotted lost\n"
        "  died given\n"
        "plant after its flowering: unchanged pups none\n"
        "pollen lot: viable used-up discarded\n"
        "A look may be skipped: a first look may find anything.",
    .step = STEP_WATCH,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
