/* Files that are read whole: at the edges of the blocks, over the ceiling, not at all. */
#include "unit.h"

#include "exchange/whole.h"

#include <stdlib.h>
#include <string.h>

enum { BLOCK = 16384 }; /* read at a time, as in whole.c */

/* A file of n bytes, at its start. */
static FILE *file_of(size_t n)
{
    FILE *f = tmpfile();
    assert_non_null(f);
    for (size_t i = 0; i < n; i++)
        assert_int_not_equal(fputc('a' + (int)(i % 26), f), EOF);
    rewind(f);
    return f;
}

static void all_of_it_is_read_up_to_the_ceiling(void **state)
{
    static const struct {
        const char *claim;
        size_t n, max;
        enum pb_rc rc;
    } rows[] = {
        {"an empty file",             0,             4 * BLOCK,     PB_OK    },
        {"a byte",                    1,             4 * BLOCK,     PB_OK    },
        {"a byte less than a block",  BLOCK - 1,     4 * BLOCK,     PB_OK    },
        {"a block",                   BLOCK,         4 * BLOCK,     PB_OK    },
        {"a byte more than a block",  BLOCK + 1,     4 * BLOCK,     PB_OK    },
        {"three blocks",              3 * BLOCK,     4 * BLOCK,     PB_OK    },
        {"as many as may be",         2 * BLOCK + 7, 2 * BLOCK + 7, PB_OK    },
        {"one more than may be",      2 * BLOCK + 8, 2 * BLOCK + 7, PB_ELIMIT},
        {"far more than may be",      9 * BLOCK,     10,            PB_ELIMIT},
        {"a byte where none may be",  1,             0,             PB_ELIMIT},
        {"nothing where none may be", 0,             0,             PB_OK    },
    };
    (void)state;
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        FILE *f = file_of(rows[i].n);
        struct pb_err err = {0};
        struct pb_buf b;
        char limit[80];
        pb_buf_init(&b, rows[i].max);
        CLAIM(pb_read_whole(f, "in", &b, &err) == rows[i].rc, "%s: %s", rows[i].claim,
              err.text);
        (void)snprintf(limit, sizeof(limit), "is larger than %zu bytes", rows[i].max);
        CLAIM(strcmp(err.text, rows[i].rc == PB_OK ? "" : limit) == 0, "%s: %s",
              rows[i].claim, err.text);
        CLAIM(rows[i].rc != PB_OK || b.len == rows[i].n, "%s: %zu bytes", rows[i].claim,
              b.len);
        for (size_t k = 0; rows[i].rc == PB_OK && k < b.len; k++)
            CLAIM(b.data[k] == 'a' + (char)(k % 26), "%s: byte %zu", rows[i].claim, k);
        pb_buf_clear(&b);
        (void)fclose(f);
    }
}

/* What a buffer holds already stays in front. */
static void it_is_added(void **state)
{
    FILE *f = file_of(3);
    struct pb_buf b;
    (void)state;
    pb_buf_init(&b, 100);
    pb_buf_adds(&b, "so: ");
    assert_int_equal(pb_read_whole(f, NULL, &b, NULL), PB_OK);
    assert_string_equal(pb_buf_peek(&b), "so: abc");
    pb_buf_clear(&b);
    (void)fclose(f);
}

/* The reason is the system's. */
static void what_cannot_be_read_says_why(void **state)
{
    struct pb_err err = {0};
    struct pb_buf b;
    FILE *folder = fopen("/", "rb");
    (void)state;
    assert_non_null(folder);
    pb_buf_init(&b, 100);
    assert_int_equal(pb_read_whole(folder, "the folder", &b, &err), PB_EIO);
    assert_string_equal(err.where, "the folder");
    assert_string_equal(err.text, "cannot be read: Is a directory");
    pb_buf_clear(&b);
    (void)fclose(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_of_it_is_read_up_to_the_ceiling),
        cmocka_unit_test(it_is_added),
        cmocka_unit_test(what_cannot_be_read_says_why),
    };
    return UNIT_MAIN("whole", tests);
}
