/*
 * Books that other hands have mangled.  A line of the input is one change of the file before
 * podbook opens it, or a command:
 *   sql STATEMENT         run on it without podbook's guards
 *   put OFFSET HEX...     bytes written over, at a place below its end
 *   cut BYTES             all behind is lost
 *   do WORDS              a command
 * What it holds, every command ends with a status, prints nothing that a terminal obeys, and
 * those that only read leave the file as it was.
 */
#include "fuzz_command.h"
#include "fuzz_mangle.h"

#include "base/hash.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum {
    MOST = 12,           /* lines of one input */
    MOST_BYTES = 1 << 22 /* that a file may be made long */
};

static int hex(char c)
{
    static const char digits[] = "0123456789abcdef";
    const char *at = c != '\0' ? strchr(digits, c) : NULL;
    return at != NULL ? (int)(at - digits) : -1;
}

static void put(const char *text)
{
    char *p = NULL;
    unsigned long offset = strtoul(text, &p, 10);
    FILE *file = fopen("book.db", "r+b");
    struct stat st;
    if (file == NULL)
        return;
    if (fstat(fileno(file), &st) == 0 && st.st_size > 0 &&
        fseek(file, (long)(offset % (unsigned long)st.st_size), SEEK_SET) == 0)
        for (p += *p == ' '; hex(p[0]) >= 0 && hex(p[1]) >= 0; p += 2)
            (void)fputc(hex(p[0]) << 4 | hex(p[1]), file);
    (void)fclose(file);
}

static void cut(unsigned long bytes)
{
    MUST(truncate("book.db", (off_t)(bytes % MOST_BYTES)) == 0 || errno == ENOENT,
         "the book cannot be cut");
}

static void change(const char *line)
{
    int status = 0;
    if (strncmp(line, "sql ", 4) == 0)
        fuzz_mangle(line + 4);
    else if (strncmp(line, "put ", 4) == 0)
        put(line + 4);
    else if (strncmp(line, "cut ", 4) == 0)
        cut(strtoul(line + 4, NULL, 10));
    else if (strncmp(line, "do ", 3) == 0)
        (void)fuzz_command_line(line + 3, &status);
}

static void verify(void)
{
    size_t before_n = 0, after_n = 0;
    int status = 0;
    char *before = fuzz_folder_book(&before_n);
    (void)fuzz_command_line("verify", &status);
    char *after = fuzz_folder_book(&after_n);
    MUST(before_n == after_n && memcmp(before, after, after_n) == 0,
         "verify changed the book");
    free(before);
    free(after);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = fuzz_text(data, size), *rest = text, *line = NULL;
    int status = 0;
    /* all of them for each input would take most of the time; a change of any byte of it
     * gives others their turn */
    size_t turn = (size_t)pb_hash_bytes(PB_HASH_START, text, strlen(text));
    fuzz_folder_fill();
    for (int i = 0; i < MOST && (line = fuzz_line(&rest)) != NULL; i++)
        change(line);
    if (turn % 4 == 0)
        verify();
    for (size_t i = 0; i < 2; i++, turn /= FUZZ_ASKS)
        (void)fuzz_command_line(fuzz_asks[turn % FUZZ_ASKS], &status);
    free(text);
    return 0;
}
