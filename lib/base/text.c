/* Text: UTF-8 checks, terminal safety, strict numbers, edit distance.  See text.h. */
#include "base/text.h"

#include "base/limits.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Bytes of the character that begins with this one; 0: none begins so. */
static size_t length_of(unsigned char c)
{
    if (c < 0x80U)
        return 1;
    if (c < 0xC2U)
        return 0;
    if (c < 0xE0U)
        return 2;
    if (c < 0xF0U)
        return 3;
    return c < 0xF5U ? 4 : 0;
}

size_t pb_text_decode(const char *p, size_t n, uint32_t *cp)
{
    const unsigned char *s = (const unsigned char *)p;
    unsigned char c = s[0];
    size_t need = length_of(c);
    if (need == 0 || need > n)
        return 0;
    uint32_t v = need == 1 ? c : c & (0xFFU >> (need + 1));
    for (size_t i = 1; i < need; i++) {
        if ((s[i] & 0xC0U) != 0x80U)
            return 0;
        v = (v << 6) | (s[i] & 0x3FU);
    }
    bool overlong = (need == 3 && v < 0x800U) || (need == 4 && v < 0x10000U);
    if (overlong || (v >= 0xD800U && v <= 0xDFFFU) || v > 0x10FFFFU)
        return 0;
    *cp = v;
    return need;
}

bool pb_text_is_control(uint32_t cp)
{
    return cp < 0x20U || (cp >= 0x7FU && cp <= 0x9FU) || cp == 0x061CU ||
           (cp >= 0x200EU && cp <= 0x200FU) || (cp >= 0x2028U && cp <= 0x202EU) ||
           (cp >= 0x2066U && cp <= 0x2069U) || cp == 0xFEFFU;
}

size_t pb_text_plain(const char *p, size_t n)
{
    size_t i = 0;
    while (i < n && p[i] >= ' ' && p[i] <= '~')
        i++;
    return i;
}

enum pb_rc pb_text_check(const char *what, const char *text, size_t max,
                         struct pb_err *err)
{
    size_t len = strlen(text);
    if (len == 0)
        return pb_fail_at(err, PB_EPARSE, what, 0, "is empty; leave it out instead");
    if (len > max)
        return pb_fail_at(err, PB_ELIMIT, what, 0, "is %zu bytes long, at most %zu fit",
                          len, max);
    for (size_t i = pb_text_plain(text, len); i < len;
         i += pb_text_plain(text + i, len - i)) {
        uint32_t cp = 0;
        size_t n = pb_text_decode(text + i, len - i, &cp);
        if (n == 0)
            return pb_fail_at(err, PB_EPARSE, what, 0,
                              "is not UTF-8 at byte %zu; save it as UTF-8", i + 1);
        if (pb_text_is_control(cp))
            return pb_fail_at(err, PB_EPARSE, what, 0,
                              "holds the control character U+%04X at byte %zu; "
                              "take it out",
                              (unsigned)cp, i + 1);
        i += n;
    }
    if (text[0] == ' ' || text[len - 1] == ' ')
        return pb_fail_at(err, PB_EPARSE, what, 0, "begins or ends with a blank");
    return PB_OK;
}

/* Columns of one code point: marks take none, wide East Asian characters two.  Ranges:
 * the Unicode blocks of combining marks and the wide blocks of UAX #11, from memory. */
