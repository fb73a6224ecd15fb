/* Tables as spreadsheets write them; written again, they are read as the same cells. */
#include "fuzz.h"

#include "exchange/table.h"

#include <string.h>

static void write(const struct pb_table *t, char separator, struct pb_buf *out)
{
    for (size_t r = 0; r < t->row_n; r++) {
        for (size_t c = 0; c < t->row[r].n; c++)
            MUST(pb_table_put(out, c > 0 ? separator : '\0', pb_table_cell(t, r, c),
                              NULL) == PB_OK,
                 "a cell cannot be written");
        pb_buf_adds(out, "\r\n");
    }
}

static bool is_formula(const char *cell)
{
    return cell[0] != '\0' && strchr("=+-@", cell[0]) != NULL;
}

static void compare(const struct pb_table *t, size_t row, const struct pb_table *back,
                    size_t back_row)
{
    MUST(t->row[row].n == back->row[back_row].n, "row %zu has %zu cells, then %zu", row,
         t->row[row].n, back->row[back_row].n);
    for (size_t c = 0; c < t->row[row].n; c++) {
        const char *cell = pb_table_cell(t, row, c),
                   *again = pb_table_cell(back, back_row, c);
        struct pb_buf safe;
        pb_buf_init(&safe, (size_t)1 << 22);
        pb_text_escape(&safe, cell);
        MUST(!is_formula(again), "a formula was written: %s", again);
        MUST(strcmp(pb_buf_peek(&safe), is_formula(cell) ? again + 1 : again) == 0,
             "\"%s\" comes back as \"%s\"", pb_buf_peek(&safe), again);
        pb_buf_clear(&safe);
    }
}

static void comes_back(const struct pb_table *t, char separator)
{
    struct pb_table back;
    struct pb_buf out;
    size_t at = 1;
    pb_buf_init(&out, (size_t)1 << 24);
    pb_buf_adds(&out, "head\r\n"); /* before what may look like a byte order mark */
    write(t, separator, &out);
    for (const char *p = pb_buf_peek(&out); *p != '\0'; p++)
        MUST((unsigned char)*p >= ' ' || strchr("\r\n\t", *p) != NULL, "a control");
    FILE *in = fuzz_file(pb_buf_peek(&out), out.len);
    MUST(pb_table_read(in, "out", separator, &back, NULL) == PB_OK, "not read again");
    for (size_t r = 0; r < t->row_n; r++, at++) {
        MUST(at < back.row_n, "%zu rows come back as %zu", t->row_n, back.row_n);
        compare(t, r, &back, at);
    }
    MUST(at == back.row_n, "more rows than were written");
    pb_table_clear(&back);
    (void)fclose(in);
    pb_buf_clear(&out);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char separators[] = {'\0', ',', ';', '\t', '|'};
    struct pb_table t;
    struct pb_err err = {0};
    if (size == 0)
        return 0;
    char separator = separators[data[0] % sizeof(separators)];
    FILE *in = fuzz_file(data + 1, size - 1);
    if (pb_table_read(in, "in", separator, &t, &err) == PB_OK)
        comes_back(&t, t.separator == '|' ? ',' : t.separator);
    else
        MUST(err.text[0] != '\0', "refused without a word");
    pb_table_clear(&t);
    (void)fclose(in);
    return 0;
}
