/* Accessions as a passport table.  See mcpd.h. */
#include "exchange/mcpd.h"

#include "base/limits.h"
#include "base/text.h"
#include "core/taxon.h"
#include "exchange/table.h"

#include <string.h>

/*
 * The descriptors 0 to 28 in their order.  Those under 4, 15, 18, 22 and 25 are single
 * columns of their own.
 * Source: Alercia, Diulgheroff & Mackay 2015, FAO/Bioversity Multi-Crop Passport
 * Descriptors V.2.1; from memory: the names of 6 to 9, 25 and 26, the codes of STORAGE, the
 * colon of OTHERNUMB and REMARKS, "sp." for a species that is not known
 */
#define COLUMNS(C)     \
    C(PUID)            \
    C(INSTCODE)        \
    C(ACCENUMB)        \
    C(COLLNUMB)        \
    C(COLLCODE)        \
    C(COLLNAME)        \
    C(COLLINSTADDRESS) \
    C(COLLMISSID)      \
    C(GENUS)           \
    C(SPECIES)         \
    C(SPAUTHOR)        \
    C(SUBTAXA)         \
    C(SUBTAUTHOR)      \
    C(CROPNAME)        \
    C(ACCENAME)        \
    C(ACQDATE)         \
    C(ORIGCTY)         \
    C(COLLSITE)        \
    C(DECLATITUDE)     \
    C(LATITUDE)        \
    C(DECLONGITUDE)    \
    C(LONGITUDE)       \
    C(COORDUNCERT)     \
    C(COORDDATUM)      \
    C(GEOREFMETH)      \
    C(ELEVATION)       \
    C(COLLDATE)        \
    C(BREDCODE)        \
    C(BREDNAME)        \
    C(SAMPSTAT)        \
    C(ANCEST)          \
    C(COLLSRC)         \
    C(DONORCODE)       \
    C(DONORNAME)       \
    C(DONORNUMB)       \
    C(OTHERNUMB)       \
    C(DUPLSITE)        \
    C(DUPLINSTNAME)    \
    C(STORAGE)         \
    C(MLSSTAT)         \
    C(REMARKS)

#define AS_COLUMN(name) COL_##name,
#define AS_NAME(name)   #name,
enum { COLUMNS(AS_COLUMN) COL_N };
static const char *const names[COL_N] = {COLUMNS(AS_NAME)};

/* ORDER STORAGE */
static const struct {
    unsigned bit;
    const char *code;
} storages[] = {
    {PB_STORAGE_SEED,     "10"},
    {PB_STORAGE_PLANT,    "20"},
    {PB_STORAGE_IN_VITRO, "30"},
};

/* What is written before an infraspecific epithet, and how it is written here. */
static const struct {
    const char *word, *rank;
} ranks[] = {
    {"subsp.",  "subsp." },
    {"ssp.",    "subsp." },
    {"convar.", "convar."},
    {"var.",    "var."   },
    {"f.",      "f."     },
    {"fma.",    "f."     },
    {"forma",   "f."     },
};

/* One row while it is put together. */
struct row {
    struct pb_buf cell[COL_N];
};

/* ---- values ------------------------------------------------------------------------- */

/* Text as one value of a cell. */
static void add_value(struct pb_buf *cell, const char *text)
{
    for (const char *p = text; *p != '\0'; p++)
        if (*p == ';')
            pb_buf_addc(cell, ',');
        else
            pb_buf_addc(cell, *p);
}

/* One more value, a semicolon before it where it is not the first. */
static void more(struct pb_buf *cell, const char *text)
{
    if (text == NULL || text[0] == '\0')
        return;
    if (cell->len > 0)
        pb_buf_addc(cell, ';');
    add_value(cell, text);
}

static void put_day(struct pb_buf *cell, pb_day day)
{
    char text[PB_DAY_TEXT];
    if (day == PB_DAY_NONE)
        return;
    for (const char *p = pb_day_format(day, text); *p != '\0'; p++)
        if (*p != '-')
            pb_buf_addc(cell, *p);
}

/* A remark on a column: its name, a colon, the text. */
static void remark(struct row *row, int column, const char *before, const char *text)
{
    struct pb_buf *cell = &row->cell[COL_REMARKS];
    if (text == NULL || text[0] == '\0')
        return;
    if (cell->len > 0)
        pb_buf_addc(cell, ';');
    pb_buf_printf(cell, "%s:%s", names[column], before);
    add_value(cell, text);
}

/* ---- names -------------------------------------------------------------------------- */

/* The parts of one name that have columns; empty: not there. */
struct name {
    char genus[PB_MAX_NAME + 8], species[PB_MAX_NAME + 8], subtaxa[PB_MAX_NAME + 8];
};

static const char sign[] = "\xC3\x97"; /* U+00D7 */

/* A slice that is not there has no bytes to be pointed at. */
static void copy(char *to, size_t room, const char *text, size_t n)
{
    if (n >= room)
        n = room - 1;
    if (n > 0)
        memcpy(to, text, n);
    to[n] = '\0';
}

