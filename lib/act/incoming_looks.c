/* The looks of a received record over ours.  See incoming.h. */
#include "act/incoming.h"

#include "book/arrive.h"

int pb_incoming_number(int own, int *last, int *next)
{
    int number = own > *last ? own : (*next)++;
    *last = number;
    return number;
}

/* Batches of every kind have one column. */
static bool is_of(struct pb_looked there, struct pb_looked here)
{
    enum pb_kind kind =
        here.kind == PB_PLANT || here.kind == PB_CROSS ? here.kind : PB_SEED;
    return there.kind == kind && there.row == here.row && here.row != 0;
}

/* Is the row among theirs? */
static bool is_kept(struct pb_look_list theirs, int64_t row)
{
    for (size_t k = 0; k < theirs.n; k++)
        if (theirs.v[k].n == row)
            return true;
    return false;
}

enum pb_rc pb_incoming_looks(struct pb_incoming *in, struct pb_looked of,
                             struct pb_look_list theirs, struct pb_look_list ours,
                             struct pb_err *err)
{
    int last = 0, next = 1;
    enum pb_rc rc = of.row != 0 ? pb_look_next(in->a->book, of, &next, err) : PB_OK;
    for (size_t i = 0; rc == PB_OK && i < theirs.n; i++) {
        struct pb_look *look = &theirs.v[i];
        struct pb_look_place place;
        rc = pb_look_find(in->a->book, look->id, &place, err);
        if (rc == PB_OK && place.row != 0 && !is_of(place.of, of))
            rc = pb_fail_at(err, PB_ECONFLICT, "looks", 0,
                            "%s is the id of a look on another record here", look->id);
        look->n = rc == PB_OK ? place.row : 0;
        look->number = pb_incoming_number(rc == PB_OK ? place.number : 0, &last, &next);
    }
    for (size_t i = 0; rc == PB_OK && of.row != 0 && i < ours.n; i++)
        if (!is_kept(theirs, ours.v[i].n))
            rc = pb_look_withdraw(in->a->book, ours.v[i].n, err);
    return rc;
}

enum pb_rc pb_incoming_look_days(const struct pb_incoming *in,
                                 struct pb_look_list looks, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; rc == PB_OK && i < looks.n; i++)
        rc = pb_incoming_day(in, "looks", looks.v[i].on, err);
    return rc;
}
