/* Receiving and sharing when memory runs out: all of it or nothing, and it is said. */
#include "oom.h"

#include "../unit/books.h"

#include <jansson.h>
#include <stdlib.h>

#define KEPT PB_SOURCE_DIR "/tests/checks/json/kept/"

static struct side home;
static const char cross[] = KEPT "a-cross-with-every-key.json";
static const char plant[] = KEPT "a-plant-with-stated-parents.json";
static const char seed[] = KEPT "a-seed-lot-with-every-key.json";
static const char flask[] = KEPT "a-flask-with-every-key.json";
static const char cutting[] = KEPT "cuttings-with-every-key.json";
static const char flowered[] = KEPT "a-plant-that-flowered.json";

static enum pb_rc receive(const char *path, pb_receipt_each *each, struct pb_err *err)
{
    FILE *f = fopen(path, "rb");
    if (f == NULL)
        return pb_fail_memory(err);
    const struct pb_receiving what = {
        .in = f, .file = "in", .each = each, .ctx = &home.told};
    enum pb_rc rc = pb_act_receive(&home.act, &what, &home.sum, err);
    (void)fclose(f);
    return rc;
}

/* A line that was added is not wanted after all: the book is what it was. */
static enum pb_rc stop(void *ctx, const struct pb_receipt *r, struct pb_err *err)
{
    (void)ctx;
    return r->merge == PB_MERGE_ADD && !r->bad ? pb_fail(err, PB_ECONFLICT, "enough")
                                               : pb_fail(err, PB_EINVALID, "not added");
}

static enum pb_rc receive_and_stop(const char *path, struct pb_err *err)
{
    enum pb_rc rc = receive(path, stop, err);
    if (rc != PB_ECONFLICT)
        return rc;
    pb_err_clear(err);
    return PB_OK;
}

static enum pb_rc receive_cross(struct pb_err *err)
{
    return receive_and_stop(cross, err);
}

/* It has a row already, because the cross named it. */
static enum pb_rc receive_plant(struct pb_err *err)
{
    return receive_and_stop(plant, err);
}

static enum pb_rc receive_seed(struct pb_err *err)
{
    return receive_and_stop(seed, err);
}

static enum pb_rc receive_flask(struct pb_err *err)
{
    return receive_and_stop(flask, err);
}

static enum pb_rc receive_cutting(struct pb_err *err)
{
    return receive_and_stop(cutting, err);
}

static enum pb_rc receive_flowered(struct pb_err *err)
{
    return receive_and_stop(flowered, err);
}

static enum pb_rc is_same(void *ctx, const struct pb_receipt *r, struct pb_err *err)
{
    (void)ctx;
    return r->merge == PB_MERGE_SAME ? PB_OK
                                     : pb_fail(err, PB_EINVALID, "not the same");
}

static enum pb_rc receive_again(struct pb_err *err)
{
    return receive(cross, is_same, err);
}

static enum pb_rc share(struct pb_err *err)
{
    struct pb_buf text;
    const char *const codes[] = {"AR-1", "AG-1", "S26-001", "F26-003", "C26-001"};
    const struct pb_share what = {codes, PB_ARRAY_LEN(codes), true};
    pb_buf_init(&text, 1 << 20);
    enum pb_rc rc = pb_act_share(&home.act, &what, side_line, &text, err);
    if (rc == PB_OK)
        rc = pb_buf_status(&text, err);
    pb_buf_clear(&text);
    return rc;
}

static enum pb_rc kept(void *ctx, const struct pb_receipt *r, struct pb_err *err)
{
    (void)ctx;
    (void)err;
    assert_int_equal(r->merge, PB_MERGE_ADD);
    return PB_OK;
}

/* Its cross is another revision of ours. */
static enum pb_rc added_or_not(void *ctx, const struct pb_receipt *r,
                               struct pb_err *err)
{
    (void)ctx;
    (void)err;
    assert_false(r->bad);
    return PB_OK;
}

static void exchange(void **state)
{
    (void)state;
    json_set_alloc_funcs(malloc, free);
    side_open(&home, 1, pb_day_from_ymd(2030, 1, 1));
    /* what is planted in a book is looked for once, before its first act */
    assert_int_equal(pb_book_begin_cache(home.act.book, NULL), PB_OK);
    pb_book_drop(home.act.book);
    oom_each("a cross is received", receive_cross);
    assert_int_equal(receive(cross, kept, NULL), PB_OK);
    oom_each("it is received again", receive_again);
    oom_each("a plant is received", receive_plant);
    assert_int_equal(receive(plant, kept, NULL), PB_OK);
    oom_each("a flask that a cross comes with is received", receive_flask);
    assert_int_equal(receive(flask, kept, NULL), PB_OK);
    oom_each("a seed lot is received", receive_seed);
    assert_int_equal(receive(seed, added_or_not, NULL), PB_OK);
    oom_each("cuttings are received", receive_cutting);
    assert_int_equal(receive(cutting, kept, NULL), PB_OK);
    oom_each("a plant that flowered is received", receive_flowered);
    assert_int_equal(receive(flowered, kept, NULL), PB_OK);
    assert_int_equal(share(NULL), PB_OK); /* what was learnt is at hand from now on */
    oom_each("they are shared", share);
    side_close(&home);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(exchange)};
    return UNIT_MAIN("oom-receive", tests);
}