static size_t cols_of(uint32_t cp)
{
    static const struct {
        uint32_t from, to;
        size_t cols;
    } rows[] = {
        {0x0300,  0x036F,  0},
        {0x1AB0,  0x1AFF,  0},
        {0x1DC0,  0x1DFF,  0},
        {0x200B,  0x200D,  0},
        {0x20D0,  0x20FF,  0},
        {0xFE00,  0xFE0F,  0},
        {0xFE20,  0xFE2F,  0},
        {0x1100,  0x115F,  2},
        {0x2E80,  0x303E,  2},
        {0x3041,  0xA4CF,  2},
        {0xAC00,  0xD7A3,  2},
        {0xF900,  0xFAFF,  2},
        {0xFF00,  0xFF60,  2},
        {0xFFE0,  0xFFE6,  2},
        {0x1F300, 0x1FAFF, 2},
        {0x20000, 0x3FFFD, 2},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        if (cp >= rows[i].from && cp <= rows[i].to)
            return rows[i].cols;
    return 1;
}

/* The next character: its length and columns; a bad byte is one of each. */
static size_t step(const char *p, size_t n, size_t *cols)
{
    uint32_t cp = 0;
    size_t len = pb_text_decode(p, n, &cp);
    *cols = len == 0 ? 1 : cols_of(cp);
    return len == 0 ? 1 : len;
}

size_t pb_text_cols(const char *text)
{
    size_t len = strlen(text), i = pb_text_plain(text, len), sum = i;
    while (i < len) {
        size_t cols = 0;
        i += step(text + i, len - i, &cols);
        size_t plain = pb_text_plain(text + i, len - i);
        i += plain;
        sum += cols + plain;
    }
    return sum;
}

size_t pb_text_escape_first(const char *text, size_t len, char to[PB_TEXT_ESCAPED])
{
    uint32_t cp = 0;
    size_t n = pb_text_decode(text, len, &cp);
    if (n == 0)
        (void)snprintf(to, PB_TEXT_ESCAPED, "\\x%02X", (unsigned)(unsigned char)*text);
    else if (pb_text_is_control(cp))
        (void)snprintf(to, PB_TEXT_ESCAPED, "\\u{%X}", (unsigned)cp);
    else {
        memcpy(to, text, n);
        to[n] = '\0';
    }
    return n == 0 ? 1 : n;
}

void pb_text_escape(struct pb_buf *out, const char *text)
{
    char piece[PB_TEXT_ESCAPED];
    size_t len = strlen(text);
    for (size_t i = 0; i < len;) {
        size_t plain = pb_text_plain(text + i, len - i);
        pb_buf_add(out, text + i, plain);
        i += plain;
        if (i == len)
            return;
        i += pb_text_escape_first(text + i, len - i, piece);
        pb_buf_adds(out, piece);
    }
}

size_t pb_text_head(const char *text, size_t cols)
{
    size_t len = strlen(text), used = 0, i = 0;
    while (i < len) {
        size_t w = 0, n = step(text + i, len - i, &w);
        if (used + w > cols)
            break;
        used += w;
        i += n;
    }
    return i;
}

void pb_text_clip(struct pb_buf *out, const char *text, size_t cols)
{
    if (pb_text_cols(text) <= cols) {
        pb_buf_adds(out, text);
        return;
    }
    if (cols == 0)
        return;
    pb_buf_add(out, text, pb_text_head(text, cols - 1));
    pb_buf_adds(out, "…");
}

static unsigned char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (unsigned char)(c - 'A' + 'a') : (unsigned char)c;
}

int pb_text_casecmp(const char *a, const char *b)
{
    while (*a != '\0' && lower(*a) == lower(*b)) {
        a++;
        b++;
    }
    return (int)lower(*a) - (int)lower(*b);
}

