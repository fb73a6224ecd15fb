/* Old spreadsheets.  See table_in.h.  The rows are read into memory, put into an order in
 * which parents come before their offspring, and entered one by one inside one act. */
#include "act/table_in.h"

#include "act/enter.h"
#include "act/fields.h"
#include "act/intake.h"
#include "base/text.h"
#include "book/arrive.h"

#include <stdlib.h>
#include <string.h>

/* ORDER TABLE_AS */
const char *const pb_table_as_names[PB_TABLE_AS_N] = {"plants", "crosses"};
/* ORDER DATE_FORM */
const char *const pb_date_form_names[PB_DATE_FORM_N] = {NULL, "dmy", "mdy"};

/* The first column is the code. */
static const struct pb_known plant_columns[] = {
    {"code",          "code",          FORM_PLAIN,  true },
    {"taxon",         "taxon",         FORM_PLAIN,  true },
    {"seed_parent",   "seed-parent",   FORM_PARENT, false},
    {"pollen_parent", "pollen-parent", FORM_PARENT, false},
    {"clone_of",      "division-of",   FORM_PARENT, false},
    {"ploidy",        "ploidy",        FORM_PLAIN,  false},
    {"got",           "got",           FORM_DATE,   false},
    {"source",        "source",        FORM_PLAIN,  false},
    {"papers",        "papers",        FORM_PLAIN,  false},
    {"place",         "place",         FORM_PLAIN,  false},
    {"note",          "note",          FORM_PLAIN,  false},
};
_Static_assert(PB_ARRAY_LEN(plant_columns) == KNOWN_MAX, "intake.h");
static const struct pb_known cross_columns[] = {
    {"code",          "code",          FORM_PLAIN,  false},
    {"seed_parent",   "seed-parent",   FORM_PARENT, true },
    {"pollen_parent", "pollen-parent", FORM_PLAIN,  false},
    {"pollinated",    "on",            FORM_DATE,   true },
    {"flowers",       "flowers",       FORM_PLAIN,  false},
    {"note",          "note",          FORM_PLAIN,  false},
};
const char *pb_intake_cell(const struct pb_intake *t, size_t row, size_t known)
{
    return t->at[known] == NONE ? ""
                                : pb_table_cell(&t->table, row, (size_t)t->at[known]);
}

enum pb_rc pb_intake_refuse(struct pb_intake *t, size_t row, const struct pb_err *why,
                            struct pb_err *err)
{
    if (t->why[row] != NULL)
        return PB_OK;
    t->why_at[row] = "";
    for (size_t k = 0; k < t->known_n; k++)
        if (strcmp(why->where, t->known[k].field) == 0)
            t->why_at[row] = t->known[k].column;
    t->why[row] = pb_text_copy(why->text);
    t->sum.bad++;
    return t->why[row] != NULL ? PB_OK : pb_fail_memory(err);
}

/* Tell of the bad rows, by their lines; those that are bad for another's sake come last, or
 * they would bury the one that has to be mended. */
static enum pb_rc tell(const struct pb_intake *t, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (int follows = 0; follows <= 1; follows++)
        for (size_t row = 1; row < t->table.row_n && rc == PB_OK; row++) {
            const struct pb_table_note n = {true, t->table.row[row].line,
                                            t->why_at[row], pb_intake_cell(t, row, 0),
                                            t->why[row]};
            if (t->why[row] != NULL && t->follows[row] == (follows == 1))
                rc = t->ask->each(t->ask->ctx, &n, err);
        }
    return rc;
}

/* ---- the header ------------------------------------------------------------------------ */

static bool same_name(const char *typed, const char *name)
{
    for (; *typed != '\0' && *name != '\0'; typed++, name++) {
        char c = *typed;
        if (c == ' ' || c == '-')
            c = '_';
        if (c >= 'A' && c <= 'Z')
            c = (char)(c - 'A' + 'a');
        if (c != *name)
            return false;
    }
    return *typed == *name;
}

static enum pb_rc left_column(struct pb_intake *t, const char *name, struct pb_err *err)
{
    const struct pb_table_note n = {false, t->table.row[0].line, name, "",
                                    "is no column of this table; left out"};
    return name[0] != '\0' ? t->ask->each(t->ask->ctx, &n, err) : PB_OK;
}

static enum pb_rc place_column(struct pb_intake *t, size_t column, struct pb_err *err)
{
    const char *name = pb_table_cell(&t->table, 0, column);
    for (size_t k = 0; k < t->known_n; k++) {
        if (!same_name(name, t->known[k].column))
            continue;
        if (t->at[k] != NONE)
            return pb_fail_at(err, PB_EPARSE, t->ask->file, t->table.row[0].line,
                              "the column %s stands there twice", t->known[k].column);
        t->at[k] = (int)column;
        return PB_OK;
    }
    return left_column(t, name, err);
}

