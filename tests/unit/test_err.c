/* Errors: the first one stays, what does not fit is cut at a character. */
#include "unit.h"

#include <string.h>

static void the_first_error_stays(void **state)
{
    (void)state;
    struct pb_err err = {0};
    assert_int_equal(pb_fail_at(&err, PB_EPARSE, "count", 3, "got \"%s\"", "two"),
                     PB_EPARSE);
    assert_int_equal(pb_fail(&err, PB_EIO, "later"), PB_EIO);
    assert_int_equal(err.rc, PB_EPARSE);
    assert_int_equal(err.line, 3);
    assert_string_equal(err.where, "count");
    assert_string_equal(err.text, "got \"two\"");
    assert_int_equal(pb_fail(NULL, PB_EIO, "nobody asks"), PB_EIO);
    pb_err_clear(&err);
    assert_int_equal(pb_fail(&err, PB_EIO, "now"), PB_EIO);
    assert_string_equal(err.where, "");
}

/* "aaa...", then the last bytes of the place. */
static void of_a_long_place_the_end_is_kept(void **state)
{
    (void)state;
    enum { SIZE = sizeof(((struct pb_err *)0)->where) };
    static const struct {
        const char *claim, *tail;
        size_t lead; /* bytes before the tail */
        bool whole;
    } rows[] = {
        {"what fits is kept whole",     "/book.db",         SIZE - 9,  true },
        {"one more and it is cut",      "/book.db",         SIZE - 8,  false},
        {"far more",                    "/club/book.db",    2000,      false},
        {"not from inside a character", "\xC3\xA9/book.db", SIZE - 10, false},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_err err = {0};
        char where[4096];
        memset(where, 'a', rows[i].lead);
        memcpy(where + rows[i].lead, rows[i].tail, strlen(rows[i].tail) + 1);
        (void)pb_fail_at(&err, PB_EIO, where, 0, "x");
        size_t n = strlen(err.where), tail = strlen(rows[i].tail);
        CLAIM(n < SIZE && n >= tail && strcmp(err.where + n - tail, rows[i].tail) == 0,
              "%s: %s", rows[i].claim, err.where);
        CLAIM((strncmp(err.where, "...", 3) != 0) == rows[i].whole, "%s: %s",
              rows[i].claim, err.where);
        CLAIM(rows[i].whole || n == SIZE - 1, "%s: %zu bytes", rows[i].claim, n);
        CLAIM(!rows[i].whole || strcmp(err.where, where) == 0, "%s", rows[i].claim);
    }
}

/* A place of two-byte characters alone is cut between two of them. */
static void a_place_is_cut_between_characters(void **state)
{
    (void)state;
    for (int odd = 0; odd < 2; odd++) {
        struct pb_err err = {0};
        char where[1024] = "";
        size_t n = 0;
        if (odd)
            where[n++] = 'a';
        while (n + 3 < sizeof(where)) {
            memcpy(where + n, "\xC3\xA9", 3);
            n += 2;
        }
        (void)pb_fail_at(&err, PB_EIO, where, 0, "x");
        assert_memory_equal(err.where, "...\xC3\xA9", 5);
        assert_int_equal(strlen(err.where) % 2, 1);
    }
}

static void a_long_text_is_cut_at_a_character(void **state)
{
    (void)state;
    enum { ROOM = sizeof(((struct pb_err *)0)->text) - 1 }; /* without the last byte */
    static const struct {
        const char *claim, *tail;
        size_t lead, kept; /* bytes before the tail; of all of it */
    } rows[] = {
        {"one of two bytes is dropped",       "\xC3\xA9",         ROOM - 1, ROOM - 1},
        {"one that fits is not",              "\xC3\xA9",         ROOM - 2, ROOM    },
        {"two of three bytes are dropped",    "\xE2\x80\xA6",     ROOM - 2, ROOM - 2},
        {"three that fit are not",            "\xE2\x80\xA6",     ROOM - 3, ROOM    },
        {"three of four bytes are dropped",   "\xF0\x9F\x8C\xB8", ROOM - 3, ROOM - 3},
        {"four that fit are not",             "\xF0\x9F\x8C\xB8", ROOM - 4, ROOM    },
        {"one byte is a character by itself", "bb",               ROOM - 1, ROOM    },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_err err = {0};
        char text[1024];
        memset(text, 'a', sizeof(text));
        memcpy(text + rows[i].lead, rows[i].tail, strlen(rows[i].tail) + 1);
        (void)pb_fail(&err, PB_EIO, "%s", text);
        CLAIM(strlen(err.text) == rows[i].kept, "%s: %zu bytes", rows[i].claim,
              strlen(err.text));
        CLAIM(strncmp(err.text, text, rows[i].kept) == 0, "%s", rows[i].claim);
    }
}

static void every_code_has_a_name(void **state)
{
    (void)state;
    assert_string_equal(pb_rc_name(PB_OK), "ok");
    assert_string_equal(pb_rc_name(PB_EIO), "io");
    assert_string_equal(pb_rc_name(PB_RC_N), "unknown");
    pb_err_clear(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_first_error_stays),
        cmocka_unit_test(of_a_long_place_the_end_is_kept),
        cmocka_unit_test(a_place_is_cut_between_characters),
        cmocka_unit_test(a_long_text_is_cut_at_a_character),
        cmocka_unit_test(every_code_has_a_name),
    };
    return UNIT_MAIN("err", tests);
}
