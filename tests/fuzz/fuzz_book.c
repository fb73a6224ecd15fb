/* Books for the fuzz targets.  See fuzz_book.h. */
#include "fuzz_book.h"

#include "act/amend.h"
#include "act/learn.h"
#include "act/share.h"
#include "act/verify.h"
#include "book/db.h"

#include <string.h>

enum { MAX_SHARE = 1 << 26 };

/* A book as SQLite keeps it, made once: the schema takes longer than most inputs. */
struct image {
    unsigned char *bytes;
    sqlite3_int64 n;
};

static void open_empty(struct fuzz_book *b, unsigned number)
{
    struct pb_err err = {0};
    memset(b, 0, sizeof(*b));
    b->profiles.builtin = &pb_profiles_builtin;
    b->act.profiles = &b->profiles;
    b->act.command = "fuzz";
    b->act.today = FUZZ_TODAY;
    b->act.now = (int64_t)FUZZ_TODAY * 86400;
    b->act.ids.key[0] = number;
    b->act.ids.key[1] = ~(uint64_t)number;
    MUST(pb_book_open(":memory:", PB_BOOK_WRITE, &b->act.book, &err) == PB_OK, "%s",
         err.text);
}

static void fill(struct fuzz_book *b)
{
    struct pb_received sum;
    struct pb_buf told, text;
    int c;
    FILE *in = fopen(PB_SOURCE_DIR "/tests/fuzz/club.jsonl", "rb");
    MUST(in != NULL, "no club.jsonl");
    pb_buf_init(&told, MAX_SHARE);
    pb_buf_init(&text, MAX_SHARE);
    while ((c = fgetc(in)) != EOF)
        pb_buf_addc(&text, (char)c);
    (void)fclose(in);
    MUST(fuzz_book_receive(b, pb_buf_peek(&text), text.len, &sum, &told) &&
             sum.bad == 0,
         "club.jsonl: %s", pb_buf_peek(&told));
    pb_buf_clear(&text);
    pb_buf_clear(&told);
}

static const struct image *image_of(bool filled)
{
    static struct image images[2];
    struct image *image = &images[filled];
    struct fuzz_book b;
    if (image->bytes != NULL)
        return image;
    open_empty(&b, 0);
    MUST(pb_book_begin(b.act.book, "begin", FUZZ_TODAY, b.act.now, NULL) == PB_OK &&
             pb_book_end(b.act.book, PB_OK, NULL) == PB_OK,
         "no book");
    if (filled)
        fill(&b);
    image->bytes = sqlite3_serialize(b.act.book->db, "main", &image->n, 0);
    MUST(image->bytes != NULL, "no image of the book");
    pb_learner_close(&b.act);
    pb_book_close(b.act.book);
    return image;
}

static void restore(struct fuzz_book *b)
{
    const struct image *image = image_of(b->filled);
    unsigned char *copy = sqlite3_malloc64((sqlite3_uint64)image->n);
    MUST(copy != NULL, "out of memory");
    memcpy(copy, image->bytes, (size_t)image->n);
    MUST(sqlite3_deserialize(b->act.book->db, "main", copy, image->n, image->n,
                             SQLITE_DESERIALIZE_FREEONCLOSE |
                                 SQLITE_DESERIALIZE_RESIZEABLE) == SQLITE_OK,
         "the image cannot be read");
}

struct fuzz_book *fuzz_book_of(unsigned number, bool filled)
{
    static struct fuzz_book books[FUZZ_BOOKS];
    struct fuzz_book *b = &books[number];
    pb_learner_drop(&b->act);
    if (b->act.book != NULL && !fuzz_book_is_untouched(b)) {
        pb_book_close(b->act.book); /* what SQLite knows of the old one goes with it */
        b->act.book = NULL;
    }
    if (b->act.book == NULL) {
        open_empty(b, number);
        b->filled = filled;
        restore(b);
    }
    b->act.ids.made = 0;
    b->doubts = false;
    return b;
}

bool fuzz_book_is_untouched(const struct fuzz_book *b)
{
    const struct image *image = image_of(b->filled);
    sqlite3_int64 n = 0;
    const unsigned char *now =
        sqlite3_serialize(b->act.book->db, "main", &n, SQLITE_SERIALIZE_NOCOPY);
    return now != NULL && n == image->n && memcmp(now, image->bytes, (size_t)n) == 0;
}

