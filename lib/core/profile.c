/*
 * Which row of the timing profiles serves a taxon.  See profile.h.
 *
 * A name is looked up as "Genus" or "Genus epithet" in the table's sorted entries.
 */
#include "core/profile.h"

#include "base/limits.h"
#include "base/text.h"
#include "core/taxon.h"

#include <string.h>

/* ORDER STAGE */
const char *const pb_stage_names[] = {
    "swelling", "harvest", "split",  "receptive", "pups",  "germination", "replate",
    "deflask",  "sow",     "callus", "water",     "roots", "pot",         "settled",
};
_Static_assert(PB_ARRAY_LEN(pb_stage_names) == PB_STAGE_N, "ORDER STAGE");

/* ORDER STAGE */
const char *const pb_stage_starts[] = {
    "pollination", "pollination", "pollination", "opening", "flowering over",
    "sowing",      "sowing",      "sowing",      "harvest", "cut",
    "cut",         "cut",         "cut",         "potting",
};
_Static_assert(PB_ARRAY_LEN(pb_stage_starts) == PB_STAGE_N, "ORDER STAGE");

/* ORDER CONFIDENCE */
const char *const pb_confidence_names[] = {"L", "M", "H"};
_Static_assert(PB_ARRAY_LEN(pb_confidence_names) == PB_CONFIDENCE_N,
               "ORDER CONFIDENCE");
/* ORDER CONFIDENCE */
const char *const pb_confidence_words[] = {"low confidence", "medium confidence",
                                           "high confidence"};
_Static_assert(PB_ARRAY_LEN(pb_confidence_words) == PB_CONFIDENCE_N,
               "ORDER CONFIDENCE");

/* Capsules that a window of that confidence counts for.  ORDER CONFIDENCE */
static const double weights[] = {2, 4, 6};
_Static_assert(PB_ARRAY_LEN(weights) == PB_CONFIDENCE_N, "ORDER CONFIDENCE");

/* ORDER LIST */
const char *const pb_profile_list_names[] = {"taxa", "part_of", "group_of", "measured"};
_Static_assert(PB_ARRAY_LEN(pb_profile_list_names) == PB_LIST_N, "ORDER LIST");

/* ORDER BASIS */
const char *const pb_basis_names[] = {"none",    "split", "chosen",
                                      "species", "genus", "group"};
_Static_assert(PB_ARRAY_LEN(pb_basis_names) == PB_BASIS_N, "ORDER BASIS");

/* ---- names and entries ------------------------------------------------------------- */

static unsigned char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (unsigned char)(c - 'A' + 'a') : (unsigned char)c;
}

int pb_taxon_name_cmp(const char *a, const char *b)
{
    while (*a != '\0' && *a != ' ' && lower(*a) == lower(*b)) {
        a++;
        b++;
    }
    /* in the genus a blank and the end both end it, and sort before every letter */
    bool a_in = *a != '\0' && *a != ' ', b_in = *b != '\0' && *b != ' ';
    return a_in || b_in ? (int)lower(*a) - (int)lower(*b) : strcmp(a, b);
}

int pb_profile_entry_cmp(const struct pb_profile_entry *a,
                         const struct pb_profile_entry *b)
{
    if (a->list != b->list)
        return a->list < b->list ? -1 : 1;
    int c = pb_taxon_name_cmp(a->taxon, b->taxon);
    if (c != 0)
        return c;
    return a->row < b->row ? -1 : a->row > b->row;
}

/* Genus, or genus and epithet, as entries write it; too long for any entry: empty. */
struct key {
    char text[PB_MAX_NAME + 1];
};

static struct key make_key(struct pb_slice genus, struct pb_slice rest)
{
    struct key key = {{0}};
    size_t n = genus.n + (rest.n > 0) + rest.n;
    if (genus.n == 0 || n > PB_MAX_NAME)
        return key;
    memcpy(key.text, genus.p, genus.n);
    if (rest.n > 0) {
        key.text[genus.n] = ' ';
        memcpy(key.text + genus.n + 1, rest.p, rest.n);
    }
    return key;
}

