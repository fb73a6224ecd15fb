/* What the book keeps of a reminder, as a mangled book has it. */
#include "fuzz.h"

#include "exchange/reminder_pack.h"

#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *line = fuzz_text(data, size);
    struct pb_reminder r = {.uid = "0195a1b2-c3d4-5e5f-8a9b-000000000001"}, again;
    struct pb_buf hold, packed, hold_again, packed_again;
    struct pb_err err = {0};
    pb_buf_init(&hold, (size_t)1 << 20);
    pb_buf_init(&packed, (size_t)1 << 20);
    pb_buf_init(&hold_again, (size_t)1 << 20);
    pb_buf_init(&packed_again, (size_t)1 << 20);
    enum pb_rc rc = pb_reminder_unpack(line, &r, &hold, &err);
    MUST(rc == PB_OK || err.text[0] != '\0', "refused without a word");
    again = r;
    if (rc == PB_OK && pb_reminder_check(&r, NULL) == PB_OK) {
        MUST(pb_reminder_pack(&r, &packed, &err) == PB_OK, "not packed: %s", err.text);
        MUST(pb_reminder_unpack(pb_buf_peek(&packed), &again, &hold_again, &err) ==
                 PB_OK,
             "what was packed is refused: %s", err.text);
        MUST(pb_reminder_pack(&again, &packed_again, &err) == PB_OK,
             "not packed again");
        MUST(strcmp(pb_buf_peek(&packed), pb_buf_peek(&packed_again)) == 0,
             "it comes back as another");
    }
    pb_buf_clear(&packed_again);
    pb_buf_clear(&hold_again);
    pb_buf_clear(&packed);
    pb_buf_clear(&hold);
    free(line);
    return 0;
}
