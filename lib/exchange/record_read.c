/* Reading records from JSON: plants, and which kind it is.  See record.h, record_parts.h. */
#include "exchange/record.h"

#include "base/text.h"
#include "exchange/record_parts.h"

#include <stdlib.h>
#include <string.h>

/* ---- what a record names ------------------------------------------------------------ */

/* A plant's stated parent, which carries its taxon along. */
static void read_stated(struct pb_reader *rd, const struct pb_json_at *at,
                        struct pb_ref *ref, char **taxon)
{
    static const char *const keys[] = {"id", "code", "taxon"};
    static const struct pb_shape shape = PB_SHAPE(NULL, keys);
    struct pb_json_at child;
    pb_reader_object(rd, at, &shape, at->key, NULL);
    pb_reader_id(rd, at, ref->id);
    pb_reader_need_code(rd, at, PB_RULE_PLANT, ref->code);
    if (pb_reader_get(rd, at, "taxon", true, &child))
        pb_reader_text(rd, &child, PB_MAX_NAME, taxon);
}

/* ---- plants ------------------------------------------------------------------------- */

/* What an origin rests on. */
enum basis { BASIS_NONE, BASIS_SOURCE, BASIS_CROSS, BASIS_PARENTS };

static enum basis basis_of(enum pb_origin origin)
{
    if (pb_origin_is_vegetative(origin))
        return BASIS_SOURCE;
    return origin == PB_ORIGIN_CROSS     ? BASIS_CROSS
           : origin == PB_ORIGIN_PARENTS ? BASIS_PARENTS
                                         : BASIS_NONE;
}

static void read_origin(struct pb_reader *rd, const struct pb_json_at *at,
                        struct pb_plant *p, struct pb_plant_more *more)
{
    const struct {
        const char *key;
        enum basis basis;
        enum pb_code_rule form;
        struct pb_ref *ref;
        char **taxon; /* NULL: it carries none */
    } rows[] = {
        {"source_plant",  BASIS_SOURCE,  PB_RULE_PLANT, &p->source,        NULL},
        {"from_cross",    BASIS_CROSS,   PB_RULE_CROSS, &p->from_cross,    NULL},
        {"seed_parent",   BASIS_PARENTS, PB_RULE_PLANT, &p->seed_parent,
         &more->seed_taxon                                                     },
        {"pollen_parent", BASIS_PARENTS, PB_RULE_PLANT, &p->pollen_parent,
         &more->pollen_taxon                                                   },
    };
    struct pb_json_at child;
    size_t origin = PB_ORIGIN_UNKNOWN;
    if (pb_reader_get(rd, at, "origin", false, &child))
        rd->rc = pb_json_word(&child, pb_origin_names, PB_ORIGIN_N, &origin, rd->err);
    p->origin = (enum pb_origin)origin;
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        bool wanted = rows[i].basis == basis_of(p->origin);
        bool required = wanted && rows[i].basis != BASIS_PARENTS;
        if (!pb_reader_get(rd, at, rows[i].key, required, &child))
            continue;
        if (!wanted)
            rd->rc = pb_json_fail(rd->err, PB_EINVALID, &child,
                                  "does not go with the origin \"%s\"",
                                  pb_origin_names[p->origin]);
        else if (rows[i].taxon != NULL)
            read_stated(rd, &child, rows[i].ref, rows[i].taxon);
        else
            pb_parts_ref(rd, &child, NULL, rows[i].form, rows[i].ref);
        pb_parts_other(rd, &child, &p->head, rows[i].ref);
    }
    if (rd->rc == PB_OK && p->origin == PB_ORIGIN_PARENTS &&
        p->seed_parent.id[0] == '\0' && p->pollen_parent.id[0] == '\0')
        rd->rc = pb_json_fail(rd->err, PB_EINVALID, at,
                              "the origin \"parents\" wants \"seed_parent\", "
                              "\"pollen_parent\" or both");
}

/* It came to one thing after the other; a shoot may die back before its last flower. */
static void check_flowering(struct pb_reader *rd, const struct pb_json_at *at,
                            const struct pb_flowering *f)
{
    if (rd->rc == PB_OK && pb_flowering_last(f) == PB_BLOOM_N)
        rd->rc = pb_json_fail(rd->err, PB_EINVALID, at, "says no day");
    for (int i = 0; i < PB_BLOOM_N; i++)
        for (int k = i + 1; k < PB_BLOOM_N && rd->rc == PB_OK; k++)
            if (f->on[i] != PB_DAY_NONE && f->on[k] != PB_DAY_NONE &&
                f->on[k] < f->on[i] && i < PB_BLOOM_OVER)
                rd->rc = pb_json_fail(rd->err, PB_EINVALID, at, "is %s before it is %s",
                                      pb_bloom_names[k], pb_bloom_names[i]);
}

