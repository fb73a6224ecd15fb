/*
 * An act: one thing a grower does to the book, done whole or not at all.
 *
 * Every function of lib/act takes one of these: the open book, the profiles that time it,
 * and what the act itself may not ask the machine for - today, now, new ids.
 */
#ifndef PB_ACT_ACT_H
#define PB_ACT_ACT_H

#include "book/book.h"
#include "core/civil.h"
#include "core/profile.h"
#include "core/record.h"

/* Makes UUIDs of version 7 (RFC 9562, 5.7): 48 bits of milliseconds, then the key's. */
struct pb_ids {
    uint64_t key[2]; /* random bytes of the machine, or of a test's seed */
    uint64_t made;   /* ids made so far */
};

struct pb_learner; /* learn.h */

struct pb_act {
    struct pb_book *book;               /* borrowed */
    const struct pb_profiles *profiles; /* borrowed */
    const char *command;                /* the words that the history keeps; borrowed */
    pb_day today;
    int64_t now; /* s since 1970 UTC */
    struct pb_ids ids;
    bool own_only;   /* the act changes nothing that books compare: no new revisions */
    bool learn_anew; /* laws are fitted again, whatever the book has kept of them */
    struct pb_learner *learner; /* NULL, or pb_learner_close at the end */
};

/*
 * The next id.  With a key of fixed bytes the ids follow from the act's number and are the
 * same every time; id has room for PB_ID_TEXT.
 */
void pb_ids_next(struct pb_act *a, char id[PB_ID_TEXT]);

/* A new record's head: id, revision 1, now.  The code is left as it is. */
void pb_act_new_head(struct pb_act *a, struct pb_head *head);
/* A changed record's head: now, and revision + 1 unless own_only. */
void pb_act_touch(const struct pb_act *a, struct pb_head *head);

/*
 * The day of something that has happened: not after today.
 *   what  the option's name, for the message
 */
enum pb_rc pb_act_past(const struct pb_act *a, const char *what, pb_day day,
                       struct pb_err *err);

#endif
