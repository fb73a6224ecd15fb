/*
 * Timing profiles from JSON.  See profile_file.h.
 *
 * The document stays alive behind the table, so every text is borrowed from it; only the
 * arrays are made here.  Rows and names are read in the order of the file, where a message
 * can still name their place; then they are sorted, and doubles found as neighbours.
 */
#include "exchange/profile_file.h"

#include "base/buf.h"
#include "base/limits.h"
#include "base/text.h"
#include "core/taxon.h"
#include "exchange/profile_row.h"
#include "exchange/system.h"
#include "exchange/whole.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* What has a place in the file and will be sorted: a row, or a name in one of its lists. */
struct placed {
    struct pb_profile_entry entry; /* of a row: taxon is its name.  row: of the file */
    size_t item;
};

struct owned {
    struct pb_profile_table table; /* first: what the caller holds */
    json_t *doc;                   /* all texts */
    const char **names;            /* what the lists of the rows point into */
    struct pb_profile *rows;
    struct pb_profile_entry *entries;
    struct pb_profile_source *sources;
    struct pb_profile_synonym *synonyms;
};

/* What is needed while reading only. */
struct reader {
    struct owned *t;
    struct pb_json_at root, profiles;
    struct pb_profile *rows;  /* in the order of the file */
    struct placed *row_names; /* the rows, later sorted */
    struct placed *listed;    /* the names of the first three lists, later sorted */
    size_t *sorted_at;        /* of each row of the file */
    size_t row_n, listed_n;
    struct pb_err *err;
};

/* n zeroed elements, never none, so that NULL means only one thing. */
static void *make(size_t n, size_t size)
{
    return calloc(n + 1, size);
}

/* ---- sources and synonyms ---------------------------------------------------------- */

static int by_key(const void *a, const void *b)
{
    const struct pb_profile_source *x = a, *y = b;
    return strcmp(x->key, y->key);
}

static enum pb_rc read_sources(struct reader *r)
{
    struct pb_json_at at, m;
    size_t n = 0;
    if (!pb_json_get(&r->root, "sources", &at))
        return PB_OK;
    enum pb_rc rc = pb_json_map(&at, PB_MAX_PROFILE_SOURCES, &n, r->err);
    if (rc != PB_OK)
        return rc;
    r->t->sources = make(n, sizeof(*r->t->sources));
    if (r->t->sources == NULL)
        return pb_fail_memory(r->err);
    struct pb_profile_source *out = r->t->sources;
    void *it = pb_json_first(&at, &m);
    for (; rc == PB_OK && it != NULL; it = pb_json_next(&at, it, &m), out++) {
        rc = pb_json_key(&m, PB_MAX_NAME, r->err);
        if (rc == PB_OK && strchr(m.key, '+') != NULL)
            rc = pb_json_fail(r->err, PB_EPARSE, &m, "a key of a source holds no +");
        if (rc == PB_OK)
            rc = pb_json_text(&m, PB_MAX_TEXT, &out->text, r->err);
        out->key = m.key;
    }
    if (rc == PB_OK)
        qsort(r->t->sources, n, sizeof(*r->t->sources), by_key);
    r->t->table.source_n = n;
    return rc;
}

static int by_from(const void *a, const void *b)
{
    const struct pb_profile_synonym *x = a, *y = b;
    int c = pb_text_casecmp(x->from, y->from);
    return c != 0 ? c : strcmp(x->from, y->from);
}

/* One synonym: from a genus to another that is itself no synonym. */
static enum pb_rc read_synonym(const struct reader *r, const struct pb_json_at *map,
                               const struct pb_json_at *m,
                               struct pb_profile_synonym *out)
{
    const char *to = NULL;
    enum pb_rc rc = pb_json_key(m, PB_MAX_NAME, r->err);
    if (rc == PB_OK)
        rc = pb_json_text(m, PB_MAX_NAME, &to, r->err);
    if (rc != PB_OK)
        return rc;
    if (!pb_taxon_is_genus(m->key) || !pb_taxon_is_genus(to))
        return pb_json_fail(r->err, PB_EPARSE, m, "expected a genus for a genus");
    if (json_object_get(map->value, to) != NULL)
        return pb_json_fail(r->err, PB_EINVALID, m, "\"%s\" is a synonym itself", to);
    *out = (struct pb_profile_synonym){m->key, to};
    return PB_OK;
}