static enum pb_rc no_column(const struct pb_intake *t, const char *column,
                            struct pb_err *err)
{
    const char quoted[] = {'"', t->table.separator, '"', '\0'};
    return pb_fail_at(err, PB_EPARSE, t->ask->file, t->table.row[0].line,
                      "the header has no column %s (cells are parted by %s; "
                      "--separator says otherwise)",
                      column, t->table.separator == '\t' ? "tab" : quoted);
}

static enum pb_rc read_header(struct pb_intake *t, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    bool crosses = t->ask->as == PB_TABLE_CROSSES;
    t->known = crosses ? cross_columns : plant_columns;
    t->known_n = crosses ? PB_ARRAY_LEN(cross_columns) : PB_ARRAY_LEN(plant_columns);
    for (size_t k = 0; k < KNOWN_MAX; k++)
        t->at[k] = NONE;
    for (size_t c = 0; c < t->table.row[0].n && rc == PB_OK; c++)
        rc = place_column(t, c, err);
    for (size_t k = 0; k < t->known_n && rc == PB_OK; k++)
        if (t->known[k].must && t->at[k] == NONE)
            rc = no_column(t, t->known[k].column, err);
    return rc;
}

/* ---- cells ----------------------------------------------------------------------------- */

/* Digits in front of *text, at most most of them; -1: none. */
static int number(const char **text, int most)
{
    int value = -1;
    for (; most > 0 && **text >= '0' && **text <= '9'; most--, (*text)++)
        value = (value < 0 ? 0 : value) * 10 + (**text - '0');
    return value;
}

/* 5/3/2024, 05.03.2024, 5-3-2024 by the form that was named; else as ISO. */
static enum pb_rc read_date(const char *text, enum pb_date_form form,
                            char iso[PB_DAY_TEXT], struct pb_err *err)
{
    pb_day day = PB_DAY_NONE;
    const char *p = text;
    bool year_first = strspn(text, "0123456789") == 4 && text[4] == '-';
    enum pb_rc rc = pb_day_parse_iso("", text, &day, year_first ? err : NULL);
    if (rc == PB_OK)
        (void)pb_day_format(day, iso);
    if (rc == PB_OK || year_first)
        return rc;
    int a = number(&p, 2);
    char mark = *p;
    bool parted = mark == '/' || mark == '.' || mark == '-';
    p += parted;
    int b = number(&p, 2);
    bool again = parted && *p == mark;
    p += again;
    const char *year_at = p;
    int year = number(&p, 4);
    if (!again || a < 0 || b < 0 || p - year_at != 4 || *p != '\0')
        return pb_fail(err, PB_EPARSE, "expected YYYY-MM-DD%s, got \"%s\"",
                       form == PB_DATE_ISO   ? ""
                       : form == PB_DATE_DMY ? " or day/month/year in four digits"
                                             : " or month/day/year in four digits",
                       text);
    if (form == PB_DATE_ISO)
        return pb_fail(err, PB_EPARSE,
                       "expected YYYY-MM-DD, got \"%s\"; --date-form dmy or mdy says "
                       "which of the two is the month",
                       text);
    day =
        form == PB_DATE_DMY ? pb_day_from_ymd(year, b, a) : pb_day_from_ymd(year, a, b);
    if (day == PB_DAY_NONE)
        return pb_fail(err, PB_EPARSE, "there is no day \"%s\" (%s)", text,
                       pb_date_form_names[form]);
    (void)pb_day_format(day, iso);
    return PB_OK;
}

/* One field as the record's fields want it; false: there is nothing to set. */
static bool is_set(const struct pb_known *k, const char *text)
{
    return text[0] != '\0' &&
           !(k->form == FORM_PARENT && pb_text_casecmp(text, "unknown") == 0);
}

static enum pb_rc field_of(const struct pb_intake *t, size_t row, size_t known,
                           char iso[PB_DAY_TEXT], struct pb_field *f,
                           struct pb_err *err)
{
    const struct pb_known *k = &t->known[known];
    struct pb_err why = {0};
    *f = (struct pb_field){k->field, pb_intake_cell(t, row, known)};
    if (k->form != FORM_DATE || f->value[0] == '\0')
        return PB_OK;
    enum pb_rc rc = read_date(f->value, t->ask->dates, iso, &why);
    f->value = iso;
    return rc == PB_OK ? rc : pb_fail_at(err, rc, k->field, 0, "%s", why.text);
}

