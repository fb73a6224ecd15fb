/* Receiving: line by line.  See receive.h; single records are in incoming_*.c. */
#include "act/receive.h"

#include "act/incoming.h"
#include "base/text.h"
#include "book/arrive.h"
#include "exchange/lines.h"

#include <string.h>

/* After a mark SQLite copies each page before it is written, so that it can go back: lines
 * share one.  With one mark for each line the copies are an eighth of the work, with one for
 * some thirty hardly any. */
enum { GROUP_MAX = 32, GROUP_BYTES = 65536 };

/*
 * Good lines since the mark.  When one cannot be kept all go back to the mark; then the good
 * ones are put in place again, which comes to the same, for the book is as it was and so are
 * they.  The next group is one line, the one after it two: however many lines are bad, no good
 * one is put in place more than twice as often as by itself.
 */
struct group {
    bool open;
    size_t n, most;      /* lines; how many this one may have */
    struct pb_buf lines; /* each ended by a line feed */
};

struct receiving {
    struct pb_act *a;
    const struct pb_receiving *what;
    struct pb_received *sum;
    struct pb_lines lines;
    struct group group;
    bool changed;
    char carried[PB_ID_TEXT]; /* the last cross that came within another record */
};

/* Does a failure of one line end everything?  The machine's do, the record's do not. */
static bool ends_all(enum pb_rc rc)
{
    return rc == PB_ENOMEM || rc == PB_EIO;
}

static enum pb_rc tell(struct receiving *r, struct pb_receipt *receipt,
                       struct pb_err *err)
{
    receipt->line = r->lines.number;
    return r->what->each(r->what->ctx, receipt, err);
}

/* A line that is not kept: counted, told, passed over. */
static enum pb_rc refuse(struct receiving *r, const struct pb_receipt *seen,
                         const struct pb_err *fault, struct pb_err *err)
{
    struct pb_receipt receipt = *seen;
    struct pb_buf why;
    pb_buf_init(&why, sizeof(*fault));
    if (fault->where[0] != '\0' && strcmp(fault->where, r->what->file) != 0)
        pb_buf_printf(&why, "%s: ", fault->where);
    pb_buf_adds(&why, fault->text);
    receipt.bad = true;
    receipt.alien = strchr(pb_buf_peek(&r->lines.line), '{') == NULL;
    receipt.conflict = false;
    receipt.why = pb_buf_peek(&why);
    r->sum->bad++;
    enum pb_rc rc = pb_buf_status(&why, err);
    if (rc == PB_OK)
        rc = tell(r, &receipt, err);
    pb_buf_clear(&why);
    return rc;
}

static enum pb_rc put_in_place(struct pb_incoming *in, struct pb_record *rec,
                               struct pb_err *err)
{
    const struct pb_head *head = pb_record_head(rec);
    in->receipt->kind = rec->kind;
    in->receipt->revision = head->revision;
    memcpy(in->receipt->there, head->code, sizeof(in->receipt->there));
    enum pb_rc rc = rec->kind == PB_PLANT   ? pb_incoming_plant(in, rec, err)
                    : rec->kind == PB_CROSS ? pb_incoming_cross(in, &rec->cross, err)
                                            : pb_incoming_batch(in, rec, err);
    if (rc == PB_OK)
        rc = pb_incoming_fits(in, rec, err);
    return rc == PB_OK ? pb_incoming_doubts(in, rec, err) : rc;
}

/* Two places of the caller's for a line and the cross that may come with it. */
static void start(const struct receiving *r, struct pb_receipt *receipt,
                  struct pb_receipt *of_cross, struct pb_incoming *in,
                  struct pb_incoming *carried)
{
    *carried =
        (struct pb_incoming){.a = r->a, .receipt = of_cross, .stay = r->what->stay};
    *in = (struct pb_incoming){.a = r->a,
                               .receipt = receipt,
                               .stay = r->what->stay,
                               .here = r->what->here,
                               .carried = carried};
}

static enum pb_rc account(struct receiving *r, const struct pb_incoming *in,
                          struct pb_err *err)
{
    r->changed = r->changed || in->changed;
    r->sum->merged[in->receipt->merge]++;
    r->sum->conflicts += in->receipt->conflict;
    r->sum->elsewhere += in->elsewhere;
    r->sum->yours += in->receipt->yours;
    return tell(r, in->receipt, err);
}

/* The cross that a seed lot or flask carried is told where something became of it, and of
 * many of one cross only once. */