static enum pb_rc read_synonyms(struct reader *r)
{
    struct pb_json_at at, m;
    size_t n = 0;
    if (!pb_json_get(&r->root, "synonyms", &at))
        return PB_OK;
    enum pb_rc rc = pb_json_map(&at, PB_MAX_PROFILE_SYNONYMS, &n, r->err);
    if (rc != PB_OK)
        return rc;
    r->t->synonyms = make(n, sizeof(*r->t->synonyms));
    if (r->t->synonyms == NULL)
        return pb_fail_memory(r->err);
    struct pb_profile_synonym *out = r->t->synonyms;
    void *it = pb_json_first(&at, &m);
    for (; rc == PB_OK && it != NULL; it = pb_json_next(&at, it, &m))
        rc = read_synonym(r, &at, &m, out++);
    if (rc == PB_OK)
        qsort(r->t->synonyms, n, sizeof(*r->t->synonyms), by_from);
    r->t->table.synonym_n = n;
    return rc;
}

/* ---- rows -------------------------------------------------------------------------- */

static enum pb_rc read_rows(struct reader *r)
{
    enum pb_rc rc = pb_json_need(&r->root, "profiles", &r->profiles, r->err);
    if (rc == PB_OK)
        rc = pb_json_array(&r->profiles, 0, PB_MAX_PROFILES, &r->row_n, r->err);
    if (rc != PB_OK)
        return rc;
    size_t names = 0;
    for (size_t i = 0; i < r->row_n; i++) {
        struct pb_json_at at = pb_json_item(&r->profiles, i);
        names += pb_profile_row_names(&at);
    }
    r->rows = make(r->row_n, sizeof(*r->rows));
    r->row_names = make(r->row_n, sizeof(*r->row_names));
    r->sorted_at = make(r->row_n, sizeof(*r->sorted_at));
    r->listed = make(names, sizeof(*r->listed));
    r->t->names = make(names, sizeof(*r->t->names));
    r->t->rows = make(r->row_n, sizeof(*r->t->rows));
    r->t->entries = make(names, sizeof(*r->t->entries));
    if (r->rows == NULL || r->row_names == NULL || r->sorted_at == NULL ||
        r->listed == NULL || r->t->names == NULL || r->t->rows == NULL ||
        r->t->entries == NULL)
        return pb_fail_memory(r->err);
    const json_t *sources = json_object_get(r->root.value, "sources");
    const char **next = r->t->names;
    for (size_t i = 0; rc == PB_OK && i < r->row_n; i++) {
        struct pb_json_at at = pb_json_item(&r->profiles, i);
        rc = pb_profile_row_read(&at, sources, next, &r->rows[i], r->err);
        next += pb_profile_row_names(&at);
        r->row_names[i].entry =
            (struct pb_profile_entry){r->rows[i].name, PB_LIST_N, i};
    }
    return rc;
}

static int by_row_name(const void *a, const void *b)
{
    const struct placed *x = a, *y = b;
    int c = pb_text_casecmp(x->entry.taxon, y->entry.taxon);
    if (c != 0)
        return c;
    return x->entry.row < y->entry.row ? -1 : x->entry.row > y->entry.row;
}

/* Put the rows in order; two of one name are refused. */
static enum pb_rc sort_rows(struct reader *r)
{
    qsort(r->row_names, r->row_n, sizeof(*r->row_names), by_row_name);
    for (size_t i = 0; i < r->row_n; i++) {
        const struct pb_profile_entry *e = &r->row_names[i].entry;
        if (i > 0 && pb_text_casecmp(r->row_names[i - 1].entry.taxon, e->taxon) == 0) {
            struct pb_json_at at = pb_json_item(&r->profiles, e->row);
            return pb_json_fail(r->err, PB_EINVALID, &at,
                                "profiles[%zu] is called \"%s\" already",
                                r->row_names[i - 1].entry.row, e->taxon);
        }
        r->t->rows[i] = r->rows[e->row];
        r->sorted_at[e->row] = i;
    }
    r->t->table.row_n = r->row_n;
    return PB_OK;
}

