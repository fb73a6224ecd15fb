/* What was counted into a batch is conserved: no more comes out of it, and a lot or flask
 * that is empty does not fill again. */
#include "steps.h"

#include <string.h>

static void nothing_comes_out_that_was_not_in(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        enum pb_kind kind;
        bool daughter;
        int64_t amount;
        struct step steps[6];
        enum pb_rc rc;
        int64_t left;
    } rows[] = {
        {"not counted, anything may be",
         PB_SEED,  false,
         -1,
         {{1, "sown", 0, 500}, END},
         PB_OK,       -1 },
        {"sown from what was counted",
         PB_SEED,  false,
         500, {{1, "sown", 0, 200}, {2, "sown", 0, 300}, END},
         PB_OK,       0  },
        {"not more",
         PB_SEED,  false,
         500, {{1, "sown", 0, 200}, {2, "sown", 0, 301}, END},
         PB_EINVALID, 0  },
        {"counted anew",
         PB_SEED,  false,
         500, {{1, "sown", 0, 200}, {2, "counted", 0, 900}, {3, "sown", 0, 800}, END},
         PB_OK,       100},
        {"a count is of its day, whatever its number",
         PB_SEED,  false,
         -1,
         {{5, "sown", 0, 50}, {2, "counted", 0, 40}, END},
         PB_EINVALID, 0  },
        {"a sample counts nothing",
         PB_SEED,  false,
         500, {{1, "viable", 0, 63}, END},
         PB_OK,       500},
        {"protocorms of a flask are not its seeds",
         PB_FLASK, false,
         500, {{40, "germinated", 0, 12}, {200, "part-replated", 0, 5}, END},
         PB_OK,       7  },
        {"more cannot come out than were counted",
         PB_FLASK, false,
         -1,
         {{40, "germinated", 0, 12}, {250, "deflasked", 0, 13}, END},
         PB_EINVALID, 0  },
        {"a daughter flask holds what was moved into it",
         PB_FLASK, true,
         20,  {{250, "part-deflasked", 0, 8}, END},
         PB_OK,       12 },
        {"a compot holds what was put into it",
         PB_FLASK, true,
         20,  {{250, "compotted", 0, 15}, {310, "settled", 0, 13}, END},
         PB_OK,       13 },
        {"more do not settle than were potted",
         PB_FLASK, true,
         20,  {{250, "compotted", 0, 15}, {310, "settled", 0, 16}, END},
         PB_EINVALID, 0  },
        {"something is sown of what is left, nobody counted how much",
         PB_SEED,  false,
         100, {{1, "sown", 0, 90}, {2, "sown", 0, -1}, END},
         PB_OK,       10 },
        {"nothing is sown of nothing",
         PB_SEED,  false,
         100, {{1, "sown", 0, 100}, {2, "sown", 0, -1}, END},
         PB_EINVALID, 0  },
        {"nor replated",
         PB_FLASK, false,
         -1,
         {{40, "germinated", 0, 5},
          {90, "part-replated", 0, 5},
          {91, "replated", 0, -1},
          END},
         PB_EINVALID, 0  },
        {"counted anew, there is some to sow",
         PB_SEED,  false,
         100, {{1, "sown", 0, 100}, {2, "counted", 0, 8}, {2, "sown", 0, -1}, END},
         PB_OK,       8  },
        {"no more germinate than were sown",
         PB_FLASK, false,
         30,  {{40, "germinated", 0, 31}, END},
         PB_EINVALID, 0  },
        {"all of them may",
         PB_FLASK, false,
         30,  {{40, "germinated", 0, 30}, END},
         PB_OK,       30 },
        {"no more plants than seeds, counted in between or not",
         PB_FLASK, false,
         30,  {{40, "germinated", 0, -1}, {250, "deflasked", 0, 31}, END},
         PB_EINVALID, 0  },
        {"as many as were sown",
         PB_FLASK, false,
         30,  {{40, "germinated", 0, -1}, {250, "deflasked", 0, 30}, END},
         PB_OK,       -1 },
        {"a rescue neither",
         PB_FLASK, false,
         30,  {{40, "contaminated", 0, -1}, {41, "rescued", 0, 31}, END},
         PB_EINVALID, 0  },
        {"what was taken out does not germinate again",
         PB_FLASK, false,
         30,  {{40, "germinated", 0, 20},
          {90, "part-replated", 0, 15},
          {99, "germinated", 0, 16},
          END},
         PB_EINVALID, 0  },
        {"in parts",
         PB_FLASK, false,
         30,  {{40, "germinated", 0, -1},
          {90, "part-replated", 0, 20},
          {250, "deflasked", 0, 11},
          END},
         PB_EINVALID, 0  },
        {"protocorms of a daughter flask may multiply",
         PB_FLASK, true,
         20,  {{90, "germinated", 0, 80}, {250, "deflasked", 0, 80}, END},
         PB_OK,       0  },
        {"stages are shares of what is in it",
         PB_FLASK, false,
         30,  {{40, "germinated", 0, 20},
          {50, "stage-3", 0, 12},
          {50, "stage-2", 0, 8},
          {60, "deflasked", 0, 20},
          END},
         PB_OK,       0  },
        {"not more than that",
         PB_FLASK, false,
         30,  {{40, "germinated", 0, 20}, {50, "stage-3", 0, 21}, END},
         PB_EINVALID, 0  },
        {"nor together of one day",
         PB_FLASK, false,
         30,  {{40, "germinated", 0, 20},
          {50, "stage-3", 0, 12},
          {50, "stage-2", 0, 9},
          END},
         PB_EINVALID, 0  },
        {"on another day they are the same ones",
         PB_FLASK, false,
         30,  {{40, "germinated", 0, 20},
          {50, "stage-2", 0, 12},
          {60, "stage-3", 0, 12},
          END},
         PB_OK,       20 },
        {"of one stage the later count of a day holds",
         PB_FLASK, false,
         30,  {{40, "germinated", 0, 20},
          {50, "stage-3", 0, 15},
          {50, "stage-3", 0, 12},
          {50, "stage-2", 0, 8},
          END},
         PB_OK,       20 },
        {"stage 1 is of the seeds",
         PB_FLASK, false,
         30,  {{40, "germinated", 0, 20},
          {50, "stage-1", 0, 10},
          {50, "stage-2", 0, 20},
          END},
         PB_OK,       20 },
        {"and not more than were sown with the others",
         PB_FLASK, false,
         30,  {{40, "germinated", 0, 20},
          {50, "stage-1", 0, 11},
          {50, "stage-2", 0, 20},
          END},
         PB_EINVALID, 0  },
        {"where nobody counted anything, a stage counts nothing in",
         PB_FLASK, false,
         -1,
         {{50, "stage-2", 0, 20}, {60, "deflasked", 0, 30}, END},
         PB_OK,       -1 },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_batch b;
        struct pb_look looks[6];
        struct pb_err err = {0};
        int64_t left = -2;
        pb_batch_init(&b, rows[i].kind);
        b.source_kind = rows[i].daughter ? PB_FLASK : PB_SEED;
        b.amount = rows[i].amount;
        make(&b, looks, rows[i].steps);
        CLAIM(pb_batch_check(&b, &err) == rows[i].rc, "%s: %s", rows[i].claim,
              err.text);
        if (rows[i].rc == PB_OK) {
            CLAIM(pb_batch_left(&b, &left, NULL) == PB_OK && left == rows[i].left,
                  "%s: %d left", rows[i].claim, (int)left);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_comes_out_that_was_not_in),
    };
    return UNIT_MAIN("counts", tests);
}
