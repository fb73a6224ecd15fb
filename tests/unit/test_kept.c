/* What the book keeps of reminders. */
#include "unit.h"

#include "book/reminders.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static char path[64];
static struct pb_book *book;

static int open_book(void **state)
{
    (void)state;
    char folder[] = "kept-XXXXXX";
    if (mkdtemp(folder) == NULL)
        return 1;
    (void)snprintf(path, sizeof(path), "%s/book.db", folder);
    return pb_book_open(path, PB_BOOK_WRITE, &book, NULL) != PB_OK ||
           pb_book_begin_cache(book, NULL) != PB_OK;
}

static int drop_book(void **state)
{
    (void)state;
    (void)pb_book_end(book, PB_EIO, NULL);
    pb_book_close(book);
    *strrchr(path, '/') = '\0';
    return rmdir(path);
}

#define UID(last) "01902d4e-7a10-5cc1-9b6e-3f0c5a7b8d2" last

static struct pb_kept sample(const char *uid, const char *code)
{
    struct pb_kept k = {
        .said =
            {
                   .summary = "Harvest: X26-001",
                   .description = "Goodyera hispida × Dossinia marmorata\nin the evening",
                   .category = "harvest",
                   .span = {20540, 20544},
                   .status = PB_REMINDER_PLANNED,
                   .done_on = PB_DAY_NONE,
                   .alarm_first = true,
                   .created = 1772755200,
                   .stamp = 1772841599,
                   .sequence = 3,
                   },
        .withdrawn_on = PB_DAY_NONE,
    };
    (void)snprintf(k.said.uid, sizeof(k.said.uid), "%s", uid);
    (void)snprintf(k.code, sizeof(k.code), "%s", code);
    pb_reminder_hash(&k.said, k.hash);
    return k;
}

static void same(const struct pb_kept *a, const struct pb_kept *b)
{
    assert_string_equal(a->said.uid, b->said.uid);
    assert_string_equal(a->code, b->code);
    assert_string_equal(a->hash, b->hash);
    assert_int_equal(a->said.sequence, b->said.sequence);
    assert_true(a->said.created == b->said.created && a->said.stamp == b->said.stamp);
    assert_int_equal(a->withdrawn_on, b->withdrawn_on);
}

static void kept_and_found(void **state)
{
    (void)state;
    struct pb_kept k = sample(UID("a"), "X26-001"), got;
    bool found = true;
    assert_int_equal(pb_reminder_find(book, k.said.uid, &got, NULL, &found, NULL),
                     PB_OK);
    assert_false(found);
    assert_int_equal(pb_reminder_keep(book, &k, NULL), PB_OK);
    assert_int_equal(pb_reminder_find(book, k.said.uid, &got, NULL, &found, NULL),
                     PB_OK);
    assert_true(found);
    same(&got, &k);
    assert_null(got.said.summary);
    k.said.sequence = 4;
    k.withdrawn_on = 20539;
    assert_int_equal(pb_reminder_keep(book, &k, NULL), PB_OK);
    assert_int_equal(pb_reminder_find(book, k.said.uid, &got, NULL, &found, NULL),
                     PB_OK);
    same(&got, &k);
    assert_int_equal(pb_reminder_forget(book, k.said.uid, NULL), PB_OK);
    assert_int_equal(pb_reminder_find(book, k.said.uid, &got, NULL, &found, NULL),
                     PB_OK);
    assert_false(found);
}

#define EDIT(name, statement)               \
    static void name(struct pb_reminder *r) \
    {                                       \
        statement;                          \
    }
EDIT(as_it_is, (void)r)
EDIT(done, (r->status = PB_REMINDER_DONE, r->done_on = 20541))
EDIT(withdrawn, r->status = PB_REMINDER_WITHDRAWN)
EDIT(guess, r->guess = true)
EDIT(no_alarm, r->alarm_first = false)
EDIT(two_alarms, r->alarm_last = true)
EDIT(no_description, r->description = NULL)
EDIT(no_category, r->category = NULL)
EDIT(one_day, r->span.last = r->span.first)

