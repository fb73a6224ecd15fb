/*
 * The book: one SQLite file, one transaction an act.
 *
 * Reading a book that does not exist is reading an empty one, and makes nothing.  Writing
 * happens between pb_book_begin and pb_book_end; everything in between is kept whole or
 * not at all.  A book handle belongs to one thread.
 */
#ifndef PB_BOOK_BOOK_H
#define PB_BOOK_BOOK_H

#include "base/err.h"
#include "core/civil.h"

#include <stdbool.h>
#include <stdint.h>

struct pb_book;

enum pb_book_mode { PB_BOOK_READ, PB_BOOK_WRITE, PB_BOOK_CHECK };

/*
 * For a program of one thread, before it opens its first book: SQLite then takes no locks
 * between threads and counts no memory, a twentieth of its work.  It holds for the whole
 * process, so it is the program's to say and not the library's.
 */
void pb_book_one_thread(void);

/*
 * Open the book at path; ":memory:" is one that lasts as long as its handle.
 *   mode  PB_BOOK_READ: never changes a fact; a path without a file is an empty book.
 *         PB_BOOK_WRITE: the file is made by the first act that succeeds; its folder must
 *         exist
 *         PB_BOOK_CHECK: like reading, and nothing at all is changed: no cache, no older
 *         form brought up to date, no journal of others worked in
 *   out   yours: pb_book_close
 * PB_EIO  not a book, of a newer podbook, not to be reached (a folder that may not be
 *         searched is no missing book), opened or written; names the path
 */
enum pb_rc pb_book_open(const char *path, enum pb_book_mode mode, struct pb_book **out,
                        struct pb_err *err);
void pb_book_close(struct pb_book *book); /* NULL is allowed */

/*
 * Begin an act: takes the write lock, waiting up to 5 s for another writer.
 *   command  its words, as the history shows them
 *   today    the grower's today;  now: s since 1970 UTC
 */
enum pb_rc pb_book_begin(struct pb_book *book, const char *command, pb_day today,
                         int64_t now, struct pb_err *err);
/*
 * Begin a write that is no act and leaves no trace in the history: caches only.  Also on a
 * book opened for reading, where its place can be written; there it waits for nobody.
 */
enum pb_rc pb_book_begin_cache(struct pb_book *book, struct pb_err *err);

/*
 * End it: rc PB_OK commits, anything else rolls back and is handed through.  Returns what
 * came of it; after an error nothing of the act is in the book.
 */
enum pb_rc pb_book_end(struct pb_book *book, enum pb_rc rc, struct pb_err *err);
/* End one that turned out to change nothing: no act is left behind. */
void pb_book_drop(struct pb_book *book);
/* Was an act kept since the book was opened?  What fails after it leaves it there. */
bool pb_book_has_kept(const struct pb_book *book);

/*
 * From now on all that is read is of one state of the book, whatever others write meanwhile;
 * until the next act or write to the caches begins, or the book is closed.  Where the place
 * of the book allows no WAL, others who write wait for as long.
 */
enum pb_rc pb_book_hold(struct pb_book *book, struct pb_err *err);

/*
 * Is all that was read of one state?  To be asked at the end, for a book in a place where
 * nothing may be written can be read without a lock only.
 * PB_EIO  somebody wrote to it meanwhile
 */
enum pb_rc pb_book_check_same(const struct pb_book *book, struct pb_err *err);

/* How much of the file may be kept in memory, in KiB; 8 MiB at first.  Little is enough
 * where much is passed over once, and more helps where rows are put in anywhere. */
void pb_book_set_pages(struct pb_book *book, int kib);

/*
 * Which state of the book is read: equal stamps are of one state, as far as this handle has
 * read; what was worked out under one may be used under the same again.
 */
struct pb_book_stamp {
    uint32_t version, taken_back;
    int64_t changes;
};
struct pb_book_stamp pb_book_stamp(struct pb_book *book);
bool pb_book_stamp_is(const struct pb_book_stamp *a, const struct pb_book_stamp *b);

/* Number of the running act, from 1: part of what new ids are made of in tests. */
int64_t pb_book_act(const struct pb_book *book);
/* False where nothing is at its path yet, and an empty book is read. */
bool pb_book_is_there(const struct pb_book *book);
/*
 * A word for the disk that the book lies on, where another machine or program may change it
 * behind our back: a network's, or one that a program of its own serves.  There its journal
 * is not shared memory.  NULL: a local disk, or not known.
 */
const char *pb_book_place(const struct pb_book *book);
/*
 * The path of the copy that was made of a book of an older form before it was brought to
 * today's, when it was opened; the book's path with ".form1" behind it, for a book of form 1,
 * and a number more where something has that name.  NULL: it had today's form already.
 */
const char *pb_book_before(const struct pb_book *book);
/* False for a book that could be opened for reading only. */
bool pb_book_is_writable(const struct pb_book *book);

/*
 * The next own code of a letter: X26-001.  Numbers are never given twice, not even after
 * an undo.  Only inside an act.
 *   day   the record's own day;  code has room for PB_MAX_CODE + 1
 */
enum pb_rc pb_book_next_code(struct pb_book *book, char letter, pb_day day, char *code,
                             struct pb_err *err);

/*
 * A setting's value; *value stays NULL where none was kept (yours: free).
 */
enum pb_rc pb_book_setting(struct pb_book *book, const char *name, char **value,
                           struct pb_err *err);
/* Keep it; NULL takes it back to the default.  Only inside an act. */
enum pb_rc pb_book_setting_keep(struct pb_book *book, const char *name,
                                const char *value, struct pb_err *err);

#endif
