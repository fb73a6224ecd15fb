/*
 * Every form that the book has had.  See schema.h.
 *
 * By itself, so that a test may put forms of the future in its place.
 */
#include "book/schema.h"

#include "base/text.h"

#define DAY(c) "CHECK(" c " IS date(" c ",'+0 days'))"
#define HEAD                                                                         \
    "n INTEGER PRIMARY KEY,"                                                         \
    "id TEXT NOT NULL UNIQUE CHECK(length(id)=36),"                                  \
    "code TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK(length(code) BETWEEN 1 AND 32)," \
    "origin_code TEXT,"                                                              \
    "revision INTEGER NOT NULL CHECK(revision>=1),"                                  \
    "modified INTEGER NOT NULL,"                                                     \
    "withdrawn INTEGER NOT NULL DEFAULT 0 CHECK(withdrawn IN (0,1)),"                \
    "extra TEXT,"

static const char *const form_1[] = {
#include "book/schema_1.def"
    NULL,
};

const char *const *const pb_forms[] = {form_1};
const int pb_form_n = PB_ARRAY_LEN(pb_forms);
