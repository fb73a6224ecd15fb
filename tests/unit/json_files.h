/* The files of tests/checks/json, for the unit tests that read them. */
#ifndef PB_TESTS_JSON_FILES_H
#define PB_TESTS_JSON_FILES_H

#include "unit.h"

#include "json_any.h"

#include <stdio.h>

#define FOLDER PB_SOURCE_DIR "/tests/checks/json/"

enum { FILE_MAX = 65536, PATH_BYTES = 4096 };

/* A file of the folder into text; its length. */
static inline size_t slurp(const char *name, char *text, size_t max)
{
    struct pb_buf path;
    pb_buf_init(&path, PATH_BYTES);
    pb_buf_printf(&path, FOLDER "%s", name);
    FILE *f = fopen(pb_buf_peek(&path), "rb");
    pb_buf_clear(&path);
    CLAIM(f != NULL, "%s cannot be opened", name);
    size_t n = fread(text, 1, max - 1, f);
    CLAIM(feof(f), "%s is longer than the test can hold", name);
    (void)fclose(f);
    text[n] = '\0';
    return n;
}

static inline enum pb_rc read_text(const char *text, size_t n, struct pb_record *rec,
                                   struct pb_err *err)
{
    pb_record_init(rec);
    return pb_record_read("in", 7, text, n, rec, err);
}

/* A record that is kept, by the name of its file. */
static inline void read_file(const char *name, struct pb_record *rec)
{
    static char text[FILE_MAX];
    struct pb_err err = {0};
    struct pb_buf file;
    pb_buf_init(&file, PATH_BYTES);
    pb_buf_printf(&file, "kept/%s.json", name);
    size_t n = slurp(pb_buf_peek(&file), text, sizeof(text));
    pb_buf_clear(&file);
    CLAIM(read_text(text, n, rec, &err) == PB_OK, "%s: %s", name, err.text);
}

/* Write it with its notes. */
static inline void write_full(const struct pb_record *rec, bool notes,
                              struct pb_buf *out)
{
    struct pb_err err = {0};
    pb_buf_init(out, PB_MAX_RECORD);
    enum pb_rc rc =
        any_write(rec, (struct any_view){NULL, NULL, NULL}, notes, out, &err);
    CLAIM(rc == PB_OK, "%s", err.text);
}

#endif
