/* Records in memory: names of their enums, empty and released states, codes. */
#include "core/record.h"

#include "base/text.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ORDER KIND */
const char *const pb_kind_names[PB_KIND_N] = {"plant", "cross",   "seed",
                                              "flask", "cutting", "pollen"};
/* ORDER ORIGIN */
const char *const pb_origin_names[PB_ORIGIN_N] = {
    "unknown", "pup", "cutting", "division", "cross", "parents",
};
/* ORDER GONE: the first is no word that anybody types */
const char *const pb_gone_names[PB_GONE_N] = {
    NULL, "dead", "sold", "given", "discarded",
};
/* ORDER FOUND */
const char *const pb_found_names[PB_FOUND_N] = {
    "unchanged", "unsure", "swollen", "holding",
    "yellowing", "split",  "dropped", "lost",
};
/* ORDER AS */
const char *const pb_as_names[PB_AS_N] = {
    "closed",
    "yellowing",
    "about-to-split",
    "split",
};
/* ORDER OWN_POLLEN */
const char *const pb_own_pollen_names[PB_OWN_N] = {NULL, "removed", "left"};

int pb_name_find(const char *const *names, size_t n, const char *word)
{
    for (size_t i = 0; i < n; i++)
        if (names[i] != NULL && strcmp(names[i], word) == 0)
            return (int)i;
    return -1;
}

void pb_look_init(struct pb_look *l)
{
    memset(l, 0, sizeof(*l));
    l->on = PB_DAY_NONE;
    l->amount = l->sample = -1;
}

void pb_look_clear(struct pb_look *l)
{
    free(l->scale);
    free(l->method);
    free(l->note);
    pb_look_init(l);
}

void pb_plant_init(struct pb_plant *p)
{
    memset(p, 0, sizeof(*p));
    p->got = p->gone_on = PB_DAY_NONE;
}

void pb_cross_init(struct pb_cross *x)
{
    memset(x, 0, sizeof(*x));
    x->pollinated = x->bagged = PB_DAY_NONE;
    x->flower_age = -1;
    for (size_t i = 0; i < PB_MAX_POLLEN_PARENTS; i++)
        x->pollen[i].age_days = -1;
}

void pb_plant_clear(struct pb_plant *p)
{
    free(p->head.extra);
    free(p->taxon);
    free(p->clone_name);
    free(p->doubtful);
    free(p->source_text);
    free(p->papers);
    free(p->place);
    free(p->note);
    pb_plant_init(p);
}

static void parent_clear(struct pb_parent *p)
{
    free(p->taxon);
    free(p->clone_name);
}

void pb_cross_clear(struct pb_cross *x)
{
    free(x->head.extra);
    parent_clear(&x->seed);
    for (size_t i = 0; i < x->pollen_n; i++)
        parent_clear(&x->pollen[i].parent);
    free(x->at);
    free(x->grex);
    free(x->profile);
    free(x->doubtful);
    free(x->note);
    for (size_t i = 0; i < x->look_n; i++)
        pb_look_clear(&x->looks[i]);
    free(x->looks);
    free(x->harvests);
    pb_cross_init(x);
}