static enum pb_rc tell_carried(struct receiving *r, const struct pb_incoming *carried,
                               const char *id, struct pb_err *err)
{
    enum pb_merge merge = carried->receipt->merge;
    bool told = strcmp(r->carried, id) == 0;
    if (carried->receipt->kind == PB_KIND_N)
        return PB_OK;
    memcpy(r->carried, id, sizeof(r->carried));
    if (!carried->changed &&
        (told || merge == PB_MERGE_SAME || merge == PB_MERGE_OLDER))
        return PB_OK;
    return account(r, carried, err);
}

/* ---- groups ----------------------------------------------------------------------------- */

static enum pb_rc open_group(struct receiving *r, struct pb_err *err)
{
    struct group *g = &r->group;
    enum pb_rc rc = g->open ? PB_OK : pb_book_mark(r->a->book, err);
    g->open = rc == PB_OK;
    return rc;
}

static enum pb_rc close_group(struct receiving *r, struct pb_err *err)
{
    struct group *g = &r->group;
    if (!g->open)
        return PB_OK;
    g->open = false;
    g->n = 0;
    g->most = g->most < GROUP_MAX ? g->most * 2 : GROUP_MAX;
    pb_buf_reset(&g->lines);
    return pb_book_go_on(r->a->book, err);
}

/* The line that was put in place is one of the group. */
static enum pb_rc add_to_group(struct receiving *r, struct pb_err *err)
{
    struct group *g = &r->group;
    const struct pb_buf *line = &r->lines.line;
    if (++g->n == g->most || g->lines.len + line->len >= GROUP_BYTES)
        return close_group(r, err);
    pb_buf_add(&g->lines, line->data, line->len);
    pb_buf_addc(&g->lines, '\n');
    return pb_buf_status(&g->lines, err);
}

/* A line that was put in place, and told, once more. */
static enum pb_rc put_again(struct receiving *r, const char *line, size_t n,
                            struct pb_err *err)
{
    struct pb_record rec;
    struct pb_receipt receipt = {.kind = PB_KIND_N}, of_cross = receipt;
    struct pb_incoming carried, in;
    start(r, &receipt, &of_cross, &in, &carried);
    pb_record_init(&rec);
    enum pb_rc rc = pb_record_read(NULL, 0, line, n, &rec, err);
    if (rc == PB_OK)
        rc = put_in_place(&in, &rec, err);
    pb_record_clear(&rec);
    return rc;
}

/* What the last line wrote is taken back, and what those before it in the group wrote stays. */
static enum pb_rc take_back(struct receiving *r, struct pb_err *err)
{
    struct group *g = &r->group;
    enum pb_rc rc = pb_book_go_back(r->a->book, err);
    for (const char *p = pb_buf_peek(&g->lines); rc == PB_OK && *p != '\0';) {
        size_t n = strcspn(p, "\n");
        rc = put_again(r, p, n, err);
        p += n + 1;
    }
    pb_buf_reset(&g->lines);
    g->open = false;
    g->n = 0;
    g->most = 1;
    return rc;
}

/* One good line; a record that cannot be kept is taken back.  fault: its reason; err: what
 * ends everything. */
static enum pb_rc keep(struct receiving *r, struct pb_incoming *in,
                       struct pb_record *rec, struct pb_err *fault, struct pb_err *err)
{
    enum pb_rc rc = open_group(r, err);
    if (rc != PB_OK)
        return rc;
    enum pb_rc kept = put_in_place(in, rec, fault);
    if (ends_all(kept))
        return pb_fail_at(err, kept, fault->where, fault->line, "%s", fault->text);
    rc = kept == PB_OK ? add_to_group(r, err) : take_back(r, err);
    if (rc != PB_OK || kept != PB_OK)
        return rc;
    rc = tell_carried(r, in->carried, rec->cross.head.id, err);
    return rc == PB_OK ? account(r, in, err) : rc;
}

/* ---- lines ------------------------------------------------------------------------------ */

/* A record that was written over several lines gives a thousand faults and no hint. */
static void hint(const struct pb_buf *line, struct pb_err *fault)
{
    const char *text = pb_buf_peek(line);
    if (strcmp(text, "{") != 0 && strcmp(text, "[") != 0)
        return;
    pb_err_clear(fault);
    (void)pb_fail(fault, PB_EPARSE,
                  "is only the beginning of a record; each must stand on one line, as "
                  "jq -c writes it");
}

