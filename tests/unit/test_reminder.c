/* What a reminder may hold, and what counts as a change of it. */
#include "unit.h"

#include "base/limits.h"
#include "core/reminder.h"

#include <string.h>

static struct pb_reminder sample(void)
{
    return (struct pb_reminder){
        .uid = "2ed6657d-e927-568b-95e1-2665a8aea6a2",
        .summary = "Harvest: X26-001",
        .description = "Goodyera hispida × Dossinia marmorata\nby common practice",
        .category = "harvest",
        .span = {20000, 20004},
        .status = PB_REMINDER_PLANNED,
        .done_on = PB_DAY_NONE,
        .alarm_first = true,
        .alarm_last = true,
        .created = 1700000000,
        .stamp = 1700000060,
    };
}

static char long_text[PB_MAX_TEXT + 2];

/* One row breaks, or only changes, one thing. */
#define EDIT(name, statement)               \
    static void name(struct pb_reminder *r) \
    {                                       \
        statement;                          \
    }
EDIT(as_it_is, (void)r)
EDIT(no_summary, r->summary = NULL)
EDIT(empty_summary, r->summary = "")
EDIT(bell, r->summary = "ring\a")
EDIT(tab, r->summary = "a\tb")
EDIT(carriage_return, r->description = "a\rb")
EDIT(next_line, r->description = "a\xC2\x85z")
EDIT(bidi, r->summary = "a\xE2\x80\xAEz")
EDIT(latin1, r->summary = "\xE9gal")
EDIT(overlong, r->summary = "\xC0\xAF")
EDIT(surrogate, r->summary = "\xED\xA0\x80")
EDIT(cut_character, r->summary = "x\xF0\x9F\x8C")
EDIT(two_lines, r->summary = "a\nb")
EDIT(long_summary, r->summary = long_text)
EDIT(long_description, r->description = long_text)
EDIT(longest_summary, r->summary = long_text + 1)
EDIT(no_description, r->description = NULL)
EDIT(empty_description, r->description = "")
EDIT(empty_line, r->description = "a\n\nb")
EDIT(last_line_empty, r->description = "a\n")
EDIT(blank_ended_line, r->description = "a \nb")
EDIT(no_category, r->category = NULL)
EDIT(two_categories, r->category = "a,b")
EDIT(bare_semicolon, r->category = "a;b")
EDIT(empty_category, r->category = "")
EDIT(no_uid, r->uid[0] = '\0')
EDIT(shouted_uid, memcpy(r->uid, "2ED6657D", 8))
EDIT(no_day, r->span.first = PB_DAY_NONE)
EDIT(no_last_day, r->span.last = PB_DAY_MAX + 1)
EDIT(backwards, r->span.last = r->span.first - 1)
EDIT(year_3000, r->span.last = 376200)
EDIT(year_2999, r->span.last = 376199)
EDIT(one_day, r->span.last = r->span.first)
EDIT(done_when, r->status = PB_REMINDER_DONE)
EDIT(done, (r->status = PB_REMINDER_DONE, r->done_on = 20001))
EDIT(done_never, (r->status = PB_REMINDER_DONE, r->done_on = PB_DAY_MAX + 1))
EDIT(planned_and_done, r->done_on = 20001)
EDIT(withdrawn, r->status = PB_REMINDER_WITHDRAWN)
EDIT(no_status, r->status = PB_REMINDER_STATUS_N)
EDIT(late_stamp, r->stamp = INT64_MAX)
EDIT(early_created, r->created = INT64_MIN)
EDIT(before_1970, r->created = r->stamp = -1)
EDIT(sequence_below, r->sequence = -1)
EDIT(sequence_next, r->sequence = 1)
EDIT(stamp_next, r->stamp++)
EDIT(created_next, r->created++)
EDIT(other_uid, r->uid[0] = '3')
EDIT(moved, r->span.first++)
EDIT(longer, r->span.last++)
EDIT(other_summary, r->summary = "Harvest: X26-002")
EDIT(other_description, r->description = "measured")
EDIT(other_category, r->category = "ripeness")
EDIT(guessed, r->guess = true)
EDIT(no_first_alarm, r->alarm_first = false)
EDIT(no_last_alarm, r->alarm_last = false)
EDIT(slid_text, (r->summary = "Harvest: X26-001G",
                 r->description = "oodyera hispida × Dossinia marmorata\n"
                                  "by common practice"))

