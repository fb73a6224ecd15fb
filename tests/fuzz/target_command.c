/*
 * Whole commands, one a line, their words between tabs, on a book that has records.  However
 * they end, the book that they leave is sound.
 */
#include "fuzz_command.h"

#include <string.h>

enum { MOST = 6 }; /* commands of one input */

static size_t take_apart(char *line, char **words)
{
    size_t n = 0;
    for (char *word = line; word != NULL && n < FUZZ_WORDS; n++) {
        char *end = strchr(word, '\t');
        if (end != NULL)
            *end = '\0';
        words[n] = word;
        word = end != NULL ? end + 1 : NULL;
    }
    return n;
}

/* "verify" would find nothing to do with a book of another name, or with other profiles. */
static bool is_elsewhere(char *const *words, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (strncmp(words[i], "--book", 6) == 0 ||
            strncmp(words[i], "--today", 7) == 0 || strstr(words[i], "book.db") != NULL)
            return true;
    return false;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = fuzz_text(data, size), *rest = text, *words[FUZZ_WORDS];
    int status = 0;
    char *line = NULL;
    fuzz_folder_fill();
    for (int i = 0; i < MOST && (line = fuzz_line(&rest)) != NULL; i++) {
        size_t n = take_apart(line, words);
        if (!is_elsewhere(words, n))
            (void)fuzz_command(words, n, &status);
    }
    if (!fuzz_folder_is_untouched())
        MUST(fuzz_command_line("verify", &status) && status == 0, "it is not sound");
    free(text);
    return 0;
}
