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

static void wraps(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        uint64_t a, b, sum, product;
    } rows[] = {
        {"small ones",                  7,                            6,                     13,                           42        },
        {"nothing",                     0,                            UINT64_MAX,            UINT64_MAX,                   0         },
        {"the largest, twice",          UINT64_MAX,                   UINT64_MAX,            UINT64_MAX - 1,               1         },
        {"a carry into the upper half", UINT64_C(0xffffffff),         UINT64_C(0x100000001),
         UINT64_C(0x200000000),                                                                                            UINT64_MAX},
        {"every bit in play",           UINT64_C(0xfedcba9876543210),
         UINT64_C(0x9e3779b97f4a7c15),                                                       UINT64_C(0x9d143451f59eae25),
         UINT64_C(0x5534de8ee5c7db50)                                                                                                },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        CLAIM(pb_wrap_add(rows[i].a, rows[i].b) == rows[i].sum, "%s: sum",
              rows[i].claim);
        CLAIM(pb_wrap_mul(rows[i].a, rows[i].b) == rows[i].product, "%s: product",
              rows[i].claim);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(vectors),
        cmocka_unit_test(fields_stay_apart),
        cmocka_unit_test(wraps),
    };
    return UNIT_MAIN("hash", tests);
}
