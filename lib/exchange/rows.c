/* Rows as JSON.  See rows.h.  Lists may be long, so what is plain is written here;
 * whatever needs care - escapes, UTF-8, JSON that is there already - is jansson's. */
#include "exchange/rows.h"

#include "exchange/json_memory.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

enum { DIGITS_MAX = 15 };

/* A value of jansson's; NULL is what jansson would not take, or had no memory for: failures
 * were as many before it was made. */
static enum pb_rc add_value(json_t *value, unsigned failures, const char *key,
                            struct pb_buf *out, struct pb_err *err)
{
    if (value == NULL)
        return pb_json_failures() != failures
                   ? pb_fail_memory(err)
                   : pb_fail(err, PB_EPARSE, "%s cannot be written as JSON", key);
    int failed = json_dump_callback(value, pb_json_append, out,
                                    JSON_COMPACT | JSON_ENCODE_ANY |
                                        JSON_REAL_PRECISION(DIGITS_MAX));
    json_decref(value);
    return failed != 0 || pb_json_failures() != failures ? pb_fail_memory(err) : PB_OK;
}

/* Bytes that stand for themselves in a JSON text: ASCII without controls, " and \. */
static size_t plain_length(const char *text)
{
    size_t n = 0;
    while (text[n] >= ' ' && text[n] <= '~' && text[n] != '"' && text[n] != '\\')
        n++;
    return n;
}

static enum pb_rc add_text(const char *text, const char *key, struct pb_buf *out,
                           struct pb_err *err)
{
    size_t n = plain_length(text);
    const unsigned failures = pb_json_failures();
    if (text[n] != '\0')
        return add_value(json_string(text), failures, key, out, err);
    pb_buf_addc(out, '"');
    pb_buf_add(out, text, n);
    pb_buf_addc(out, '"');
    return PB_OK;
}

static void add_integer(int64_t number, struct pb_buf *out)
{
    char text[24], *at = text + sizeof(text);
    uint64_t left = number < 0 ? (uint64_t)(-(number + 1)) + 1 : (uint64_t)number;
    do {
        *--at = (char)('0' + left % 10);
        left /= 10;
    } while (left > 0);
    if (number < 0)
        *--at = '-';
    pb_buf_add(out, at, (size_t)(text + sizeof(text) - at));
}

/* A number of so many units of 10^-digits, without the zeros at its end. */
static void add_units(double real, double units, int digits, struct pb_buf *out)
{
    char text[DIGITS_MAX];
    uint64_t left = (uint64_t)units;
    int n = digits;
    for (int i = digits - 1; i >= 0; i--) {
        text[i] = (char)('0' + left % 10);
        left /= 10;
    }
    while (n > 0 && text[n - 1] == '0')
        n--;
    if (real < 0 && units > 0)
        pb_buf_addc(out, '-');
    add_integer((int64_t)left, out);
    pb_buf_addc(out, '.');
    pb_buf_add(out, n > 0 ? text : "0", n > 0 ? (size_t)n : 1);
}

/* A real rounded to its digits, in as many as it needs. */
static enum pb_rc add_real(const struct pb_cell *c, const char *key, struct pb_buf *out,
                           struct pb_err *err)
{
    static const double unit[DIGITS_MAX + 1] = {1e0,  1e1,  1e2,  1e3, 1e4,  1e5,
                                                1e6,  1e7,  1e8,  1e9, 1e10, 1e11,
                                                1e12, 1e13, 1e14, 1e15};
    if (!isfinite(c->real)) {
        pb_buf_adds(out, "null");
        return PB_OK;
    }
    double units = round(fabs(c->real) * unit[c->digits]);
    if (units < unit[DIGITS_MAX]) { /* exact in a double */
        add_units(c->real, units, c->digits, out);
        return PB_OK;
    }
    const unsigned failures = pb_json_failures();
    return add_value(json_real(c->real), failures, key, out, err);
}

static enum pb_rc add_cell(const struct pb_cell *c, const char *key, struct pb_buf *out,
                           struct pb_err *err)
{
    const unsigned failures = pb_json_failures();
    json_t *value = NULL;
    bool no_memory = false;
    switch (c->kind) {
    case PB_CELL_NULL:
        pb_buf_adds(out, "null");
        break;
    case PB_CELL_TEXT:
        return add_text(c->text, key, out, err);
    case PB_CELL_INT:
        add_integer(c->number, out);
        break;
    case PB_CELL_REAL:
        return add_real(c, key, out, err);
    case PB_CELL_BOOL:
        pb_buf_adds(out, c->number != 0 ? "true" : "false");
        break;
    case PB_CELL_JSON:
        value =
            pb_json_loadb(c->text, strlen(c->text),
                          JSON_DECODE_ANY | JSON_REJECT_DUPLICATES, NULL, &no_memory);
        return no_memory ? pb_fail_memory(err)
                         : add_value(value, failures, key, out, err);
    }
    return PB_OK;
}

enum pb_rc pb_text_write(const char *text, struct pb_buf *out, struct pb_err *err)
{
    enum pb_rc rc = add_text(text, "a text", out, err);
    return rc == PB_OK ? pb_buf_status(out, err) : rc;
}

enum pb_rc pb_row_write(const char *const *keys, const struct pb_cell *cells, size_t n,
                        struct pb_buf *out, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < n && rc == PB_OK; i++) {
        pb_buf_addc(out, i > 0 ? ',' : '{');
        rc = add_text(keys[i], keys[i], out, err);
        pb_buf_addc(out, ':');
        if (rc == PB_OK)
            rc = add_cell(&cells[i], keys[i], out, err);
    }
    pb_buf_adds(out, n > 0 ? "}" : "{}");
    return rc == PB_OK ? pb_buf_status(out, err) : rc;
}
