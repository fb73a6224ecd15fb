/* Withdrawing: out of every list and count, in the history for good.  See amend.h. */
#include "act/edit.h"

#include "act/batch.h"
#include "act/enter.h"
#include "act/find.h"
#include "book/plants.h"

#include <stdio.h>
#include <string.h>

static enum pb_rc rests(const char *code, const char *who, struct pb_err *err)
{
    return pb_fail(err, PB_ECONFLICT, "%s cannot be withdrawn: %s rests on it", code,
                   who);
}

static enum pb_rc withdraw_plant(struct pb_act *a, const char *code, struct pb_err *err)
{
    struct pb_plant p;
    bool used = false;
    char who[PB_MAX_CODE + 1];
    pb_plant_init(&p);
    enum pb_rc rc = pb_find_plant(a, NULL, code, &p, err);
    if (rc == PB_OK)
        rc = pb_plant_is_used(a->book, p.head.n, &used, who, err);
    if (rc == PB_OK && used)
        rc = rests(p.head.code, who, err);
    if (rc == PB_OK) {
        p.head.withdrawn = true;
        pb_act_touch(a, &p.head);
        rc = pb_plant_update(a->book, &p, err);
    }
    pb_plant_clear(&p);
    return rc;
}

static enum pb_rc withdraw_cross(struct pb_act *a, const char *code, struct pb_err *err)
{
    struct pb_cross x;
    bool used = false;
    char who[PB_MAX_CODE + 1];
    pb_cross_init(&x);
    enum pb_rc rc = pb_find_cross(a, NULL, code, &x, err);
    if (rc == PB_OK)
        rc = pb_cross_is_used(a->book, x.head.id, &used, who, err);
    if (rc == PB_OK && used)
        rc = rests(x.head.code, who, err);
    for (size_t i = 0; i < x.harvest_n && rc == PB_OK; i++)
        if (x.harvests[i].lot[0] != '\0')
            rc = rests(x.head.code, x.harvests[i].lot, err);
    if (rc == PB_OK) {
        x.head.withdrawn = true;
        rc = pb_cross_keep(a, &x, NULL, err);
    }
    pb_cross_clear(&x);
    return rc;
}

/* Take element i out of n. */
static void drop_look(struct pb_look *looks, size_t *n, struct pb_look *look)
{
    size_t behind = *n - (size_t)(look - looks) - 1;
    pb_look_clear(look);
    memmove(look, look + 1, behind * sizeof(*look));
    --*n;
}

static enum pb_rc withdraw_look(struct pb_act *a, const char *code, int number,
                                struct pb_err *err)
{
    struct pb_cross x;
    struct pb_look *look = NULL;
    pb_cross_init(&x);
    enum pb_rc rc = pb_find_cross(a, NULL, code, &x, err);
    if (rc == PB_OK)
        rc = pb_pick_look(x.head.code, x.looks, x.look_n, number, &look, err);
    if (rc == PB_OK) {
        rc = pb_look_withdraw(a->book, look->n, err);
        drop_look(x.looks, &x.look_n, look);
    }
    if (rc == PB_OK)
        rc = pb_cross_keep(a, &x, NULL, err);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc withdraw_batch_look(struct pb_act *a, const char *code, int number,
                                      struct pb_err *err)
{
    struct pb_batch b;
    struct pb_look *look = NULL;
    pb_batch_init(&b, PB_SEED);
    enum pb_rc rc = pb_find_batch(a, NULL, PB_KIND_N, code, &b, err);
    if (rc == PB_OK)
        rc = pb_pick_look(b.head.code, b.looks, b.look_n, number, &look, err);
    if (rc == PB_OK && pb_courses[b.kind].findings[look->found].command != NULL) {
        char at[PB_KEPT_CODE];
        (void)snprintf(at, sizeof(at), "%s/%d", b.head.code, number);
        rc = rests(at, "what podbook made with it", err);
    }
    if (rc == PB_OK) {
        rc = pb_look_withdraw(a->book, look->n, err);
        drop_look(b.looks, &b.look_n, look);
    }
    if (rc == PB_OK)
        rc = pb_batch_keep(a, &b, NULL, err);
    pb_batch_clear(&b);
    return rc;
}

static enum pb_rc withdraw_batch(struct pb_act *a, const char *code, struct pb_err *err)
{
    struct pb_batch b;
    struct pb_cross x;
    struct pb_harvest *h = NULL;
    bool used = false;
    char who[PB_MAX_CODE + 1];
    pb_batch_init(&b, PB_SEED);
    pb_cross_init(&x);
    enum pb_rc rc = pb_find_batch(a, NULL, PB_KIND_N, code, &b, err);
    if (rc == PB_OK)
        rc = pb_batch_is_used(a->book, &b, &used, who, err);
    if (rc == PB_OK && used)
        rc = rests(b.head.code, who, err);
    if (rc == PB_OK)
        rc = pb_edit_harvest(a, &b, &x, &h, err);
    if (rc == PB_OK && h != NULL) {
        rc = pb_harvest_withdraw(a->book, h->n, err);
        *h = x.harvests[--x.harvest_n];
        if (rc == PB_OK)
            rc = pb_cross_keep(a, &x, NULL, err);
    }
    b.head.withdrawn = true;
    if (rc == PB_OK)
        rc = pb_batch_keep(a, &b, NULL, err);
    if (rc == PB_OK)
        rc = pb_edit_filled(a, &b, b.on, err);
    pb_batch_clear(&b);
    pb_cross_clear(&x);
    return rc;
}

enum pb_rc pb_act_withdraw(struct pb_act *a, const char *code, struct pb_err *err)
{
    char bare[PB_BARE_CODE];
    int look = 0;
    enum pb_rc rc = pb_book_begin(a->book, a->command, a->today, a->now, err);
    if (rc != PB_OK)
        return rc;
    pb_code_bare(code, bare);
    switch (pb_code_kind(code, &look)) {
    case PB_PLANT:
        rc = look > 0 ? pb_withdraw_plant_look(a, bare, look, err)
                      : withdraw_plant(a, bare, err);
        break;
    case PB_CROSS:
        rc =
            look > 0 ? withdraw_look(a, bare, look, err) : withdraw_cross(a, bare, err);
        break;
    case PB_SEED:
    case PB_FLASK:
    case PB_CUTTING:
    case PB_POLLEN:
        rc = look > 0 ? withdraw_batch_look(a, bare, look, err)
                      : withdraw_batch(a, bare, err);
        break;
    case PB_KIND_N:
        rc = pb_not_found(a, NULL, PB_CODES_RECORD, code, err);
        break;
    }
    return pb_book_end(a->book, rc, err);
}
