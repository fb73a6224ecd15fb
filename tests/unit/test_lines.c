/* JSON Lines: ends of lines, marks, ceilings, faults of the file. */
#include "unit.h"

#include "exchange/lines.h"

#include <stdlib.h>
#include <string.h>

/* A file of these bytes, at its start. */
static FILE *file_of(const char *bytes, size_t n)
{
    FILE *f = tmpfile();
    assert_non_null(f);
    assert_int_equal(fwrite(bytes, 1, n, f), n);
    rewind(f);
    return f;
}

/* All lines as "number:text|", a line too long as "number!|"; at most max bytes a line. */
static void read_all(const char *bytes, size_t n, size_t max, struct pb_buf *all)
{
    struct pb_lines lines;
    FILE *f = file_of(bytes, n);
    bool got = true;
    pb_buf_reset(all);
    assert_int_equal(pb_lines_init(&lines, f, "in", max, NULL), PB_OK);
    while (got) {
        struct pb_err err = {0};
        enum pb_rc rc = pb_lines_next(&lines, &got, &err);
        if (rc == PB_ELIMIT) {
            assert_int_equal(err.line, lines.number);
            assert_string_equal(err.where, "in");
            pb_buf_printf(all, "%ld!|", lines.number);
        } else if (got) {
            assert_int_equal(rc, PB_OK);
            pb_buf_printf(all, "%ld:%s|", lines.number, pb_buf_peek(&lines.line));
        }
    }
    pb_lines_clear(&lines);
    (void)fclose(f);
}

static void line_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *bytes, *says;
    } rows[] = {
        {"an empty file has no line",             "",                         ""                 },
        {"one line",                              "{}\n",                     "1:{}|"            },
        {"a last line without its end",           "a\nb",                     "1:a|2:b|"         },
        {"CRLF",                                  "a\r\nb\r\n",               "1:a|2:b|"         },
        {"CR without its LF at the end",          "a\r",                      "1:a|"             },
        {"one CR is taken off, not two",          "a\r\r\n",                  "1:a\r|"           },
        {"CR inside a line stays",                "a\rb\n",                   "1:a\rb|"          },
        {"blank lines count and are passed over", "\n\na\n \t\n\r\nb\n\n",    "3:a|6:b|"         },
        {"a mark at the start is taken off",      "\xEF\xBB\xBF{}\n",         "1:{}|"            },
        {"a mark alone is a blank line",          "\xEF\xBB\xBF\na",          "2:a|"             },
        {"a mark later stays",
         "a\n\xEF\xBB\xBF"
         "b",                                                                 "1:a|2:\xEF\xBB\xBF"
         "b|"                                                                       },
        {"half a mark is text",                   "\xEF\xBB\n",               "1:\xEF\xBB|"      },
        {"ten bytes fit",                         "0123456789\nb",            "1:0123456789|2:b|"},
        {"eleven do not; the next line does",     "0123456789x\nb\n",         "1!|2:b|"          },
        {"two too long, the last without end",    "0123456789x\n0123456789y", "1!|2!|"           },
    };
    struct pb_buf all;
    pb_buf_init(&all, 1000);
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        read_all(rows[i].bytes, strlen(rows[i].bytes), 10, &all);
        CLAIM(strcmp(pb_buf_peek(&all), rows[i].says) == 0, "%s: \"%s\"", rows[i].claim,
              pb_buf_peek(&all));
    }
    pb_buf_clear(&all);
}

/* Lines that end just before, on and just behind the edge of what is read at a time. */
static void edges(void **state)
{
    (void)state;
    enum { CHUNK = 65536 };
    static char bytes[3 * CHUNK];
    for (size_t n = CHUNK - 2; n <= CHUNK + 2; n++) {
        struct pb_lines lines;
        bool got = false;
        memset(bytes, 'a', sizeof(bytes));
        bytes[n] = '\n';
        memcpy(bytes + n + 1, "tail", 4);
        FILE *f = file_of(bytes, n + 5);
        assert_int_equal(pb_lines_init(&lines, f, NULL, sizeof(bytes), NULL), PB_OK);
        assert_int_equal(pb_lines_next(&lines, &got, NULL), PB_OK);
        assert_true(got);
        assert_int_equal(lines.line.len, n);
        assert_int_equal(pb_lines_next(&lines, &got, NULL), PB_OK);
        assert_true(got);
        assert_string_equal(pb_buf_peek(&lines.line), "tail");
        assert_int_equal(lines.number, 2);
        assert_int_equal(pb_lines_next(&lines, &got, NULL), PB_OK);
        assert_false(got);
        assert_int_equal(pb_lines_next(&lines, &got, NULL), PB_OK);
        assert_false(got);
        pb_lines_clear(&lines);
        (void)fclose(f);
    }
}

/* A line of many megabytes is passed over without being held. */
static void constant_memory(void **state)
{
    (void)state;
    enum { CEILING = 1000, MEGABYTES = 8 };
    static char block[1 << 20];
    struct pb_lines lines;
    struct pb_err err = {0};
    bool got = false;
    memset(block, '[', sizeof(block));
    FILE *f = tmpfile();
    assert_non_null(f);
    for (int i = 0; i < MEGABYTES; i++)
        assert_int_equal(fwrite(block, 1, sizeof(block), f), sizeof(block));
    assert_int_equal(fwrite("\n{}\n", 1, 4, f), 4);
    rewind(f);
    assert_int_equal(pb_lines_init(&lines, f, "in", CEILING, NULL), PB_OK);
    assert_int_equal(pb_lines_next(&lines, &got, &err), PB_ELIMIT);
    assert_string_equal(err.text, "the line is longer than 1000 bytes");
    assert_true(lines.line.cap <= CEILING * 2 + 64);
    assert_int_equal(pb_lines_next(&lines, &got, NULL), PB_OK);
    assert_string_equal(pb_buf_peek(&lines.line), "{}");
    pb_lines_clear(&lines);
    (void)fclose(f);
}

static void nul_bytes_are_handed_on(void **state)
{
    (void)state;
    struct pb_lines lines;
    bool got = false;
    FILE *f = file_of("a\0b\n", 4);
    assert_int_equal(pb_lines_init(&lines, f, NULL, 10, NULL), PB_OK);
    assert_int_equal(pb_lines_next(&lines, &got, NULL), PB_OK);
    assert_true(got);
    assert_int_equal(lines.line.len, 3);
    pb_lines_clear(&lines);
    (void)fclose(f);
}

/* A folder opens like a file and fails when it is read. */
static void unreadable(void **state)
{
    (void)state;
    struct pb_lines lines;
    struct pb_err err = {0};
    bool got = true;
    FILE *f = fopen("/", "r");
    assert_non_null(f);
    assert_int_equal(pb_lines_init(&lines, f, "/", 10, NULL), PB_OK);
    assert_int_equal(pb_lines_next(&lines, &got, &err), PB_EIO);
    assert_non_null(strstr(err.text, "cannot be read: "));
    assert_string_equal(err.where, "/");
    assert_int_equal(pb_lines_next(&lines, &got, NULL), PB_OK);
    assert_false(got);
    pb_lines_clear(&lines);
    (void)fclose(f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(line_rows),       cmocka_unit_test(edges),
        cmocka_unit_test(constant_memory), cmocka_unit_test(nul_bytes_are_handed_on),
        cmocka_unit_test(unreadable),
    };
    return UNIT_MAIN("lines", tests);
}
