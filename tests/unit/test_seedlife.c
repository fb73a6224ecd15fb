/*
 * The seed viability equation.  The constants 8.242, 4.345, 0.0307, 0.000501 and the
 * universal ones, 0.0329 and 0.000478 (Dickie et al. 1990), stand in the documentation of
 * an R library of seed viability equations as worked examples, none of an orchid; what
 * follows from them was computed apart, with Python's statistics.NormalDist.
 */
#include "unit.h"

#include "core/batch.h"
#include "core/special.h"

#include <math.h>
#include <string.h>

#define NO PB_REAL_NONE

static char somebody[] = "somebody";

static bool near(double got, double want, double relative)
{
    return fabs(got - want) <= relative * fabs(want);
}

static void quantile_rows(void **state)
{
    (void)state;
    static const struct {
        double p, z;
    } rows[] = {
        {0.5,   0                 },
        {0.975, 1.9599639845400536},
        {0.98,  2.0537489106318225},
        {0.025, -1.959963984540054},
        {1e-10, -6.361340902404056},
        {0.999, 3.090232306167813 },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        CLAIM(fabs(pb_normal_quantile(rows[i].p) - rows[i].z) < 1e-12,
              "quantile of %g: %.17g", rows[i].p, pb_normal_quantile(rows[i].p));
    assert_true(isfinite(pb_normal_quantile(0)) && isfinite(pb_normal_quantile(1)));
}

static void published_rows(void **state)
{
    (void)state;
    static const struct {
        double celsius, sigma, after_year, after_ten, to_95;
    } rows[] = {
        {5,  5382.38798, 97.647974, 91.552899,   2200.833060},
        {25, 655.201676, 93.276024, 0.021818175, 267.9088754},
    };
    const struct pb_seed_constants c = {8.242, 4.345, 0.0307, 0.000501,
                                        98,    10,    NO,     NULL};
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        double t = rows[i].celsius;
        CLAIM(near(pb_seedlife_sigma(&c, t), rows[i].sigma, 1e-6), "sigma at %g", t);
        CLAIM(near(pb_seedlife_after(&c, t, 365), rows[i].after_year, 1e-7),
              "a year at %g: %.7f", t, pb_seedlife_after(&c, t, 365));
        CLAIM(near(pb_seedlife_after(&c, t, 3650), rows[i].after_ten, 1e-7),
              "ten years at %g: %.7f", t, pb_seedlife_after(&c, t, 3650));
        CLAIM(near(pb_seedlife_until(&c, t, 95), rows[i].to_95, 1e-6),
              "from 98 to 95 percent at %g: %.7f", t, pb_seedlife_until(&c, t, 95));
    }
}

static void temperature_alone(void **state)
{
    (void)state;
    static const struct {
        double celsius, longer;
    } rows[] = {
        {20,  1.87},
        {4,   9.59},
        {-20, 38.7},
    };
    const struct pb_seed_constants c = {8, 4, 0.0329, 0.000478, 98, 10, NO, NULL};
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        CLAIM(near(pb_seedlife_sigma(&c, rows[i].celsius) / pb_seedlife_sigma(&c, 25),
                   rows[i].longer, 0.003),
              "from 25 to %g degrees", rows[i].celsius);
}

static void never_better_than_at_the_start(void **state)
{
    (void)state;
    const struct pb_seed_constants c = {8.242, 4.345, 0.0307, 0.000501,
                                        90,    10,    NO,     NULL};
    assert_true(fabs(pb_seedlife_after(&c, 5, 0) - 90) < 1e-9);
    assert_true(pb_seedlife_until(&c, 5, 95) <= 0);
    assert_true(fabs(pb_seedlife_after(&c, 5, pb_seedlife_until(&c, 5, 40)) - 40) <
                1e-9);
    assert_true(pb_seedlife_after(&c, 5, 1e9) >= 0);
}

