/* Output.  See out.h. */
#include "out.h"

#include "base/text.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MAX_OUT = 1 << 24, HANGING = 2, NARROW = 12 };

/* Why something that was to be printed was not, or not whole. */
static enum pb_rc lacking;

static void note_lack(enum pb_rc rc)
{
    if (lacking == PB_OK)
        lacking = rc;
}

enum pb_rc out_status(void)
{
    return lacking;
}

bool has_text(const struct pb_buf *b)
{
    return whole(b)[0] != '\0';
}

bool out_has(enum pb_rc rc)
{
    if (rc == PB_ENOMEM || rc == PB_ELIMIT)
        note_lack(rc);
    return rc == PB_OK;
}

const char *whole(const struct pb_buf *b)
{
    note_lack(pb_buf_status(b, NULL));
    return pb_buf_peek(b);
}

/* Print text, what controls a terminal escaped; newlines, too, of what is one line.  Needs no
 * memory: it also says that there is none. */
static void put(FILE *to, const char *text, bool one_line)
{
    char piece[PB_TEXT_ESCAPED];
    size_t len = strlen(text);
    for (size_t i = 0; i < len;) {
        if (text[i] == '\n' && !one_line)
            (void)fputc(text[i++], to);
        else {
            i += pb_text_escape_first(text + i, len - i, piece);
            (void)fputs(piece, to);
        }
    }
    (void)fputc('\n', to);
}

/* Print of a word what fills whole lines; returns the rest. */
static const char *put_long_word(const char *word, size_t indent)
{
    size_t room = indent + NARROW < OUT_WIDTH ? OUT_WIDTH - indent : NARROW;
    while (pb_text_cols(word) > room) {
        size_t n = pb_text_head(word, room);
        (void)fprintf(stdout, "%*s%.*s\n", (int)indent, "", (int)n, word);
        word += n;
    }
    return word;
}

/*
 * Print a line without controls; what passes OUT_WIDTH goes on below, indented.  Blanks stay as
 * they are, but where the line is broken.
 *   breaks  also words that no line holds; else they stay whole, as a path must
 */
static void put_wrapped(const char *text, size_t indent, bool breaks)
{
    struct pb_buf line;
    bool empty = true;
    pb_buf_init(&line, MAX_OUT);
    for (const char *p = text; *p != '\0';) {
        size_t blanks = strspn(p, " "), n = strcspn(p + blanks, " ");
        struct pb_buf word;
        pb_buf_init(&word, MAX_OUT);
        pb_buf_add(&word, p + blanks, n);
        size_t cols = pb_text_cols(whole(&line)) + blanks + pb_text_cols(whole(&word));
        if (!empty && cols > OUT_WIDTH) {
            (void)fprintf(stdout, "%s\n", whole(&line));
            pb_buf_reset(&line);
            blanks = indent;
            empty = true;
        }
        const char *rest = whole(&word);
        if (breaks && line.len == 0)
            rest = put_long_word(rest, blanks);
        pb_buf_printf(&line, "%*s%s", (int)blanks, "", rest);
        empty = empty && n == 0;
        p += strspn(p, " ") + n;
        pb_buf_clear(&word);
    }
    (void)fprintf(stdout, "%s\n", whole(&line));
    pb_buf_clear(&line);
}

/* The same of several lines; indent beyond that of each line's own. */
static void put_lines(const char *text, size_t indent)
{
    for (const char *line = text; line != NULL;) {
        const char *end = strchr(line, '\n');
        size_t n = end != NULL ? (size_t)(end - line) : strlen(line);
        bool plain = n <= OUT_WIDTH && pb_text_plain(line, n) == n;
        if (plain) { /* nothing in it to be escaped, no need to break it */
            (void)fwrite(line, 1, n, stdout);
            (void)fputc('\n', stdout);
        } else {
            struct pb_buf raw, b;
            pb_buf_init(&raw, MAX_OUT);
            pb_buf_init(&b, MAX_OUT);
            pb_buf_add(&raw, line, n);
            pb_text_escape(&b, whole(&raw));
            put_wrapped(whole(&b), strspn(line, " ") + indent, false);
            pb_buf_clear(&b);
            pb_buf_clear(&raw);
        }
        line = end != NULL ? end + 1 : NULL;
    }
}

/* A message, and what is longer than it should be. */
enum { ROOM = 2048 };

/* The text is room, or if it needs more one of its own, to be freed; NULL: no memory, and
 * room has the beginning of it. */
static PB_PRINTF(2, 0) char *format(char room[ROOM], const char *fmt, va_list ap)
{
    va_list again;
    va_copy(again, ap);
    int n = vsnprintf(room, ROOM, fmt, ap);
    char *text = room;
    if (n >= ROOM) {
        text = malloc((size_t)n + 1);
        if (text != NULL)
            (void)vsnprintf(text, (size_t)n + 1, fmt, again);
    }
    va_end(again);
    return text;
}

