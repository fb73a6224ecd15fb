/*
 * A taxon taken apart.  See taxon.h.
 *
 * Two passes: signs cut the text into names, then each name is read word by word.  A sign
 * inside quotes, at the head of a name (hybrid genus) or between a bare genus and a
 * lower-case word (a species-like hybrid name) does not cut.
 */
#include "core/taxon.h"

#include "base/text.h"

#include <string.h>

/* The multiplication sign U+00D7, and the quotes U+2018 and U+2019. */
#define TIMES       "\xC3\x97"
#define QUOTE_OPEN  "\xE2\x80\x98"
#define QUOTE_CLOSE "\xE2\x80\x99"

/* Words that say that no species follows. */
static const char *const no_species[] = {
    "sp",    "spp", "species", "cf",  "aff",   "hyb", "hybrid", "hybrids", "f",
    "forma", "fma", "var",     "ssp", "subsp", "cv",  "indet",  "ex",      "unknown",
};

static bool starts(const char *p, const char *end, const char *with)
{
    size_t n = strlen(with);
    return (size_t)(end - p) >= n && *p == *with && memcmp(p, with, n) == 0;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool is_bracket(char c)
{
    return c == '(' || c == ')' || c == '[' || c == ']' || c == '{' || c == '}';
}

static bool is_upper(char c)
{
    return c >= 'A' && c <= 'Z';
}

static bool is_lower(char c)
{
    return c >= 'a' && c <= 'z';
}

/* A letter, or part of one outside ASCII. */
static bool is_letter(char c)
{
    return is_upper(c) || is_lower(c) || ((unsigned char)c & 0x80U) != 0;
}

static const char *skip_blanks(const char *p, const char *end)
{
    while (p < end && is_blank(*p))
        p++;
    return p;
}

/* Bytes of a quote mark here, 0: none. */
static size_t quote_at(const char *p, const char *end)
{
    if (p < end && (*p == '\'' || *p == '"'))
        return 1;
    return starts(p, end, QUOTE_OPEN) || starts(p, end, QUOTE_CLOSE) ? 3 : 0;
}

static bool ends_word(const char *p, const char *end)
{
    return p == end || is_blank(*p) || is_bracket(*p);
}

/*
 * Bytes of the sign at p, 0: none.  begin is the start of the text: an x counts only where
 * it stands alone; a run of × is one sign.
 */
static size_t sign_at(const char *begin, const char *p, const char *end)
{
    const char *q = p;
    while (starts(q, end, TIMES))
        q += 2;
    if (q > p)
        return (size_t)(q - p);
    bool alone = p == begin || is_blank(p[-1]) || is_bracket(p[-1]);
    while (alone && q < end && q < p + 2 && (*q == 'x' || *q == 'X'))
        q++;
    return q > p && ends_word(q, end) ? (size_t)(q - p) : 0;
}

/* The mark that closes the quote at p: the first that ends a word, so that an apostrophe
 * inside stays inside.  NULL: none. */
static const char *quote_close(const char *p, const char *end)
{
    for (p += quote_at(p, end); p < end; p++) {
        size_t n = quote_at(p, end);
        if (n > 0 && (ends_word(p + n, end) || starts(p + n, end, TIMES)))
            return p;
    }
    return NULL;
}

/* Where a word begins with a quote that is closed later. */
static bool opens_quote(const char *begin, const char *p, const char *end)
{
    return quote_at(p, end) > 0 &&
           (p == begin || is_blank(p[-1]) || is_bracket(p[-1])) &&
           quote_close(p, end) != NULL;
}

/* The word at p: up to a blank, a bracket or a sign. */
static struct pb_slice word_at(const char *p, const char *end)
{
    const char *q = p;
    while (!ends_word(q, end) && !starts(q, end, TIMES))
        q++;
    return (struct pb_slice){p, (size_t)(q - p)};
}

static bool is_word(struct pb_slice w, const char *word)
{
    size_t n = w.n - (w.n > 0 && w.p[w.n - 1] == '.');
    return n == strlen(word) &&
           pb_slice_casequal((struct pb_slice){w.p, n}, (struct pb_slice){word, n});
}

static bool says_no_species(struct pb_slice w)
{
    for (size_t i = 0; i < PB_ARRAY_LEN(no_species); i++)
        if (is_word(w, no_species[i]))
            return true;
    return false;
}

/* From p up to a bracket or an opening quote, without blanks at the end. */
static struct pb_slice words_from(const char *p, const char *end)
{
    const char *q = p;
    while (q < end && !is_bracket(*q) && !opens_quote(p, q, end))
        q++;
    while (q > p && is_blank(q[-1]))
        q--;
    return (struct pb_slice){p, (size_t)(q - p)};
}

static struct pb_slice clone_in(const char *begin, const char *end)
{
    for (const char *p = begin; p < end; p++)
        if (opens_quote(begin, p, end)) {
            const char *from = p + quote_at(p, end);
            return (struct pb_slice){from, (size_t)(quote_close(p, end) - from)};
        }
    return (struct pb_slice){end, 0};
}

/* The start of the genus, past blanks, opening brackets and a sign of its own. */
static const char *genus_start(const char *begin, const char *end, bool *hybrid)
{
    const char *p = begin;
    while (p < end && (is_blank(*p) || is_bracket(*p)))
        p++;
    size_t n = sign_at(p, p, end);
    if (n == 0 && p + 1 < end && *p == 'x' && is_upper(p[1]))
        n = 1;
    *hybrid = n > 0;
    return skip_blanks(p + n, end);
}

static struct pb_taxon_name read_name(const char *begin, const char *end)
{
    struct pb_taxon_name name = {.clone = clone_in(begin, end)};
    const char *p = genus_start(begin, end, &name.hybrid_genus);
    if (p == end || !is_letter(*p) || quote_at(p, end) > 0)
        return name;
    name.genus = word_at(p, end);
    p = skip_blanks(p + name.genus.n, end);
    p = skip_blanks(p + sign_at(p, p, end), end);
    struct pb_slice word = word_at(p, end);
    if (word.n == 0 || quote_at(p, end) > 0 || says_no_species(word))
        return name;
    if (is_upper(*p))
        name.grex = words_from(p, end);
    else if (is_letter(*p))
        name.species = word;
    return name;
}

/* Has the name read so far a genus and nothing behind it? */
static bool is_bare_genus(const char *begin, const char *end)
{
    struct pb_taxon_name name = read_name(begin, end);
    return name.genus.n > 0 && skip_blanks(name.genus.p + name.genus.n, end) == end;
}

static bool is_self_or_sib(const char *p, const char *end)
{
    struct pb_slice w = word_at(skip_blanks(p, end), end);
    return is_word(w, "self") || is_word(w, "sib");
}

/* Does the sign between the name that began at begin and the rest make a formula? */
static bool cuts(const char *begin, const char *sign, const char *after,
                 const char *end)
{
    bool hybrid = false;
    if (genus_start(begin, sign, &hybrid) == sign)
        return false; /* the mark of a hybrid genus */
    const char *next = skip_blanks(after, end);
    bool epithet = next < end && is_lower(*next) && !is_self_or_sib(next, end) &&
                   sign_at(next, next, end) == 0 &&
                   !(*next == 'x' && is_upper(next[1]));
    return !(epithet && is_bare_genus(begin, sign));
}

/* "A. b × c" and "Aa b × A. c": the genus of the name before is understood. */
static void understand_genus(struct pb_taxon_name *name, struct pb_slice before)
{
    if (name->genus.n == 0 || before.n == 0)
        return;
    bool initial = name->genus.n == 2 && name->genus.p[1] == '.' &&
                   name->genus.p[0] == before.p[0];
    bool epithet = is_lower(name->genus.p[0]) && name->species.n == 0;
    if (!initial && !epithet)
        return;
    if (epithet)
        name->species = name->genus;
    name->genus = before;
}

static void add_name(struct pb_taxon *taxon, const char *begin, const char *end)
{
    if (taxon->formula && is_self_or_sib(begin, end))
        return;
    if (taxon->name_n < PB_TAXON_NAMES) {
        struct pb_taxon_name *name = &taxon->names[taxon->name_n];
        *name = read_name(begin, end);
        if (taxon->name_n > 0)
            understand_genus(name, name[-1].genus);
    }
    taxon->name_n++;
}

void pb_taxon_parse(const char *text, struct pb_taxon *taxon)
{
    memset(taxon, 0, sizeof(*taxon));
    const char *end = text + strlen(text), *begin = text;
    for (const char *p = text; p < end;) {
        size_t sign = sign_at(text, p, end);
        if (opens_quote(text, p, end)) {
            p = quote_close(p, end);
            p += quote_at(p, end);
        } else if (sign > 0 && cuts(begin, p, p + sign, end)) {
            add_name(taxon, begin, p);
            taxon->formula = true;
            p = begin = p + sign;
        } else {
            p += sign > 0 ? sign : 1;
        }
    }
    add_name(taxon, begin, end);
}

bool pb_slice_equal(struct pb_slice a, struct pb_slice b)
{
    return a.n == b.n && (a.n == 0 || memcmp(a.p, b.p, a.n) == 0);
}

static unsigned char lower(char c)
{
    return is_upper(c) ? (unsigned char)(c - 'A' + 'a') : (unsigned char)c;
}

bool pb_slice_casequal(struct pb_slice a, struct pb_slice b)
{
    if (a.n != b.n)
        return false;
    for (size_t i = 0; i < a.n; i++)
        if (lower(a.p[i]) != lower(b.p[i]))
            return false;
    return true;
}

bool pb_taxon_is_one_genus(const struct pb_taxon *taxon)
{
    if (taxon->name_n > PB_TAXON_NAMES)
        return false;
    for (size_t i = 1; i < taxon->name_n; i++)
        if (!pb_slice_casequal(taxon->names[i].genus, taxon->names[0].genus))
            return false;
    return true;
}

/* Letters and hyphens, the first a capital, to the end of the slice. */
static bool is_genus_name(struct pb_slice name)
{
    for (size_t i = 0; i < name.n; i++)
        if (!is_letter(name.p[i]) && name.p[i] != '-')
            return false;
    return name.n > 0 && is_upper(name.p[0]);
}

bool pb_taxon_is_genus(const char *text)
{
    struct pb_taxon t;
    pb_taxon_parse(text, &t);
    struct pb_slice genus = t.names[0].genus;
    return !t.formula && genus.n == strlen(text) && is_genus_name(genus);
}

bool pb_taxon_is_plain(const char *text)
{
    struct pb_taxon t;
    pb_taxon_parse(text, &t);
    const struct pb_taxon_name *name = &t.names[0];
    struct pb_slice rest = name->species.n > 0 ? name->species : name->grex;
    if (t.formula || rest.n == 0)
        return pb_taxon_is_genus(text);
    return is_genus_name(name->genus) && name->genus.p == text &&
           rest.p == text + name->genus.n + 1 && rest.p + rest.n == text + strlen(text);
}

void pb_taxon_key(const char *text, struct pb_buf *out)
{
    struct pb_taxon taxon;
    pb_taxon_parse(text, &taxon);
    const struct pb_taxon_name *name = &taxon.names[0];
    if (taxon.formula || name->genus.n == 0) {
        pb_buf_adds(out, text);
        return;
    }
    for (size_t i = 0; i < name->genus.n; i++) {
        char c = name->genus.p[i];
        bool upper = c >= 'A' && c <= 'Z', low = c >= 'a' && c <= 'z';
        if (i == 0 && low)
            c = (char)(c - 'a' + 'A');
        else if (i > 0 && upper)
            c = (char)(c - 'A' + 'a');
        pb_buf_addc(out, c);
    }
    struct pb_slice part = name->species.n > 0 ? name->species : name->grex;
    if (part.n > 0) {
        pb_buf_addc(out, ' ');
        pb_buf_add(out, part.p, part.n);
    }
}
