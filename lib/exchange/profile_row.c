/*
 * One row of a profiles document.  See profile_row.h.
 */
#include "exchange/profile_row.h"

#include "base/limits.h"
#include "base/text.h"
#include "core/taxon.h"

#include <string.h>

/* What reading a row needs besides its place. */
struct row_reader {
    const json_t *sources;
    struct pb_err *err;
};

/* ---- the parts of a row ------------------------------------------------------------ */

/* Keys joined by +, each listed under "sources". */
static enum pb_rc read_source(const struct row_reader *r, const struct pb_json_at *at,
                              const char **source)
{
    struct pb_json_at m;
    const char *text = NULL;
    enum pb_rc rc = pb_json_need(at, "source", &m, r->err);
    if (rc == PB_OK)
        rc = pb_json_text(&m, PB_MAX_NAME, &text, r->err);
    if (rc != PB_OK)
        return rc;
    for (const char *p = text;; p++) {
        char key[PB_MAX_NAME + 1];
        size_t n = strcspn(p, "+");
        memcpy(key, p, n);
        key[n] = '\0';
        if (json_object_get(r->sources, key) == NULL)
            return pb_json_fail(r->err, PB_EINVALID, &m,
                                "\"%s\" is not listed under \"sources\"", key);
        p += n;
        if (*p == '\0')
            break;
    }
    *source = text;
    return PB_OK;
}

static enum pb_rc read_confidence(const struct row_reader *r,
                                  const struct pb_json_at *at,
                                  enum pb_confidence *confidence)
{
    struct pb_json_at m;
    size_t which = 0;
    enum pb_rc rc = pb_json_need(at, "confidence", &m, r->err);
    if (rc == PB_OK)
        rc = pb_json_word(&m, pb_confidence_names, PB_CONFIDENCE_N, &which, r->err);
    if (rc == PB_OK)
        *confidence = (enum pb_confidence)which;
    return rc;
}

static enum pb_rc read_days(const struct row_reader *r, const struct pb_json_at *at,
                            const char *key, int *days)
{
    struct pb_json_at m;
    int64_t value = 0;
    enum pb_rc rc = pb_json_need(at, key, &m, r->err);
    if (rc == PB_OK)
        rc = pb_json_int(&m, 0, PB_MAX_STAGE_DAYS, &value, r->err);
    if (rc == PB_OK)
        *days = (int)value;
    return rc;
}

/* from and to; a stage without a sign may leave out both. */
static enum pb_rc read_window(const struct row_reader *r, const struct pb_json_at *at,
                              struct pb_profile_stage *stage)
{
    struct pb_json_at m;
    stage->from = stage->to = stage->best = -1;
    if (stage->no_sign && !pb_json_get(at, "from", &m) && !pb_json_get(at, "to", &m))
        return PB_OK;
    enum pb_rc rc = read_days(r, at, "from", &stage->from);
    if (rc == PB_OK)
        rc = read_days(r, at, "to", &stage->to);
    if (rc == PB_OK && stage->from > stage->to)
        rc = pb_json_fail(r->err, PB_EINVALID, at, "from %d comes after to %d",
                          stage->from, stage->to);
    if (rc == PB_OK && pb_json_get(at, "best", &m)) {
        rc = read_days(r, at, "best", &stage->best);
        if (rc == PB_OK && (stage->best < stage->from || stage->best > stage->to))
            rc = pb_json_fail(r->err, PB_EINVALID, &m, "%d is not in %d to %d",
                              stage->best, stage->from, stage->to);
    }
    return rc;
}

/* ORDER STAGE_KEY: the schema.  What only one stage may say stands behind the common. */
static const char *const stage_keys[] = {"from", "to", "source", "confidence"};
static const char *const swelling_keys[] = {"from", "to", "source", "confidence",
                                            "sign"};
static const char *const split_keys[] = {"from", "to", "source", "confidence",
                                         "weight"};
static const char *const receptive_keys[] = {"from", "to", "source", "confidence",
                                             "best"};

static enum pb_rc check_stage_keys(const struct row_reader *r,
                                   const struct pb_json_at *at, enum pb_stage which)
{
    const char *const *keys = which == PB_STAGE_SWELLING    ? swelling_keys
                              : which == PB_STAGE_SPLIT     ? split_keys
                              : which == PB_STAGE_RECEPTIVE ? receptive_keys
                                                            : stage_keys;
    size_t n = PB_ARRAY_LEN(stage_keys) + (keys != stage_keys);
    return pb_json_object(at, keys, n, false, r->err);
}

static enum pb_rc read_stage(const struct row_reader *r, const struct pb_json_at *at,
                             enum pb_stage which, struct pb_profile_stage *stage)
{
    static const char *const signs[] = {"none"};
    enum {
        MAX_WEIGHT = 100000
    }; /* capsules; beyond it nothing could move the window */
    struct pb_json_at m;
    size_t sign = 0;
    enum pb_rc rc = check_stage_keys(r, at, which);
    if (rc == PB_OK && pb_json_get(at, "sign", &m)) {
        rc = pb_json_word(&m, signs, PB_ARRAY_LEN(signs), &sign, r->err);
        stage->no_sign = true;
    }
    if (rc == PB_OK)
        rc = read_window(r, at, stage);
    if (rc == PB_OK && pb_json_get(at, "weight", &m))
        rc = pb_json_number(&m, 2, MAX_WEIGHT, &stage->weight, r->err);
    if (rc == PB_OK)
        rc = read_confidence(r, at, &stage->confidence);
    return rc == PB_OK ? read_source(r, at, &stage->source) : rc;
}

