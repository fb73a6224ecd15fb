/*
 * What times a seed parent's capsules.  See seed_timing.h.
 *
 * The memory is a table by the plant's row in which each row of the book has one place; two
 * plants of one place put each other out.
 */
#include "act/seed_timing.h"

#include "book/plants.h"

#include <stdlib.h>
#include <string.h>

enum {
    PLACES = 2048,
    TAXON_BYTES = 96 /* longer names are found each time */
};

struct pb_seed_timings {
    struct {
        int64_t plant; /* 0: nothing */
        char taxon[TAXON_BYTES];
        struct pb_seed_timing timing;
    } v[PLACES];
    struct pb_book_stamp stamp; /* of the book that all of them were found in */
    bool used;
};

enum pb_rc pb_timing_find(struct pb_act *a, const struct pb_parent *seed,
                          const char *chosen, struct pb_profile_match *match,
                          struct pb_err *err)
{
    char *parent = NULL;
    enum pb_rc rc = PB_OK;
    if (chosen != NULL && pb_profile_choose(a->profiles, chosen, seed->taxon, match))
        return PB_OK;
    pb_profile_find(a->profiles, seed->taxon, NULL, match);
    /* The seed parent's own seed parent is asked only where its name does not do. */
    bool vague = match->basis == PB_BASIS_NONE || match->basis == PB_BASIS_GROUP;
    if (!vague || seed->plant.n == 0)
        return PB_OK;
    rc = pb_seed_parent_taxon(a->book, seed->plant.n, &parent, err);
    if (rc == PB_OK && parent != NULL)
        pb_profile_find(a->profiles, seed->taxon, parent, match);
    free(parent);
    return rc;
}

static enum pb_rc find(struct pb_act *a, const struct pb_parent *seed,
                       const char *chosen, struct pb_seed_timing *timing,
                       struct pb_err *err)
{
    enum pb_rc rc = pb_timing_find(a, seed, chosen, &timing->match, err);
    return rc == PB_OK ? pb_learn(a, seed, &timing->match, &timing->lesson, err) : rc;
}

/* Forget all of it where the book is not what it was. */
static void look_at_book(struct pb_seed_timings *m, struct pb_book *book)
{
    struct pb_book_stamp now = pb_book_stamp(book);
    if (m->used && pb_book_stamp_is(&m->stamp, &now))
        return;
    for (size_t i = 0; m->used && i < PLACES; i++)
        m->v[i].plant = 0;
    m->stamp = now;
    m->used = true;
}

enum pb_rc pb_seed_timing_find(struct pb_seed_timings **memory, struct pb_act *a,
                               const struct pb_parent *seed, const char *chosen,
                               struct pb_seed_timing *timing, struct pb_err *err)
{
    size_t n = strlen(seed->taxon);
    if (memory == NULL || seed->plant.n <= 0 || chosen != NULL || n >= TAXON_BYTES)
        return find(a, seed, chosen, timing, err);
    if (*memory == NULL)
        *memory = calloc(1, sizeof(**memory));
    struct pb_seed_timings *m = *memory;
    if (m == NULL)
        return pb_fail_memory(err);
    look_at_book(m, a->book);
    size_t i = (size_t)seed->plant.n % PLACES;
    if (m->v[i].plant == seed->plant.n && strcmp(m->v[i].taxon, seed->taxon) == 0) {
        *timing = m->v[i].timing;
        return PB_OK;
    }
    enum pb_rc rc = find(a, seed, NULL, timing, err);
    if (rc != PB_OK)
        return rc;
    m->v[i].plant = seed->plant.n;
    memcpy(m->v[i].taxon, seed->taxon, n + 1);
    m->v[i].timing = *timing;
    return PB_OK;
}

void pb_seed_timings_free(struct pb_seed_timings *memory)
{
    free(memory);
}
