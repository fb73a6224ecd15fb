/* A received record meets ours: the decision, and private texts that stay. */
#include "unit.h"

#include "core/merge.h"

#include <stdlib.h>
#include <string.h>

static void decision_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        int64_t ours, theirs;
        enum pb_content content;
        enum pb_merge merge;
    } rows[] = {
        {"an unknown record is added",                0,          1,          PB_CONTENT_OTHER, PB_MERGE_ADD    },
        {"at whatever revision it has",               0,          1000000000, PB_CONTENT_SAME,  PB_MERGE_ADD    },
        {"a newer revision replaces",                 1,          2,          PB_CONTENT_OTHER, PB_MERGE_REPLACE},
        {"even with the same content",                1,          9,          PB_CONTENT_SAME,  PB_MERGE_REPLACE},
        {"an older one is left",                      3,          2,          PB_CONTENT_OTHER, PB_MERGE_OLDER  },
        {"even with the same content",                3,          2,          PB_CONTENT_SAME,  PB_MERGE_OLDER  },
        {"the same revision and content is nothing",  5,          5,          PB_CONTENT_SAME,
         PB_MERGE_SAME                                                                                          },
        {"the same revision, other content, clashes", 5,          5,          PB_CONTENT_OTHER,
         PB_MERGE_CLASH                                                                                         },
        {"private texts alone are taken",             5,          5,          PB_CONTENT_TEXTS, PB_MERGE_REPLACE},
        {"but not of an older one",                   5,          4,          PB_CONTENT_TEXTS, PB_MERGE_OLDER  },
        {"numbers beyond 32 bits are compared whole", 4294967297, 1,          true,
         PB_MERGE_OLDER                                                                                         },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        enum pb_merge got =
            pb_merge_decide(rows[i].ours, rows[i].theirs, rows[i].content);
        CLAIM(got == rows[i].merge, "%s: %s", rows[i].claim, pb_merge_names[got]);
    }
}

static void plant_texts(void **state)
{
    (void)state;
    struct pb_plant ours, theirs;
    pb_plant_init(&ours);
    pb_plant_init(&theirs);
    ours.source_text = pb_text_copy("a friend");
    ours.papers = pb_text_copy("none");
    ours.place = pb_text_copy("bench 1");
    ours.note = pb_text_copy("ours");
    ours.taxon = pb_text_copy("Goodyera");
    theirs.note = pb_text_copy("theirs");
    assert_int_equal(pb_plant_keep_private(&theirs, &ours, false, NULL), PB_OK);
    assert_string_equal(theirs.source_text, "a friend");
    assert_string_equal(theirs.papers, "none");
    assert_string_equal(theirs.place, "bench 1");
    assert_string_equal(theirs.note, "theirs"); /* what came wins */
    assert_null(theirs.taxon);                  /* no private text */
    assert_int_equal(pb_plant_keep_private(&theirs, &ours, true, NULL), PB_OK);
    assert_string_equal(theirs.note, "ours"); /* unless ours is later */
    pb_plant_clear(&theirs);
    assert_int_equal(pb_plant_keep_private(&theirs, &theirs, false, NULL), PB_OK);
    assert_null(theirs.note);
    pb_plant_clear(&ours);
}

/* Looks are paired by id, in whatever order they stand. */
static void look_notes(void **state)
{
    (void)state;
    enum { N = 4 };
    struct pb_cross ours, theirs;
    pb_cross_init(&ours);
    pb_cross_init(&theirs);
    ours.looks = calloc(N, sizeof(*ours.looks));
    theirs.looks = calloc(N, sizeof(*theirs.looks));
    assert_non_null(ours.looks);
    assert_non_null(theirs.looks);
    ours.look_n = theirs.look_n = N;
    for (int i = 0; i < N; i++) {
        char note[] = "note 0";
        note[5] = (char)('0' + i);
        ours.looks[i].id[0] = (char)('a' + i);
        ours.looks[i].note = pb_text_copy(note);
    }
    /* turned round, one that ours does not have, one with a note of its own */
    theirs.looks[0].id[0] = 'd';
    theirs.looks[1].id[0] = 'z';
    theirs.looks[2].id[0] = 'b';
    theirs.looks[3].id[0] = 'a';
    theirs.looks[3].note = pb_text_copy("theirs");
    ours.note = pb_text_copy("of the cross");
    assert_int_equal(pb_cross_keep_private(&theirs, &ours, false, NULL), PB_OK);
    assert_string_equal(theirs.note, "of the cross");
    assert_string_equal(theirs.looks[0].note, "note 3");
    assert_null(theirs.looks[1].note);
    assert_string_equal(theirs.looks[2].note, "note 1");
    assert_string_equal(theirs.looks[3].note, "theirs");
    pb_cross_clear(&ours);
    assert_int_equal(pb_cross_keep_private(&theirs, &ours, false, NULL), PB_OK);
    pb_cross_clear(&theirs);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(decision_rows),
        cmocka_unit_test(plant_texts),
        cmocka_unit_test(look_notes),
    };
    return UNIT_MAIN("merge", tests);
}