static enum pb_rc read_stages(const struct row_reader *r, const struct pb_json_at *row,
                              struct pb_profile *p)
{
    struct pb_json_at stages, m;
    enum pb_rc rc = pb_json_need(row, "stages", &stages, r->err);
    if (rc == PB_OK)
        rc = pb_json_object(&stages, pb_stage_names, PB_STAGE_N, false, r->err);
    for (size_t i = 0; rc == PB_OK && i < PB_STAGE_N; i++)
        if (pb_json_get(&stages, pb_stage_names[i], &m))
            rc = read_stage(r, &m, (enum pb_stage)i, &p->stages[i]);
    return rc;
}

static enum pb_rc read_set_rate(const struct row_reader *r,
                                const struct pb_json_at *row, struct pb_set_rate *rate)
{
    static const char *const keys[] = {"share", "source", "confidence"};
    struct pb_json_at at, m;
    if (!pb_json_get(row, "set_rate", &at))
        return PB_OK;
    enum pb_rc rc = pb_json_object(&at, keys, PB_ARRAY_LEN(keys), false, r->err);
    if (rc == PB_OK)
        rc = pb_json_need(&at, "share", &m, r->err);
    if (rc == PB_OK)
        rc = pb_json_number(&m, 0, 1, &rate->share, r->err);
    if (rc == PB_OK)
        rc = read_confidence(r, &at, &rate->confidence);
    return rc == PB_OK ? read_source(r, &at, &rate->source) : rc;
}

/* ---- names ------------------------------------------------------------------------- */

static enum pb_rc read_name(const struct row_reader *r, const struct pb_json_at *at,
                            enum pb_profile_list list, const char **name)
{
    const char *text = NULL;
    bool genus = list == PB_LIST_PART_OF || list == PB_LIST_GROUP_OF;
    enum pb_rc rc = pb_json_text(at, PB_MAX_NAME, &text, r->err);
    if (rc == PB_OK && !(genus ? pb_taxon_is_genus(text) : pb_taxon_is_plain(text)))
        rc = pb_json_fail(
            r->err, PB_EPARSE, at, "expected %s, got \"%s\"",
            genus ? "a genus" : "\"Genus\", \"Genus species\" or \"Genus Grex\"", text);
    if (rc == PB_OK)
        *name = text;
    return rc;
}

static enum pb_rc read_list(const struct row_reader *r, const struct pb_json_at *at,
                            enum pb_profile_list list, const char **names, size_t *n)
{
    enum pb_rc rc = pb_json_array(at, 0, PB_MAX_PROFILE_TAXA, n, r->err);
    for (size_t i = 0; rc == PB_OK && i < *n; i++) {
        struct pb_json_at item = pb_json_item(at, i);
        rc = read_name(r, &item, list, &names[i]);
    }
    return rc;
}

size_t pb_profile_row_names(const struct pb_json_at *at)
{
    size_t sum = 0;
    for (size_t i = 0; i < PB_LIST_N; i++)
        sum += json_array_size(json_object_get(at->value, pb_profile_list_names[i]));
    return sum;
}

static enum pb_rc read_lists(const struct row_reader *r, const struct pb_json_at *at,
                             const char **names, struct pb_profile *row)
{
    struct pb_json_at m;
    enum pb_rc rc = pb_json_need(at, pb_profile_list_names[PB_LIST_TAXA], &m, r->err);
    for (size_t i = 0; rc == PB_OK && i < PB_LIST_N; i++) {
        size_t n = 0;
        if (!pb_json_get(at, pb_profile_list_names[i], &m))
            continue;
        rc = read_list(r, &m, (enum pb_profile_list)i, names, &n);
        row->lists[i] = (struct pb_names){names, n};
        names += n;
    }
    return rc;
}

enum pb_rc pb_profile_row_read(const struct pb_json_at *at, const json_t *sources,
                               const char **names, struct pb_profile *row,
                               struct pb_err *err)
{
    /* ORDER LIST */
    static const char *const keys[] = {"name",     "note",     "taxa",   "part_of",
                                       "group_of", "measured", "stages", "set_rate"};
    const struct row_reader r = {sources, err};
    struct pb_json_at m;
    enum pb_rc rc = pb_json_object(at, keys, PB_ARRAY_LEN(keys), false, err);
    if (rc == PB_OK)
        rc = pb_json_need(at, "name", &m, err);
    if (rc == PB_OK)
        rc = pb_json_text(&m, PB_MAX_NAME, &row->name, err);
    if (rc == PB_OK && pb_json_get(at, "note", &m))
        rc = pb_json_text(&m, PB_MAX_TEXT, &row->note, err);
    if (rc == PB_OK)
        rc = read_lists(&r, at, names, row);
    if (rc == PB_OK)
        rc = read_stages(&r, at, row);
    return rc == PB_OK ? read_set_rate(&r, at, &row->set_rate) : rc;
}
