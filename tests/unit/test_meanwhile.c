/* What another process makes between two looks at a path is no link that leads nowhere. */
#include "unit.h"

#include "book/book.h"
#include "exchange/replace.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static bool blind; /* the next look at a path finds nothing */

int __real_stat(const char *path, struct stat *st);
int __wrap_stat(const char *path, struct stat *st);
char *__real_realpath(const char *path, char *out);
char *__wrap_realpath(const char *path, char *out);

static bool finds_nothing(void)
{
    bool is = blind;
    blind = false;
    if (is)
        errno = ENOENT;
    return is;
}

int __wrap_stat(const char *path, struct stat *st)
{
    return finds_nothing() ? -1 : __real_stat(path, st);
}

char *__wrap_realpath(const char *path, char *out)
{
    return finds_nothing() ? NULL : __real_realpath(path, out);
}

static char place[64];

static int enter(void **state)
{
    (void)state;
    (void)snprintf(place, sizeof(place), "meanwhile-XXXXXX");
    return mkdtemp(place) != NULL && chdir(place) == 0 ? 0 : -1;
}

static int leave(void **state)
{
    (void)state;
    (void)unlink("book.db");
    (void)unlink("out.ics");
    (void)unlink("link");
    return chdir("..") == 0 && rmdir(place) == 0 ? 0 : -1;
}

static void fill(const char *name, const char *text)
{
    FILE *f = fopen(name, "w");
    assert_non_null(f);
    assert_true(fputs(text, f) >= 0);
    assert_int_equal(fclose(f), 0);
}

static void a_book_is_opened(void **state)
{
    (void)state;
    for (enum pb_book_mode mode = PB_BOOK_READ; mode <= PB_BOOK_WRITE; mode++) {
        struct pb_book *b = NULL;
        struct pb_err err = {0};
        fill("book.db", "");
        blind = true;
        CLAIM(pb_book_open("book.db", mode, &b, &err) == PB_OK, "mode %d: %s",
              (int)mode, err.text);
        assert_false(blind);
        pb_book_close(b);
    }
}

static void an_output_is_replaced(void **state)
{
    struct pb_replace *f = NULL;
    struct pb_err err = {0};
    char text[8] = "";
    (void)state;
    fill("out.ics", "before");
    blind = true;
    CLAIM(pb_replace_begin("out.ics", &f, &err) == PB_OK, "%s", err.text);
    assert_false(blind);
    enum pb_rc rc = pb_replace_write(f, "after", 5, &err);
    assert_int_equal(pb_replace_end(f, rc, &err), PB_OK);
    FILE *in = fopen("out.ics", "r");
    assert_non_null(in);
    assert_int_equal(fread(text, 1, sizeof(text) - 1, in), 5);
    assert_string_equal(text, "after");
    (void)fclose(in);
}

static void a_link_to_nothing_stays_one(void **state)
{
    struct pb_book *b = NULL;
    struct pb_err err = {0};
    (void)state;
    assert_int_equal(symlink("nowhere", "link"), 0);
    assert_int_equal(pb_book_open("link", PB_BOOK_READ, &b, &err), PB_EIO);
    assert_null(b);
    assert_non_null(strstr(err.text, "leads nowhere"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_book_is_opened, enter, leave),
        cmocka_unit_test_setup_teardown(an_output_is_replaced, enter, leave),
        cmocka_unit_test_setup_teardown(a_link_to_nothing_stays_one, enter, leave),
    };
    return UNIT_MAIN("meanwhile", tests);
}
