/* Books for the fuzz targets: in memory, empty or with the records of club.jsonl. */
#ifndef PB_TESTS_FUZZ_BOOK_H
#define PB_TESTS_FUZZ_BOOK_H

#include "fuzz.h"

#include "act/receive.h"
#include "act/table_in.h"
#include "exchange/record.h"

struct fuzz_book {
    struct pb_profiles profiles;
    struct pb_act act;
    bool filled;
    bool doubts; /* something was said of a record that was kept */
};

/*
 * The book of a number, as it was made: its ids differ from those of the other numbers.
 * Cheap where the input before changed nothing, for it is the same one then; so only a
 * target that has ended lets it go.  Of one number `filled` is always the same.
 */
enum { FUZZ_BOOKS = 3 };
struct fuzz_book *fuzz_book_of(unsigned number, bool filled);

/* Is the book what it was at first, to the byte? */
bool fuzz_book_is_untouched(const struct fuzz_book *b);

/* Receive records; what is told of a bad line is appended to told, a line each.  Returns
 * false where the whole was refused. */
bool fuzz_book_receive(struct fuzz_book *b, const void *bytes, size_t n,
                       struct pb_received *sum, struct pb_buf *told);

/* All that the book shares, in place of what out holds. */
void fuzz_book_share(struct fuzz_book *b, bool notes, struct pb_buf *out);

/* The book verifies without a fault; where something was said of a record that was received,
 * with none but of days, counts and looks, which people may send as they are. */
void fuzz_book_must_be_sound(struct fuzz_book *b);

/* Take back what was received in one act, if anything was: the book shares then what it did
 * before, with its revisions and their instants. */
void fuzz_book_must_undo(struct fuzz_book *b, const struct pb_buf *before);

/* The records are the same (act/share.h compares alike); notes: private texts too. */
bool fuzz_record_same(const struct pb_record *a, const struct pb_record *b, bool notes);

#endif
