/* Internal to remind.c: which reminders calendars were told before, in brief and in memory,
 * so that a book of many is read once from end to end and not searched for each. */
#ifndef PB_ACT_REMINDED_H
#define PB_ACT_REMINDED_H

#include "act/remind.h"
#include "book/reminders.h"
#include "exchange/uid.h"

struct pb_reminded {
    unsigned char uid[PB_UID_BYTES];
    uint64_t mark; /* PB_REMINDED_ASKED, and the rest of pb_reminded_mark */
};
/* Set once a record has asked for it in this run. */
#define PB_REMINDED_ASKED UINT64_C(1)

struct pb_reminded_list {
    struct pb_reminded *v; /* UIDs ascending; yours: pb_reminded_clear */
    size_t n, cap;
    bool all; /* what is not among them was never told */
};

/*
 * What is kept of the records with these codes, or of all.
 *   list  in: zeros
 * PB_EPARSE  a row that is damaged
 * Cost: 24 bytes a reminder
 */
enum pb_rc pb_reminded_load(struct pb_reminded_list *list, struct pb_book *book,
                            const struct pb_remind_codes *codes, struct pb_err *err);
void pb_reminded_clear(struct pb_reminded_list *list);

/* The one with the UID; NULL: it is not in the list.  Borrowed. */
struct pb_reminded *pb_reminded_find(const struct pb_reminded_list *list,
                                     const char *uid);

/* Equal marks are of the same code and content (hash: pb_reminder_hash); nobody has asked. */
uint64_t pb_reminded_mark(const char *code, const char *hash);

#endif
