/*
 * Records as JSON, over many made ones: what is written is read back and written again
 * the same; and no damage to a line makes the reader do anything but refuse it or take it
 * for what it says.  PB_JSON_CORPUS=FILE: the made records also go there, one a line;
 * PB_JSON_TAKEN=FILE: the damaged lines that were taken.
 */
#include "made_record.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RECORDS = 2000, DAMAGED = 60000 };

static void write(const struct pb_record *rec, struct any_view view, bool notes,
                  struct pb_buf *out)
{
    struct pb_err err = {0};
    pb_buf_reset(out);
    CLAIM(any_write(rec, view, notes, out, &err) == PB_OK, "%s", err.text);
}

static const struct any_view nothing = {NULL, NULL, NULL};

/* ---- there and back ------------------------------------------------------------------- */

static bool same(const struct pb_record *a, const struct pb_record *b)
{
    bool answer = false;
    assert_int_equal(any_same(a, b, &answer, NULL), PB_OK);
    return answer;
}

static void read_back(const struct pb_buf *text, struct pb_record *rec)
{
    struct pb_err err = {0};
    pb_record_init(rec);
    CLAIM(pb_record_read(NULL, 0, pb_buf_peek(text), text->len, rec, &err) == PB_OK,
          "%s: %s", err.text, pb_buf_peek(text));
}

/* One made record, written with and without notes, with what is computed and without. */
static void round_trip(FILE *corpus, struct pb_buf *full, struct pb_buf *other)
{
    struct pb_record rec, back;
    struct made_views made;
    make(&rec);
    make_views(&made, &rec);
    write(&rec, nothing, true, full);
    read_back(full, &back);
    write(&back, nothing, true, other);
    assert_string_equal(pb_buf_peek(full), pb_buf_peek(other));
    assert_true(same(&rec, &back));
    pb_record_clear(&back);

    write(&rec, made.view, true, other);
    if (corpus != NULL)
        (void)fprintf(corpus, "%s\n", pb_buf_peek(other));
    read_back(other, &back);
    write(&back, nothing, true, other);
    assert_string_equal(pb_buf_peek(full), pb_buf_peek(other));
    pb_record_clear(&back);

    write(&rec, nothing, false, other);
    read_back(other, &back);
    assert_int_equal(any_keep_private(&back, &rec, NULL), PB_OK);
    assert_true(same(&rec, &back));
    pb_record_clear(&back);
    pb_record_clear(&rec);
}

/* The file that a variable of the environment names, NULL where it does not. */
static FILE *file_in(const char *variable)
{
    const char *path = getenv(variable);
    FILE *f = path != NULL ? fopen(path, "wb") : NULL;
    assert_true(path == NULL || f != NULL);
    return f;
}

static void there_and_back(void **state)
{
    (void)state;
    struct pb_buf full, other;
    FILE *corpus = file_in("PB_JSON_CORPUS");
    pb_buf_init(&full, PB_MAX_RECORD);
    pb_buf_init(&other, PB_MAX_RECORD);
    seed = 20260302;
    for (int i = 0; i < RECORDS; i++)
        round_trip(corpus, &full, &other);
    if (corpus != NULL)
        assert_int_equal(fclose(corpus), 0);
    pb_buf_clear(&full);
    pb_buf_clear(&other);
}

/* ---- damage --------------------------------------------------------------------------- */

/* Change, drop, double or move some bytes: enough stays whole to get past the parser. */
static void damage(char *text, size_t *n, size_t max)
{
    static const char bits[] = "{}[],:\"\\0123456789.eE+-tfnx \x01\x7f\xc3\xff";
    uint32_t hits = 1 + rnd(3);
    while (hits-- > 0 && *n > 8) {
        size_t at = rnd((uint32_t)*n);
        size_t len = 1 + rnd(8);
        size_t from = rnd((uint32_t)(*n - 8));
        if (len > *n - at)
            len = *n - at;
        switch (rnd(5)) {
        case 0:
            text[at] = bits[rnd(sizeof(bits) - 1)];
            break;
        case 1:
            text[at] ^= (char)(1U << rnd(7));
            break;
        case 2:
            memmove(text + at, text + at + len, *n - at - len);
            *n -= len;
            break;
        case 3:
            memmove(text + at, text + from, len > 8 ? 8 : len);
            break;
        default:
            if (*n + len < max) {
                memmove(text + at + len, text + at, *n - at);
                *n += len;
            }
            break;
        }
    }
}

/* What the reader took of a damaged line is a record like any other. */
static void check_taken(const struct pb_record *rec)
{
    struct pb_record again;
    struct pb_buf first, second;
    pb_buf_init(&first, PB_MAX_RECORD);
    pb_buf_init(&second, PB_MAX_RECORD);
    write(rec, nothing, true, &first);
    read_back(&first, &again);
    write(&again, nothing, true, &second);
    assert_string_equal(pb_buf_peek(&first), pb_buf_peek(&second));
    pb_buf_clear(&first);
    pb_buf_clear(&second);
    pb_record_clear(&again);
}

static void damaged(void **state)
{
    (void)state;
    enum { MAX = 65536 };
    static char text[MAX];
    FILE *file = file_in("PB_JSON_TAKEN");
    struct pb_buf first;
    int taken = 0;
    pb_buf_init(&first, PB_MAX_RECORD);
    seed = 4711;
    for (int i = 0; i < DAMAGED; i++) {
        struct pb_record rec;
        struct pb_err err = {0};
        if (i % 50 == 0) {
            make(&rec);
            write(&rec, nothing, true, &first);
            pb_record_clear(&rec);
        }
        size_t n = first.len;
        assert_true(n < MAX);
        memcpy(text, pb_buf_peek(&first), n);
        damage(text, &n, MAX);
        pb_record_init(&rec);
        enum pb_rc rc = pb_record_read("f", 1, text, n, &rec, &err);
        CLAIM((rc == PB_OK) == (err.rc == PB_OK), "rc %d, error %d", (int)rc,
              (int)err.rc);
        CLAIM(rc == PB_OK || err.text[0] != '\0', "no reason");
        if (rc == PB_OK) {
            taken++;
            check_taken(&rec);
            if (file != NULL)
                (void)fprintf(file, "%.*s\n", (int)n, text);
        }
        pb_record_clear(&rec);
    }
    pb_buf_clear(&first);
    if (file != NULL)
        assert_int_equal(fclose(file), 0);
    CLAIM(taken > DAMAGED / 50 && taken < DAMAGED / 2, "%d of %d were taken", taken,
          DAMAGED);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(there_and_back),
        cmocka_unit_test(damaged),
    };
    return UNIT_MAIN("record", tests);
}
