/* FNV-1a: the authors' vectors, and fields that must not run together. */
#include "unit.h"

#include "base/hash.h"

#include <string.h>

static void vectors(void **state)
{
    (void)state;
    /* Fowler, Noll and Vo, test vectors of FNV-1a 64; from memory */
    static const struct {
        const char *text, *hash;
    } rows[] = {
        {"",       "cbf29ce484222325"},
        {"a",      "af63dc4c8601ec8c"},
        {"foobar", "85944171f73967e8"},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        char text[PB_HASH_TEXT];
        uint64_t h = pb_hash_bytes(PB_HASH_START, rows[i].text, strlen(rows[i].text));
        assert_string_equal(pb_hash_format(h, text), rows[i].hash);
    }
}

static void fields_stay_apart(void **state)
{
    (void)state;
    uint64_t start = PB_HASH_START;
    assert_true(pb_hash_text(pb_hash_text(start, "ab"), "c") !=
                pb_hash_text(pb_hash_text(start, "a"), "bc"));
    assert_true(pb_hash_text(start, NULL) != pb_hash_text(start, ""));
    assert_true(pb_hash_text(pb_hash_text(start, NULL), "a") !=
                pb_hash_text(pb_hash_text(start, "a"), NULL));
    assert_true(pb_hash_int(start, 1) != pb_hash_int(start, INT64_C(1) << 56));
    assert_true(pb_hash_int(start, -1) != pb_hash_int(start, 1));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(vectors),
        cmocka_unit_test(fields_stay_apart),
    };
    return UNIT_MAIN("hash", tests);
}
