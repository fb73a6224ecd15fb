/* How the value of a field is read, and where it goes.  See field_rows.h. */
#include "act/field_rows.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

static enum pb_rc set_text(char **to, const struct pb_field_row *r, const char *value,
                           struct pb_err *err)
{
    char *copy = NULL;
    if (value[0] != '\0') {
        enum pb_rc rc = pb_text_check(r->name, value, (size_t)r->high, err);
        if (rc != PB_OK)
            return rc;
        copy = pb_text_copy(value);
        if (copy == NULL)
            return pb_fail_memory(err);
    }
    free(*to);
    *to = copy;
    return PB_OK;
}

static enum pb_rc set_word(int *to, const struct pb_field_row *r, const char *value,
                           struct pb_err *err)
{
    int found = value[0] == '\0' ? 0 : pb_name_find(r->words, (size_t)r->high, value);
    if (found >= 0) {
        *to = found;
        return PB_OK;
    }
    struct pb_buf b;
    pb_buf_init(&b, 400);
    for (int64_t i = 0; i < r->high; i++)
        if (r->words[i] != NULL)
            pb_buf_printf(&b, "%s%s", b.len > 0 ? ", " : "", r->words[i]);
    enum pb_rc rc =
        pb_fail_at(err, PB_EPARSE, r->name, 0, "expected one of %s, got \"%s\"",
                   pb_buf_peek(&b), value);
    pb_buf_clear(&b);
    return rc;
}

static enum pb_rc set_yes(bool *to, const struct pb_field_row *r, const char *value,
                          struct pb_err *err)
{
    bool yes = strcmp(value, "yes") == 0;
    if (!yes && strcmp(value, "no") != 0)
        return pb_fail_at(err, PB_EPARSE, r->name, 0, "expected yes or no, got \"%s\"",
                          value);
    *to = yes;
    return PB_OK;
}

/* A code that names another record; whether it does is seen when the record is kept. */
static enum pb_rc set_ref(struct pb_ref *to, const char *what, const char *value,
                          struct pb_err *err)
{
    size_t n = strlen(value);
    if (n == 0 || n > PB_MAX_CODE)
        return pb_fail_at(err, PB_EPARSE, what, 0, "expected a code, got \"%s\"",
                          value);
    memset(to, 0, sizeof(*to));
    memcpy(to->code, value, n + 1);
    return PB_OK;
}

static bool is_unknown(const char *text)
{
    return pb_text_casecmp(text, "unknown") == 0;
}

static bool same_origin_family(const struct pb_plant *p, enum pb_origin origin)
{
    return p->origin == PB_ORIGIN_UNKNOWN || p->origin == origin;
}

/* The origin options exclude each other, but for the two stated parents. */
static enum pb_rc set_origin(struct pb_plant *p, const struct pb_field_row *r,
                             struct pb_ref *to, const char *value, struct pb_err *err)
{
    enum pb_origin origin = (enum pb_origin)r->low;
    if (value[0] == '\0' && p->origin != origin)
        return PB_OK; /* it has no such origin */
    if (value[0] == '\0') {
        memset(to, 0, sizeof(*to));
        bool other = origin == PB_ORIGIN_PARENTS && (p->seed_parent.code[0] != '\0' ||
                                                     p->pollen_parent.code[0] != '\0');
        if (!other)
            p->origin = PB_ORIGIN_UNKNOWN;
        return PB_OK;
    }
    const char *known = p->origin == PB_ORIGIN_CROSS     ? p->from_cross.code
                        : p->origin == PB_ORIGIN_PARENTS ? p->seed_parent.code
                                                         : p->source.code;
    if (!same_origin_family(p, origin) ||
        (origin != PB_ORIGIN_PARENTS && to->n == 0 && to->code[0] != '\0'))
        return pb_fail_at(err, PB_EINVALID, r->name, 0,
                          "the plant has another origin already (%s%s%s); a plant has "
                          "one%s",
                          pb_origin_names[p->origin], known[0] != '\0' ? " " : "",
                          known, p->head.n != 0 ? ", take that away first" : "");
    if (is_unknown(value))
        return pb_fail_at(err, PB_EINVALID, r->name, 0,
                          "a parent that is unknown is left out");
    enum pb_rc rc = set_ref(to, r->name, value, err);
    if (rc == PB_OK)
        p->origin = origin;
    return rc;
}