/* The first entry of a list under a key, out of *n that are alike. */
static const struct pb_profile_entry *entries_of(const struct pb_profile_table *table,
                                                 enum pb_profile_list list,
                                                 const struct key *key, size_t *n)
{
    const struct pb_profile_entry want = {key->text, list, 0};
    size_t low = 0, high = table->entry_n;
    while (low < high) {
        size_t mid = low + (high - low) / 2;
        if (pb_profile_entry_cmp(&table->entries[mid], &want) < 0)
            low = mid + 1;
        else
            high = mid;
    }
    const struct pb_profile_entry *first = table->entries + low;
    for (*n = 0; low + *n < table->entry_n; ++*n)
        if (first[*n].list != list ||
            pb_taxon_name_cmp(first[*n].taxon, key->text) != 0)
            break;
    return first;
}

static struct pb_slice slice_of(const char *text)
{
    return (struct pb_slice){text, strlen(text)};
}

static struct pb_slice synonym_in(const struct pb_profile_table *table,
                                  struct pb_slice genus)
{
    for (size_t i = 0; i < table->synonym_n; i++)
        if (pb_slice_casequal(slice_of(table->synonyms[i].from), genus))
            return slice_of(table->synonyms[i].to);
    return (struct pb_slice){NULL, 0};
}

/* The genus under its synonym, as the first table that has one gives it. */
static struct pb_slice accepted(const struct pb_profiles *ps, struct pb_slice genus)
{
    struct pb_slice other = {NULL, 0};
    if (ps->own != NULL)
        other = synonym_in(ps->own, genus);
    if (other.n == 0)
        other = synonym_in(ps->builtin, genus);
    return other.n > 0 ? other : genus;
}

bool pb_profile_same_taxon(const struct pb_profiles *ps, const char *a, const char *b)
{
    struct pb_taxon x, y;
    pb_taxon_parse(a, &x);
    pb_taxon_parse(b, &y);
    if (strcmp(a, b) == 0)
        return true;
    if (x.name_n != y.name_n || x.name_n > PB_TAXON_NAMES)
        return false;
    for (size_t i = 0; i < x.name_n; i++) {
        const struct pb_taxon_name *n = &x.names[i], *m = &y.names[i];
        if (n->genus.n == 0 || m->genus.n == 0)
            return false; /* no name at all: only the same text is the same */
        if (!pb_slice_casequal(accepted(ps, n->genus), accepted(ps, m->genus)) ||
            !pb_slice_casequal(n->species.n > 0 ? n->species : n->grex,
                               m->species.n > 0 ? m->species : m->grex))
            return false;
    }
    return true;
}

/* What a search runs with. */
struct search {
    const struct pb_profiles *ps;
    const struct pb_profile_table *tables[2]; /* in the order of their say */
    size_t table_n;
    struct pb_profile_match *m;
};

static struct search begin(const struct pb_profiles *ps, struct pb_profile_match *m)
{
    struct search s = {.ps = ps, .m = m};
    if (ps->own != NULL)
        s.tables[s.table_n++] = ps->own;
    s.tables[s.table_n++] = ps->builtin;
    return s;
}

/* Has a name of b the genus of one of a?  What has no genus has any. */
static bool shares_genus(const struct pb_profiles *ps, const struct pb_taxon *a,
                         const struct pb_taxon *b)
{
    bool shared = a->name_n > PB_TAXON_NAMES || b->name_n > PB_TAXON_NAMES;
    for (size_t i = 0; i < a->name_n && !shared; i++)
        for (size_t k = 0; k < b->name_n && !shared; k++) {
            struct pb_slice x = a->names[i].genus, y = b->names[k].genus;
            shared = x.n == 0 || y.n == 0 ||
                     pb_slice_casequal(accepted(ps, x), accepted(ps, y));
        }
    return shared;
}

bool pb_profile_may_give(const struct pb_profiles *ps, const char *seed,
                         const char *pollen, const char *taxon)
{
    struct pb_taxon a, b, c;
    pb_taxon_parse(seed, &a);
    pb_taxon_parse(pollen, &b);
    pb_taxon_parse(taxon, &c);
    bool hybrid = a.names[0].hybrid_genus || b.names[0].hybrid_genus ||
                  !pb_taxon_is_one_genus(&a) || !pb_taxon_is_one_genus(&b) ||
                  !shares_genus(ps, &a, &b);
    return (hybrid && c.names[0].hybrid_genus) || shares_genus(ps, &a, &c) ||
           shares_genus(ps, &b, &c);
}

/* The genus as written and its synonym (none: empty). */
static void spellings(const struct search *s, struct pb_slice genus,
                      struct pb_slice out[2])
{
    out[0] = genus;
    out[1] = (struct pb_slice){NULL, 0};
    for (size_t i = 0; i < s->table_n && out[1].n == 0; i++)
        out[1] = synonym_in(s->tables[i], genus);
}