/* The word at *p, which goes on behind it; n is 0 at the end. */
static struct pb_slice word_at(const char **p)
{
    const char *from = *p + strspn(*p, " ");
    size_t n = strcspn(from, " ");
    *p = from + n;
    return (struct pb_slice){from, n};
}

static const char *rank_of(struct pb_slice word)
{
    for (size_t i = 0; i < PB_ARRAY_LEN(ranks); i++)
        if (pb_slice_equal(word,
                           (struct pb_slice){ranks[i].word, strlen(ranks[i].word)}))
            return ranks[i].rank;
    return NULL;
}

/* "f." is an author's son too: behind a rank comes an epithet, which is no small word of a
 * citation. */
static bool is_epithet(struct pb_slice word)
{
    static const char *const not_one[] = {"ex", "et", "in", "non", "auct."};
    for (size_t i = 0; i < PB_ARRAY_LEN(not_one); i++)
        if (pb_slice_equal(word, (struct pb_slice){not_one[i], strlen(not_one[i])}))
            return false;
    return word.n > 0 && word.p[0] >= 'a' && word.p[0] <= 'z';
}

/* Every rank with its epithet in what follows the species. */
static void find_subtaxa(const char *rest, struct pb_buf *out)
{
    const char *p = rest;
    for (struct pb_slice word = word_at(&p); word.n > 0; word = word_at(&p)) {
        const char *rank = rank_of(word), *behind = p;
        struct pb_slice epithet = rank != NULL ? word_at(&behind) : word;
        if (rank == NULL || !is_epithet(epithet))
            continue;
        pb_buf_printf(out, "%s%s %.*s", out->len > 0 ? " " : "", rank, (int)epithet.n,
                      epithet.p);
        p = behind;
    }
}

/* Spelled as a genus is: a capital, then small letters. */
static enum pb_rc put_genus(const struct pb_taxon *t, struct name *out,
                            struct pb_err *err)
{
    char text[PB_MAX_NAME + 1];
    struct pb_buf key;
    copy(text, sizeof(text), t->names[0].genus.p, t->names[0].genus.n);
    pb_buf_init(&key, PB_MAX_NAME);
    pb_taxon_key(text, &key);
    if (!t->formula && t->names[0].hybrid_genus)
        memcpy(out->genus, sign, sizeof(sign));
    size_t n = strlen(out->genus);
    if (pb_taxon_is_genus(pb_buf_peek(&key)))
        copy(out->genus + n, sizeof(out->genus) - n, pb_buf_peek(&key), key.len);
    else
        out->genus[0] = '\0';
    enum pb_rc rc = pb_buf_status(&key, err);
    pb_buf_clear(&key);
    return rc;
}

static enum pb_rc put_species(const struct pb_taxon_name *t, struct name *out,
                              struct pb_err *err)
{
    struct pb_buf subtaxa;
    const char *between = t->genus.p + t->genus.n;
    if (between + strspn(between, " ") !=
        t->species.p) /* a hybrid's species-like name */
        memcpy(out->species, sign, sizeof(sign));
    size_t n = strlen(out->species);
    copy(out->species + n, sizeof(out->species) - n, t->species.p, t->species.n);
    pb_buf_init(&subtaxa, PB_MAX_NAME);
    find_subtaxa(t->species.p + t->species.n, &subtaxa);
    enum pb_rc rc = pb_buf_status(&subtaxa, err);
    copy(out->subtaxa, sizeof(out->subtaxa), pb_buf_peek(&subtaxa), subtaxa.len);
    pb_buf_clear(&subtaxa);
    return rc;
}

/* What one taxon gives.  Of a formula only a genus that all its names share. */
static enum pb_rc read_name(const char *taxon, struct name *out, struct pb_err *err)
{
    struct pb_taxon t;
    memset(out, 0, sizeof(*out));
    if (taxon == NULL)
        return PB_OK;
    pb_taxon_parse(taxon, &t);
    const struct pb_taxon_name *first = &t.names[0];
    if (first->genus.n == 0 || !pb_taxon_is_one_genus(&t))
        return PB_OK;
    enum pb_rc rc = put_genus(&t, out, err);
    if (rc != PB_OK || out->genus[0] == '\0' || t.formula)
        return rc;
    if (first->species.n > 0)
        return put_species(first, out, err);
    if (first->grex.n == 0 && !first->hybrid_genus)
        memcpy(out->species, "sp.", sizeof("sp."));
    return PB_OK;
}

/* Leave what both have. */
static void common(struct name *all, const struct name *one)
{
    if (strcmp(all->genus, one->genus) != 0)
        all->genus[0] = '\0';
    if (all->genus[0] == '\0' || strcmp(all->species, one->species) != 0)
        all->species[0] = '\0';
    if (all->species[0] == '\0' || strcmp(all->subtaxa, one->subtaxa) != 0)
        all->subtaxa[0] = '\0';
}

