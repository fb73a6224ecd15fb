/* Receiving and sharing when memory runs out: all of it or nothing, and it is said. */
#include "oom.h"

#include "../unit/books.h"

#include <jansson.h>
#include <stdlib.h>

#define KEPT PB_SOURCE_DIR "/tests/checks/json/kept/"

static struct side home;

static enum pb_rc receive(const char *path, struct pb_err *err)
{
    FILE *f = fopen(path, "rb");
    if (f == NULL)
        return pb_fail_memory(err);
    const struct pb_receiving what = {f, "in", side_told, &home.told};
    pb_buf_clear(&home.told); /* it allocates too, the same each time */
    enum pb_rc rc = pb_act_receive(&home.act, &what, &home.sum, err);
    (void)fclose(f);
    return rc == PB_OK ? pb_buf_status(&home.told, err) : rc;
}

/* Into a new book each time, so that each run does the same. */
static enum pb_rc receive_cross(struct pb_err *err)
{
    pb_book_close(home.act.book);
    home.act.book = NULL;
    enum pb_rc rc = pb_book_open(":memory:", PB_BOOK_WRITE, &home.act.book, err);
    if (rc == PB_OK)
        rc = receive(KEPT "a-cross-with-every-key.json", err);
    CLAIM(rc != PB_OK || home.sum.merged[PB_MERGE_ADD] == 1, "half a receive");
    return rc;
}

static enum pb_rc receive_again(struct pb_err *err)
{
    enum pb_rc rc = receive(KEPT "a-cross-with-every-key.json", err);
    CLAIM(rc != PB_OK || home.sum.merged[PB_MERGE_SAME] == 1, "not the same");
    return rc;
}

/* It has a row already, because the cross named it. */
static enum pb_rc receive_plant(struct pb_err *err)
{
    enum pb_rc rc = receive_cross(err);
    if (rc == PB_OK)
        rc = receive(KEPT "a-plant-with-stated-parents.json", err);
    CLAIM(rc != PB_OK || home.sum.merged[PB_MERGE_ADD] == 1, "half a receive");
    return rc;
}

static enum pb_rc share_plant(struct pb_err *err)
{
    struct pb_buf text;
    const char *const codes[] = {"AR-1"};
    const struct pb_share what = {codes, 1, true};
    pb_buf_init(&text, 1 << 20);
    enum pb_rc rc = pb_act_share(&home.act, &what, side_line, &text, err);
    if (rc == PB_OK)
        rc = pb_buf_status(&text, err);
    pb_buf_clear(&text);
    return rc;
}

static void exchange(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        oom_scenario *run;
    } rows[] = {
        {"a cross is received",  receive_cross},
        {"it is received again", receive_again},
        {"a plant is received",  receive_plant},
        {"it is shared",         share_plant  },
    };
    json_set_alloc_funcs(malloc, free);
    side_open(&home, 1, 20600);
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        oom_each(rows[i].claim, rows[i].run);
    side_close(&home);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(exchange)};
    return UNIT_MAIN("oom-receive", tests);
}