/* Entries of a list for a genus and epithet under either spelling. */
static const struct pb_profile_entry *look_up(const struct search *s,
                                              const struct pb_profile_table *table,
                                              enum pb_profile_list list,
                                              const struct pb_taxon_name *name,
                                              struct pb_slice rest, size_t *n)
{
    struct pb_slice genus[2];
    spellings(s, name->genus, genus);
    const struct pb_profile_entry *first = NULL;
    *n = 0;
    for (size_t i = 0; i < 2 && *n == 0 && genus[i].n > 0; i++) {
        struct key key = make_key(genus[i], rest);
        first = entries_of(table, list, &key, n);
    }
    return *n > 0 ? first : NULL;
}

/* ---- the search -------------------------------------------------------------------- */

static struct pb_slice epithet(const struct pb_taxon_name *name)
{
    return name->species.n > 0 ? name->species : name->grex;
}

/* The row that names the species (grex); of a formula within a genus, all its species. */
static const struct pb_profile_entry *species_entry(
    const struct search *s, const struct pb_profile_table *table,
    const struct pb_taxon *taxon)
{
    size_t names = pb_taxon_is_one_genus(taxon) ? taxon->name_n : 1;
    const struct pb_profile_entry *found = NULL;
    for (size_t i = 0; i < names; i++) {
        const struct pb_taxon_name *name = &taxon->names[i];
        struct pb_slice rest = epithet(name);
        size_t n = 0;
        const struct pb_profile_entry *e =
            rest.n > 0 ? look_up(s, table, PB_LIST_TAXA, name, rest, &n) : NULL;
        if (e == NULL || (found != NULL && found->row != e->row))
            return NULL;
        found = e;
    }
    return found;
}

static bool is_measured(const struct search *s, const struct pb_profile *row,
                        const char *taxon)
{
    const struct pb_names *list = &row->lists[PB_LIST_MEASURED];
    if (list->n == 0 || taxon == NULL)
        return true; /* the row says nothing about it, or nobody asks for a taxon */
    struct pb_taxon t;
    pb_taxon_parse(taxon, &t);
    struct pb_slice genus[2];
    spellings(s, t.names[0].genus, genus);
    for (size_t g = 0; g < 2 && !(t.formula && t.name_n > 1); g++) {
        struct key key = make_key(genus[g], epithet(&t.names[0]));
        for (size_t i = 0; i < list->n; i++)
            if (pb_taxon_name_cmp(list->v[i], key.text) == 0)
                return true;
    }
    return false;
}

/* A row by its name in any case; row_n: none. */
static size_t row_named(const struct pb_profile_table *table, const char *name)
{
    size_t low = 0, high = table->row_n;
    while (low < high) {
        size_t mid = low + (high - low) / 2;
        int c = pb_text_casecmp(table->rows[mid].name, name);
        if (c == 0)
            return mid;
        if (c < 0)
            low = mid + 1;
        else
            high = mid;
    }
    return table->row_n;
}

/* The row itself, or the grower's row of the same name, which stands in its place. */
static const struct pb_profile *in_force(const struct search *s,
                                         const struct pb_profile_table *table,
                                         size_t row)
{
    const struct pb_profile_table *own = s->ps->own;
    size_t k = own == NULL ? 0 : row_named(own, table->rows[row].name);
    return own != NULL && k < own->row_n ? &own->rows[k] : &table->rows[row];
}

static void take(const struct search *s, const struct pb_profile_table *table,
                 size_t row, enum pb_basis basis, const char *taxon)
{
    s->m->basis = basis;
    s->m->row = in_force(s, table, row);
    s->m->own = table == s->ps->own || s->m->row != &table->rows[row];
    s->m->table = s->m->own ? s->ps->own : table;
    s->m->stretched = !is_measured(s, s->m->row, taxon);
}

static void add_part(struct pb_profile_match *m, const struct pb_profile *row)
{
    for (size_t i = 0; i < m->part_n; i++)
        if (m->parts[i] == row)
            return;
    if (m->part_n < PB_PROFILE_PARTS)
        m->parts[m->part_n++] = row;
}

