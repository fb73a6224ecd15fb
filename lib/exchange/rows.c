/* Rows as JSON.  See rows.h. */
#include "exchange/rows.h"

#include <jansson.h>
#include <math.h>

/* A real rounded to its digits; jansson writes the shortest form of up to 15. */
static json_t *real_value(const struct pb_cell *c)
{
    double unit = pow(10, c->digits);
    if (!isfinite(c->real))
        return json_null();
    return json_real(round(c->real * unit) / unit);
}

static json_t *cell_value(const struct pb_cell *c)
{
    switch (c->kind) {
    case PB_CELL_NULL:
        return json_null();
    case PB_CELL_TEXT:
        return json_string(c->text);
    case PB_CELL_INT:
        return json_integer(c->number);
    case PB_CELL_REAL:
        return real_value(c);
    case PB_CELL_BOOL:
        return json_boolean(c->number != 0);
    case PB_CELL_JSON:
        return json_loads(c->text, JSON_DECODE_ANY | JSON_REJECT_DUPLICATES, NULL);
    }
    return NULL;
}

static int add_bytes(const char *bytes, size_t n, void *out)
{
    pb_buf_add(out, bytes, n);
    return 0;
}

enum pb_rc pb_row_write(const char *const *keys, const struct pb_cell *cells, size_t n,
                        struct pb_buf *out, struct pb_err *err)
{
    json_t *row = json_object();
    enum pb_rc rc = row != NULL ? PB_OK : pb_fail_memory(err);
    for (size_t i = 0; i < n && rc == PB_OK; i++) {
        json_t *value = cell_value(&cells[i]);
        if (value == NULL)
            rc = pb_fail(err, PB_EPARSE, "%s cannot be written as JSON", keys[i]);
        else if (json_object_set_new(row, keys[i], value) != 0)
            rc = pb_fail_memory(err);
    }
    if (rc == PB_OK && json_dump_callback(row, add_bytes, out,
                                          JSON_COMPACT | JSON_REAL_PRECISION(15)) != 0)
        rc = pb_fail_memory(err);
    json_decref(row);
    return rc == PB_OK ? pb_buf_status(out, err) : rc;
}