/* Who hears of each line. */
struct ear {
    struct fuzz_book *b;
    struct pb_buf *told;
};

static enum pb_rc hear(void *ctx, const struct pb_receipt *r, struct pb_err *err)
{
    struct ear *ear = ctx;
    (void)err;
    MUST(!r->bad || r->why != NULL, "bad without a word");
    if (r->bad)
        pb_buf_printf(ear->told, "%ld %s: %s\n", r->line, r->there, r->why);
    else if (r->why != NULL) {
        fuzz_must_be_plain("what is said of a record", r->why, strlen(r->why));
        ear->b->doubts = true;
    }
    return PB_OK;
}

bool fuzz_book_receive(struct fuzz_book *b, const void *bytes, size_t n,
                       struct pb_received *sum, struct pb_buf *told)
{
    struct pb_err err = {0};
    struct ear ear = {b, told};
    FILE *in = fuzz_file(bytes, n);
    const struct pb_receiving what = {
        .in = in, .file = "in", .each = hear, .ctx = &ear};
    enum pb_rc rc = pb_act_receive(&b->act, &what, sum, &err);
    MUST(rc == PB_OK || rc == PB_EPARSE, "receive: %s", err.text);
    (void)fclose(in);
    return rc == PB_OK;
}

static enum pb_rc add_line(void *ctx, const char *json, size_t n, struct pb_err *err)
{
    (void)err;
    pb_buf_add(ctx, json, n);
    pb_buf_addc(ctx, '\n');
    return PB_OK;
}

void fuzz_book_share(struct fuzz_book *b, bool notes, struct pb_buf *out)
{
    struct pb_err err = {0};
    const struct pb_share what = {NULL, 0, notes};
    pb_buf_reset(out);
    MUST(pb_act_share(&b->act, &what, add_line, out, &err) == PB_OK, "share: %s",
         err.text);
    MUST(pb_buf_status(out, NULL) == PB_OK, "more than can be shared");
    fuzz_must_be_plain("what is shared", pb_buf_peek(out), out->len);
}

static enum pb_rc judge(void *ctx, const struct pb_fault *f, struct pb_err *err)
{
    const struct fuzz_book *b = ctx;
    bool contradiction = f->check == PB_CHECK_LOOKS || f->check == PB_CHECK_COUNT ||
                         f->check == PB_CHECK_DAY;
    (void)err;
    MUST(b->doubts && contradiction, "%s: %s: %s", pb_check_names[f->check],
         f->code != NULL ? f->code : "-", f->what);
    return PB_OK;
}

void fuzz_book_must_be_sound(struct fuzz_book *b)
{
    struct pb_verified v;
    struct pb_err err = {0};
    MUST(pb_act_verify(&b->act, judge, b, &v, &err) == PB_OK, "verify: %s", err.text);
}

void fuzz_book_must_undo(struct fuzz_book *b, const struct pb_buf *before)
{
    struct pb_undone undone;
    struct pb_err err = {0};
    struct pb_buf after;
    pb_buf_init(&after, MAX_SHARE);
    fuzz_book_share(b, true, &after);
    if (strcmp(pb_buf_peek(before), pb_buf_peek(&after)) != 0) {
        MUST(pb_act_undo(&b->act, 0, &undone, &err) == PB_OK, "undo: %s", err.text);
        pb_undone_clear(&undone);
        fuzz_book_share(b, true, &after);
        MUST(strcmp(pb_buf_peek(before), pb_buf_peek(&after)) == 0,
             "what was taken back is still there:\n%s\nbefore:\n%s",
             pb_buf_peek(&after), pb_buf_peek(before));
    }
    pb_buf_clear(&after);
}

bool fuzz_record_same(const struct pb_record *a, const struct pb_record *b, bool notes)
{
    const struct pb_plant_doc one = {&a->plant, &a->more, NULL},
                              two = {&b->plant, &b->more, NULL};
    bool is = false;
    enum pb_rc rc = a->kind == PB_PLANT ? pb_plant_same(one, two, notes, &is, NULL)
                    : a->kind == PB_CROSS
                        ? pb_cross_same(&a->cross, &b->cross, notes, &is, NULL)
                        : pb_batch_same(&a->batch, &b->batch, notes, &is, NULL);
    MUST(rc == PB_OK, "two records that were read cannot be compared");
    return is;
}
