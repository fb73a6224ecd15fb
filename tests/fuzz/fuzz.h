/*
 * What every fuzz target includes.  A target is one function that is handed bytes nobody
 * has checked; it may refuse them, and what it accepts must keep what the target says.
 */
#ifndef PB_TESTS_FUZZ_H
#define PB_TESTS_FUZZ_H

#include "base/text.h"
#include "book/sound.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

enum { FUZZ_TODAY = 20514 }; /* 2026-03-02, the day of the other tests */

/* One input.  Returns 0; a fault of the program ends the process. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* What must hold whatever the input is: else say what does not and abort, so that the input
 * is kept. */
#define MUST(ok, ...)                           \
    do {                                        \
        if (!(ok)) {                            \
            (void)fprintf(stderr, "MUST: ");    \
            (void)fprintf(stderr, __VA_ARGS__); \
            (void)fputc('\n', stderr);          \
            abort();                            \
        }                                       \
    } while (0)

/* The input as a text that ends at its first NUL; yours (free). */
char *fuzz_text(const uint8_t *data, size_t size);

/* Cut the next line off a text: NULL at its end.  The text is changed. */
char *fuzz_line(char **rest);

/* n bytes as a file that is open for reading; yours (fclose). */
FILE *fuzz_file(const void *bytes, size_t n);

/*
 * n bytes that were printed hold nothing that a terminal obeys: UTF-8 without control
 * characters, but for the ends of lines.  Else the process ends.
 */
void fuzz_must_be_plain(const char *what, const char *bytes, size_t n);

#endif
