/*
 * Records as JSON.  The files of tests/checks/json are one claim each:
 *   kept            read, and written again byte for byte
 *   refused         neither the schema nor the reader takes them
 *   reader-refuses  the schema cannot say what is wrong with them, the reader can
 *   not-json        no JSON at all
 * and `reasons` there holds what the reader says to each that it refuses.
 */
#include "json_files.h"

#include <dirent.h>
#include <stdio.h>
#include <string.h>

/* Call each(name) for every file of a folder within FOLDER; how many there were. */
static int each_file(const char *folder, void (*each)(const char *))
{
    struct pb_buf name;
    int n = 0;
    pb_buf_init(&name, PATH_BYTES);
    pb_buf_printf(&name, FOLDER "%s", folder);
    DIR *dir = opendir(pb_buf_peek(&name));
    CLAIM(dir != NULL, "%s cannot be opened", folder);
    for (struct dirent *e = readdir(dir); e != NULL; e = readdir(dir)) {
        const char *dot = strrchr(e->d_name, '.');
        if (dot == NULL || strcmp(dot, ".json") != 0)
            continue;
        pb_buf_reset(&name);
        pb_buf_printf(&name, "%s/%s", folder, e->d_name);
        each(pb_buf_peek(&name));
        n++;
    }
    (void)closedir(dir);
    pb_buf_clear(&name);
    return n;
}

static void is_kept(const char *name)
{
    static char text[FILE_MAX];
    size_t n = slurp(name, text, sizeof(text));
    struct pb_record rec;
    struct pb_err err = {0};
    struct pb_buf out;
    CLAIM(read_text(text, n - 1, &rec, &err) == PB_OK, "%s: %s", name, err.text);
    write_full(&rec, true, &out);
    pb_buf_addc(&out, '\n');
    CLAIM(strcmp(pb_buf_peek(&out), text) == 0, "%s is written as %s", name,
          pb_buf_peek(&out));
    pb_buf_clear(&out);
    pb_record_clear(&rec);
}

static void kept(void **state)
{
    (void)state;
    assert_true(each_file("kept", is_kept) > 15);
}

static char reasons[FILE_MAX];
static int refused_n, odd_n;

/* Is that what `reasons` says of a file?  Its rows are a name, a tab, the reason; one that
 * ends in "..." leaves the rest, which is the parser's, open. */
static bool is_said(const char *name, const char *reason)
{
    size_t len = strlen(name);
    for (const char *row = reasons; *row != '\0'; row = strchr(row, '\n') + 1) {
        if (strncmp(row, name, len) != 0 || row[len] != '\t')
            continue;
        const char *said = row + len + 1;
        size_t n = strcspn(said, "\n");
        if (n > 3 && strncmp(said + n - 3, "...", 3) == 0)
            return strncmp(said, reason, n - 3) == 0;
        return strlen(reason) == n && strncmp(said, reason, n) == 0;
    }
    return false;
}

static void is_refused(const char *name)
{
    static char text[FILE_MAX];
    size_t n = slurp(name, text, sizeof(text));
    struct pb_record rec;
    struct pb_err err = {0};
    n -= n > 0 && text[n - 1] == '\n';
    enum pb_rc rc = read_text(text, n, &rec, &err);
    CLAIM(rc != PB_OK && rc != PB_ENOMEM, "%s is taken", name);
    CLAIM(rc == err.rc && err.line == 7 && strcmp(err.where, "in") == 0,
          "%s: place %s:%ld", name, err.where, err.line);
    CLAIM(rec.cross.looks == NULL && rec.cross.pollen_n == 0 && rec.plant.taxon == NULL,
          "%s leaves something behind", name);
    if (!is_said(name, err.text)) {
        print_error("%s\t%s\n", name, err.text);
        odd_n++;
    }
    refused_n++;
}

static void refused(void **state)
{
    (void)state;
    int rows = 0;
    (void)slurp("reasons", reasons, sizeof(reasons));
    assert_true(each_file("refused", is_refused) > 100);
    assert_true(each_file("reader-refuses", is_refused) > 20);
    assert_true(each_file("not-json", is_refused) > 10);
    for (const char *p = reasons; *p != '\0'; p++)
        rows += *p == '\n';
    CLAIM(odd_n == 0, "%d reasons differ from those in %sreasons", odd_n, FOLDER);
    CLAIM(rows == refused_n, "%d reasons for %d files", rows, refused_n);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kept),
        cmocka_unit_test(refused),
    };
    return UNIT_MAIN("record_files", tests);
}
