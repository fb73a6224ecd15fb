/* Names of scales: what cannot be one, which are known, which was perhaps meant. */
#include "unit.h"

#include "core/scale.h"

#include <string.h>

static void names_of_scales(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *name;
        enum pb_rc rc;
        bool known;
        const char *meant; /* of one that is not known */
    } rows[] = {
        {"as it is written",                        "Stewart and Kane 2006",  PB_OK,       true,  NULL               },
        {"case and commas do not matter",           "stewart and kane, 2006", PB_OK,       true,  NULL               },
        {"nor do brackets",                         "Stewart & Kane (2006)",  PB_OK,       true,  NULL               },
        {"the other one",                           "Zettler & Hofer",        PB_OK,       true,  NULL               },
        {"a letter left out",                       "Stewart and Kan 2006",   PB_OK,       false,
         "Stewart and Kane 2006"                                                                                     },
        {"two digits exchanged",                    "Stewart and Kane 2060",  PB_OK,       false,
         "Stewart and Kane 2006"                                                                                     },
        {"the year left out",                       "Stewart and Kane",       PB_OK,       false,
         "Stewart and Kane 2006"                                                                                     },
        {"a year added",                            "Zettler and Hofer 1998", PB_OK,       false, "Zettler and Hofer"},
        {"another author's",                        "Arditti 1967",           PB_OK,       false, NULL               },
        {"letters of another alphabet are letters", "Шкала",             PB_OK,       false, NULL               },
        {"what may be a name is not known for it",  "banana",                 PB_OK,       false, NULL               },
        {"nothing",                                 "",                       PB_EINVALID, false, NULL               },
        {"digits",                                  "2006",                   PB_EINVALID, false, NULL               },
        {"marks",                                   "- / -",                  PB_EINVALID, false, NULL               },
        {"two letters",                             "SK 2006",                PB_EINVALID, false, NULL               },
        {"marks that stand in no name",             "zzz 12345 !!",           PB_EINVALID, false, NULL               },
        {"a tab",                                   "Stewart\tKane",          PB_EINVALID, false, NULL               },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_err err = {0};
        CLAIM(pb_scale_check(rows[i].name, &err) == rows[i].rc, "%s: %s", rows[i].claim,
              err.text);
        CLAIM(pb_scale_is_known(rows[i].name) == rows[i].known, "%s", rows[i].claim);
        CLAIM(pb_scale_same(rows[i].name, rows[i].name), "%s", rows[i].claim);
        if (rows[i].rc != PB_OK || rows[i].known)
            continue;
        const char *meant = pb_scale_meant(rows[i].name);
        CLAIM((meant == NULL) == (rows[i].meant == NULL), "%s: %s", rows[i].claim,
              meant != NULL ? meant : "-");
        CLAIM(meant == NULL || strcmp(meant, rows[i].meant) == 0, "%s: %s",
              rows[i].claim, meant);
    }
}

static void one_scale_however_it_is_written(void **state)
{
    (void)state;
    assert_true(pb_scale_same("Stewart & Kane (2006)", "stewart and kane, 2006"));
    assert_true(pb_scale_same("Arditti,  1967", "ARDITTI 1967 "));
    assert_false(pb_scale_same("Stewart and Kane 2006", "Zettler and Hofer"));
    assert_false(pb_scale_same("Arditti 1967", "Arditti 1966"));
}

static void each_known_one_is_known(void **state)
{
    (void)state;
    size_t n = 0;
    for (; pb_scale_name(n) != NULL; n++) {
        CLAIM(pb_scale_check(pb_scale_name(n), NULL) == PB_OK, "%s", pb_scale_name(n));
        CLAIM(pb_scale_is_known(pb_scale_name(n)), "%s", pb_scale_name(n));
    }
    assert_int_equal(n, 2);
}

static void a_name_too_long_is_no_harm(void **state)
{
    (void)state;
    char name[4 * 1024];
    memset(name, '&', sizeof(name) - 1);
    name[sizeof(name) - 1] = '\0';
    assert_false(pb_scale_is_known(name));
    assert_null(pb_scale_meant(name));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_of_scales),
        cmocka_unit_test(one_scale_however_it_is_written),
        cmocka_unit_test(each_known_one_is_known),
        cmocka_unit_test(a_name_too_long_is_no_harm),
    };
    return UNIT_MAIN("scale", tests);
}