/* A designation of a single name's text that has a column: grex, then clone. */
static void put_designations(const char *taxon, const struct pb_accession *acc,
                             struct pb_buf *cell)
{
    struct pb_taxon t;
    char part[PB_MAX_NAME + 1];
    if (acc->grex != NULL || taxon == NULL) {
        more(cell, acc->grex);
        more(cell, acc->clone_name);
        return;
    }
    pb_taxon_parse(taxon, &t);
    if (!t.formula) {
        copy(part, sizeof(part), t.names[0].grex.p, t.names[0].grex.n);
        more(cell, part);
        copy(part, sizeof(part), t.names[0].clone.p, t.names[0].clone.n);
        if (!pb_text_equal(part, acc->clone_name))
            more(cell, part);
    }
    more(cell, acc->clone_name);
}

/* Do the columns hold the text in full? */
static bool says_all(const struct name *n, const char *text)
{
    const char *const parts[] = {n->genus, n->species, n->subtaxa};
    for (size_t i = 0; i < PB_ARRAY_LEN(parts) && parts[i][0] != '\0'; i++) {
        size_t len = strlen(parts[i]);
        if (strncmp(text, parts[i], len) != 0)
            return false;
        text += len;
        text += *text == ' ';
    }
    return *text == '\0';
}

static enum pb_rc put_names(struct row *row, const struct pb_accession *acc,
                            struct pb_err *err)
{
    struct name all = {"", "", ""}, one;
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < acc->taxon_n && rc == PB_OK; i++) {
        rc = read_name(acc->taxa[i], &one, err);
        if (i == 0)
            all = one;
        else
            common(&all, &one);
    }
    more(&row->cell[COL_GENUS], all.genus);
    more(&row->cell[COL_SPECIES], all.species);
    more(&row->cell[COL_SUBTAXA], all.subtaxa);
    const char *own = acc->taxon_n == 1 ? acc->taxa[0] : NULL;
    put_designations(own, acc, &row->cell[COL_ACCENAME]);
    if (own != NULL && !pb_taxon_is_plain(own) && !says_all(&all, own))
        remark(row, COL_SPECIES, "written ", own);
    return rc;
}

/* ---- the row ------------------------------------------------------------------------ */

/* A parent in a pedigree of Purdy's notation, where a slash parts the two. */
static void put_parent(struct pb_buf *cell, const char *parent)
{
    for (const char *p = parent != NULL ? parent : "UNKNOWN"; *p != '\0'; p++)
        if (*p == '/')
            pb_buf_addc(cell, '|');
        else if (*p == ';')
            pb_buf_addc(cell, ',');
        else
            pb_buf_addc(cell, *p);
}

/* Source: Purdy et al. 1968, Crop Sci. 8:405-406; the seed parent comes first. */
static void put_ancestry(struct row *row, const struct pb_accession *acc)
{
    struct pb_buf *cell = &row->cell[COL_ANCEST];
    remark(row, COL_ANCEST, "", acc->doubtful);
    if (acc->seed_parent == NULL && acc->pollen_parent == NULL)
        return;
    put_parent(cell, acc->seed_parent);
    pb_buf_addc(cell, '/');
    put_parent(cell, acc->pollen_parent);
}

static enum pb_rc fill(struct row *row, const struct pb_accession *acc,
                       struct pb_err *err)
{
    pb_buf_printf(&row->cell[COL_PUID], "urn:uuid:%s", acc->id);
    more(&row->cell[COL_ACCENUMB], acc->code);
    enum pb_rc rc = put_names(row, acc, err);
    put_day(&row->cell[COL_ACQDATE], acc->acquired);
    if (acc->status != PB_SAMPLE_NOT_SAID)
        pb_buf_printf(&row->cell[COL_SAMPSTAT], "%d", (int)acc->status);
    put_ancestry(row, acc);
    more(&row->cell[COL_DONORNAME], acc->donor);
    more(&row->cell[COL_DONORNUMB], acc->origin_code);
    if (acc->others != NULL)
        pb_buf_adds(&row->cell[COL_OTHERNUMB], acc->others);
    for (size_t i = 0; i < PB_ARRAY_LEN(storages); i++)
        if ((acc->storage & storages[i].bit) != 0)
            more(&row->cell[COL_STORAGE], storages[i].code);
    remark(row, COL_STORAGE, "", acc->gone);
    more(&row->cell[COL_REMARKS], acc->note);
    return rc;
}

enum pb_rc pb_mcpd_header(struct pb_buf *out, struct pb_err *err)
{
    for (int i = 0; i < COL_N; i++) {
        if (i > 0)
            pb_buf_addc(out, ',');
        pb_buf_adds(out, names[i]);
    }
    return pb_buf_status(out, err);
}

enum pb_rc pb_mcpd_write(const struct pb_accession *acc, struct pb_buf *out,
                         struct pb_err *err)
{
    struct row row;
    for (int i = 0; i < COL_N; i++)
        pb_buf_init(&row.cell[i], PB_MAX_JSON_LINE);
    enum pb_rc rc = fill(&row, acc, err);
    for (int i = 0; i < COL_N; i++) {
        if (rc == PB_OK)
            rc = pb_buf_status(&row.cell[i], err);
        if (rc == PB_OK)
            rc = pb_table_put(out, i > 0 ? ',' : '\0', pb_buf_peek(&row.cell[i]), err);
        pb_buf_clear(&row.cell[i]);
    }
    return rc == PB_OK ? pb_buf_status(out, err) : rc;
}