bool pb_origin_is_vegetative(enum pb_origin origin)
{
    return origin == PB_ORIGIN_PUP || origin == PB_ORIGIN_CUTTING ||
           origin == PB_ORIGIN_DIVISION;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/* Where the dots of F26-001..004 stand, NULL: it is no range of podbook's own codes.
 *   first  out: the code before them */
static const char *begins_range(const char *text, struct pb_own_code *first)
{
    char code[PB_MAX_CODE + 1];
    const char *dots = strstr(text, "..");
    if (dots == NULL || dots - text > PB_MAX_CODE)
        return NULL;
    size_t n = (size_t)(dots - text);
    memcpy(code, text, n);
    code[n] = '\0';
    return pb_own_code_parse(code, first) && first->look == 0 ? dots : NULL;
}

enum pb_rc pb_code_check(const char *what, const char *code, struct pb_err *err)
{
    size_t n = strlen(code);
    if (n == 0)
        return pb_fail_at(err, PB_EPARSE, what, 0, "the code is empty");
    if (n > PB_MAX_CODE)
        return pb_fail_at(err, PB_ELIMIT, what, 0,
                          "the code is %zu bytes long, at most %d fit", n, PB_MAX_CODE);
    for (size_t i = 0; i < n; i++) {
        bool inner = code[i] == '-' || code[i] == '_' || code[i] == '.';
        if (!is_letter(code[i]) && !is_digit(code[i]) && !(inner && i > 0))
            return pb_fail_at(err, PB_EPARSE, what, 0,
                              "a code is ASCII letters, digits, - _ . and begins with "
                              "a letter or digit, got \"%s\"",
                              code);
    }
    if (pb_text_casecmp(code, "unknown") == 0)
        return pb_fail_at(
            err, PB_EPARSE, what, 0,
            "\"unknown\" stands for an unknown parent; choose another code");
    struct pb_own_code own;
    if (pb_own_code_parse(code, &own) || begins_range(code, &own) != NULL)
        return pb_fail_at(err, PB_EPARSE, what, 0,
                          "%s has the form of podbook's own codes (X26-001); "
                          "choose another",
                          code);
    return PB_OK;
}

bool pb_own_code_parse(const char *code, struct pb_own_code *own)
{
    if (!is_letter(code[0]) || !is_digit(code[1]) || !is_digit(code[2]) ||
        code[3] != '-' || !is_digit(code[4]))
        return false;
    int64_t number = 0;
    int look = 0;
    const char *p = code + 4;
    for (; is_digit(*p); p++)
        if (number < INT64_MAX / 10 - 9)
            number = number * 10 + (*p - '0');
    if (*p == '/') {
        const char *start = ++p;
        for (; is_digit(*p) && look < PB_MAX_LOOKS; p++)
            look = look * 10 + (*p - '0');
        if (p == start || look == 0)
            return false;
    }
    if (*p != '\0')
        return false;
    own->letter = (char)(code[0] >= 'a' ? code[0] - 'a' + 'A' : code[0]);
    own->year = (code[1] - '0') * 10 + (code[2] - '0');
    own->number = number;
    own->look = look;
    return true;
}

static void format_own(char letter, int year, int64_t number, char *code)
{
    (void)snprintf(code, PB_MAX_CODE + 1, "%c%02u-%03" PRId64, letter,
                   (unsigned)year % 100, number);
}

void pb_own_code_format(char letter, pb_day day, int64_t number, char *code)
{
    int y = 0, m = 0, d = 0;
    pb_day_to_ymd(day, &y, &m, &d);
    format_own(letter, y, number, code);
}

enum pb_rc pb_code_range_parse(const char *what, const char *text,
                               struct pb_code_range *range, struct pb_err *err)
{
    struct pb_code_range r = {.text = text, .n = 1};
    struct pb_own_code last;
    const char *dots = begins_range(text, &r.first);
    if (dots == NULL) {
        *range = r;
        return PB_OK;
    }
    const char *behind = dots + 2;
    last = r.first;
    bool code = pb_own_code_parse(behind, &last);
    if (!code && pb_parse_int(what, behind, 0, INT64_MAX, &last.number, NULL) != PB_OK)
        return pb_fail_at(err, PB_EPARSE, what, 0,
                          "expected a range like F26-001..004, got \"%s\"", text);
    if (last.letter != r.first.letter || last.year != r.first.year || last.look != 0)
        return pb_fail_at(err, PB_EPARSE, what, 0,
                          "a range is of one kind and one year, got \"%s\"", text);
    if (last.number < r.first.number)
        return pb_fail_at(err, PB_EPARSE, what, 0, "the range runs backwards: %s",
                          text);
    if (last.number - r.first.number >= PB_MAX_RANGE)
        return pb_fail_at(err, PB_ELIMIT, what, 0, "%s is more than %d records at once",
                          text, PB_MAX_RANGE);
    r.is_range = true;
    r.n = last.number - r.first.number + 1;
    *range = r;
    return PB_OK;
}

const char *pb_code_range_at(const struct pb_code_range *range, int64_t i,
                             char code[PB_MAX_CODE + 1])
{
    if (!range->is_range)
        return range->text;
    format_own(range->first.letter, range->first.year, range->first.number + i, code);
    return code;
}

bool pb_id_is_valid(const char *id)
{
    for (size_t i = 0; i < PB_ID_TEXT - 1; i++) {
        bool hyphen = i == 8 || i == 13 || i == 18 || i == 23;
        bool hex = is_digit(id[i]) || (id[i] >= 'a' && id[i] <= 'f');
        if (hyphen ? id[i] != '-' : !hex)
            return false;
    }
    return id[PB_ID_TEXT - 1] == '\0';
}
