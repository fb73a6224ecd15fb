/* Is the book sound?  See sound.h. */
#include "book/sound.h"

#include "base/buf.h"
#include "base/text.h"
#include "book/db.h"
#include "book/intact.h"
#include "book/schema.h"
#include "core/taxon.h"

#include <string.h>

const char *const pb_check_names[] = {
    "file", "form",  "link",  "history", "code",    "text",     "number", "origin",
    "day",  "looks", "count", "open",    "derived", "reminder", "learnt"};
_Static_assert(PB_ARRAY_LEN(pb_check_names) == PB_CHECK_N, "ORDER CHECK");

/* A walk over faults. */
struct run {
    struct pb_book *b;
    pb_fault_each *each;
    void *ctx;
};

static enum pb_rc tell(struct run *run, enum pb_check check, const char *code,
                       const char *what, const char *remedy, struct pb_err *err)
{
    const struct pb_fault f = {check, code, what, remedy};
    return run->each(run->ctx, &f, err);
}

/* ---- the form ------------------------------------------------------------------------- */

#define SCHEMA                                                                 \
    "SELECT type,name,sql FROM sqlite_schema WHERE name NOT LIKE 'sqlite\\_%'" \
    " ESCAPE '\\' ORDER BY type,name"

static enum pb_rc tell_form(struct run *run, sqlite3_stmt *s, const char *is,
                            const char *remedy, struct pb_err *err)
{
    struct pb_buf what;
    pb_buf_init(&what, 1 << 16);
    pb_buf_printf(&what, "the %s %s %s", (const char *)sqlite3_column_text(s, 0),
                  (const char *)sqlite3_column_text(s, 1), is);
    enum pb_rc rc = pb_buf_status(&what, err);
    if (rc == PB_OK)
        rc = tell(run, PB_CHECK_FORM, NULL, pb_buf_peek(&what), remedy, err);
    pb_buf_clear(&what);
    return rc;
}

/* Columns of two rows in the order of type and name; a missing text is the least. */
static int compare(sqlite3_stmt *a, sqlite3_stmt *b, int column)
{
    const char *x = (const char *)sqlite3_column_text(a, column),
               *y = (const char *)sqlite3_column_text(b, column);
    return strcmp(x != NULL ? x : "", y != NULL ? y : "");
}

/* What is wrong with the two that stand side by side; order: which of them stands alone. */
static enum pb_rc tell_apart(struct run *run, sqlite3_stmt *theirs, sqlite3_stmt *ours,
                             int order, struct pb_err *err)
{
    static const char planted[] =
        "a book is made by podbook alone; take its records over into a new one "
        "(podbook share, podbook receive)";
    if (order < 0)
        return tell_form(run, theirs, "is none of podbook's", planted, err);
    if (order > 0)
        return tell_form(run, ours, "is missing", pb_intact_remedy, err);
    return compare(theirs, ours, 2) == 0
               ? PB_OK
               : tell_form(run, theirs, "is not as podbook makes it", planted, err);
}

/* Side by side with a book made now. */
static enum pb_rc compare_form(struct run *run, struct pb_book *model,
                               struct pb_err *err)
{
    sqlite3_stmt *theirs = NULL, *ours = NULL;
    bool has = false, wants = false;
    enum pb_rc rc = pb_db_prepare(run->b, SCHEMA, &theirs, err);
    if (rc == PB_OK)
        rc = pb_db_prepare(model, SCHEMA, &ours, err);
    if (rc == PB_OK)
        rc = pb_db_step(run->b, theirs, &has, err);
    if (rc == PB_OK)
        rc = pb_db_step(model, ours, &wants, err);
    while (rc == PB_OK && (has || wants)) {
        int order = !wants ? -1 : !has ? 1 : compare(theirs, ours, 0);
        if (order == 0)
            order = compare(theirs, ours, 1);
        rc = tell_apart(run, theirs, ours, order, err);
        if (rc == PB_OK && order <= 0)
            rc = pb_db_step(run->b, theirs, &has, err);
        if (rc == PB_OK && order >= 0)
            rc = pb_db_step(model, ours, &wants, err);
    }
    (void)sqlite3_finalize(theirs);
    (void)sqlite3_finalize(ours);
    return rc;
}

static enum pb_rc check_form(struct run *run, struct pb_err *err)
{
    struct pb_book *model = NULL;
    enum pb_rc rc = pb_book_open_empty(&model, err);
    if (rc == PB_OK)
        rc = compare_form(run, model, err);
    pb_book_close(model);
    return rc;
}

/* ---- rows ----------------------------------------------------------------------------- */

static const char anew[] =
    "take its records over into a new book: podbook share, podbook receive";

/* More records of one kind and year than anybody has; the next numbers fit their codes. */
#define MOST_GIVEN "99999999"

