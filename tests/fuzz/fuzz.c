/* What the fuzz targets share.  See fuzz.h. */
#include "fuzz.h"

#include <string.h>

char *fuzz_text(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1);
    MUST(text != NULL, "out of memory");
    if (size > 0)
        memcpy(text, data, size);
    text[size] = '\0';
    return text;
}

char *fuzz_line(char **rest)
{
    char *line = *rest;
    if (line == NULL)
        return NULL;
    char *end = strchr(line, '\n');
    if (end != NULL)
        *end = '\0';
    *rest = end != NULL ? end + 1 : NULL;
    return line;
}

FILE *fuzz_file(const void *bytes, size_t n)
{
    FILE *file = fmemopen(NULL, n + 1, "w+b");
    MUST(file != NULL && fwrite(bytes, 1, n, file) == n, "no file in memory");
    rewind(file);
    return file;
}

void fuzz_must_be_plain(const char *what, const char *bytes, size_t n)
{
    for (size_t at = 0; at < n;) {
        uint32_t cp = 0;
        size_t len = pb_text_decode(bytes + at, n - at, &cp);
        MUST(len > 0, "%s: byte %zu is not UTF-8", what, at);
        MUST(cp == '\n' || !pb_text_is_control(cp), "%s: byte %zu is U+%04X", what, at,
             (unsigned)cp);
        at += len;
    }
}
