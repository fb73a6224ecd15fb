/*
 * A form after the newest, which no podbook has: what a migration may do.  Linked before the
 * library, whose own forms are then left out (lib/book/forms.c).
 */
/* The forms that there are, under other names; their header is read under them, too. */
#define pb_forms  pb_forms_now
#define pb_form_n pb_form_n_now
#include "../../lib/book/forms.c"
#undef pb_forms
#undef pb_form_n
extern const char *const *const pb_forms[];
extern const int pb_form_n;

static const char *const next[] = {
    /* a column more */
    "ALTER TABLE plant ADD COLUMN shelf TEXT",
    /* facts that change, which is no act of anybody's */
    "UPDATE crossing SET grex='none' WHERE grex IS NULL",
    /* a table made anew */
    "CREATE TABLE absence_new("
    "n INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE CHECK(length(id)=36),"
    "first TEXT NOT NULL " DAY("first") ", last TEXT NOT NULL " DAY(
        "last") ","
                "why TEXT, CHECK(first<=last)) STRICT",
    "INSERT INTO absence_new(n,id,first,last) SELECT n,id,first,last FROM absence",
    "DROP TABLE absence",
    "ALTER TABLE absence_new RENAME TO absence",
#ifdef FORMS_BROKEN
    /* and one that nobody may write: records whose parents are gone */
    "DELETE FROM plant WHERE n IN (SELECT seed_parent FROM crossing)",
#endif
    NULL,
};

const char *const *const pb_forms[] = {form_1, next};
const int pb_form_n = PB_ARRAY_LEN(pb_forms);
