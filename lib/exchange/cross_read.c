/* Reading crosses from JSON.  See record.h; the steps are in reader.h. */
#include "exchange/record_parts.h"

#include <string.h>

static void read_parents(struct pb_reader *rd, const struct pb_json_at *at,
                         struct pb_cross *x)
{
    static const char *const seed_keys[] = {PB_PARENT_KEYS};
    static const char *const pollen_keys[] = {PB_PARENT_KEYS, "pollen_lot",
                                              "pollen_age_days"};
    static const struct pb_shape seed_shape = PB_SHAPE(&pb_parent_members, seed_keys);
    static const struct pb_shape pollen_shape =
        PB_SHAPE(&pb_parent_members, pollen_keys);
    struct pb_json_at list, child;
    size_t n = 0;
    if (pb_reader_get(rd, at, "seed_parent", true, &child))
        pb_parts_parent(rd, &child, &seed_shape, &x->head, &x->seed);
    if (!pb_reader_get(rd, at, "pollen_parents", true, &list))
        return;
    rd->rc = pb_json_array(&list, 0, PB_MAX_POLLEN_PARENTS, &n, rd->err);
    for (size_t i = 0; rd->rc == PB_OK && i < n; i++) {
        struct pb_json_at item = pb_json_item(&list, i);
        struct pb_pollen_parent *pollen = &x->pollen[x->pollen_n++];
        pb_parts_parent(rd, &item, &pollen_shape, &x->head, &pollen->parent);
        pb_reader_members(rd, &item, &pb_pollen_members, pollen);
        pb_reader_code(rd, &item, "pollen_lot", PB_RULE_POLLEN, pollen->lot);
        for (size_t k = 0; rd->rc == PB_OK && k < i; k++)
            if (strcmp(x->pollen[k].parent.plant.id, pollen->parent.plant.id) == 0)
                rd->rc = pb_json_fail(rd->err, PB_EINVALID, &item,
                                      "is the same plant as an earlier one");
    }
}

static void read_harvests(struct pb_reader *rd, const struct pb_json_at *at,
                          struct pb_cross *x)
{
    static const char *const keys[] = {"as", "held_cold"};
    static const struct pb_shape shape = PB_SHAPE(&pb_harvest_members, keys);
    const struct pb_parts_limit limit = {PB_CROSS, x->pollinated, x->flowers};
    struct pb_json_at list, child;
    char slot[PB_SLOT_TEXT];
    if (!pb_reader_get(rd, at, "harvests", false, &list))
        return;
    x->harvests =
        pb_parts_array(rd, &list, PB_MAX_HARVESTS, sizeof(*x->harvests), &x->harvest_n);
    for (size_t i = 0; rd->rc == PB_OK && i < x->harvest_n; i++) {
        struct pb_json_at item = pb_json_item(&list, i);
        struct pb_harvest *h = &x->harvests[i];
        size_t as = PB_AS_CLOSED;
        h->number = (int)i + 1;
        pb_reader_object(rd, &item, &shape, pb_slot_item(slot, "harvests", i), h);
        if (pb_reader_get(rd, &item, "as", true, &child))
            rd->rc = pb_json_word(&child, pb_as_names, PB_AS_N, &as, rd->err);
        h->as = (enum pb_as)as;
        pb_reader_bool(rd, &item, "held_cold", &h->held_cold);
        pb_parts_event(rd, &item, &limit, h->on, h->count);
    }
}

void pb_parts_cross(struct pb_reader *rd, const struct pb_json_at *at,
                    struct pb_cross *x)
{
    /* the last six are computed: known, and passed over whatever they hold */
    static const char *const keys[] = {PB_HEAD_KEYS, "seed_parent", "pollen_parents",
                                       "own_pollen", "looks",       "harvests",
                                       "kind",       "windows",     "capsules",
                                       "state",      "doubts",      "warnings"};
    static const struct pb_shape shape = PB_SHAPE(&pb_cross_members, keys);
    struct pb_json_at child;
    char day[PB_DAY_TEXT];
    size_t own = PB_OWN_NOT_SAID;
    pb_reader_object(rd, at, &shape, NULL, x);
    pb_parts_head(rd, at, PB_RULE_CROSS, &x->head);
    const struct pb_parts_limit limit = {PB_CROSS, x->pollinated, x->flowers};
    read_parents(rd, at, x);
    if (pb_reader_get(rd, at, "own_pollen", false, &child))
        rd->rc = pb_json_word(&child, pb_own_pollen_names, PB_OWN_N, &own, rd->err);
    x->own_pollen = (enum pb_own_pollen)own;
    if (x->bagged != PB_DAY_NONE && x->bagged < x->pollinated &&
        pb_reader_get(rd, at, "bagged", true, &child))
        rd->rc =
            pb_json_fail(rd->err, PB_EINVALID, &child, "is before the pollination, %s",
                         pb_day_format(x->pollinated, day));
    pb_parts_looks(rd, at, &limit, &x->looks, &x->look_n);
    read_harvests(rd, at, x);
}
