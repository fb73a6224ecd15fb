/* Version-5 UUIDs: a published vector, and what a reminder's UID depends on. */
#include "unit.h"

#include "exchange/uid.h"

#include <string.h>

static void published_vector(void **state)
{
    (void)state;
    char uid[PB_ID_TEXT];
    /* RFC 9562, appendix A.4: the DNS namespace and "www.example.com" */
    assert_int_equal(pb_uid_of_name("6ba7b810-9dad-11d1-80b4-00c04fd430c8",
                                    "www.example.com", uid, NULL),
                     PB_OK);
    assert_string_equal(uid, "2ed6657d-e927-568b-95e1-2665a8aea6a2");
}

static void task_rows(void **state)
{
    (void)state;
    static const char one[] = "01902d4e-7a10-7cc1-9b6e-3f0c5a7b8d21";
    static const char other[] = "01902d4e-7a10-7cc1-9b6e-3f0c5a7b8d22";
    static const struct {
        const char *claim, *record, *task;
        int n;
        bool same;
    } rows[] = {
        {"the same task of the same record",      one,   "ripeness", 1,  true },
        {"a look later has another",              one,   "ripeness", 2,  false},
        {"the number is not cut to one digit",    one,   "ripeness", 11, false},
        {"another task has another",              one,   "holding",  1,  false},
        {"the same task of another record, also", other, "ripeness", 1,  false},
    };
    char first[PB_ID_TEXT], again[PB_ID_TEXT];
    assert_int_equal(pb_uid_of_task(one, "ripeness", 1, first, NULL), PB_OK);
    assert_true(pb_id_is_valid(first));
    assert_int_equal(first[14], '5');
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        assert_int_equal(
            pb_uid_of_task(rows[i].record, rows[i].task, rows[i].n, again, NULL),
            PB_OK);
        CLAIM((strcmp(first, again) == 0) == rows[i].same, "%s: %s", rows[i].claim,
              again);
    }
}

static void bad_namespace(void **state)
{
    (void)state;
    char uid[PB_ID_TEXT] = "untouched";
    struct pb_err err = {0};
    assert_int_equal(pb_uid_of_task("X26-001", "harvest", 1, uid, &err), PB_EPARSE);
    assert_string_equal(uid, "untouched");
    assert_non_null(strstr(err.text, "X26-001"));
}

static void in_few_bytes(void **state)
{
    (void)state;
    static const char *const refused[] = {"2ED6657D-E927-568B-95E1-2665A8AEA6A2", "",
                                          "2ed6657d-e927-568b-95e1-2665a8aea6a",
                                          "2ed6657d-e927-568b-95e1-2665a8aea6ag"};
    unsigned char bytes[PB_UID_BYTES];
    char uid[PB_ID_TEXT];
    assert_true(pb_uid_pack("2ed6657d-e927-568b-95e1-2665a8aea6a2", bytes));
    assert_int_equal(bytes[0], 0x2e);
    assert_int_equal(bytes[PB_UID_BYTES - 1], 0xa2);
    assert_string_equal(pb_uid_unpack(bytes, uid),
                        "2ed6657d-e927-568b-95e1-2665a8aea6a2");
    for (size_t i = 0; i < PB_ARRAY_LEN(refused); i++)
        CLAIM(!pb_uid_pack(refused[i], bytes), "\"%s\" is taken", refused[i]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_vector),
        cmocka_unit_test(in_few_bytes),
        cmocka_unit_test(task_rows),
        cmocka_unit_test(bad_namespace),
    };
    return UNIT_MAIN("uid", tests);
}