static void read_flowerings(struct pb_reader *rd, const struct pb_json_at *at,
                            struct pb_plant_more *more)
{
    static const struct pb_shape shape = {&pb_flowering_members, NULL, 0};
    struct pb_json_at list;
    char slot[PB_SLOT_TEXT];
    if (!pb_reader_get(rd, at, "flowerings", false, &list))
        return;
    more->flowerings = pb_parts_array(rd, &list, PB_MAX_LOOKS,
                                      sizeof(*more->flowerings), &more->flowering_n);
    for (size_t i = 0; rd->rc == PB_OK && i < more->flowering_n; i++) {
        struct pb_json_at item = pb_json_item(&list, i);
        struct pb_flowering *f = &more->flowerings[i];
        pb_flowering_init(f);
        f->number = (int)i + 1;
        pb_reader_object(rd, &item, &shape, pb_slot_item(slot, "flowerings", i), f);
        check_flowering(rd, &item, f);
    }
}

static void read_plant(struct pb_reader *rd, const struct pb_json_at *at,
                       struct pb_record *rec)
{
    /* the last is computed: known, and no fault whatever it holds */
    static const char *const keys[] = {PB_HEAD_KEYS,   "clone",         "origin",
                                       "source_plant", "from_cross",    "seed_parent",
                                       "gone",         "pollen_parent", "out_of",
                                       "flowerings",   "looks",         "doubts"};
    static const struct pb_shape shape = PB_SHAPE(&pb_plant_members, keys);
    static const struct pb_parts_limit limit = {PB_PLANT, PB_DAY_NONE, 1};
    struct pb_plant *p = &rec->plant;
    struct pb_json_at child;
    size_t gone = PB_GONE_NOT;
    pb_reader_object(rd, at, &shape, NULL, p);
    pb_parts_head(rd, at, PB_RULE_PLANT, &p->head);
    pb_parts_clone(rd, at, NULL, &p->genet, &p->clone_name);
    read_origin(rd, at, p, &rec->more);
    if (pb_reader_get(rd, at, "out_of", false, &child)) {
        pb_parts_ref(rd, &child, NULL, PB_RULE_OUT_OF, &p->out_of);
        pb_parts_other(rd, &child, &p->head, &p->out_of);
    }
    if (pb_reader_get(rd, at, "gone", false, &child))
        rd->rc = pb_json_word(&child, pb_gone_names, PB_GONE_N, &gone, rd->err);
    p->gone = (enum pb_gone)gone;
    if (p->gone == PB_GONE_NOT && pb_reader_get(rd, at, "gone_on", false, &child))
        rd->rc = pb_json_fail(rd->err, PB_EINVALID, &child,
                              "says when, but no \"gone\" says what has become of it");
    read_flowerings(rd, at, &rec->more);
    pb_parts_looks(rd, at, &limit, &rec->more.looks, &rec->more.look_n);
}

/* ---- the record --------------------------------------------------------------------- */

static void read_kind(struct pb_reader *rd, const struct pb_json_at *at,
                      struct pb_record *rec)
{
    switch (rec->kind) {
    case PB_PLANT:
        read_plant(rd, at, rec);
        return;
    case PB_CROSS:
        pb_parts_cross(rd, at, &rec->cross);
        return;
    case PB_SEED:
    case PB_FLASK:
    case PB_CUTTING:
    case PB_POLLEN:
        rec->batch.kind = rec->kind;
        pb_parts_batch(rd, at, &rec->batch, &rec->cross, &rec->parent);
        return;
    case PB_KIND_N:
        return;
    }
}

enum pb_rc pb_record_read(const char *file, long line, const char *text, size_t n,
                          struct pb_record *rec, struct pb_err *err)
{
    const struct pb_json_origin origin = {file, line};
    struct pb_reader rd = {.err = err};
    json_t *doc = NULL;
    if (n > PB_MAX_JSON_LINE)
        return pb_fail_at(err, PB_ELIMIT, file, line, "is longer than %d bytes",
                          PB_MAX_JSON_LINE);
    rd.rc = pb_json_load(&origin, text, n, &doc, err);
    if (rd.rc != PB_OK)
        return rd.rc;
    struct pb_json_at at = pb_json_root(&origin, doc);
    rd.extra = json_object();
    if (rd.extra == NULL)
        rd.rc = pb_fail_memory(err);
    else
        pb_parts_format(&rd, &at, &rec->kind);
    if (rd.rc == PB_OK) {
        read_kind(&rd, &at, rec);
        pb_parts_doubts(&rd, &at, pb_record_head(rec)->code, &rec->doubts);
        pb_reader_take_extra(&rd, &at, &pb_record_head(rec)->extra);
    }
    json_decref(rd.extra);
    json_decref(doc);
    if (rd.rc != PB_OK)
        pb_record_clear(rec);
    return rd.rc;
}
