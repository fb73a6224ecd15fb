/* A file that is read whole.  See whole.h. */
#include "exchange/whole.h"

#include "exchange/system.h"

enum { BLOCK = 16384 };

enum pb_rc pb_read_whole(FILE *in, const char *file, struct pb_buf *text,
                         struct pb_err *err)
{
    char block[BLOCK];
    size_t n = sizeof(block);
    while (n == sizeof(block) && text->rc == PB_OK) {
        n = fread(block, 1, sizeof(block), in);
        if (ferror(in))
            return pb_fail_system(err, file, 0, "cannot be read");
        pb_buf_add(text, block, n);
    }
    return text->rc == PB_ELIMIT ? pb_fail_at(err, PB_ELIMIT, file, 0,
                                              "is larger than %zu bytes", text->max)
                                 : pb_buf_status(text, err);
}