bool pb_text_equal(const char *a, const char *b)
{
    if (a == NULL || b == NULL)
        return a == b;
    return strcmp(a, b) == 0;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

enum pb_rc pb_parse_int(const char *what, const char *text, int64_t low, int64_t high,
                        int64_t *value, struct pb_err *err)
{
    bool negative = text[0] == '-';
    const char *p = text + (negative || text[0] == '+');
    int64_t v = 0;
    bool over = false;
    if (!is_digit(*p))
        return pb_fail_at(err, PB_EPARSE, what, 0,
                          "expected a whole number from %lld to %lld, got \"%s\"",
                          (long long)low, (long long)high, text);
    for (; is_digit(*p); p++) {
        int digit = *p - '0';
        if (v > (INT64_MAX - digit) / 10)
            over = true;
        else
            v = v * 10 + digit;
    }
    if (*p != '\0')
        return pb_fail_at(err, PB_EPARSE, what, 0,
                          "expected a whole number from %lld to %lld, got \"%s\"",
                          (long long)low, (long long)high, text);
    v = negative ? -v : v;
    if (over || v < low || v > high)
        return pb_fail_at(err, PB_ELIMIT, what, 0,
                          "expected a whole number from %lld to %lld, got %s",
                          (long long)low, (long long)high, text);
    *value = v;
    return PB_OK;
}

enum pb_rc pb_parse_decimal(const char *what, const char *text, double low, double high,
                            double *value, struct pb_err *err)
{
    const char *p = text + (text[0] == '-');
    double v = 0, unit = 1;
    size_t digits = 0;
    for (; is_digit(*p) && digits < 15; p++, digits++)
        v = v * 10 + (*p - '0');
    if (*p == '.' && digits > 0)
        for (p++; is_digit(*p) && digits < 15; p++, digits++) {
            v = v * 10 + (*p - '0');
            unit *= 10;
        }
    char from[PB_NUMBER_TEXT], to[PB_NUMBER_TEXT];
    (void)pb_text_number(low, from);
    (void)pb_text_number(high, to);
    if (*p != '\0' || digits == 0 || !is_digit(p[-1]))
        return pb_fail_at(err, PB_EPARSE, what, 0,
                          "expected a number from %s to %s, got \"%s\"", from, to,
                          text);
    v = (text[0] == '-' ? -v : v) / unit;
    if (v < low || v > high)
        return pb_fail_at(err, PB_ELIMIT, what, 0,
                          "expected a number from %s to %s, got %s", from, to, text);
    *value = v;
    return PB_OK;
}

/* The locale's own decimal point is whatever stands where a number has none of these; it
 * may be more than one byte. */
const char *pb_text_number(double value, char text[PB_NUMBER_TEXT])
{
    static const char plain[] = "0123456789+-einfa";
    (void)snprintf(text, PB_NUMBER_TEXT, "%g", value);
    char *point = text + strspn(text, plain);
    if (*point != '\0') {
        char *after = point + strcspn(point, plain);
        *point = '.';
        memmove(point + 1, after, strlen(after) + 1);
    }
    return text;
}

static unsigned min2(unsigned a, unsigned b)
{
    return a < b ? a : b;
}

unsigned pb_text_distance(const char *a, const char *b, unsigned limit)
{
    enum { WIDE = 65 };
    size_t na = strlen(a), nb = strlen(b);
    if (na >= WIDE || nb >= WIDE)
        return pb_text_casecmp(a, b) == 0 ? 0 : limit + 1;
    unsigned row[3][WIDE]; /* the last two rows and the one being filled */
    unsigned *before = row[0], *last = row[1], *now = row[2];
    for (size_t j = 0; j <= nb; j++)
        last[j] = (unsigned)j;
    memcpy(before, last, sizeof(row[0]));
    for (size_t i = 1; i <= na; i++) {
        now[0] = (unsigned)i;
        for (size_t j = 1; j <= nb; j++) {
            unsigned cost = lower(a[i - 1]) != lower(b[j - 1]);
            now[j] = min2(min2(last[j] + 1, now[j - 1] + 1), last[j - 1] + cost);
            if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) &&
                lower(a[i - 2]) == lower(b[j - 1]))
                now[j] = min2(now[j], before[j - 2] + 1);
        }
        unsigned *spare = before;
        before = last;
        last = now;
        now = spare;
    }
    return min2(last[nb], limit + 1);
}

unsigned pb_text_slips(const char *text)
{
    return strlen(text) < 5 ? 1 : 2;
}

const char *pb_text_nearest(const char *text, const char *const *words, size_t n)
{
    const char *best = NULL;
    const unsigned limit = pb_text_slips(text);
    const size_t len = strlen(text); /* as many slips leave nothing of it */
    unsigned least = len > limit ? limit + 1 : (unsigned)len;
    for (size_t i = 0; i < n; i++) {
        unsigned d = words[i] == NULL ? least : pb_text_distance(text, words[i], limit);
        if (d < least) {
            least = d;
            best = words[i];
        }
    }
    return best;
}

char *pb_text_copy(const char *text)
{
    if (text == NULL)
        return NULL;
    size_t n = strlen(text) + 1;
    char *copy = malloc(n);
    if (copy != NULL)
        memcpy(copy, text, n);
    return copy;
}
