/* Passports when memory runs out: each line is whole, or none leaves and it is said. */
#include "oom.h"

#include "../unit/books.h"

#include "act/passport.h"

#include <jansson.h>
#include <stdlib.h>

#define KEPT PB_SOURCE_DIR "/tests/checks/json/kept/"

static struct side home;
static char *whole[PB_PASSPORT_N]; /* what each form is when there is memory */

static enum pb_rc nothing(void *ctx, const struct pb_receipt *r, struct pb_err *err)
{
    (void)ctx;
    (void)r;
    (void)err;
    return PB_OK;
}

static void receive(const char *path)
{
    FILE *f = fopen(path, "rb");
    assert_non_null(f);
    const struct pb_receiving what = {.in = f, .file = "in", .each = nothing};
    assert_int_equal(pb_act_receive(&home.act, &what, &home.sum, NULL), PB_OK);
    (void)fclose(f);
}

/* A cross with seed. */
static void pollinate(void)
{
    char code[PB_MAX_CODE + 1];
    const struct pb_harvesting harvesting = {
        .code = code, .harvest = {.on = home.act.today, .count = 1}
    };
    struct pb_cross x;
    size_t made = 0;
    int entered = 0;
    pb_cross_init(&x);
    (void)snprintf(x.seed.plant.code, sizeof(x.seed.plant.code), "OG-1");
    (void)snprintf(x.pollen[0].parent.plant.code, PB_MAX_CODE + 1, "OD-1");
    x.seed.taxon = pb_text_copy("Goodyera hispida var. rosea");
    x.pollen[0].parent.taxon = pb_text_copy("Dossinia; marmorata");
    x.pollen_n = 1;
    x.pollinated = home.act.today - 30;
    x.flowers = 2;
    x.note = pb_text_copy("=1,2");
    assert_int_equal(pb_act_cross(&home.act, &x, &entered, NULL), PB_OK);
    (void)snprintf(code, sizeof(code), "%s", x.head.code);
    pb_cross_clear(&x);
    assert_int_equal(pb_act_harvest(&home.act, &harvesting, &x, &made, NULL), PB_OK);
    pb_cross_clear(&x);
}

static enum pb_rc passport(enum pb_passport form, struct pb_err *err)
{
    struct pb_buf text;
    const struct pb_share what = {NULL, 0, true};
    pb_buf_init(&text, 1 << 20);
    enum pb_rc rc = pb_act_passport(&home.act, &what, form, side_line, &text, err);
    if (rc == PB_OK)
        rc = pb_buf_status(&text, err);
    if (rc == PB_OK && whole[form] == NULL)
        whole[form] = strdup(pb_buf_peek(&text));
    else if (rc == PB_OK)
        assert_string_equal(pb_buf_peek(&text), whole[form]);
    pb_buf_clear(&text);
    pb_learner_close(&home.act); /* so that each run learns anew */
    return rc;
}

static enum pb_rc table(struct pb_err *err)
{
    return passport(PB_PASSPORT_MCPD, err);
}

static enum pb_rc crossings(struct pb_err *err)
{
    return passport(PB_PASSPORT_CROSSINGS, err);
}

static void passports(void **state)
{
    (void)state;
    json_set_alloc_funcs(malloc, free);
    side_open(&home, 1, pb_day_from_ymd(2026, 5, 1));
    receive(KEPT "a-cross-with-every-key.json");
    pollinate();
    for (int i = 0; i < PB_PASSPORT_N; i++)
        assert_int_equal(passport((enum pb_passport)i, NULL), PB_OK);
    oom_each("a table", table);
    /* what was learnt may go unkept: it is a cache */
    oom_tolerant("crossings", crossings, 1);
    for (int i = 0; i < PB_PASSPORT_N; i++)
        free(whole[i]);
    side_close(&home);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(passports)};
    return UNIT_MAIN("oom-passport", tests);
}
