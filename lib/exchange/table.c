/* Tables as spreadsheets write them.  See table.h.  The only file that knows libcsv, which
 * is handed a line at a time, so that each row knows the line it began on. */
#include "exchange/table.h"

#include "base/limits.h"
#include "base/text.h"
#include "exchange/whole.h"

#include <csv.h>
#include <stdlib.h>
#include <string.h>

/* States of libcsv's parser, as libcsv 3 numbers them. */
enum { NO_ROW = 0, IN_CELL = 2 };

/* What the callbacks of libcsv work on. */
struct reading {
    struct pb_table *t;
    long line;     /* that is being handed over */
    long began;    /* line of the open row, 0: none is open */
    size_t cell_n; /* cells before the open row */
    bool failed;   /* no memory */
};

/* Room for one more element of a growing array. */
static bool grow(void **array, size_t n, size_t *cap, size_t size)
{
    if (n < *cap)
        return true;
    size_t more_cap = *cap > 0 ? *cap * 2 : 256;
    void *more = realloc(*array, more_cap * size);
    if (more == NULL)
        return false;
    *array = more;
    *cap = more_cap;
    return true;
}

static bool is_break(char c)
{
    return c == '\n' || c == '\r';
}

static bool is_blank(char c)
{
    return c == ' ' || is_break(c);
}

static void cell_ended(void *bytes, size_t n, void *ctx)
{
    struct reading *r = ctx;
    struct pb_table *t = r->t;
    void *array = t->cell;
    r->failed = r->failed || !grow(&array, t->cell_n, &t->cell_cap, sizeof(*t->cell));
    t->cell = array;
    if (r->failed)
        return;
    t->cell[t->cell_n++] = t->text.len;
    const char *p = bytes;
    while (n > 0 && is_blank(p[n - 1]))
        n--;
    for (size_t i = 0; i < n; i++) {
        bool begun = t->text.len > t->cell[t->cell_n - 1];
        if (!is_break(p[i]) && (begun || p[i] != ' '))
            pb_buf_addc(&t->text, p[i]);
        else if (begun && is_break(p[i]) && !is_break(p[i - 1]))
            pb_buf_addc(&t->text, ' ');
    }
    pb_buf_addc(&t->text, '\0');
}

static void row_ended(int c, void *ctx)
{
    struct reading *r = ctx;
    struct pb_table *t = r->t;
    void *array = t->row;
    (void)c;
    r->failed = r->failed || !grow(&array, t->row_n, &t->row_cap, sizeof(*t->row));
    t->row = array;
    if (r->failed)
        return;
    bool empty = true; /* a spreadsheet's empty row: separators alone */
    for (size_t i = r->cell_n; i < t->cell_n && empty; i++)
        empty = t->text.data != NULL && t->text.data[t->cell[i]] == '\0';
    if (empty)
        t->cell_n = r->cell_n;
    else
        t->row[t->row_n++] =
            (struct pb_table_row){r->began, r->cell_n, t->cell_n - r->cell_n};
    r->cell_n = t->cell_n;
    r->began = 0;
}

/* The text behind a byte order mark; *n its bytes. */
static enum pb_rc check_text(const struct pb_buf *all, const char *file,
                             const char **text, size_t *n, struct pb_err *err)
{
    const char *p = pb_buf_peek(all);
    size_t len = all->len;
    if (len >= 2 && (memcmp(p, "\xFF\xFE", 2) == 0 || memcmp(p, "\xFE\xFF", 2) == 0))
        return pb_fail_at(err, PB_EPARSE, file, 0,
                          "is UTF-16; save the table as CSV in UTF-8");
    if (len >= 3 && memcmp(p, "\xEF\xBB\xBF", 3) == 0) {
        p += 3;
        len -= 3;
    }
    if (memchr(p, '\0', len) != NULL)
        return pb_fail_at(err, PB_EPARSE, file, 0,
                          "is no text; save the table as CSV in UTF-8");
    *text = p;
    *n = len;
    return PB_OK;
}

/* The separator that the first line has most of, outside quotes. */
static char detect(const char *text, size_t n)
{
    static const char candidates[] = {',', ';', '\t'};
    size_t count[sizeof(candidates)] = {0}, best = 0;
    bool quoted = false;
    for (size_t i = 0; i < n && (quoted || (text[i] != '\n' && text[i] != '\r')); i++) {
        quoted = quoted != (text[i] == '"');
        for (size_t k = 0; k < sizeof(candidates) && !quoted; k++)
            count[k] += text[i] == candidates[k];
    }
    for (size_t k = 1; k < sizeof(candidates); k++)
        if (count[k] > count[best])
            best = k;
    return candidates[best];
}

