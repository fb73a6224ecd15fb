/* Questions to a ripening law, on laws so small that the answer is known in closed form. */
#include "unit.h"

#include "base/limits.h"
#include "core/ripening_law.h"
#include "core/special.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

/* ln T ~ N(ln median, sigma^2) with no doubt about either. */
static struct pb_ripening_law *certain(double median, double sigma)
{
    struct pb_ripening_law *law = NULL;
    struct pb_ripening_row *rows = NULL;
    struct pb_ripening_node *nodes = NULL;
    assert_int_equal(pb_ripening_law_new(1, 1, &rows, &nodes, &law, NULL), PB_OK);
    rows[0] = (struct pb_ripening_row){1 / sigma, 1};
    nodes[0] = (struct pb_ripening_node){0, 1};
    law->centre = log(median);
    return law;
}

/* Half the capsules by one median, half by another, one spread. */
static struct pb_ripening_law *torn(double early, double late, double sigma)
{
    struct pb_ripening_law *law = NULL;
    struct pb_ripening_row *rows = NULL;
    struct pb_ripening_node *nodes = NULL;
    assert_int_equal(pb_ripening_law_new(2, 2, &rows, &nodes, &law, NULL), PB_OK);
    for (int i = 0; i < 2; i++)
        rows[i] = (struct pb_ripening_row){1 / sigma, 1};
    nodes[0] = (struct pb_ripening_node){log(early) / sigma, 0.5};
    nodes[1] = (struct pb_ripening_node){log(late) / sigma, 0.5};
    law->centre = 0;
    law->levels = 2;
    law->capsules = 7;
    law->seen_first = 19;
    law->seen_last = 44;
    return law;
}

static void closed_form(void **state)
{
    (void)state;
    static const struct {
        double median, sigma, p, z; /* z: P(Z <= z) = p, from R 4.2.2 qnorm */
    } rows[] = {
        {25,   0.1,  0.5,  0                },
        {25,   0.1,  0.95, 1.64485362695147 },
        {25,   0.1,  0.01, -2.32634787404084},
        {200,  0.4,  0.9,  1.2815515655446  },
        {3000, 0.05, 0.99, 2.32634787404084 },
        {25,   1e-6, 0.05, -1.64485362695147},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_ripening_law *law = certain(rows[i].median, rows[i].sigma);
        double day = 0, want = rows[i].median * exp(rows[i].sigma * rows[i].z);
        CLAIM(pb_ripening_quantile(law, rows[i].p, &day) &&
                  fabs(day - want) < 1e-9 * want,
              "%g of %g: %.12g, not %.12g", rows[i].p, rows[i].median, day, want);
        CLAIM(fabs(pb_ripening_split_by(law, want) - rows[i].p) < 1e-9, "%g back",
              rows[i].p);
        pb_ripening_law_free(law);
    }
}

/* Sharp tops on a wide one: every share has the day of which F says so. */
static void a_law_of_several_tops_has_its_days(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        double centre, sharp, early, late, wide,
            median; /* a quarter, a quarter, a half */
    } rows[] = {
        {"both before the wide one",  1,    0.08,  25, 40,  0.8, 50},
        {"on both sides of it",       1,    0.08,  25, 50,  0.7, 30},
        {"so sharp that F has steps", 1,    0.001, 20, 900, 0.1, 40},
        {"all after the centre",      1,    0.02,  2,  2,   0.1, 40},
        {"all before the centre",     1000, 0.01,  1,  5,   0.1, 40},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_ripening_law *law = NULL;
        struct pb_ripening_row *row = NULL;
        struct pb_ripening_node *nodes = NULL;
        assert_int_equal(pb_ripening_law_new(2, 3, &row, &nodes, &law, NULL), PB_OK);
        law->centre = log(rows[i].centre);
        row[0] = (struct pb_ripening_row){1 / rows[i].sharp, 2};
        row[1] = (struct pb_ripening_row){1 / rows[i].wide, 1};
        nodes[0] = (struct pb_ripening_node){
            log(rows[i].early / rows[i].centre) / rows[i].sharp, 0.25};
        nodes[1] = (struct pb_ripening_node){
            log(rows[i].late / rows[i].centre) / rows[i].sharp, 0.25};
        nodes[2] = (struct pb_ripening_node){
            log(rows[i].median / rows[i].centre) / rows[i].wide, 0.5};
        for (int percent = 1; percent < 100; percent++) {
            double day = 0, p = percent / 100.0;
            CLAIM(pb_ripening_quantile(law, p, &day), "%s: %g is known", rows[i].claim,
                  p);
            CLAIM(fabs(pb_ripening_split_by(law, day) - p) < 1e-9,
                  "%s: %g on day %.9g, of which F says %g", rows[i].claim, p, day,
                  pb_ripening_split_by(law, day));
        }
        pb_ripening_law_free(law);
    }
}