static enum pb_rc fill_plant(const struct pb_intake *t, size_t row, struct pb_plant *p,
                             struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t k = 0; k < t->known_n && rc == PB_OK; k++) {
        char iso[PB_DAY_TEXT];
        struct pb_field f;
        if (!t->known[k].must && !is_set(&t->known[k], pb_intake_cell(t, row, k)))
            continue;
        rc = field_of(t, row, k, iso, &f, err);
        if (rc == PB_OK)
            rc = pb_field_set_plant(p, &f, t->a->today, err);
    }
    return rc;
}

static enum pb_rc fill_cross(const struct pb_intake *t, size_t row, struct pb_cross *x,
                             struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    x->flowers = 1;
    for (size_t k = 1; k < t->known_n && rc == PB_OK; k++) {
        char iso[PB_DAY_TEXT];
        struct pb_field f;
        if (!t->known[k].must && !is_set(&t->known[k], pb_intake_cell(t, row, k)))
            continue;
        rc = field_of(t, row, k, iso, &f, err);
        if (rc == PB_OK)
            rc = pb_field_set_cross(x, &f, t->a->today, err);
    }
    return rc;
}

/* ---- entering -------------------------------------------------------------------------- */

static enum pb_rc enter_plant_row(struct pb_intake *t, size_t row, struct pb_err *why)
{
    struct pb_plant p;
    pb_plant_init(&p);
    enum pb_rc rc = fill_plant(t, row, &p, why);
    if (rc == PB_OK)
        rc = pb_plant_enter(t->a, &p, why);
    pb_plant_clear(&p);
    return rc;
}

bool pb_intake_own_code(const char *code, struct pb_own_code *own)
{
    return pb_own_code_parse(code, own) && own->letter == 'X' && own->look == 0;
}

/* Why a code of podbook's own form cannot be taken over. */
static enum pb_rc not_free(const char *code, const struct pb_own_code *own,
                           struct pb_err *why)
{
    char ours[PB_MAX_CODE + 1];
    if (own->number < 1 || own->number > PB_MAX_TAKEN)
        return pb_fail_at(why, PB_EINVALID, "code", 0,
                          "%s is no code that podbook gives: its numbers go from 1 to "
                          "%d",
                          code, PB_MAX_TAKEN);
    pb_own_code_format(own->letter, pb_day_from_ymd(2000 + own->year, 1, 1),
                       own->number, ours);
    if (strcmp(code, ours) != 0)
        return pb_fail_at(why, PB_EINVALID, "code", 0,
                          "podbook writes %s as %s; write it so", code, ours);
    return pb_fail_at(why, PB_ECONFLICT, "code", 0,
                      "%s is taken by another record; choose another, or leave it out",
                      code);
}

/* A code of podbook's own form is kept where nobody has it; any other becomes what the
 * cross was called where it came from. */
static enum pb_rc take_code(struct pb_intake *t, const char *code, struct pb_cross *x,
                            struct pb_err *why)
{
    bool is_free = false;
    struct pb_own_code own;
    size_t n = strlen(code);
    if (n == 0)
        return PB_OK;
    enum pb_rc rc = pb_text_check("code", code, PB_MAX_CODE, why);
    if (rc == PB_OK && pb_intake_own_code(code, &own)) {
        rc = pb_book_take_code(t->a->book, code, NULL, &is_free, why);
        if (rc == PB_OK && !is_free)
            rc = not_free(code, &own, why);
    }
    if (rc == PB_OK)
        memcpy(is_free ? x->head.code : x->head.origin_code, code, n + 1);
    return rc;
}

static enum pb_rc enter_cross_row(struct pb_intake *t, size_t row, struct pb_err *why)
{
    struct pb_cross x;
    int entered = 0;
    pb_cross_init(&x);
    enum pb_rc rc = fill_cross(t, row, &x, why);
    if (rc == PB_OK)
        rc = take_code(t, pb_intake_cell(t, row, 0), &x, why);
    if (rc == PB_OK)
        rc = pb_cross_enter(t->a, &x, &entered, why);
    pb_cross_clear(&x);
    return rc;
}

