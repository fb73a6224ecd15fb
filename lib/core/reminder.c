/* What may go into a calendar, and what counts as a change of it.  See reminder.h. */
#include "core/reminder.h"

#include "base/limits.h"
#include "base/text.h"

#include <string.h>

/* libical 3 writes a year above 3000 as zeros; nobody needs the millennium after next. */
static const pb_day last_day = 376199; /* 2999-12-31 */
static const int64_t day_seconds = 86400;

/* ORDER REMINDER_STATUS */
const char *const pb_reminder_statuses[PB_REMINDER_STATUS_N] = {"planned", "done",
                                                                "withdrawn"};

/* Every line by the rule for one line. */
static enum pb_rc check_lines(const char *what, const char *text, struct pb_err *err)
{
    size_t n = strlen(text);
    if (n > PB_MAX_TEXT)
        return pb_fail_at(err, PB_ELIMIT, what, 0, "is %zu bytes long, at most %d fit",
                          n, PB_MAX_TEXT);
    char line[PB_MAX_TEXT + 1];
    enum pb_rc rc = PB_OK;
    for (const char *from = text; rc == PB_OK && from != NULL;) {
        const char *end = strchr(from, '\n');
        size_t len = end != NULL ? (size_t)(end - from) : strlen(from);
        memcpy(line, from, len);
        line[len] = '\0';
        rc = pb_text_check(what, line, PB_MAX_TEXT, err);
        from = end != NULL ? end + 1 : NULL;
    }
    return rc;
}

static enum pb_rc check_texts(const struct pb_reminder *r, struct pb_err *err)
{
    if (!pb_id_is_valid(r->uid))
        return pb_fail_at(err, PB_EPARSE, "uid", 0, "is not a UUID in lower case");
    if (r->summary == NULL)
        return pb_fail_at(err, PB_EPARSE, "summary", 0, "is missing");
    enum pb_rc rc = pb_text_check("summary", r->summary, PB_MAX_TEXT, err);
    if (rc == PB_OK && r->description != NULL)
        rc = check_lines("description", r->description, err);
    if (rc != PB_OK || r->category == NULL)
        return rc;
    rc = pb_text_check("category", r->category, PB_MAX_NAME, err);
    if (rc == PB_OK && strpbrk(r->category, ",;") != NULL)
        rc =
            pb_fail_at(err, PB_EPARSE, "category", 0,
                       "holds a comma or semicolon, which the library does not escape");
    return rc;
}

static enum pb_rc check_days(const struct pb_reminder *r, struct pb_err *err)
{
    bool done = r->status == PB_REMINDER_DONE;
    if (r->span.first < PB_DAY_MIN)
        return pb_fail_at(err, PB_EINVALID, "window", 0,
                          "begins on no day that exists");
    if (r->span.last < r->span.first)
        return pb_fail_at(err, PB_EINVALID, "window", 0, "ends before it begins");
    if (r->span.last > last_day)
        return pb_fail_at(err, PB_ELIMIT, "window", 0, "ends after the year 2999");
    if (done != (r->done_on != PB_DAY_NONE))
        return pb_fail_at(err, PB_EINVALID, "status", 0,
                          "what is done, and only that, has the day it was done");
    if (done && (r->done_on < PB_DAY_MIN || r->done_on > last_day))
        return pb_fail_at(err, PB_EINVALID, "status", 0,
                          "was done on no day between 1583 and 2999");
    return PB_OK;
}

static bool instant_exists(int64_t seconds)
{
    return seconds >= PB_DAY_MIN * day_seconds &&
           seconds < (last_day + 1) * day_seconds;
}

enum pb_rc pb_reminder_check(const struct pb_reminder *r, struct pb_err *err)
{
    if ((unsigned)r->status >= PB_REMINDER_STATUS_N)
        return pb_fail_at(err, PB_EINVALID, "status", 0, "is none that is known");
    enum pb_rc rc = check_texts(r, err);
    if (rc == PB_OK)
        rc = check_days(r, err);
    if (rc != PB_OK)
        return rc;
    if (!instant_exists(r->created) || !instant_exists(r->stamp))
        return pb_fail_at(err, PB_ELIMIT, "stamp", 0,
                          "lies outside the years 1583 to 2999");
    if (r->sequence < 0)
        return pb_fail_at(err, PB_EINVALID, "sequence", 0, "is negative");
    return PB_OK;
}

char *pb_reminder_hash(const struct pb_reminder *r, char text[PB_HASH_TEXT])
{
    uint64_t h = PB_HASH_START;
    h = pb_hash_text(h, r->summary);
    h = pb_hash_text(h, r->description);
    h = pb_hash_text(h, r->category);
    h = pb_hash_int(h, r->span.first);
    h = pb_hash_int(h, r->span.last);
    h = pb_hash_int(h, r->status);
    h = pb_hash_int(h, r->done_on);
    h = pb_hash_int(h, r->guess);
    h = pb_hash_int(h, r->alarm_first);
    h = pb_hash_int(h, r->alarm_last);
    return pb_hash_format(h, text);
}