static void check_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        void (*edit)(struct pb_reminder *r);
        enum pb_rc rc;
        const char *where;
    } rows[] = {
        {"the sample is fit",                    as_it_is,          PB_OK,       ""           },
        {"a summary is needed",                  no_summary,        PB_EPARSE,   "summary"    },
        {"and is not empty",                     empty_summary,     PB_EPARSE,   "summary"    },
        {"a control character is refused",       bell,              PB_EPARSE,   "summary"    },
        {"a tab is one",                         tab,               PB_EPARSE,   "summary"    },
        {"a lone CR would vanish",               carriage_return,   PB_EPARSE,   "description"},
        {"C1 controls are refused",              next_line,         PB_EPARSE,   "description"},
        {"text that turns direction is refused", bidi,              PB_EPARSE,   "summary"    },
        {"Latin-1 is not UTF-8",                 latin1,            PB_EPARSE,   "summary"    },
        {"nor is an overlong form",              overlong,          PB_EPARSE,   "summary"    },
        {"nor a surrogate",                      surrogate,         PB_EPARSE,   "summary"    },
        {"nor half a character",                 cut_character,     PB_EPARSE,   "summary"    },
        {"a summary is one line",                two_lines,         PB_EPARSE,   "summary"    },
        {"a text has a ceiling",                 long_summary,      PB_ELIMIT,   "summary"    },
        {"a description too",                    long_description,  PB_ELIMIT,   "description"},
        {"the ceiling itself fits",              longest_summary,   PB_OK,       ""           },
        {"no description is fit",                no_description,    PB_OK,       ""           },
        {"an empty one is not",                  empty_description, PB_EPARSE,   "description"},
        {"nor an empty line",                    empty_line,        PB_EPARSE,   "description"},
        {"nor an empty last line",               last_line_empty,   PB_EPARSE,   "description"},
        {"nor a blank before a line's end",      blank_ended_line,  PB_EPARSE,   "description"},
        {"no category is fit",                   no_category,       PB_OK,       ""           },
        {"a comma would make two of one",        two_categories,    PB_EPARSE,   "category"   },
        {"nor would a semicolon be escaped",     bare_semicolon,    PB_EPARSE,   "category"   },
        {"an empty category is refused",         empty_category,    PB_EPARSE,   "category"   },
        {"a UID is needed",                      no_uid,            PB_EPARSE,   "uid"        },
        {"in lower case",                        shouted_uid,       PB_EPARSE,   "uid"        },
        {"a day that is none is refused",        no_day,            PB_EINVALID, "window"     },
        {"also as the last",                     no_last_day,       PB_ELIMIT,   "window"     },
        {"a window does not run backwards",      backwards,         PB_EINVALID, "window"     },
        {"3000-01-01 is beyond the library",     year_3000,         PB_ELIMIT,   "window"     },
        {"2999-12-31 is not",                    year_2999,         PB_OK,       ""           },
        {"one day is a window",                  one_day,           PB_OK,       ""           },
        {"done needs its day",                   done_when,         PB_EINVALID, "status"     },
        {"done on a day",                        done,              PB_OK,       ""           },
        {"but not on one that is none",          done_never,        PB_EINVALID, "status"     },
        {"planned has no day of being done",     planned_and_done,  PB_EINVALID, "status"     },
        {"withdrawn is fit",                     withdrawn,         PB_OK,       ""           },
        {"a status is one of ours",              no_status,         PB_EINVALID, "status"     },
        {"a stamp has its years",                late_stamp,        PB_ELIMIT,   "stamp"      },
        {"and so has the first instant",         early_created,     PB_ELIMIT,   "stamp"      },
        {"before 1970 is fit",                   before_1970,       PB_OK,       ""           },
        {"a sequence starts at 0",               sequence_below,    PB_EINVALID, "sequence"   },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_reminder r = sample();
        struct pb_err err = {0};
        rows[i].edit(&r);
        enum pb_rc rc = pb_reminder_check(&r, &err);
        CLAIM(rc == rows[i].rc, "%s: %s %s", rows[i].claim, pb_rc_name(rc), err.text);
        CLAIM(strcmp(err.where, rows[i].where) == 0, "%s: names \"%s\"", rows[i].claim,
              err.where);
    }
}

static void hash_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        void (*edit)(struct pb_reminder *r);
        bool same;
    } rows[] = {
        {"nothing changed",                     as_it_is,          true },
        {"a new stamp is no change",            stamp_next,        true },
        {"nor a new sequence",                  sequence_next,     true },
        {"nor another first instant",           created_next,      true },
        {"nor the UID, which names it",         other_uid,         true },
        {"another first day is",                moved,             false},
        {"another last day is",                 longer,            false},
        {"another summary is",                  other_summary,     false},
        {"another description is",              other_description, false},
        {"no description is",                   no_description,    false},
        {"another category is",                 other_category,    false},
        {"no category is",                      no_category,       false},
        {"done is",                             done,              false},
        {"withdrawn is",                        withdrawn,         false},
        {"a guess is",                          guessed,           false},
        {"no first alarm is",                   no_first_alarm,    false},
        {"no last alarm is",                    no_last_alarm,     false},
        {"a letter that slides to the next is", slid_text,         false},
    };
    struct pb_reminder base = sample();
    char before[PB_HASH_TEXT], after[PB_HASH_TEXT];
    pb_reminder_hash(&base, before);
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_reminder r = sample();
        rows[i].edit(&r);
        pb_reminder_hash(&r, after);
        CLAIM((strcmp(before, after) == 0) == rows[i].same, "%s", rows[i].claim);
    }
}

/* Stored in books: a new way of hashing would bump every reminder in every calendar. */
static void hash_is_fixed(void **state)
{
    (void)state;
    struct pb_reminder r = sample();
    char text[PB_HASH_TEXT];
    assert_string_equal(pb_reminder_hash(&r, text), "620710f8de6726e0");
}

int main(void)
{
    memset(long_text, 'x', sizeof(long_text) - 1);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(check_rows),
        cmocka_unit_test(hash_rows),
        cmocka_unit_test(hash_is_fixed),
    };
    return UNIT_MAIN("reminder", tests);
}
