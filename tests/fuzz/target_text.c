/* Text as it enters and leaves, and numbers: base/text.h. */
#include "fuzz.h"

#include "base/limits.h"

#include <inttypes.h>
#include <string.h>

enum { CHECKED = 64 }; /* a small ceiling, so that it is passed often */

static void escape(const char *text)
{
    struct pb_buf escaped, cut, again;
    pb_buf_init(&escaped, (size_t)1 << 22);
    pb_buf_init(&cut, (size_t)1 << 22);
    pb_buf_init(&again, (size_t)1 << 22);
    pb_text_escape(&escaped, text);
    const char *safe = pb_buf_peek(&escaped);
    fuzz_must_be_plain("escaped text", safe, escaped.len);
    MUST(strchr(safe, '\n') == NULL, "a newline was not escaped");
    pb_text_escape(&again, safe);
    MUST(strcmp(pb_buf_peek(&again), safe) == 0, "what is safe is escaped again");
    size_t cols = strlen(text) % 50;
    pb_text_clip(&cut, safe, cols);
    MUST(pb_text_cols(pb_buf_peek(&cut)) <= cols, "cut to %zu columns, has %zu", cols,
         pb_text_cols(pb_buf_peek(&cut)));
    fuzz_must_be_plain("cut text", pb_buf_peek(&cut), cut.len);
    pb_buf_clear(&again);
    pb_buf_clear(&cut);
    pb_buf_clear(&escaped);
}

static void check(const char *text)
{
    struct pb_err err = {0};
    enum pb_rc rc = pb_text_check("text", text, CHECKED, &err);
    if (rc == PB_OK) {
        fuzz_must_be_plain("accepted text", text, strlen(text));
        MUST(text[0] != '\0' && strlen(text) <= CHECKED && strchr(text, '\n') == NULL,
             "a text that is not fit was accepted");
    } else
        MUST(rc == err.rc && err.text[0] != '\0', "refused without a word");
    /* a message is cut at a character */
    pb_err_clear(&err);
    (void)pb_fail_at(&err, PB_EPARSE, text, 1, "got \"%s\"", text);
    MUST(strlen(err.text) < sizeof(err.text), "a message without an end");
}

static void numbers(const char *text)
{
    char said[64];
    int64_t whole = 0, back = 0;
    double real = 0;
    if (pb_parse_int("n", text, -1000, INT64_MAX, &whole, NULL) == PB_OK) {
        MUST(whole >= -1000, "a number outside its range");
        (void)snprintf(said, sizeof(said), "%" PRId64, whole);
        MUST(pb_parse_int("n", said, -1000, INT64_MAX, &back, NULL) == PB_OK &&
                 back == whole,
             "%s does not come back", said);
    }
    if (pb_parse_decimal("x", text, -5, 5e9, &real, NULL) == PB_OK)
        MUST(real >= -5 && real <= 5e9, "a decimal outside its range");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char *const words[] = {"harvest", "holding", "history", NULL, "help"};
    char *text = fuzz_text(data, size), *rest = text;
    const char *before = "";
    escape(text);
    for (char *line; (line = fuzz_line(&rest)) != NULL; before = line) {
        check(line);
        numbers(line);
        MUST(pb_text_distance(line, before, 3) == pb_text_distance(before, line, 3),
             "nearer one way than the other");
        (void)pb_text_nearest(line, words, PB_ARRAY_LEN(words));
        MUST((pb_text_casecmp(line, before) == 0) ==
                 (pb_text_casecmp(before, line) == 0),
             "alike one way only");
    }
    free(text);
    return 0;
}