void say(const char *fmt, ...)
{
    char room[ROOM];
    va_list ap;
    va_start(ap, fmt);
    char *text = format(room, fmt, ap);
    va_end(ap);
    if (text == NULL)
        note_lack(PB_ENOMEM);
    else
        say_text(text);
    if (text != room)
        free(text);
}

void say_line(const char *fmt, ...)
{
    char room[ROOM];
    struct pb_buf line;
    va_list ap;
    va_start(ap, fmt);
    char *text = format(room, fmt, ap);
    va_end(ap);
    pb_buf_init(&line, MAX_OUT);
    pb_text_escape(&line, text != NULL ? text : room);
    if (text == NULL)
        note_lack(PB_ENOMEM);
    say_text(whole(&line));
    pb_buf_clear(&line);
    if (text != room)
        free(text);
}

void say_text(const char *text)
{
    put_lines(text, HANGING);
}

void remark(const char *fmt, ...)
{
    char room[ROOM];
    va_list ap;
    va_start(ap, fmt);
    char *text = format(room, fmt, ap);
    va_end(ap);
    (void)fputs("podbook: ", stderr);
    put(stderr, text != NULL ? text : room, true);
    if (text != room)
        free(text);
}

void out_json(const char *json)
{
    put(stdout, json, false);
}

char *take_line(char **rest)
{
    char *line = *rest;
    if (line == NULL || line[0] == '\0')
        return NULL;
    char *end = strchr(line, '\n');
    if (end != NULL)
        *end = '\0';
    *rest = end != NULL ? end + 1 : NULL;
    return line;
}

void say_wrapped(const char *lead, size_t indent, const char *text)
{
    struct pb_buf line;
    pb_buf_init(&line, MAX_OUT);
    pb_buf_adds(&line, lead);
    pb_text_escape(&line, text);
    put_wrapped(whole(&line), indent, true);
    pb_buf_clear(&line);
}

void out_begin(struct out *o, const struct env *env, const struct column *columns,
               size_t n)
{
    memset(o, 0, sizeof(*o));
    o->json = env->json;
    o->columns = columns;
    o->column_n = n;
}

static enum pb_rc json_row(struct out *o, const struct pb_cell *cells,
                           struct pb_err *err)
{
    const char *keys[32];
    struct pb_buf b;
    pb_buf_init(&b, MAX_OUT);
    for (size_t i = 0; i < o->column_n; i++)
        keys[i] = o->columns[i].key;
    enum pb_rc rc = pb_row_write(keys, cells, o->column_n, &b, err);
    if (rc == PB_OK)
        (void)fprintf(stdout, "%s\n%s", o->rows > 0 ? "," : "[", whole(&b));
    pb_buf_clear(&b);
    return rc;
}

/* A cell as a person reads it, cut to its column. */
static char *cell_words(const struct pb_cell *c, size_t cols)
{
    struct pb_buf b, cut;
    char *text = NULL;
    pb_buf_init(&b, MAX_OUT);
    pb_buf_init(&cut, MAX_OUT);
    switch (c->kind) {
    case PB_CELL_NULL:
        pb_buf_addc(&b, '-');
        break;
    case PB_CELL_TEXT:
    case PB_CELL_JSON:
        pb_text_escape(&b, c->text);
        break;
    case PB_CELL_INT:
        pb_buf_printf(&b, "%" PRId64, c->number);
        break;
    case PB_CELL_REAL:
        pb_buf_printf(&b, "%.*f", c->digits, c->real);
        break;
    case PB_CELL_BOOL:
        pb_buf_adds(&b, c->number != 0 ? "yes" : "-");
        break;
    }
    if (cols > 0)
        pb_text_clip(&cut, whole(&b), cols);
    else
        pb_buf_adds(&cut, whole(&b));
    if (pb_buf_status(&b, NULL) != PB_OK || pb_buf_take(&cut, &text, NULL) != PB_OK)
        text = NULL;
    pb_buf_clear(&cut);
    pb_buf_clear(&b);
    return text;
}

enum pb_rc out_row(struct out *o, const struct pb_cell *cells, struct pb_err *err)
{
    if (o->json) {
        enum pb_rc rc = json_row(o, cells, err);
        o->rows += rc == PB_OK;
        return rc;
    }
    if (o->cell_n + o->column_n > o->cell_cap) {
        size_t cap = o->cell_cap > 0 ? o->cell_cap * 2 : 32 * o->column_n;
        char **more = realloc(o->cells, cap * sizeof(*more));
        if (more == NULL)
            return pb_fail_memory(err);
        o->cells = more;
        o->cell_cap = cap;
    }
    for (size_t i = 0; i < o->column_n; i++) {
        char *text = cell_words(&cells[i], o->columns[i].cols);
        if (text == NULL)
            return pb_fail_memory(err);
        o->cells[o->cell_n++] = text;
    }
    o->rows++;
    return PB_OK;
}

