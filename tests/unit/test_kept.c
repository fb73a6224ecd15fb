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
        .sequence = 3,
        .created = 1772755200,
        .stamp = 1772841599,
        .withdrawn_on = PB_DAY_NONE,
        .hash = "620710f8de6726e0",
        .content = "{\"summary\":\"×\"}",
    };
    (void)snprintf(k.uid, sizeof(k.uid), "%s", uid);
    (void)snprintf(k.code, sizeof(k.code), "%s", code);
    return k;
}

static void same(const struct pb_kept *a, const struct pb_kept *b)
{
    assert_string_equal(a->uid, b->uid);
    assert_string_equal(a->code, b->code);
    assert_string_equal(a->hash, b->hash);
    assert_int_equal(a->sequence, b->sequence);
    assert_true(a->created == b->created && a->stamp == b->stamp);
    assert_int_equal(a->withdrawn_on, b->withdrawn_on);
}

static void kept_and_found(void **state)
{
    (void)state;
    struct pb_kept k = sample(UID("a"), "X26-001"), got;
    bool found = true;
    assert_int_equal(pb_reminder_find(book, k.uid, &got, &found, NULL), PB_OK);
    assert_false(found);
    assert_int_equal(pb_reminder_keep(book, &k, NULL), PB_OK);
    assert_int_equal(pb_reminder_find(book, k.uid, &got, &found, NULL), PB_OK);
    assert_true(found);
    same(&got, &k);
    k.sequence = 4;
    k.withdrawn_on = 20539;
    assert_int_equal(pb_reminder_keep(book, &k, NULL), PB_OK);
    assert_int_equal(pb_reminder_find(book, k.uid, &got, &found, NULL), PB_OK);
    same(&got, &k);
    assert_int_equal(pb_reminder_forget(book, k.uid, NULL), PB_OK);
    assert_int_equal(pb_reminder_find(book, k.uid, &got, &found, NULL), PB_OK);
    assert_false(found);
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
    assert_string_equal(k->content, "{\"summary\":\"×\"}");
    seen->uids[seen->n++] = k->uid[PB_ID_TEXT - 2];
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
    assert_int_equal(pb_reminders_each(book, NULL, see, &all, NULL), PB_OK);
    assert_string_equal(all.uids, "abcd");
    assert_int_equal(pb_reminders_each(book, "x26-001", see, &some, NULL), PB_OK);
    assert_string_equal(some.uids, "cd");
    assert_int_equal(pb_reminders_each(book, NULL, see, &one, NULL), PB_ELIMIT);
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
    assert_int_equal(pb_reminders_each(book, "X26-001", see, &old, NULL), PB_OK);
    assert_int_equal(pb_reminders_each(book, "X26-009", see, &now, NULL), PB_OK);
    assert_int_equal(old.n, 0);
    assert_int_equal(now.n, 1);
}

#define IN_BOOK(test) cmocka_unit_test_setup_teardown(test, open_book, drop_book)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_BOOK(kept_and_found),
        IN_BOOK(each_in_order),
        IN_BOOK(code_can_change),
    };
    return UNIT_MAIN("kept", tests);
}