/* A row that does not go in leaves nothing behind. */
enum pb_rc pb_intake_enter(struct pb_intake *t, size_t row, struct pb_err *err)
{
    struct pb_err why = {0};
    enum pb_rc rc = pb_book_mark(t->a->book, err);
    if (rc != PB_OK)
        return rc;
    rc = t->ask->as == PB_TABLE_PLANTS ? enter_plant_row(t, row, &why)
                                       : enter_cross_row(t, row, &why);
    if (rc == PB_OK) {
        t->sum.entered++;
        return pb_book_go_on(t->a->book, err);
    }
    if (rc == PB_ENOMEM || rc == PB_EIO)
        return pb_fail_at(err, rc, why.where, why.line, "%s", why.text);
    rc = pb_book_go_back(t->a->book, err);
    return rc == PB_OK ? pb_intake_refuse(t, row, &why, err) : rc;
}

/* ---- the act --------------------------------------------------------------------------- */

/* A row with more cells than the header: most often a comma that wanted quotes, and every
 * cell behind it stands in the wrong column. */
static enum pb_rc refuse_surplus(struct pb_intake *t, struct pb_err *err)
{
    size_t n = t->table.row[0].n;
    enum pb_rc rc = PB_OK;
    for (size_t row = 1; row < t->table.row_n && rc == PB_OK; row++) {
        size_t cells = t->table.row[row].n;
        while (cells > n && pb_table_cell(&t->table, row, cells - 1)[0] == '\0')
            cells--;
        if (cells <= n)
            continue;
        struct pb_err why = {0};
        (void)pb_fail(&why, PB_EPARSE,
                      "has %zu cells where the header has %zu; does one want quotes?",
                      cells, n);
        rc = pb_intake_refuse(t, row, &why, err);
    }
    return rc;
}

/* Rows that bring a code go first: a code that is given here must not be one of theirs. */
static enum pb_rc enter_crosses(struct pb_intake *t, struct pb_err *err)
{
    enum pb_rc rc = pb_intake_codes(t, err);
    for (int coded = 1; coded >= 0; coded--)
        for (size_t row = 1; row < t->table.row_n && rc == PB_OK; row++)
            if (t->why[row] == NULL &&
                (pb_intake_cell(t, row, 0)[0] != '\0') == (coded == 1))
                rc = pb_intake_enter(t, row, err);
    return rc;
}

static enum pb_rc enter_all(struct pb_intake *t, struct pb_err *err)
{
    enum pb_rc rc = refuse_surplus(t, err);
    if (rc == PB_OK)
        rc = t->ask->as == PB_TABLE_PLANTS ? pb_intake_plants(t, err)
                                           : enter_crosses(t, err);
    if (rc == PB_OK)
        rc = tell(t, err);
    if (rc == PB_OK && t->sum.bad > 0 && !t->ask->keep_good)
        rc = pb_fail_at(err, PB_ECONFLICT, t->ask->file, 0,
                        "nothing was entered: %zu bad row%s; --keep-good enters the "
                        "others",
                        t->sum.bad, t->sum.bad == 1 ? "" : "s");
    return rc;
}

static enum pb_rc enter_table(struct pb_intake *t, struct pb_err *err)
{
    enum pb_rc rc = read_header(t, err);
    if (rc != PB_OK)
        return rc;
    t->why = calloc(t->table.row_n, sizeof(*t->why));
    t->why_at = calloc(t->table.row_n, sizeof(*t->why_at));
    t->follows = calloc(t->table.row_n, sizeof(*t->follows));
    t->by_code = calloc(t->table.row_n, sizeof(*t->by_code));
    if (t->why == NULL || t->why_at == NULL || t->follows == NULL || t->by_code == NULL)
        return pb_fail_memory(err);
    rc = pb_book_begin(t->a->book, t->a->command, t->a->today, t->a->now, err);
    if (rc != PB_OK)
        return rc;
    rc = enter_all(t, err);
    if (rc != PB_OK || t->sum.entered > 0)
        return pb_book_end(t->a->book, rc, err);
    pb_book_drop(t->a->book);
    return PB_OK;
}

enum pb_rc pb_act_table(struct pb_act *a, const struct pb_table_ask *ask,
                        struct pb_table_sum *sum, struct pb_err *err)
{
    struct pb_intake t = {.a = a, .ask = ask};
    enum pb_rc rc = pb_table_read(ask->in, ask->file, ask->separator, &t.table, err);
    if (rc == PB_OK)
        rc = enter_table(&t, err);
    *sum = t.sum;
    if (rc != PB_OK)
        sum->entered = 0;
    for (size_t row = 0; t.why != NULL && row < t.table.row_n; row++)
        free(t.why[row]);
    free(t.why);
    free(t.why_at);
    free(t.follows);
    pb_table_clear(&t.table);
    free(t.by_code);
    for (int k = 0; k < PARENT_COLUMNS; k++)
        free(t.parent[k]);
    return rc;
}