static const struct {
    const char *claim;
    struct pb_seed_constants c;
    double celsius;
    enum pb_rc rc;
    bool given;
} rules[] = {
    {"nothing given, nothing to say",
     {NO, NO, NO, NO, NO, NO, NO, NULL},
     NO,                                                                                             PB_OK,
     false                                                                                                             },
    {"any moisture and cold without constants",
     {NO, NO, NO, NO, 100, 60, NO, NULL},
     -196,
     PB_OK,                                                                                                       false},
    {"all of it",                               {8, 4, 0.03, 0.0005, 98, 10, 85, somebody},   5,     PB_OK,       true },
    {"constants before the rest",
     {8, 4, 0.03, 0.0005, NO, NO, NO, somebody},
     NO,                                                                                             PB_OK,
     false                                                                                                             },
    {"no source",                               {8, 4, 0.03, 0.0005, 98, 10, NO, NULL},       5,     PB_EINVALID, true },
    {"a source of nothing",
     {NO, NO, NO, NO, NO, NO, NO, somebody},
     5,                                                                                              PB_EINVALID,
     false                                                                                                             },
    {"one constant missing",
     {8, 4, 0.03, NO, 98, 10, NO, somebody},
     5,                                                                                              PB_EINVALID,
     false                                                                                                             },
    {"a share without constants",
     {NO, NO, NO, NO, 98, 10, 85, NULL},
     5,                                                                                              PB_EINVALID,
     false                                                                                                             },
    {"coldest",                                 {8, 4, 0.03, 0.0005, 98, 10, NO, somebody},   -20,   PB_OK,       true },
    {"colder",                                  {8, 4, 0.03, 0.0005, 98, 10, NO, somebody},   -20.5, PB_EINVALID, true },
    {"warmest",                                 {8, 4, 0.03, 0.0005, 98, 10, NO, somebody},   90,    PB_OK,       true },
    {"warmer",                                  {8, 4, 0.03, 0.0005, 98, 10, NO, somebody},   90.5,  PB_EINVALID, true },
    {"driest",                                  {8, 4, 0.03, 0.0005, 98, 5, NO, somebody},    5,     PB_OK,       true },
    {"drier",                                   {8, 4, 0.03, 0.0005, 98, 4.9, NO, somebody},  5,     PB_EINVALID, true },
    {"wettest",                                 {8, 4, 0.03, 0.0005, 98, 25, NO, somebody},   5,     PB_OK,       true },
    {"wetter",                                  {8, 4, 0.03, 0.0005, 98, 25.1, NO, somebody}, 5,     PB_EINVALID, true },
    {"all alive",                               {8, 4, 0.03, 0.0005, 100, 10, NO, somebody},  5,     PB_EINVALID, true },
    {"none alive",                              {8, 4, 0.03, 0.0005, 0, 10, NO, somebody},    5,     PB_EINVALID, true },
    {"sow before none",
     {8, 4, 0.03, 0.0005, 98, 10, 0, somebody},
     5,                                                                                              PB_EINVALID,
     true                                                                                                              },
    {"days without an end",
     {900, 4, 0.03, 0.0005, 98, 10, NO, somebody},
     5,                                                                                              PB_EINVALID,
     true                                                                                                              },
};

static void rule_rows(void **state)
{
    (void)state;
    for (size_t i = 0; i < PB_ARRAY_LEN(rules); i++) {
        struct pb_err err = {0};
        enum pb_rc rc = pb_seedlife_check(&rules[i].c, rules[i].celsius, &err);
        CLAIM(rc == rules[i].rc, "%s: %s %s", rules[i].claim, pb_rc_name(rc), err.text);
        CLAIM(pb_seedlife_given(&rules[i].c, rules[i].celsius) == rules[i].given,
              "%s: given", rules[i].claim);
    }
}

/* The days on which a lot is to be sown. */
static const struct {
    const char *claim;
    enum pb_seed_form form;
    double below;
    struct pb_stage_days days;
} lots[] = {
    {"dry, by a share",                 PB_FORM_DRY,      95,    {2172, 2200}},
    {"dry, already below the share",    PB_FORM_DRY,      99,    {0, 0}      },
    {"dry, in a hundred years",         PB_FORM_DRY,      1e-40, {-1, -1}    },
    {"dry, no share",                   PB_FORM_DRY,      NO,    {-1, -1}    },
    {"closed: the equation is no help", PB_FORM_CLOSED,   95,    {0, 7}      },
    {"nobody said how",                 PB_FORM_NOT_SAID, 95,    {-1, -1}    },
};

static void sow_rows(void **state)
{
    (void)state;
    for (size_t i = 0; i < PB_ARRAY_LEN(lots); i++) {
        const struct pb_profile_match none = {.row = NULL};
        struct pb_batch b;
        struct pb_timing t;
        pb_batch_init(&b, PB_SEED);
        b.on = 20000;
        b.form = lots[i].form;
        b.celsius = 5;
        b.constants = (struct pb_seed_constants){8.242, 4.345, 0.0307,        0.000501,
                                                 98,    10,    lots[i].below, NULL};
        pb_batch_timing(&b, &none, &t);
        struct pb_stage_days got = t.stages[PB_STAGE_SOW];
        CLAIM(got.from == lots[i].days.from && got.to == lots[i].days.to,
              "%s: day %d to %d", lots[i].claim, got.from, got.to);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(quantile_rows),
        cmocka_unit_test(published_rows),
        cmocka_unit_test(temperature_alone),
        cmocka_unit_test(never_better_than_at_the_start),
        cmocka_unit_test(rule_rows),
        cmocka_unit_test(sow_rows),
    };
    return UNIT_MAIN("seedlife", tests);
}