enum pb_rc pb_field_parent(const char *what, const char *text, struct pb_parent *parent,
                           struct pb_err *err)
{
    char code[PB_MAX_CODE + 1];
    const char *equals = strchr(text, '=');
    size_t n = equals != NULL ? (size_t)(equals - text) : strlen(text);
    if (equals != NULL && (n == 0 || equals[1] == '\0'))
        return pb_fail_at(err, PB_EPARSE, what, 0,
                          "the %s of CODE=TAXON is empty in \"%s\"",
                          n == 0 ? "code" : "taxon", text);
    if (n == 0 || n > PB_MAX_CODE)
        return pb_fail_at(
            err, PB_EPARSE, what, 0,
            "expected a code of 1 to %d letters, or CODE=TAXON, got \"%s\"",
            PB_MAX_CODE, text);
    memcpy(code, text, n);
    code[n] = '\0';
    char *taxon = NULL;
    if (equals != NULL) {
        enum pb_rc rc = pb_text_check(what, equals + 1, PB_MAX_NAME, err);
        if (rc != PB_OK)
            return rc;
        taxon = pb_text_copy(equals + 1);
        if (taxon == NULL)
            return pb_fail_memory(err);
    }
    free(parent->taxon);
    free(parent->clone_name);
    memset(parent, 0, sizeof(*parent));
    memcpy(parent->plant.code, code, n + 1);
    parent->taxon = taxon;
    return PB_OK;
}

enum pb_rc pb_field_pollen(const char *what, const char *text, struct pb_cross *x,
                           struct pb_err *err)
{
    for (size_t i = 0; i < x->pollen_n; i++) {
        free(x->pollen[i].parent.taxon);
        free(x->pollen[i].parent.clone_name);
        memset(&x->pollen[i], 0, sizeof(x->pollen[i]));
        x->pollen[i].age_days = -1;
    }
    x->pollen_n = 0;
    if (is_unknown(text))
        return PB_OK;
    char *copy = pb_text_copy(text);
    if (copy == NULL)
        return pb_fail_memory(err);
    enum pb_rc rc = PB_OK;
    for (char *p = copy; p != NULL && rc == PB_OK;) {
        char *plus = strchr(p, '+');
        if (plus != NULL)
            *plus = '\0';
        if (x->pollen_n == PB_MAX_POLLEN_PARENTS)
            rc = pb_fail_at(err, PB_ELIMIT, what, 0, "at most %d pollen parents",
                            PB_MAX_POLLEN_PARENTS);
        else if (is_unknown(p))
            rc = pb_fail_at(err, PB_EINVALID, what, 0,
                            "unknown stands alone; of mixed pollen name the parents "
                            "that are known");
        else
            rc = pb_field_parent(what, p, &x->pollen[x->pollen_n].parent, err);
        if (rc == PB_OK)
            x->pollen_n++;
        p = plus != NULL ? plus + 1 : NULL;
    }
    free(copy);
    return rc;
}

static enum pb_rc set_number(int64_t *to, const struct pb_field_row *r,
                             const char *value, struct pb_err *err)
{
    if (value[0] != '\0')
        return pb_parse_int(r->name, value, r->low, r->high, to, err);
    *to = r->absent;
    return PB_OK;
}

static enum pb_rc set_int(int *to, const struct pb_field_row *r, const char *value,
                          struct pb_err *err)
{
    int64_t v = 0;
    enum pb_rc rc = set_number(&v, r, value, err);
    if (rc == PB_OK)
        *to = (int)v;
    return rc;
}

static enum pb_rc set_real(double *to, const struct pb_field_row *r, const char *value,
                           struct pb_err *err)
{
    double v = PB_REAL_NONE;
    enum pb_rc rc = PB_OK;
    if (value[0] != '\0')
        rc = pb_parse_decimal(r->name, value, (double)r->low / 1000,
                              (double)r->high / 1000, &v, err);
    if (rc == PB_OK)
        *to = v;
    return rc;
}

