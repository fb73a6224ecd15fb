/* Amending and withdrawing looks on plants.  See edit.h. */
#include "act/edit.h"

#include "act/find.h"
#include "act/shoot.h"
#include "book/looks.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The plant of "LD-1/2", its looks, and the one of that number. */
struct looked {
    struct pb_plant p;
    struct pb_look *looks, *look;
    size_t n;
};

static void looked_clear(struct looked *l)
{
    for (size_t i = 0; i < l->n; i++)
        pb_look_clear(&l->looks[i]);
    free(l->looks);
    pb_plant_clear(&l->p);
}

static enum pb_rc looked_load(struct pb_act *a, const char *code, int number,
                              struct looked *l, struct pb_err *err)
{
    memset(l, 0, sizeof(*l));
    pb_plant_init(&l->p);
    enum pb_rc rc = pb_find_plant(a, NULL, code, &l->p, err);
    if (rc == PB_OK)
        rc = pb_looks_load(a->book, (struct pb_looked){PB_PLANT, l->p.head.n},
                           &l->looks, &l->n, err);
    return rc == PB_OK
               ? pb_pick_look(l->p.head.code, l->looks, l->n, number, &l->look, err)
               : rc;
}

enum pb_rc pb_edit_plant_look(struct pb_act *a, const struct pb_edit *e,
                              struct pb_err *err)
{
    struct looked l;
    enum pb_rc rc = looked_load(a, e->code, e->look, &l, err);
    for (size_t i = 0; i < e->n && rc == PB_OK; i++)
        rc = pb_field_set_look(l.look, &pb_courses[PB_PLANT], &e->fields[i], a->today,
                               err);
    if (rc == PB_OK)
        rc = pb_shoot_keep(a, &l.p, l.look, err);
    if (rc == PB_OK)
        (void)snprintf(e->out->code, PB_KEPT_CODE, "%s/%d", l.p.head.code, e->look);
    looked_clear(&l);
    return rc;
}

enum pb_rc pb_withdraw_plant_look(struct pb_act *a, const char *code, int number,
                                  struct pb_err *err)
{
    struct looked l;
    enum pb_rc rc = looked_load(a, code, number, &l, err);
    if (rc == PB_OK)
        rc = pb_look_withdraw(a->book, l.look->n, err);
    if (rc == PB_OK)
        rc = pb_shoot_check(a, &l.p, err);
    if (rc == PB_OK) {
        pb_act_touch(a, &l.p.head);
        rc = pb_plant_update(a->book, &l.p, err);
    }
    looked_clear(&l);
    return rc;
}