static void put_line(const struct out *o, const size_t *width, char *const *cells)
{
    struct pb_buf b, cell;
    pb_buf_init(&b, MAX_OUT);
    pb_buf_init(&cell, MAX_OUT);
    for (size_t i = 0; i < o->column_n; i++) {
        bool last = i + 1 == o->column_n;
        pb_buf_reset(&cell);
        pb_text_clip(&cell, cells != NULL ? cells[i] : o->columns[i].title, width[i]);
        const char *text = whole(&cell);
        size_t pad = width[i] - pb_text_cols(text);
        if (o->columns[i].right)
            pb_buf_printf(&b, "%*s%s", (int)pad, "", text);
        else
            pb_buf_printf(&b, "%s%*s", text, last ? 0 : (int)pad, "");
        pb_buf_adds(&b, last ? "" : "  ");
    }
    put(stdout, whole(&b), false);
    pb_buf_clear(&cell);
    pb_buf_clear(&b);
}

/* Columns that may be cut give way, the widest first, until a line fits. */
static void fit(const struct out *o, size_t *width)
{
    size_t total = 2 * (o->column_n - 1);
    for (size_t i = 0; i < o->column_n; i++)
        total += width[i];
    for (; total > OUT_WIDTH; total--) {
        size_t widest = o->column_n;
        for (size_t i = 0; i < o->column_n; i++)
            if (o->columns[i].cols > 0 && width[i] > NARROW &&
                (widest == o->column_n || width[i] > width[widest]))
                widest = i;
        if (widest == o->column_n)
            return;
        width[widest]--;
    }
}

void out_end(struct out *o, const char *none)
{
    size_t width[32];
    if (o->json) {
        (void)fputs(o->rows > 0 ? "\n]\n" : "[]\n", stdout);
        return;
    }
    for (size_t i = 0; i < o->column_n; i++) {
        width[i] = pb_text_cols(o->columns[i].title);
        for (size_t r = 0; r < o->rows; r++) {
            size_t cols = pb_text_cols(o->cells[r * o->column_n + i]);
            width[i] = cols > width[i] ? cols : width[i];
        }
    }
    fit(o, width);
    if (o->rows == 0)
        put(stdout, none, false);
    else
        put_line(o, width, NULL);
    for (size_t r = 0; r < o->rows; r++)
        put_line(o, width, &o->cells[r * o->column_n]);
    out_drop(o);
}

void out_drop(struct out *o)
{
    for (size_t i = 0; i < o->cell_n; i++)
        free(o->cells[i]);
    free(o->cells);
    o->cells = NULL;
    o->cell_n = o->rows = 0;
}

enum pb_rc out_object(const char *const *keys, const struct pb_cell *cells, size_t n,
                      struct pb_err *err)
{
    struct pb_buf b;
    pb_buf_init(&b, MAX_OUT);
    enum pb_rc rc = pb_row_write(keys, cells, n, &b, err);
    if (rc == PB_OK)
        out_json(whole(&b));
    pb_buf_clear(&b);
    return rc;
}

void out_array(const struct env *env, int64_t i, int64_t n)
{
    if (env->json)
        say("%s", i == 0 ? (n > 0 ? "[" : "[\n]") : i < n ? "," : "]");
}

enum pb_rc out_lines_json(char *lines, struct pb_buf *out, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    const char *mark = "[";
    for (char *line; rc == PB_OK && (line = take_line(&lines)) != NULL; mark = ",") {
        pb_buf_adds(out, mark);
        rc = pb_text_write(line, out, err);
    }
    pb_buf_adds(out, mark[0] == '[' ? "[]" : "]");
    return rc;
}

const char *day_text(pb_day day, char text[DAY_TEXT])
{
    char iso[PB_DAY_TEXT];
    if (day == PB_DAY_NONE)
        return "-";
    (void)snprintf(text, DAY_TEXT, "%s %s", pb_day_weekday_name(day),
                   pb_day_format(day, iso));
    return text;
}

struct pb_cell json_cell(const struct pb_buf *json)
{
    const char *text = whole(json);
    return pb_buf_status(json, NULL) == PB_OK ? pb_cell_json(text) : pb_cell_null();
}

struct pb_cell day_cell(pb_day day, char text[PB_DAY_TEXT])
{
    return day == PB_DAY_NONE ? pb_cell_null() : pb_cell_text(pb_day_format(day, text));
}