/* Species, then genus, then split; false: the text says nothing that a row knows. */
static bool by_name(const struct search *s, const char *text)
{
    static const struct pb_slice none = {NULL, 0};
    struct pb_taxon taxon;
    pb_taxon_parse(text, &taxon);
    size_t n = 0;
    for (size_t i = 0; i < s->table_n; i++) {
        const struct pb_profile_table *table = s->tables[i];
        const struct pb_profile_entry *e = species_entry(s, table, &taxon);
        enum pb_basis basis = PB_BASIS_SPECIES;
        if (e == NULL) {
            e = look_up(s, table, PB_LIST_TAXA, &taxon.names[0], none, &n);
            basis = PB_BASIS_GENUS;
        }
        if (e != NULL) {
            take(s, table, e->row, basis, text);
            return true;
        }
    }
    for (size_t i = 0; i < s->table_n; i++) {
        const struct pb_profile_entry *e =
            look_up(s, s->tables[i], PB_LIST_PART_OF, &taxon.names[0], none, &n);
        for (size_t k = 0; e != NULL && k < n; k++)
            add_part(s->m, in_force(s, s->tables[i], e[k].row));
    }
    if (s->m->part_n > 0)
        s->m->basis = PB_BASIS_SPLIT;
    return s->m->part_n > 0;
}

static bool by_group(const struct search *s, const char *text)
{
    static const struct pb_slice none = {NULL, 0};
    struct pb_taxon taxon;
    pb_taxon_parse(text, &taxon);
    for (size_t i = 0; i < s->table_n; i++) {
        size_t n = 0;
        const struct pb_profile_entry *e =
            look_up(s, s->tables[i], PB_LIST_GROUP_OF, &taxon.names[0], none, &n);
        if (e != NULL) {
            take(s, s->tables[i], e->row, PB_BASIS_GROUP, text);
            return true;
        }
    }
    return false;
}

void pb_profile_find(const struct pb_profiles *ps, const char *taxon,
                     const char *parent, struct pb_profile_match *m)
{
    memset(m, 0, sizeof(*m));
    const struct search s = begin(ps, m);
    if (by_name(&s, taxon))
        return;
    m->by_parent = parent != NULL && by_name(&s, parent);
    if (m->by_parent || by_group(&s, taxon))
        return;
    m->by_parent = parent != NULL && by_group(&s, parent);
}

bool pb_profile_choose(const struct pb_profiles *ps, const char *name,
                       const char *taxon, struct pb_profile_match *m)
{
    const struct search s = begin(ps, m);
    for (size_t i = 0; i < s.table_n; i++) {
        size_t k = row_named(s.tables[i], name);
        if (k < s.tables[i]->row_n) {
            memset(m, 0, sizeof(*m));
            take(&s, s.tables[i], k, PB_BASIS_CHOSEN, taxon);
            return true;
        }
    }
    return false;
}

/* ---- what a match says ------------------------------------------------------------- */

const struct pb_profile_stage *pb_profile_stage(const struct pb_profile_match *m,
                                                enum pb_stage stage)
{
    if (m->row == NULL || m->row->stages[stage].source == NULL)
        return NULL;
    return &m->row->stages[stage];
}

enum pb_confidence pb_profile_confidence(const struct pb_profile_match *m,
                                         const struct pb_profile_stage *stage)
{
    return m->stretched ? PB_LOW : stage->confidence;
}

bool pb_profile_window(const struct pb_profile_match *m, enum pb_stage stage,
                       pb_day start, struct pb_span *window)
{
    const struct pb_profile_stage *s = pb_profile_stage(m, stage);
    if (s == NULL || s->from < 0)
        return false;
    *window = pb_span_after(start, s->from, s->to);
    return true;
}

const struct pb_profile_stage *pb_profile_ripening(const struct pb_profile_match *m)
{
    const struct pb_profile_stage *split = pb_profile_stage(m, PB_STAGE_SPLIT);
    return split != NULL ? split : pb_profile_stage(m, PB_STAGE_HARVEST);
}

double pb_profile_weight(const struct pb_profile_match *m,
                         const struct pb_profile_stage *stage)
{
    bool given = stage->weight > 0 && !m->stretched;
    return given ? stage->weight : weights[pb_profile_confidence(m, stage)];
}

const struct pb_profile_source *pb_profile_source(const struct pb_profile_table *table,
                                                  const char *keys, size_t i)
{
    for (; i > 0 && keys != NULL; i--) {
        keys = strchr(keys, '+');
        keys = keys == NULL ? NULL : keys + 1;
    }
    if (keys == NULL)
        return NULL;
    struct pb_slice key = {keys, strcspn(keys, "+")};
    for (size_t k = 0; k < table->source_n; k++)
        if (pb_slice_equal(slice_of(table->sources[k].key), key))
            return &table->sources[k];
    return NULL;
}