/* Bytes of the line at the front, its end included: LF, CRLF, or the CR of old Macs. */
static size_t line_length(const char *p, size_t n)
{
    size_t i = 0;
    while (i < n && p[i] != '\n' && p[i] != '\r')
        i++;
    if (i < n && p[i] == '\r' && i + 1 < n && p[i + 1] == '\n')
        i++;
    return i < n ? i + 1 : n;
}

static enum pb_rc parse(struct csv_parser *csv, struct reading *r, const char *file,
                        const char *text, size_t n, struct pb_err *err)
{
    for (size_t at = 0; at < n && !r->failed;) {
        size_t len = line_length(text + at, n - at);
        r->line++;
        if (r->began == 0)
            r->began = r->line;
        if (csv_parse(csv, text + at, len, cell_ended, row_ended, r) != len)
            return pb_fail_memory(err);
        if (csv->pstate == NO_ROW)
            r->began = 0; /* an empty line begins no row */
        at += len;
    }
    if (csv->quoted != 0 && csv->pstate == IN_CELL)
        return pb_fail_at(err, PB_EPARSE, file, r->began,
                          "a quote in this row does not end");
    if (!r->failed && csv_fini(csv, cell_ended, row_ended, r) != 0)
        r->failed = true;
    return r->failed ? pb_fail_memory(err) : pb_buf_status(&r->t->text, err);
}

enum pb_rc pb_table_read(FILE *in, const char *file, char separator, struct pb_table *t,
                         struct pb_err *err)
{
    struct csv_parser csv;
    struct pb_buf all;
    struct reading r = {.t = t};
    const char *text = "";
    size_t n = 0;
    memset(t, 0, sizeof(*t));
    pb_buf_init(&t->text, 2 * (size_t)PB_MAX_TABLE);
    pb_buf_init(&all, PB_MAX_TABLE);
    enum pb_rc rc = pb_read_whole(in, file, &all, err);
    if (rc == PB_OK)
        rc = check_text(&all, file, &text, &n, err);
    if (rc == PB_OK && csv_init(&csv, CSV_APPEND_NULL) != 0)
        rc = pb_fail_memory(err);
    else if (rc == PB_OK) {
        t->separator = separator;
        if (separator == '\0')
            t->separator = detect(text, n);
        csv_set_delim(&csv, (unsigned char)t->separator);
        rc = parse(&csv, &r, file, text, n, err);
        csv_free(&csv);
    }
    if (rc == PB_OK && t->row_n == 0)
        rc = pb_fail_at(err, PB_EPARSE, file, 0, "is empty; expected a header line");
    pb_buf_clear(&all);
    return rc;
}

void pb_table_clear(struct pb_table *t)
{
    pb_buf_clear(&t->text);
    free(t->cell);
    free(t->row);
    memset(t, 0, sizeof(*t));
}

const char *pb_table_cell(const struct pb_table *t, size_t row, size_t column)
{
    const struct pb_table_row *r = &t->row[row];
    return column < r->n ? t->text.data + t->cell[r->cell + column] : "";
}

/* Append a cell in quotes, each of its own doubled. */
static enum pb_rc put_quoted(struct pb_buf *out, const struct pb_buf *cell,
                             struct pb_err *err)
{
    size_t n = csv_write(NULL, 0, pb_buf_peek(cell), cell->len);
    char *quoted = malloc(n);
    if (quoted == NULL)
        return pb_fail_memory(err);
    pb_buf_add(out, quoted, csv_write(quoted, n, pb_buf_peek(cell), cell->len));
    free(quoted);
    return PB_OK;
}

enum pb_rc pb_table_put(struct pb_buf *out, char separator, const char *text,
                        struct pb_err *err)
{
    struct pb_buf cell;
    pb_buf_init(&cell, PB_MAX_TABLE);
    if (text[0] != '\0' && strchr("=+-@", text[0]) != NULL)
        pb_buf_addc(&cell, '\'');
    pb_text_escape(&cell, text);
    enum pb_rc rc = pb_buf_status(&cell, err);
    if (separator != '\0')
        pb_buf_addc(out, separator);
    if (rc == PB_OK && strpbrk(pb_buf_peek(&cell), ",;\"") != NULL)
        rc = put_quoted(out, &cell, err);
    else if (rc == PB_OK)
        pb_buf_add(out, pb_buf_peek(&cell), cell.len);
    pb_buf_clear(&cell);
    return rc;
}