/* Whatever may be said can be kept and said again. */
static void said_again(void **state)
{
    (void)state;
    static void (*const edits[])(struct pb_reminder *) = {
        as_it_is,   done,           withdrawn,   guess,   no_alarm,
        two_alarms, no_description, no_category, one_day,
    };
    struct pb_buf hold;
    pb_buf_init(&hold, 1000);
    for (size_t i = 0; i < PB_ARRAY_LEN(edits); i++) {
        struct pb_kept k = sample(UID("a"), "X26-001"), got;
        char hash[PB_HASH_TEXT];
        bool found = false;
        edits[i](&k.said);
        pb_reminder_hash(&k.said, k.hash);
        assert_int_equal(pb_reminder_keep(book, &k, NULL), PB_OK);
        assert_int_equal(pb_reminder_find(book, k.said.uid, &got, &hold, &found, NULL),
                         PB_OK);
        assert_true(found);
        same(&got, &k);
        assert_int_equal(pb_reminder_check(&got.said, NULL), PB_OK);
        CLAIM(strcmp(pb_reminder_hash(&got.said, hash), k.hash) == 0,
              "edit %zu comes back as another", i);
    }
    pb_buf_clear(&hold);
    pb_buf_init(&hold, 20);
    struct pb_kept got;
    bool found = false;
    assert_int_equal(pb_reminder_find(book, UID("a"), &got, &hold, &found, NULL),
                     PB_ELIMIT);
    pb_buf_clear(&hold);
}

struct seen {
    char uids[8]; /* last letters, in the order of the calls */
    size_t n;
    enum pb_rc answer;
};

static enum pb_rc see(void *ctx, const struct pb_kept *k, struct pb_err *err)
{
    (void)err;
    struct seen *seen = ctx;
    char hash[PB_HASH_TEXT];
    assert_string_equal(pb_reminder_hash(&k->said, hash), k->hash);
    seen->uids[seen->n++] = k->said.uid[PB_ID_TEXT - 2];
    return seen->answer;
}

static void each_in_order(void **state)
{
    (void)state;
    static const struct {
        const char *uid, *code;
    } rows[] = {
        {UID("c"), "X26-001"},
        {UID("a"), "X26-002"},
        {UID("d"), "X26-001"},
        {UID("b"), "X26-002"},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_kept k = sample(rows[i].uid, rows[i].code);
        assert_int_equal(pb_reminder_keep(book, &k, NULL), PB_OK);
    }
    struct seen all = {.n = 0}, some = {.n = 0}, one = {.answer = PB_ELIMIT};
    assert_int_equal(pb_reminders_each(book, NULL, PB_KEPT_WHOLE, see, &all, NULL),
                     PB_OK);
    assert_string_equal(all.uids, "abcd");
    assert_int_equal(
        pb_reminders_each(book, "x26-001", PB_KEPT_WHOLE, see, &some, NULL), PB_OK);
    assert_string_equal(some.uids, "cd");
    assert_int_equal(pb_reminders_each(book, NULL, PB_KEPT_WHOLE, see, &one, NULL),
                     PB_ELIMIT);
    assert_string_equal(one.uids, "a");
}

/* A code that is amended takes its reminders along. */
static void code_can_change(void **state)
{
    (void)state;
    struct pb_kept k = sample(UID("a"), "X26-001");
    assert_int_equal(pb_reminder_keep(book, &k, NULL), PB_OK);
    memcpy(k.code, "X26-009", sizeof("X26-009"));
    assert_int_equal(pb_reminder_keep(book, &k, NULL), PB_OK);
    struct seen old = {.n = 0}, now = {.n = 0};
    assert_int_equal(pb_reminders_each(book, "X26-001", PB_KEPT_WHOLE, see, &old, NULL),
                     PB_OK);
    assert_int_equal(pb_reminders_each(book, "X26-009", PB_KEPT_WHOLE, see, &now, NULL),
                     PB_OK);
    assert_int_equal(old.n, 0);
    assert_int_equal(now.n, 1);
}

#define IN_BOOK(test) cmocka_unit_test_setup_teardown(test, open_book, drop_book)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_BOOK(kept_and_found),
        IN_BOOK(said_again),
        IN_BOOK(each_in_order),
        IN_BOOK(code_can_change),
    };
    return UNIT_MAIN("kept", tests);
}