static const struct pb_question questions[] = {
    {PB_CHECK_HISTORY,
     "SELECT NULL,printf('command %d takes back command %d, which does not say so',u.n,"
     "u.undoes) FROM act u JOIN act a ON a.n=u.undoes WHERE a.undone_by IS NOT u.n"
     " UNION ALL SELECT NULL,printf('command %d was taken back by command %d, which"
     " does not say so',a.n,a.undone_by) FROM act a JOIN act u ON u.n=a.undone_by"
     " WHERE u.undoes IS NOT a.n",                                           pb_intact_remedy                                          },
    {PB_CHECK_CODE,
     "SELECT code,printf('%d records have the code %s',count(*),code) FROM"
     " (SELECT code FROM plant UNION ALL SELECT code FROM crossing"
     " UNION ALL SELECT code FROM batch) GROUP BY code COLLATE NOCASE HAVING "
     "count(*)>1",                                                           "give all but one another code: podbook amend, with code="},
    {PB_CHECK_CODE,
     "SELECT min(code),printf('%d records have the id %s',count(*),id) FROM"
     " (SELECT code,id FROM plant UNION ALL SELECT code,id FROM crossing"
     " UNION ALL SELECT code,id FROM batch) GROUP BY id HAVING count(*)>1",  pb_intact_remedy                                          },
    {PB_CHECK_CODE,
     "SELECT code,printf('the book would give the code %s once more',code) FROM"
     " (SELECT code FROM crossing UNION ALL SELECT code FROM batch) LEFT JOIN counter"
     " ON letter=upper(substr(code,1,1)) AND year=CAST(substr(code,2,2) AS INTEGER)"
     " WHERE code GLOB '[A-Za-z][0-9][0-9]-[0-9]*'"
     " AND CAST(substr(code,5) AS INTEGER)>ifnull(last,0)",                  pb_intact_remedy                                          },
    {PB_CHECK_CODE,
     "SELECT NULL,printf('the count of codes like %s%02d-001 stands at %d; no podbook "
     "wrote that',"
     "letter,year,last) FROM counter WHERE last NOT BETWEEN 0 AND " MOST_GIVEN
     " OR year NOT BETWEEN 0 AND 99 OR letter NOT IN ('X','S','F','C','P')", anew                                                      },
    {PB_CHECK_TEXT,
     "SELECT code,'its x- keys are not good JSON' FROM (SELECT code,extra FROM plant"
     " UNION ALL SELECT code,extra FROM crossing UNION ALL SELECT code,extra FROM "
     "batch)"
     " WHERE extra IS NOT NULL AND CASE WHEN json_valid(extra) THEN"
     " json_type(extra)<>'object' ELSE 1 END",                               pb_intact_remedy                                          },
};

/* What is learnt together follows from the taxon. */
static enum pb_rc check_taxa(struct run *run, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    struct pb_buf key;
    pb_buf_init(&key, PB_MAX_NAME);
    enum pb_rc rc =
        pb_db_prepare(run->b, "SELECT code,taxon,taxon_key FROM plant", &s, err);
    while (pb_db_next(run->b, s, &rc, err)) {
        const char *taxon = (const char *)sqlite3_column_text(s, 1),
                   *has = (const char *)sqlite3_column_text(s, 2);
        pb_buf_reset(&key);
        if (taxon != NULL)
            pb_taxon_key(taxon, &key);
        enum pb_rc made = pb_buf_status(&key, NULL);
        if (taxon == NULL || has == NULL || made == PB_ENOMEM)
            rc = pb_fail_memory(err);
        else if (made != PB_OK || strcmp(pb_buf_peek(&key), has) != 0)
            rc = tell(run, PB_CHECK_DERIVED, (const char *)sqlite3_column_text(s, 0),
                      "it learns under a name that does not follow from its taxon",
                      "write the taxon again: podbook amend, with taxon=", err);
    }
    (void)sqlite3_finalize(s);
    pb_buf_clear(&key);
    return rc;
}

enum pb_rc pb_book_faults(struct pb_book *b, pb_fault_each *each, void *ctx,
                          bool *damaged, struct pb_err *err)
{
    struct run run = {b, each, ctx};
    enum pb_rc rc = pb_intact_file(b, each, ctx, damaged, err);
    if (rc != PB_OK || *damaged)
        return rc;
    rc = check_form(&run, err);
    if (rc == PB_OK)
        rc = pb_intact_links(b, each, ctx, err);
    for (size_t i = 0; i < PB_ARRAY_LEN(questions) && rc == PB_OK; i++)
        rc = pb_intact_ask(b, &questions[i], each, ctx, err);
    return rc == PB_OK ? check_taxa(&run, err) : rc;
}

enum pb_rc pb_book_says_open(struct pb_book *b, enum pb_kind kind, int64_t row,
                             bool *open, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    int64_t is = 0;
    enum pb_rc rc = kind == PB_CROSS
                        ? pb_db_get(b, "SELECT open FROM crossing WHERE n=?", &s, err)
                        : pb_db_get(b, "SELECT open FROM batch WHERE n=?", &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, row);
    rc = pb_db_number(b, s, &is, err);
    *open = is != 0;
    return rc;
}

enum pb_rc pb_book_knows_code(struct pb_book *b, const char *code, bool *knows,
                              struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b,
                              "SELECT 1 FROM plant WHERE code=?1 UNION ALL"
                              " SELECT 1 FROM crossing WHERE code=?1 UNION ALL"
                              " SELECT 1 FROM batch WHERE code=?1 UNION ALL"
                              " SELECT 1 FROM change WHERE code=?1 LIMIT 1",
                              &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, code);
    rc = pb_db_step(b, s, knows, err);
    (void)sqlite3_reset(s);
    return rc;
}