static enum pb_rc set_day(pb_day *to, const struct pb_field_row *r, const char *value,
                          pb_day today, struct pb_err *err)
{
    pb_day day = PB_DAY_NONE;
    enum pb_rc rc =
        value[0] == '\0' ? PB_OK : pb_day_parse(r->name, value, today, &day, err);
    if (rc == PB_OK)
        *to = day;
    return rc;
}

static enum pb_rc set_code(char *to, const struct pb_field_row *r, const char *value,
                           struct pb_err *err)
{
    enum pb_rc rc = pb_code_check(r->name, value, err);
    if (rc == PB_OK)
        memcpy(to, value, strlen(value) + 1);
    return rc;
}

enum pb_rc pb_field_found(const struct pb_course *course, const char *what,
                          const char *word, int *found, struct pb_err *err)
{
    int i = pb_finding_find(course, word);
    if (i >= 0 && course->findings[i].command == NULL) {
        *found = i;
        return PB_OK;
    }
    if (i >= 0)
        return pb_fail_at(err, PB_EINVALID, what, 0,
                          "%s is written by podbook %s, not as a look", word,
                          course->findings[i].command);
    struct pb_buf b;
    pb_buf_init(&b, 600);
    for (i = 0; i < course->finding_n; i++)
        if (course->findings[i].command == NULL)
            pb_buf_printf(&b, "%s%s", b.len > 0 ? ", " : "", course->findings[i].word);
    enum pb_rc rc =
        pb_fail_at(err, PB_EPARSE, what, 0, "of a %s expected one of %s, got \"%s\"",
                   course->noun, pb_buf_peek(&b), word);
    pb_buf_clear(&b);
    return rc;
}

enum pb_rc pb_field_set(void *record, struct pb_field_rows table,
                        const struct pb_field *f, pb_day today, struct pb_err *err)
{
    const struct pb_field_row *rows = table.v;
    size_t n = table.n;
    const struct pb_field_row *r = NULL;
    for (size_t i = 0; i < n && r == NULL; i++)
        if (strcmp(rows[i].name, f->name) == 0)
            r = &rows[i];
    if (r == NULL) {
        struct pb_buf b;
        pb_buf_init(&b, 400);
        for (size_t i = 0; i < n; i++)
            pb_buf_printf(&b, "%s%s", i > 0 ? ", " : "", rows[i].name);
        pb_buf_adds(&b, table.also != NULL ? table.also : "");
        enum pb_rc rc = pb_fail_at(err, PB_ENOTFOUND, f->name, 0,
                                   "no such field; there are %s", pb_buf_peek(&b));
        pb_buf_clear(&b);
        return rc;
    }
    if (r->absent == MUST && f->value[0] == '\0')
        return pb_fail_at(err, PB_EPARSE, r->name, 0, "cannot be empty");
    void *at = (char *)record + r->at;
    switch (r->form) {
    case FORM_TEXT:
        return set_text(at, r, f->value, err);
    case FORM_INT:
        return set_int(at, r, f->value, err);
    case FORM_NUMBER:
        return set_number(at, r, f->value, err);
    case FORM_REAL:
        return set_real(at, r, f->value, err);
    case FORM_FOUND:
        return pb_field_found(table.course, r->name, f->value, at, err);
    case FORM_DAY:
        return set_day(at, r, f->value, today, err);
    case FORM_WORD:
        return set_word(at, r, f->value, err);
    case FORM_YES:
        return set_yes(at, r, f->value, err);
    case FORM_CODE:
        return set_code(at, r, f->value, err);
    case FORM_ORIGIN:
        return set_origin(record, r, at, f->value, err);
    case FORM_SEED:
        if (is_unknown(f->value))
            return pb_fail_at(err, PB_EINVALID, r->name, 0,
                              "only the pollen parent may be unknown; name the plant "
                              "that carries the capsule");
        return pb_field_parent(r->name, f->value, at, err);
    case FORM_POLLEN:
        return pb_field_pollen(r->name, f->value, record, err);
    }
    return PB_OK;
}