/* ---- names ------------------------------------------------------------------------- */

static void list_names(struct reader *r)
{
    for (size_t row = 0; row < r->row_n; row++)
        for (size_t list = 0; list < PB_LIST_MEASURED; list++) {
            const struct pb_names *names = &r->rows[row].lists[list];
            for (size_t i = 0; i < names->n; i++)
                r->listed[r->listed_n++] = (struct placed){
                    {names->v[i], (enum pb_profile_list)list, row},
                    i
                };
        }
}

static int by_entry(const void *a, const void *b)
{
    const struct placed *x = a, *y = b;
    int c = pb_profile_entry_cmp(&x->entry, &y->entry);
    if (c != 0)
        return c;
    return x->item < y->item ? -1 : x->item > y->item;
}

/* A fault of a name in a list, at its place, with the row that speaks against it. */
static enum pb_rc bad_name(const struct reader *r, const struct placed *p,
                           const char *reason, size_t other)
{
    struct pb_json_at list, row = pb_json_item(&r->profiles, p->entry.row);
    if (!pb_json_get(&row, pb_profile_list_names[p->entry.list], &list))
        list = row;
    struct pb_json_at at = pb_json_item(&list, p->item);
    return pb_json_fail(r->err, PB_EINVALID, &at, "\"%s\" %s \"%s\"", p->entry.taxon,
                        reason, r->rows[other].name);
}

/* The first of the names in "taxa" (there are n, sorted) that equals a name; NULL: none. */
static const struct placed *in_taxa(const struct placed *taxa, size_t n,
                                    const char *name)
{
    size_t low = 0, high = n;
    while (low < high) {
        size_t mid = low + (high - low) / 2;
        if (pb_taxon_name_cmp(taxa[mid].entry.taxon, name) < 0)
            low = mid + 1;
        else
            high = mid;
    }
    bool found = low < n && pb_taxon_name_cmp(taxa[low].entry.taxon, name) == 0;
    return found ? &taxa[low] : NULL;
}

/* No taxon twice in "taxa" or "group_of", no genus twice in one "part_of", none both whole
 * and in parts, none in more parts than a match can hold of two tables. */
static enum pb_rc check_names(const struct reader *r)
{
    size_t taxa = 0, alike = 0;
    while (taxa < r->listed_n && r->listed[taxa].entry.list == PB_LIST_TAXA)
        taxa++;
    for (size_t i = 0; i < r->listed_n; i++) {
        const struct placed *p = &r->listed[i];
        const struct placed *before = i > 0 ? p - 1 : NULL;
        bool same = before != NULL && before->entry.list == p->entry.list &&
                    pb_taxon_name_cmp(before->entry.taxon, p->entry.taxon) == 0;
        bool part = p->entry.list == PB_LIST_PART_OF;
        alike = same ? alike + 1 : 1;
        if (same && (!part || before->entry.row == p->entry.row))
            return bad_name(r, p, "is served already by the row", before->entry.row);
        const struct placed *whole =
            part ? in_taxa(r->listed, taxa, p->entry.taxon) : NULL;
        if (whole != NULL)
            return bad_name(r, p, "is served whole by the row", whole->entry.row);
        if (alike > PB_PROFILE_PARTS / 2)
            return bad_name(r, p, "is in too many parts at the row", p->entry.row);
    }
    return PB_OK;
}

static int by_final_row(const void *a, const void *b)
{
    return pb_profile_entry_cmp(a, b);
}

static enum pb_rc sort_names(struct reader *r)
{
    list_names(r);
    qsort(r->listed, r->listed_n, sizeof(*r->listed), by_entry);
    enum pb_rc rc = check_names(r);
    for (size_t i = 0; rc == PB_OK && i < r->listed_n; i++) {
        r->t->entries[i] = r->listed[i].entry;
        r->t->entries[i].row = r->sorted_at[r->listed[i].entry.row];
    }
    if (rc == PB_OK)
        qsort(r->t->entries, r->listed_n, sizeof(*r->t->entries), by_final_row);
    r->t->table.entry_n = r->listed_n;
    return rc;
}