static void not_known(void **state)
{
    (void)state;
    struct pb_ripening_law *law = certain(4000, 0.1), *near = certain(3650, 0.1);
    double day = -1, scale = -1;
    assert_false(pb_ripening_quantile(law, 0.5, &day));
    assert_false(pb_ripening_scale(law, &scale));
    assert_true(day < 0 && scale < 0);
    assert_true(pb_ripening_quantile(law, 0.01, &day) && day < 3650);
    /* a hair over half have split on the last day that is known */
    assert_true(pb_ripening_quantile(near, 0.4999999, &day) && day <= 3650);
    assert_false(pb_ripening_quantile(near, 0.5000001, &day));
    day = -1;
    assert_false(pb_ripening_quantile(law, 1, &day));
    assert_false(pb_ripening_quantile(law, (double)NAN, &day));
    assert_true(day < 0);
    /* and the other end has a day too */
    assert_true(pb_ripening_quantile(near, 0, &day) && day > 0);
    pb_ripening_law_free(law);
    pb_ripening_law_free(near);
}

static void risks(void **state)
{
    (void)state;
    struct pb_ripening_law *law = certain(25, 0.1);
    double s22 = pb_normal_sf(log(22 / 25.0) / 0.1);
    double s24 = pb_normal_sf(log(24 / 25.0) / 0.1);
    double many[6] = {9, 9, 9, 9, 9, 9};
    assert_true(fabs(pb_ripening_risk(law, 22, 24) - (1 - s24 / s22)) < 1e-12);
    assert_true(fabs(pb_ripening_risk(law, 0, 24) - (1 - s24)) < 1e-11);
    assert_true(fabs(pb_ripening_risk(law, -3, 24) - (1 - s24)) < 1e-11);
    /* nothing is in doubt: among the data or apart is the same */
    assert_true(fabs(pb_ripening_risk_apart(law, 22, 24) - (1 - s24 / s22)) < 1e-12);
    pb_ripening_risks(law, 22, 21, many, PB_ARRAY_LEN(many));
    for (int i = 0; i < 6; i++)
        assert_true(fabs(many[i] - pb_ripening_risk(law, 22, 21 + i)) < 1e-15);
    /* long after the last capsule should have split: 0 / 0 is not asked */
    double late = pb_ripening_risk(law, 3000, 3001);
    assert_true(late > 0.1 && late <= 1);
    assert_true(pb_ripening_risk_apart(law, 1e9, 2e9) >= 1);
    pb_ripening_law_free(law);
}

/* On a day on which it was still intact, or before it was pollinated: none at all, and not
 * a little less. */
static void nothing_is_risked_before_it_was_intact(void **state)
{
    (void)state;
    static const struct {
        int32_t intact, day;
    } rows[] = {
        {24, 24},
        {24, 23},
        {24, 5 },
        {0,  0 },
        {-3, 0 },
        {-5, -1},
    };
    struct pb_ripening_law *law = certain(25, 0.1);
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        double risk = pb_ripening_risk(law, rows[i].intact, rows[i].day);
        CLAIM(risk >= 0 && risk <= 0, "intact on %d, %g by %d", (int)rows[i].intact,
              risk, (int)rows[i].day);
    }
    pb_ripening_law_free(law);
}

