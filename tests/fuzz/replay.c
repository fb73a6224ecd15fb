/* Feeds a fuzz target the files of a folder, in an ordinary build: replay FOLDER. */
#include "fuzz.h"

#include <dirent.h>
#include <locale.h>
#include <string.h>

enum { MOST_BYTES = 1 << 24 };

/* One file, in memory of just its size: what reads on is seen by the sanitizers. */
static void feed(const char *path)
{
    static char bytes[MOST_BYTES];
    FILE *file = fopen(path, "rb");
    MUST(file != NULL, "%s: cannot be opened", path);
    size_t n = fread(bytes, 1, sizeof(bytes), file);
    MUST(n < sizeof(bytes) && fclose(file) == 0, "%s: cannot be read", path);
    uint8_t *data = malloc(n > 0 ? n : 1);
    MUST(data != NULL, "out of memory");
    memcpy(data, bytes, n);
    /* said before, for the file at which it ends */
    (void)fprintf(stderr, "%s\n", path);
    (void)LLVMFuzzerTestOneInput(data, n);
    free(data);
}

static int is_input(const struct dirent *e)
{
    return e->d_name[0] != '.';
}

int main(int argc, char **argv)
{
    struct dirent **files = NULL;
    struct pb_buf path;
    MUST(setlocale(LC_ALL, "") != NULL, "no such locale");
    MUST(argc == 2, "replay FOLDER");
    int n = scandir(argv[1], &files, is_input, alphasort);
    MUST(n > 0, "%s: no such folder, or no file in it", argv[1]);
    pb_buf_init(&path, 4096);
    for (int i = 0; i < n; i++) {
        pb_buf_reset(&path);
        pb_buf_printf(&path, "%s/%s", argv[1], files[i]->d_name);
        feed(pb_buf_peek(&path));
        free(files[i]);
    }
    free(files);
    pb_buf_clear(&path);
    printf("%d inputs\n", n);
    return 0;
}
