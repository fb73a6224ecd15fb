/* One record as JSON, read, written, and read again. */
#include "fuzz_book.h"

#include <string.h>

/* With the private texts, without what is computed. */
static enum pb_rc write(const struct pb_record *rec, struct pb_buf *out,
                        struct pb_err *err)
{
    const struct pb_plant_doc plant = {&rec->plant, &rec->more, NULL};
    const struct pb_batch_doc batch = {&rec->batch, &rec->cross, NULL, &rec->parent,
                                       NULL};
    switch (rec->kind) {
    case PB_PLANT:
        return pb_plant_write(plant, true, out, err);
    case PB_CROSS:
        return pb_cross_write(&rec->cross, NULL, true, out, err);
    case PB_SEED:
    case PB_FLASK:
    case PB_CUTTING:
    case PB_POLLEN:
    case PB_KIND_N:
        break;
    }
    return pb_batch_write(&batch, true, out, err);
}

static void comes_back(const struct pb_record *rec)
{
    struct pb_record again;
    struct pb_buf first, second;
    struct pb_err err = {0};
    pb_record_init(&again);
    pb_buf_init(&first, PB_MAX_RECORD);
    pb_buf_init(&second, PB_MAX_RECORD);
    MUST(write(rec, &first, &err) == PB_OK, "read, but not written: %s", err.text);
    MUST(pb_record_read(NULL, 0, pb_buf_peek(&first), first.len, &again, &err) == PB_OK,
         "what was written is refused: %s", err.text);
    MUST(again.kind == rec->kind && fuzz_record_same(rec, &again, true),
         "it comes back as another: %s", pb_buf_peek(&first));
    MUST(write(&again, &second, &err) == PB_OK, "not written again: %s", err.text);
    MUST(strcmp(pb_buf_peek(&first), pb_buf_peek(&second)) == 0, "%s\ncomes back as %s",
         pb_buf_peek(&first), pb_buf_peek(&second));
    fuzz_must_be_plain("a written record", pb_buf_peek(&first), first.len);
    pb_buf_clear(&second);
    pb_buf_clear(&first);
    pb_record_clear(&again);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct pb_record rec;
    struct pb_err err = {0};
    if (size > PB_MAX_JSON_LINE)
        return 0;
    pb_record_init(&rec);
    if (pb_record_read("in", 1, (const char *)data, size, &rec, &err) == PB_OK)
        comes_back(&rec);
    else
        MUST(err.text[0] != '\0', "refused without a word");
    pb_record_clear(&rec);
    return 0;
}