/* ---- the document ------------------------------------------------------------------ */

static enum pb_rc read_document(struct reader *r)
{
    static const char *const keys[] = {"profiles", "synonyms", "sources"};
    enum pb_rc rc = pb_json_object(&r->root, keys, PB_ARRAY_LEN(keys), false, r->err);
    if (rc == PB_OK)
        rc = read_sources(r);
    if (rc == PB_OK)
        rc = read_synonyms(r);
    if (rc == PB_OK)
        rc = read_rows(r);
    if (rc == PB_OK)
        rc = sort_rows(r);
    return rc == PB_OK ? sort_names(r) : rc;
}

enum pb_rc pb_profile_table_parse(const char *file, const char *text, size_t n,
                                  struct pb_profile_table **table, struct pb_err *err)
{
    const struct pb_json_origin origin = {file, 0};
    if (n > PB_MAX_PROFILE_FILE)
        return pb_fail_at(err, PB_ELIMIT, file, 0, "is larger than %d bytes",
                          PB_MAX_PROFILE_FILE);
    struct reader r = {.t = make(1, sizeof(*r.t)), .err = err};
    if (r.t == NULL)
        return pb_fail_memory(err);
    enum pb_rc rc = pb_json_load(&origin, text, n, &r.t->doc, err);
    if (rc == PB_OK) {
        r.root = pb_json_root(&origin, r.t->doc);
        rc = read_document(&r);
    }
    free(r.rows);
    free(r.row_names);
    free(r.sorted_at);
    free(r.listed);
    if (rc != PB_OK) {
        pb_profile_table_free(&r.t->table);
        return rc;
    }
    struct pb_profile_table *t = &r.t->table;
    t->rows = r.t->rows;
    t->entries = r.t->entries;
    t->sources = r.t->sources;
    t->synonyms = r.t->synonyms;
    *table = t;
    return PB_OK;
}

void pb_profile_table_free(struct pb_profile_table *table)
{
    if (table == NULL)
        return;
    struct owned *t = (struct owned *)table;
    json_decref(t->doc);
    free(t->names);
    free(t->rows);
    free(t->entries);
    free(t->sources);
    free(t->synonyms);
    free(t);
}

/*
 * Open a plain file; *in stays NULL where there is none of that name.  Whoever writes into a
 * pipe may never come, so it is opened without waiting, and then looked at.
 */
static enum pb_rc open_plain(const char *path, FILE **in, struct pb_err *err)
{
    struct stat st;
    int fd = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    enum pb_rc rc = PB_OK;
    if (fd < 0 && errno == ENOENT)
        return PB_OK;
    if (fd < 0)
        return pb_fail_system(err, path, 0, "cannot be opened (may you read it?)");
    if (fstat(fd, &st) != 0)
        rc = pb_fail_system(err, path, 0, "cannot be read");
    else if (!S_ISREG(st.st_mode))
        rc = pb_fail_at(err, PB_EIO, path, 0,
                        "is no plain file; put one there, or nothing");
    else {
        *in = fdopen(fd, "rb");
        rc = *in != NULL ? PB_OK : pb_fail_memory(err);
    }
    if (rc != PB_OK)
        (void)close(fd);
    return rc;
}

enum pb_rc pb_profile_table_load(const char *path, struct pb_profile_table **table,
                                 struct pb_err *err)
{
    FILE *in = NULL;
    enum pb_rc rc = open_plain(path, &in, err);
    if (rc != PB_OK)
        return rc;
    if (in == NULL) {
        *table = NULL;
        return PB_OK;
    }
    struct pb_buf text;
    pb_buf_init(&text, PB_MAX_PROFILE_FILE);
    rc = pb_read_whole(in, path, &text, err);
    if (rc == PB_OK)
        rc = pb_profile_table_parse(path, pb_buf_peek(&text), text.len, table, err);
    pb_buf_clear(&text);
    (void)fclose(in);
    return rc;
}
