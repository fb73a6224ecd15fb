/* The whole program within a fuzz target.  See fuzz_command.h. */
#include "fuzz_command.h"

#include "podbook_main.h"

#include <dirent.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#undef main

enum { MAX_BOOK = 1 << 24 };

static char folder[] = "/dev/shm/podbook-fuzz-XXXXXX";

static void leave(void);

/* Go there, once; the environment of the tests of the program.  The seed is not that of
 * club.jsonl, whose ids would come again. */
static void enter(void)
{
    static bool there;
    static const char *const set[][2] = {
        {"PODBOOK_FILE",      "book.db"     },
        {"PODBOOK_TODAY",     "2026-03-02"  },
        {"PODBOOK_TEST_SEED", "ours"        },
        {"SOURCE_DATE_EPOCH", "1772409600"  },
        {"XDG_DATA_HOME",     "/nonexistent"},
        {"HOME",              "/nonexistent"},
    };
    if (there)
        return;
    there = true;
    MUST(mkdtemp(folder) != NULL && chdir(folder) == 0, "no folder in /dev/shm");
    for (size_t i = 0; i < PB_ARRAY_LEN(set); i++)
        MUST(setenv(set[i][0], set[i][1], 1) == 0, "no variable");
    MUST(setenv("XDG_CONFIG_HOME", folder, 1) == 0 && atexit(leave) == 0,
         "no variable");
}

/* Remove what is in a folder; those within it are one deep, as calendar --dir makes them. */
static void empty(const char *path, bool within)
{
    DIR *dir = opendir(path);
    if (dir == NULL)
        return;
    for (const struct dirent *e; (e = readdir(dir)) != NULL;) {
        char name[512];
        if (strcmp(e->d_name, ".") == 0 || strcmp(e->d_name, "..") == 0)
            continue;
        (void)snprintf(name, sizeof(name), "%s/%s", path, e->d_name);
        if (unlink(name) == 0)
            continue;
        if (!within)
            empty(name, true); /* NOLINT(misc-no-recursion): once */
        (void)rmdir(name);
    }
    (void)closedir(dir);
}

static void leave(void)
{
    empty(folder, false);
    (void)rmdir(folder);
}

char *fuzz_folder_book(size_t *n)
{
    static char bytes[MAX_BOOK];
    FILE *file = fopen("book.db", "rb");
    *n = file != NULL ? fread(bytes, 1, sizeof(bytes), file) : 0;
    MUST(*n < sizeof(bytes), "a book that is too large");
    if (file != NULL)
        (void)fclose(file);
    char *copy = malloc(*n + 1);
    MUST(copy != NULL, "out of memory");
    memcpy(copy, bytes, *n);
    return copy;
}

/* The book that every input begins with, made once by the program itself. */
static struct {
    char *bytes;
    size_t n;
} club;

static void make_club(void)
{
    int status = 1;
    char word[] = "receive", path[] = "club.jsonl";
    MUST(symlink(PB_SOURCE_DIR "/tests/fuzz/club.jsonl", path) == 0, "no club.jsonl");
    MUST(fuzz_command((char *[]){word, path}, 2, &status) && status == 0,
         "club.jsonl is not received");
    club.bytes = fuzz_folder_book(&club.n);
}

bool fuzz_folder_is_untouched(void)
{
    size_t n = 0;
    char *now = fuzz_folder_book(&n);
    bool is = n == club.n && memcmp(now, club.bytes, n) == 0;
    free(now);
    return is;
}

void fuzz_folder_fill(void)
{
    enter();
    empty(folder, false);
    if (club.bytes == NULL) {
        make_club();
        return;
    }
    FILE *file = fopen("book.db", "wb");
    MUST(file != NULL && fwrite(club.bytes, 1, club.n, file) == club.n &&
             fclose(file) == 0,
         "no book");
}

/* The ends of a calendar's lines are CRLF. */
static void must_be_plain(const char *what, char *text, size_t n)
{
    size_t kept = 0;
    for (size_t i = 0; i < n; i++)
        if (text[i] != '\r' || i + 1 == n || text[i + 1] != '\n')
            text[kept++] = text[i];
    fuzz_must_be_plain(what, text, kept);
}

bool fuzz_command(char **words, size_t n, int *status)
{
    char program[] = "podbook", *argv[FUZZ_WORDS + 2] = {program};
    char *said = NULL, *remarked = NULL;
    size_t said_n = 0, remarked_n = 0;
    FILE *out = stdout, *err = stderr, *in = stdin;
    for (size_t i = 0; i < n; i++) {
        if (strchr(words[i], '/') != NULL)
            return false;
        argv[i + 1] = words[i];
    }
    stdout = open_memstream(&said, &said_n);
    stderr = open_memstream(&remarked, &remarked_n);
    stdin = fopen("club.jsonl", "rb");
    MUST(stdout != NULL && stderr != NULL, "out of memory");
    if (stdin == NULL)
        stdin = fuzz_file("", 0);
    *status = podbook_main((int)n + 1, argv);
    (void)fclose(stdin);
    (void)fclose(stderr);
    (void)fclose(stdout);
    stdout = out;
    stderr = err;
    stdin = in;
    MUST(*status >= 0 && *status <= 3, "exit status %d", *status);
    must_be_plain("what is printed", said, said_n);
    must_be_plain("what is remarked", remarked, remarked_n);
    MUST(*status != 1 || said_n + remarked_n > 0, "refused without a word");
    free(said);
    free(remarked);
    return true;
}

bool fuzz_command_line(const char *line, int *status)
{
    char *copy = fuzz_text((const uint8_t *)line, strlen(line)), *words[FUZZ_WORDS];
    size_t n = 0;
    for (char *word = strtok(copy, " "); word != NULL && n < FUZZ_WORDS;
         word = strtok(NULL, " "))
        words[n++] = word;
    bool ran = fuzz_command(words, n, status);
    free(copy);
    return ran;
}