static enum pb_rc receive_line(struct receiving *r, struct pb_err *err)
{
    struct pb_record rec;
    struct pb_err fault = {0};
    struct pb_receipt receipt = {.kind = PB_KIND_N};
    struct pb_receipt of_cross = receipt;
    struct pb_incoming carried, in;
    start(r, &receipt, &of_cross, &in, &carried);
    pb_record_init(&rec);
    enum pb_rc rc = pb_record_read(NULL, 0, pb_buf_peek(&r->lines.line),
                                   r->lines.line.len, &rec, &fault);
    if (rc == PB_ENOMEM)
        return pb_fail_memory(err);
    if (rc == PB_OK)
        rc = keep(r, &in, &rec, &fault, err);
    else {
        hint(&r->lines.line, &fault);
        rc = PB_OK;
    }
    if (rc == PB_OK && fault.rc != PB_OK)
        rc = refuse(r, &receipt, &fault, err);
    pb_record_clear(&rec);
    return rc;
}

/* Does the line name columns of our tables?  One that says "code" or a parent is enough. */
static bool is_header(const char *text)
{
    static const char *const names[] = {"code", "seed_parent", "pollen_parent"};
    for (const char *p = text; *p != '\0'; p += strspn(p, ",;\t")) {
        char cell[24] = "";
        size_t n = strcspn(p, ",;\t");
        size_t bare = n > 1 && p[0] == '"' && p[n - 1] == '"' ? n - 2 : n;
        if (bare < sizeof(cell))
            memcpy(cell, p + (bare < n), bare);
        for (size_t i = 0; i < PB_ARRAY_LEN(names) && p[n] != '\0'; i++)
            if (pb_text_casecmp(cell, names[i]) == 0)
                return true;
        p += n;
    }
    return false;
}

/* What a file that is no JSON seems to be, by its first line; said once, for the whole.
 * NULL: nothing known, so that each line is looked at. */
static const char *seems(const char *line)
{
    static const struct {
        const char *start, *says;
    } rows[] = {
        {"BEGIN:VCALENDAR",
         "seems to be a calendar; podbook writes those and does not read them"                    },
        {"SQLite format 3",
         "seems to be a book; share its records first: podbook --book FILE share"                 },
        {"PK\x03\x04",      "seems to be a packed file or a spreadsheet's own form; save it "
                       "as CSV and say "
                       "--table"                                            },
        {"\x1f\x8b",        "seems to be a packed file; unpack it first"                          },
        {"<",               "seems to be a page of XML or HTML; podbook share prints what is read"},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        if (strncmp(line, rows[i].start, strlen(rows[i].start)) == 0)
            return rows[i].says;
    if (line[0] != '{' && line[0] != '[' && is_header(line))
        return "seems to be a table; say podbook receive FILE --table --as plants, or "
               "--as crosses";
    return NULL;
}

static enum pb_rc receive_all(struct receiving *r, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    bool got = true, first = true;
    while (rc == PB_OK && got) {
        struct pb_err fault = {0};
        const struct pb_receipt nothing = {.kind = PB_KIND_N};
        rc = pb_lines_next(&r->lines, &got, &fault);
        if (rc == PB_ELIMIT)
            rc = refuse(r, &nothing, &fault, err);
        else if (rc != PB_OK)
            rc = pb_fail_at(err, rc, fault.where, fault.line, "%s", fault.text);
        else if (got && first && seems(pb_buf_peek(&r->lines.line)) != NULL)
            rc = pb_fail_at(err, PB_EPARSE, r->what->file, 0, "%s",
                            seems(pb_buf_peek(&r->lines.line)));
        else if (got)
            rc = receive_line(r, err);
        first = false;
    }
    return rc == PB_OK ? close_group(r, err) : rc;
}

enum pb_rc pb_act_receive(struct pb_act *a, const struct pb_receiving *what,
                          struct pb_received *sum, struct pb_err *err)
{
    struct receiving r = {
        .a = a, .what = what, .sum = sum, .group = {.most = GROUP_MAX}};
    memset(sum, 0, sizeof(*sum));
    pb_buf_init(&r.group.lines, GROUP_BYTES + 1);
    enum pb_rc rc =
        pb_lines_init(&r.lines, what->in, what->file, PB_MAX_JSON_LINE, err);
    if (rc == PB_OK)
        rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc == PB_OK) {
        rc = pb_book_take_in(a->book, err);
        if (rc == PB_OK)
            rc = receive_all(&r, err);
        if (rc == PB_OK && !r.changed)
            pb_book_drop(a->book);
        else
            rc = pb_book_end(a->book, rc, err);
    }
    pb_buf_clear(&r.group.lines);
    pb_lines_clear(&r.lines);
    return rc;
}
