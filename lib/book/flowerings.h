/* Flowerings in the book. */
#ifndef PB_BOOK_FLOWERINGS_H
#define PB_BOOK_FLOWERINGS_H

#include "book/book.h"
#include "core/bloom.h"

/* The newest flowering of a plant; number 0 where there is none. */
enum pb_rc pb_flowering_newest(struct pb_book *book, int64_t plant,
                               struct pb_flowering *f, struct pb_err *err);

/* Enter it (n = 0, n is set) or write over the row n.  Only inside an act. */
enum pb_rc pb_flowering_keep(struct pb_book *book, struct pb_flowering *f,
                             struct pb_err *err);

/* Called for each flowering; it is borrowed for the call. */
typedef enum pb_rc pb_flowering_each(void *ctx, const struct pb_flowering *f,
                                     struct pb_err *err);

/*
 * Flowerings with flowers open on a day, of living plants, by the plants' codes.  The cost
 * is that of the flowerings that are not over.
 */
enum pb_rc pb_flowerings_open(struct pb_book *book, pb_day today,
                              pb_flowering_each *each, void *ctx, struct pb_err *err);

/* All flowerings of a plant, in their order. */
enum pb_rc pb_flowerings_of(struct pb_book *book, int64_t plant,
                            pb_flowering_each *each, void *ctx, struct pb_err *err);

/*
 * Codes of the plants here with a flowering that ended on or after a day, in the order of
 * entry.
 *   codes  in: NULL, n 0; out: yours (free), on an error too.  Cost: that of those
 *          flowerings
 */
enum pb_rc pb_flowerings_ended(struct pb_book *book, pb_day since,
                               char (**codes)[PB_MAX_CODE + 1], size_t *n,
                               struct pb_err *err);

/* A day on which something of a plant began a life of its own. */
struct pb_parting {
    pb_day on; /* of a pup: got, or entered where nobody said */
    bool pup;  /* a pup or division became a plant; else cuttings were taken */
};

/*
 * Those of a plant, by day; withdrawn records are left out, and plants that were cuttings.
 *   v  in: NULL, n 0; out: yours (free), on an error too
 */
enum pb_rc pb_plant_partings(struct pb_book *book, int64_t plant, struct pb_parting **v,
                             size_t *n, struct pb_err *err);

/* A day of a plant's life, and what makes it one: "it is booked as open", "P26-001 was
 * taken from it". */
struct pb_plant_day {
    pb_day on; /* PB_DAY_NONE: there is none */
    char what[PB_MAX_CODE + 32];
};

/*
 * Days on which a plant was there, withdrawn records left out.
 *   first  out: the first of its flowerings, of looks at it, of what was taken from it, of
 *          crosses on it or with its fresh pollen
 *   last   out: the last of these, pollen left out: a flower may outlast its plant
 */
enum pb_rc pb_plant_days(struct pb_book *book, int64_t plant,
                         struct pb_plant_day *first, struct pb_plant_day *last,
                         struct pb_err *err);

#endif
