/* Which of several alike units a finding takes.  The looks are typed in this order; where
 * the units stand afterwards is what a grower who typed them means. */
#include "steps.h"

#include <stdio.h>
#include <string.h>

enum { LOOKS = 6, SAID = 200 };

/* "2 in water, 1 potted" */
static void say_stands(const struct pb_course *c, const struct pb_life *life,
                       char text[SAID])
{
    size_t n = 0;
    text[0] = '\0';
    for (int s = 0; s < c->stand_n; s++)
        if (life->by_stand[s] > 0)
            n += (size_t)snprintf(text + n, SAID - n, "%s%d %s", n > 0 ? ", " : "",
                                  life->by_stand[s], c->stands[s]);
}

static void check_stands(const char *claim, int units, const struct step *looks,
                         const char *expected)
{
    struct pb_batch b;
    struct pb_look v[LOOKS];
    struct pb_life life = {0};
    struct pb_err err = {0};
    char said[SAID];
    pb_batch_init(&b, PB_CUTTING);
    b.units = units;
    make(&b, v, looks);
    CLAIM(pb_batch_replay(&b, &life, &err) == PB_OK, "%s: %s", claim, err.text);
    say_stands(&pb_courses[PB_CUTTING], &life, said);
    CLAIM(strcmp(said, expected) == 0, "%s: %s", claim, said);
    pb_life_clear(&life);
}

static void the_furthest_go_on(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        int units;
        struct step looks[LOOKS];
        const char *stands;
    } rows[] = {
        {"the rooted one is potted, the same day",
         3, {{1, "in-water", 0, -1}, {16, "rooted", 1, -1}, {16, "potted", 1, -1}, END},
         "2 in water, 1 potted"          },
        {"and days later",
         3, {{1, "in-water", 0, -1}, {16, "rooted", 1, -1}, {18, "potted", 1, -1}, END},
         "2 in water, 1 potted"          },
        {"though others were seen before it, or never",
         4, {{16, "rooted", 2, -1}, {17, "unchanged", 2, -1}, {18, "potted", 2, -1}, END},
         "2 cut, 2 potted"               },
        {"what has callused goes into water the same day",
         4, {{1, "callused", 2, -1}, {1, "in-water", 2, -1}, END},
         "2 cut, 2 in water"             },
        {"and the next",
         4, {{1, "callused", 2, -1}, {2, "in-water", 2, -1}, END},
         "2 cut, 2 in water"             },
        {"more in water than had callused",
         4, {{1, "callused", 2, -1}, {1, "in-water", 3, -1}, END},
         "1 cut, 3 in water"             },
        {"roots are not found on what that day found in water",
         3, {{20, "in-water", 2, -1}, {20, "rooted", 1, -1}, END},
         "2 in water, 1 rooted"          },
        {"roots come in water first",
         3, {{1, "in-water", 2, -1}, {16, "rooted", 1, -1}, END},
         "1 cut, 1 in water, 1 rooted"   },
        {"counted again, the rooted are those that were",
         3, {{1, "in-water", 0, -1}, {16, "rooted", 1, -1}, {23, "rooted", 2, -1}, END},
         "1 in water, 2 rooted"          },
        {"what rots is the least far, whatever was seen last",
         3, {{1, "in-water", 0, -1},
          {16, "rooted", 1, -1},
          {17, "unchanged", 2, -1},
          {18, "rotted", 1, -1},
          END},
         "1 in water, 1 rooted, 1 rotted"},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        check_stands(rows[i].claim, rows[i].units, rows[i].looks, rows[i].stands);
}

static void counts_of_one_day_come_out_as_said(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        struct step looks[LOOKS];
        const char *stands;
    } rows[] = {
        {"the unchanged ones are those in water",
         {{1, "in-water", 0, -1},
          {16, "rooted", 1, -1},
          {23, "unchanged", 2, -1},
          {23, "rooted", 1, -1},
          END},
         "2 in water, 1 rooted"},
        {"also said the other way round",
         {{1, "in-water", 0, -1},
          {16, "rooted", 1, -1},
          {23, "rooted", 1, -1},
          {23, "unchanged", 2, -1},
          END},
         "2 in water, 1 rooted"},
        {"one more has rooted",
         {{1, "in-water", 0, -1},
          {16, "rooted", 1, -1},
          {23, "unchanged", 1, -1},
          {23, "rooted", 2, -1},
          END},
         "1 in water, 2 rooted"},
        {"all unchanged, then one rooted: the one that was",
         {{1, "in-water", 0, -1},
          {16, "rooted", 1, -1},
          {23, "unchanged", 0, -1},
          {23, "rooted", 1, -1},
          END},
         "2 in water, 1 rooted"},
        {"none rooted yet: all unchanged, but one rooted",
         {{1, "in-water", 0, -1}, {16, "unchanged", 0, -1}, {16, "rooted", 1, -1}, END},
         "2 in water, 1 rooted"},
        {"what stayed unchanged does not go into water",
         {{1, "callused", 1, -1}, {2, "unchanged", 2, -1}, {2, "in-water", 1, -1}, END},
         "2 cut, 1 in water"   },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        check_stands(rows[i].claim, 3, rows[i].looks, rows[i].stands);
}

static void what_may_be_a_plant_is_given_last(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        struct step looks[LOOKS];
        const char *stands;
    } rows[] = {
        {"a rooted one before the potted",
         {{1, "in-water", 0, -1},
          {16, "rooted", 2, -1},
          {16, "potted", 1, -1},
          {16, "given", 1, -1},
          END},
         "1 in water, 1 potted, 1 given"},
        {"one in water before the potted",
         {{1, "in-water", 0, -1},
          {16, "rooted", 1, -1},
          {16, "potted", 1, -1},
          {17, "given", 1, -1},
          END},
         "1 in water, 1 potted, 1 given"},
        {"the potted one where all are",
         {{1, "in-water", 0, -1},
          {16, "rooted", 1, -1},
          {16, "potted", 1, -1},
          {17, "given", 0, -1},
          END},
         "3 given"                      },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        check_stands(rows[i].claim, 3, rows[i].looks, rows[i].stands);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_furthest_go_on),
        cmocka_unit_test(counts_of_one_day_come_out_as_said),
        cmocka_unit_test(what_may_be_a_plant_is_given_last),
    };
    return UNIT_MAIN("units", tests);
}
