/* Reading seed lots, flasks, cuttings and pollen lots from JSON.  See record.h. */
#include "core/life.h"
#include "exchange/record_parts.h"

#include <string.h>

/* The whole cross of a seed lot or flask: a record within the record, whose x- keys are
 * its own. */
static void read_whole_cross(struct pb_reader *rd, const struct pb_json_at *at,
                             struct pb_batch *b, struct pb_cross *x)
{
    struct pb_json_at child;
    char day[PB_DAY_TEXT];
    enum pb_kind kind = PB_CROSS;
    if (!pb_reader_get(rd, at, "cross", true, &child))
        return;
    struct pb_reader inner = {.extra = json_object(), .err = rd->err};
    if (inner.extra == NULL)
        inner.rc = pb_fail_memory(rd->err);
    pb_parts_format(&inner, &child, &kind);
    if (inner.rc == PB_OK && kind != PB_CROSS)
        inner.rc = pb_json_fail(rd->err, PB_EINVALID, &child,
                                "expected a whole podbook-cross");
    pb_parts_cross(&inner, &child, x);
    pb_reader_take_extra(&inner, &child, &x->head.extra);
    json_decref(inner.extra);
    rd->rc = inner.rc;
    if (rd->rc != PB_OK)
        return;
    memcpy(b->cross.id, x->head.id, sizeof(b->cross.id));
    memcpy(b->cross.code, x->head.code, sizeof(b->cross.code));
    pb_parts_other(rd, &child, &b->head, &b->cross);
    /* what was withdrawn binds nobody: its cross may have been put right since */
    if (b->on < x->pollinated && !b->head.withdrawn &&
        pb_reader_get(rd, at, "on", true, &child))
        rd->rc =
            pb_json_fail(rd->err, PB_EINVALID, &child, "is before the pollination, %s",
                         pb_day_format(x->pollinated, day));
}

/* What a flask was sown or replated from; the code says which of the two. */
static void read_source(struct pb_reader *rd, const struct pb_json_at *at,
                        struct pb_batch *b)
{
    struct pb_json_at child;
    struct pb_err reason = {0};
    const char *text = NULL;
    b->began = b->on;
    if (pb_reader_get(rd, at, "source", false, &child)) {
        pb_parts_ref(rd, &child, NULL, PB_RULE_SOWN, &b->source);
        pb_parts_other(rd, &child, &b->head, &b->source);
        b->source_kind = b->source.code[0] == 'F' ? PB_FLASK : PB_SEED;
    }
    if (!pb_reader_get(rd, at, "first_sown", false, &child))
        return;
    rd->rc = pb_json_text(&child, PB_MAX_NAME, &text, rd->err);
    if (rd->rc == PB_OK)
        pb_reader_reason(rd, &child, pb_day_parse_iso(NULL, text, &b->began, &reason),
                         &reason);
    if (rd->rc == PB_OK && b->source_kind != PB_FLASK)
        rd->rc = pb_json_fail(rd->err, PB_EINVALID, &child,
                              "goes with a flask as the source alone");
    if (rd->rc == PB_OK && b->began > b->on)
        rd->rc = pb_json_fail(rd->err, PB_EINVALID, &child,
                              "is after the day of the flask itself");
}

void pb_parts_batch(struct pb_reader *rd, const struct pb_json_at *at,
                    struct pb_batch *b, struct pb_cross *x, struct pb_parent *parent)
{
    /* those behind the looks are computed: known, and passed over whatever they hold */
    static const char *const seed_keys[] = {PB_HEAD_KEYS, "cross", "looks", "state",
                                            "left",       "tasks", "doubts"};
    static const char *const flask_keys[] = {PB_HEAD_KEYS, "cross", "source",
                                             "first_sown", "looks", "state",
                                             "left",       "tasks", "doubts"};
    static const char *const cutting_keys[] = {PB_HEAD_KEYS, "plant", "looks", "state",
                                               "cuttings",   "tasks", "doubts"};
    static const char *const pollen_keys[] = {PB_HEAD_KEYS, "plant", "looks",
                                              "state",      "tasks", "doubts"};
    static const struct {
        enum pb_code_rule form;
        struct pb_shape shape;
    } rows[PB_KIND_N] = {
        [PB_SEED] = {PB_RULE_SEED,    PB_SHAPE(&pb_batch_members[PB_SEED],  seed_keys)   },
        [PB_FLASK] = {PB_RULE_FLASK,   PB_SHAPE(&pb_batch_members[PB_FLASK], flask_keys)  },
        [PB_CUTTING] = {PB_RULE_CUTTING,
                     PB_SHAPE(&pb_batch_members[PB_CUTTING],                cutting_keys)},
        [PB_POLLEN] = {PB_RULE_POLLEN,
                     PB_SHAPE(&pb_batch_members[PB_POLLEN],                 pollen_keys) },
    };
    static const char *const plant_keys[] = {PB_PARENT_KEYS};
    static const struct pb_shape plant_shape = PB_SHAPE(&pb_parent_members, plant_keys);
    struct pb_json_at child;
    bool of_cross = b->kind == PB_SEED || b->kind == PB_FLASK;
    pb_reader_object(rd, at, &rows[b->kind].shape, NULL, b);
    pb_parts_head(rd, at, rows[b->kind].form, &b->head);
    if (of_cross)
        read_whole_cross(rd, at, b, x);
    else if (pb_reader_get(rd, at, "plant", true, &child)) {
        pb_parts_parent(rd, &child, &plant_shape, &b->head, parent);
        b->plant = parent->plant;
    }
    if (b->kind == PB_FLASK)
        read_source(rd, at, b);
    const struct pb_parts_limit limit = {b->kind, b->on, b->units};
    pb_parts_looks(rd, at, &limit, &b->looks, &b->look_n);
}
