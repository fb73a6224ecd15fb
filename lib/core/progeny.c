/* Names of seedlings.  See progeny.h. */
#include "core/progeny.h"

#include "core/taxon.h"

#include <string.h>

/* A parent's name: its text without the clone, and what is read of it. */
struct part {
    struct pb_taxon taxon;
    struct pb_buf text, key;
};

static void part_clear(struct part *p)
{
    pb_buf_clear(&p->text);
    pb_buf_clear(&p->key);
}

static enum pb_rc part_status(const struct part *p, struct pb_err *err)
{
    enum pb_rc rc = pb_buf_status(&p->text, err);
    return rc == PB_OK ? pb_buf_status(&p->key, err) : rc;
}

static void add_trimmed(const char *from, const char *to, struct pb_buf *out)
{
    while (from < to && *from == ' ')
        from++;
    while (to > from && to[-1] == ' ')
        to--;
    if (from < to && out->len > 0)
        pb_buf_addc(out, ' ');
    pb_buf_add(out, from, (size_t)(to - from));
}

/* Bytes of the quote that ends before p: ' or ", else one of the curly ones. */
static ptrdiff_t quote_before(const char *p)
{
    return p[-1] == '\'' || p[-1] == '"' ? 1 : 3;
}

static void read_part(const char *text, struct part *p)
{
    pb_buf_init(&p->text, PB_MAX_NAME);
    pb_buf_init(&p->key, PB_MAX_NAME);
    pb_taxon_parse(text, &p->taxon);
    const struct pb_slice clone = p->taxon.names[0].clone;
    const char *end = text + strlen(text);
    if (p->taxon.formula || clone.n == 0) {
        pb_buf_adds(&p->text, text);
    } else {
        const char *behind = clone.p + clone.n;
        add_trimmed(text, clone.p - quote_before(clone.p), &p->text);
        add_trimmed(behind + (*behind == '\'' || *behind == '"' ? 1 : 3), end,
                    &p->text);
    }
    pb_taxon_key(pb_buf_peek(&p->text), &p->key);
}

/* Do both stand for the same species, or the same genus where no more is written?  Plants of
 * one registered cross do not: what they give is another cross. */
static bool is_same(const struct part *a, const struct part *b)
{
    const struct pb_taxon_name *x = &a->taxon.names[0], *y = &b->taxon.names[0];
    return !a->taxon.formula && !b->taxon.formula && x->genus.n > 0 && x->grex.n == 0 &&
           y->grex.n == 0 && strcmp(pb_buf_peek(&a->key), pb_buf_peek(&b->key)) == 0;
}

static void add_parent(const char *text, bool brief, struct pb_buf *out)
{
    struct pb_taxon taxon;
    pb_taxon_parse(text != NULL ? text : "", &taxon);
    const struct pb_taxon_name *name = &taxon.names[0];
    if (text == NULL)
        pb_buf_adds(out, "unknown");
    else if (taxon.formula)
        pb_buf_printf(out, "(%s)", text);
    else if (brief && name->genus.n > 0 && name->species.n > 0)
        pb_buf_printf(out, "%c. %s", name->genus.p[0], name->species.p);
    else
        pb_buf_adds(out, text);
}

void pb_parents_formula(const char *seed, const char *pollen, bool brief,
                        struct pb_buf *out)
{
    if (brief && seed != NULL && pollen != NULL && strcmp(seed, pollen) == 0) {
        pb_buf_adds(out, seed);
        return;
    }
    add_parent(seed, brief, out);
    pb_buf_adds(out, " × ");
    add_parent(pollen, brief, out);
}

/* The registered name, with the genus that it is understood of; false: there is none that
 * can be told. */
static bool add_grex(const char *grex, const struct part *seed,
                     const struct part *pollen, struct pb_buf *out)
{
    struct pb_taxon named;
    struct pb_slice genus = seed->taxon.names[0].genus;
    if (grex == NULL || genus.n == 0 || !pb_taxon_is_one_genus(&seed->taxon) ||
        !pb_taxon_is_one_genus(&pollen->taxon) ||
        !pb_slice_casequal(genus, pollen->taxon.names[0].genus))
        return false;
    pb_taxon_parse(grex, &named);
    if (!pb_slice_casequal(named.names[0].genus, genus)) {
        pb_buf_add(out, genus.p, genus.n);
        pb_buf_addc(out, ' ');
    }
    pb_buf_adds(out, grex);
    return true;
}

/* The name of the pollen parent; NULL: it is not known, or it is one of several of
 * different names. */
static const char *pollen_name(const struct pb_cross *x)
{
    const char *name = x->pollen_n > 0 ? x->pollen[0].parent.taxon : NULL;
    for (size_t i = 1; i < x->pollen_n && name != NULL; i++) {
        const char *other = x->pollen[i].parent.taxon;
        if (other == NULL || strcmp(other, name) != 0)
            name = NULL;
    }
    return name;
}

static void add_name(const struct pb_cross *x, const struct part *seed,
                     const struct part *pollen, struct pb_buf *out)
{
    bool known = pollen_name(x) != NULL;
    if (known && is_same(seed, pollen)) {
        bool alike = strcmp(pb_buf_peek(&seed->text), pb_buf_peek(&pollen->text)) == 0;
        pb_buf_adds(out, pb_buf_peek(alike ? &seed->text : &seed->key));
    } else if (!known || !add_grex(x->grex, seed, pollen, out)) {
        pb_parents_formula(pb_buf_peek(&seed->text), pb_buf_peek(&pollen->text), false,
                           out);
    }
}

enum pb_rc pb_progeny_taxon(const struct pb_cross *x, struct pb_buf *out,
                            struct pb_err *err)
{
    struct part seed, pollen;
    const char *name = pollen_name(x);
    read_part(x->seed.taxon != NULL ? x->seed.taxon : "unknown", &seed);
    read_part(name != NULL ? name : "unknown", &pollen);
    enum pb_rc rc = part_status(&seed, err);
    if (rc == PB_OK)
        rc = part_status(&pollen, err);
    if (rc == PB_OK)
        add_name(x, &seed, &pollen, out);
    part_clear(&seed);
    part_clear(&pollen);
    return rc == PB_OK ? pb_buf_status(out, err) : rc;
}
