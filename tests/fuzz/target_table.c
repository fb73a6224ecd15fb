/*
 * Old spreadsheets into a book that has its own records.  The first byte says what the rows
 * are, the separator, the form of dates and whether good rows are kept; the rest is the
 * table.  The book stays sound, and undo takes all of it back.
 */
#include "fuzz_book.h"

#include <string.h>

enum { MAX_TEXT = 1 << 26 };

static enum pb_rc hear(void *ctx, const struct pb_table_note *n, struct pb_err *err)
{
    size_t *bad = ctx;
    (void)err;
    *bad += n->bad;
    MUST(n->why != NULL && n->why[0] != '\0' && n->line > 0, "a fault without a word");
    return PB_OK;
}

static void look_at(struct fuzz_book *b, const struct pb_table_sum *sum)
{
    static struct pb_buf before;
    struct pb_buf after;
    pb_buf_init(&after, MAX_TEXT);
    if (before.max == 0) {
        pb_buf_init(&before, MAX_TEXT);
        fuzz_book_share(fuzz_book_of(0, true), true, &before);
    }
    fuzz_book_share(b, true, &after);
    MUST(sum->entered > 0 && after.len > before.len, "%zu entered", sum->entered);
    fuzz_book_must_be_sound(b);
    fuzz_book_must_undo(b, &before);
    pb_buf_clear(&after);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char separators[] = {'\0', ',', ';', '\t', '|'};
    struct fuzz_book *b = fuzz_book_of(1, true);
    struct pb_table_sum sum = {0, 0};
    struct pb_err err = {0};
    size_t bad = 0;
    if (size == 0)
        return 0;
    FILE *in = fuzz_file(data + 1, size - 1);
    const struct pb_table_ask ask = {
        .in = in,
        .file = "in",
        .as = (enum pb_table_as)(data[0] % PB_TABLE_AS_N),
        .separator = separators[(data[0] >> 1) % 8 % sizeof(separators)],
        .dates = (enum pb_date_form)((data[0] >> 4) % PB_DATE_FORM_N),
        .keep_good = data[0] >> 7,
        .each = hear,
        .ctx = &bad};
    enum pb_rc rc = pb_act_table(&b->act, &ask, &sum, &err);
    MUST(rc == PB_OK || err.text[0] != '\0', "refused without a word");
    MUST(rc != PB_OK || ask.keep_good || sum.bad == 0, "bad rows were passed over");
    MUST(rc != PB_OK || sum.bad == bad, "%zu of %zu bad rows were told", bad, sum.bad);
    if (!fuzz_book_is_untouched(b)) {
        MUST(rc == PB_OK, "refused, and yet it changed something");
        look_at(b, &sum);
    }
    (void)fclose(in);
    return 0;
}