/* A capsule still intact after all early ones split is a late one. */
static void each_node_by_itself(void **state)
{
    (void)state;
    struct pb_ripening_law *law = torn(20, 40, 0.05);
    /* not among the data: by day 30 it has shown itself to be late */
    assert_true(pb_ripening_risk_apart(law, 30, 35) < 0.02);
    /* among the data: the weights, still one half each, have counted that already */
    assert_true(pb_ripening_risk(law, 30, 35) > 0.5);
    pb_ripening_law_free(law);
}

static void looks(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        double median, sigma;
        int32_t seen;
        double tolerance;
        int32_t latest, passes, look;
    } rows[] = {
  /* 25 exp(-0.1 * 1.2816) = 21.99: on day 21 less, on day 22 more than a tenth */
        {"the last day within a tenth",      25,   0.1,  0,  0.1, 100,           22,        21},
        {"the same with a look before",      25,   0.1,  10, 0.1, 100,           22,        21},
        {"half is passed by the median",     25.5, 0.1,  0,  0.5, 100,           26,        25},
        {"never before the next day",        25,   0.1,  26, 0.1, 100,           27,        27},
        {"nor after what was asked",         25,   0.1,  0,  0.1, 14,            15,        14},
        {"asked to the very day",            25,   0.1,  0,  0.1, 22,            22,        21},
        {"or to the day before",             25,   0.1,  0,  0.1, 21,            22,        21},
        {"not looked at counts as day 0",    25,   0.1,  -9, 0.1, 100,           22,        21},
        {"a day that is asked for too late", 25,   0.1,  30, 0.1, 12,            31,        31},
        {"no tolerance, first risk",         25,   0.01, 0,  0,   100,           24,        23},
        {"ripens beyond all days",           9e8,  0.01, 0,  0.1, INT32_MAX - 1, 888539629,
         888539628                                                                            },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_ripening_law *law = certain(rows[i].median, rows[i].sigma);
        int32_t passes =
            pb_ripening_risk_day(law, rows[i].seen, rows[i].tolerance, rows[i].latest);
        int32_t look =
            pb_ripening_next_look(law, rows[i].seen, rows[i].tolerance, rows[i].latest);
        CLAIM(passes == rows[i].passes, "%s: passes on %d", rows[i].claim, (int)passes);
        CLAIM(look == rows[i].look, "%s: look on %d", rows[i].claim, (int)look);
        pb_ripening_law_free(law);
    }
}

static void stored(void **state)
{
    (void)state;
    struct pb_ripening_law *law = torn(20, 40, 0.05), *back = NULL;
    struct pb_buf bytes, again;
    pb_buf_init(&bytes, 1000);
    pb_buf_init(&again, 1000);
    pb_ripening_law_pack(law, &bytes);
    assert_int_equal(pb_buf_status(&bytes, NULL), PB_OK);
    assert_int_equal(bytes.len, 40 + 2 * 12 + 2 * 16);
    assert_int_equal((unsigned char)bytes.data[0], PB_RIPENING_MODEL);
    assert_int_equal(pb_ripening_law_unpack(bytes.data, bytes.len, &back, NULL), PB_OK);
    assert_int_equal(back->levels, 2);
    assert_int_equal(back->capsules, 7);
    assert_int_equal(back->seen_first, 19);
    assert_int_equal(back->seen_last, 44);
    assert_true(fabs(pb_ripening_risk(back, 19, 33) - pb_ripening_risk(law, 19, 33)) <=
                0);
    pb_ripening_law_pack(back, &again);
    assert_int_equal(again.len, bytes.len);
    assert_memory_equal(again.data, bytes.data, bytes.len);
    pb_buf_clear(&bytes);
    pb_buf_clear(&again);
    pb_ripening_law_free(law);
    pb_ripening_law_free(back);
}

