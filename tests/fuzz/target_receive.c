/*
 * Records of somebody else into a book that has its own.  Whatever comes, the book stays
 * sound; the same again changes nothing; a record of ours gives way only to one of its own
 * id and a later revision; what went in can be handed on; and undo takes all of it back.
 */
#include "fuzz_book.h"

#include <string.h>

enum { MAX_TEXT = 1 << 26 };

/* The shared line that has this id, n bytes; NULL: none. */
static const char *line_of(const char *shared, const char *id, size_t *n)
{
    char key[PB_ID_TEXT + 16];
    (void)snprintf(key, sizeof(key), "\"id\":\"%s\"", id);
    for (const char *line = shared; *line != '\0'; line += *n + 1) {
        struct pb_record rec;
        *n = strcspn(line, "\n");
        const char *at = strstr(line, key);
        if (at == NULL || at >= line + *n)
            continue;
        pb_record_init(&rec);
        MUST(pb_record_read(NULL, 0, line, *n, &rec, NULL) == PB_OK, "what is shared "
                                                                     "is refused");
        bool is = strcmp(pb_record_head(&rec)->id, id) == 0;
        pb_record_clear(&rec);
        if (is)
            return line;
    }
    return NULL;
}

static void must_be_ours(struct pb_record *ours, const char *after)
{
    struct pb_record now;
    struct pb_err err = {0};
    size_t n = 0;
    const char *id = pb_record_head(ours)->id, *line = line_of(after, id, &n);
    MUST(line != NULL, "%s is lost", id);
    pb_record_init(&now);
    MUST(pb_record_read(NULL, 0, line, n, &now, &err) == PB_OK, "%s", err.text);
    int64_t had = pb_record_head(ours)->revision, has = pb_record_head(&now)->revision;
    MUST(now.kind == ours->kind, "%s is another kind of record now", id);
    MUST(has >= had, "%s went back", id);
    MUST(has > had || fuzz_record_same(ours, &now, false),
         "%s was overwritten under its own revision", id);
    pb_record_clear(&now);
}

static void must_own(const char *before, const char *after)
{
    for (const char *line = before; *line != '\0';) {
        struct pb_record ours;
        size_t n = strcspn(line, "\n");
        pb_record_init(&ours);
        MUST(pb_record_read(NULL, 0, line, n, &ours, NULL) == PB_OK,
             "no record of ours");
        must_be_ours(&ours, after);
        pb_record_clear(&ours);
        line += n + 1;
    }
}

/* Another book takes all that this one shares. */
static void hand_on(const struct pb_buf *shared)
{
    struct fuzz_book *other = fuzz_book_of(2, false);
    struct pb_received sum;
    struct pb_buf told;
    pb_buf_init(&told, MAX_TEXT);
    MUST(fuzz_book_receive(other, pb_buf_peek(shared), shared->len, &sum, &told) &&
             sum.bad == 0,
         "what was shared is refused: %s", pb_buf_peek(&told));
    fuzz_book_must_be_sound(other);
    pb_buf_clear(&told);
}

/* Something was received: bytes, n. */
static void look_at(struct fuzz_book *ours, const uint8_t *bytes, size_t n)
{
    static struct pb_buf before;
    struct pb_received again;
    struct pb_buf after, twice, told;
    pb_buf_init(&after, MAX_TEXT);
    pb_buf_init(&twice, MAX_TEXT);
    pb_buf_init(&told, MAX_TEXT);
    if (before.max == 0) {
        pb_buf_init(&before, MAX_TEXT);
        fuzz_book_share(fuzz_book_of(0, true), true, &before);
    }
    fuzz_book_share(ours, true, &after);
    fuzz_book_must_be_sound(ours);
    must_own(pb_buf_peek(&before), pb_buf_peek(&after));
    hand_on(&after);
    (void)fuzz_book_receive(ours, bytes, n, &again, &told);
    fuzz_book_share(ours, true, &twice);
    MUST(strcmp(pb_buf_peek(&after), pb_buf_peek(&twice)) == 0,
         "received again, it changes something:\n%s\nbefore:\n%s", pb_buf_peek(&twice),
         pb_buf_peek(&after));
    fuzz_book_must_undo(ours, &before);
    pb_buf_clear(&told);
    pb_buf_clear(&twice);
    pb_buf_clear(&after);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct fuzz_book *ours = fuzz_book_of(1, true);
    struct pb_received sum;
    struct pb_buf told;
    pb_buf_init(&told, MAX_TEXT);
    bool received = fuzz_book_receive(ours, data, size, &sum, &told);
    fuzz_must_be_plain("what is told", pb_buf_peek(&told), told.len);
    if (!fuzz_book_is_untouched(ours)) {
        MUST(received, "refused, and yet it changed something");
        look_at(ours, data, size);
    }
    pb_buf_clear(&told);
    return 0;
}