static void damaged(void **state)
{
    (void)state;
    enum { CENTRE = 32, RATE = 40, ROW_N = 48, PLACE = 64, WEIGHT = 72, HIGH = 7 };
    static const struct {
        const char *claim;
        size_t at;
        unsigned char value;
    } rows[] = {
        {"another model",                  0,             PB_RIPENING_MODEL + 1},
        {"a level that is not",            4,             3                    },
        {"seen first after the last",      16,            45                   },
        {"a day seen that is no day",      23,            0x80                 },
        {"more rows than bytes",           24,            3                    },
        {"rows without end",               27,            0x7F                 },
        {"fewer nodes than bytes",         28,            1                    },
        {"a centre that is not a number",  CENTRE + HIGH, 0x7F                 },
        {"a rate below zero",              RATE + HIGH,   0xC0                 },
        {"rows that count other nodes",    ROW_N,         2                    },
        {"a weight below zero",            WEIGHT + HIGH, 0xBF                 },
        {"weights that do not sum to one", WEIGHT + 6,    0xF0                 },
    };
    struct pb_ripening_law *law = torn(20, 40, 0.05), *out = NULL;
    struct pb_buf bytes;
    pb_buf_init(&bytes, 1000);
    pb_ripening_law_pack(law, &bytes);
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        char kept = bytes.data[rows[i].at];
        struct pb_err err = {0};
        if (rows[i].at == CENTRE + HIGH)
            bytes.data[CENTRE + 6] = (char)0xF0; /* exponent of all ones */
        bytes.data[rows[i].at] = (char)rows[i].value;
        CLAIM(pb_ripening_law_unpack(bytes.data, bytes.len, &out, &err) == PB_EPARSE &&
                  out == NULL && err.rc == PB_EPARSE,
              "%s", rows[i].claim);
        bytes.data[rows[i].at] = kept;
        bytes.data[CENTRE + 6] = 0;
    }
    for (size_t len = 0; len < bytes.len; len++)
        CLAIM(pb_ripening_law_unpack(bytes.data, len, &out, NULL) == PB_EPARSE,
              "cut at %zu", len);
    assert_int_equal(pb_ripening_law_unpack(bytes.data, bytes.len, &out, NULL), PB_OK);
    pb_ripening_law_free(out);
    pb_ripening_law_free(law);
    pb_buf_clear(&bytes);
}

/* All rows but the first are empty; nodes beyond the first weigh nothing. */
static void no_grid_is_larger_than_any_fit_makes(void **state)
{
    (void)state;
    static const struct {
        uint32_t row_n, node_n;
        enum pb_rc rc;
    } rows[] = {
        {PB_MAX_GRID,     PB_MAX_GRID,     PB_OK    },
        {PB_MAX_GRID + 1, 1,               PB_EPARSE},
        {1,               PB_MAX_GRID + 1, PB_EPARSE},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_ripening_law *law = NULL, *back = NULL;
        struct pb_ripening_row *row = NULL;
        struct pb_ripening_node *nodes = NULL;
        struct pb_buf bytes;
        pb_buf_init(&bytes, 100 + 32 * (PB_MAX_GRID + 1));
        assert_int_equal(pb_ripening_law_new(rows[i].row_n, rows[i].node_n, &row,
                                             &nodes, &law, NULL),
                         PB_OK);
        for (uint32_t k = 0; k < rows[i].row_n; k++)
            row[k] = (struct pb_ripening_row){1, k == 0 ? rows[i].node_n : 0};
        for (uint32_t k = 0; k < rows[i].node_n; k++)
            nodes[k] = (struct pb_ripening_node){0, k == 0};
        pb_ripening_law_pack(law, &bytes);
        assert_int_equal(pb_buf_status(&bytes, NULL), PB_OK);
        CLAIM(pb_ripening_law_unpack(bytes.data, bytes.len, &back, NULL) == rows[i].rc,
              "%u rows, %u nodes", (unsigned)rows[i].row_n, (unsigned)rows[i].node_n);
        pb_ripening_law_free(back);
        pb_ripening_law_free(law);
        pb_buf_clear(&bytes);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(closed_form),
        cmocka_unit_test(a_law_of_several_tops_has_its_days),
        cmocka_unit_test(not_known),
        cmocka_unit_test(risks),
        cmocka_unit_test(nothing_is_risked_before_it_was_intact),
        cmocka_unit_test(each_node_by_itself),
        cmocka_unit_test(looks),
        cmocka_unit_test(stored),
        cmocka_unit_test(damaged),
        cmocka_unit_test(no_grid_is_larger_than_any_fit_makes),
    };
    return UNIT_MAIN("ripening_law", tests);
}
