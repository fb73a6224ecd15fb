/*
 * History and undo: every act, what it changed, and how it is taken back.
 *
 * Triggers keep what each change overwrote (schema.c), so the history is complete by
 * construction.  Taking an act back is an act of its own; nothing is ever erased.
 */
#ifndef PB_BOOK_HISTORY_H
#define PB_BOOK_HISTORY_H

#include "book/book.h"
#include "core/record.h"

/* One act, as the history shows it.  Strings are borrowed for the call. */
struct pb_history {
    int64_t n;    /* number of the act, from 1 */
    int64_t at;   /* s since 1970 UTC */
    pb_day today; /* what "today" was */
    const char *command;
    int64_t undoes;    /* the act it takes back, 0: none */
    int64_t undone_by; /* the act that took it back, 0: stands */
};

/* What an act did to one field of one row.  Strings are borrowed for the call. */
struct pb_change {
    const char *table;  /* plant, crossing, look ... */
    const char *code;   /* of the record, NULL: of none (a setting) */
    int number;         /* of a look or harvest within its cross, 0: none */
    const char *field;  /* NULL: the row as a whole came or went */
    bool gone;          /* with field NULL: it went */
    const char *before; /* NULL: was not given; plants by their codes */
    const char *after;
};

typedef enum pb_rc pb_history_each(void *ctx, const struct pb_history *h,
                                   struct pb_err *err);
typedef enum pb_rc pb_change_each(void *ctx, const struct pb_change *c,
                                  struct pb_err *err);

/* Acts in their order; code NULL: all, else those that touched this record, also while it
 * had another code. */
enum pb_rc pb_history_each_act(struct pb_book *book, const char *code,
                               pb_history_each *each, void *ctx, struct pb_err *err);

/* What one act changed, in order; code as above. */
enum pb_rc pb_history_changes(struct pb_book *book, int64_t act, const char *code,
                              pb_change_each *each, void *ctx, struct pb_err *err);

/* Has the running act changed anything that the history keeps? */
enum pb_rc pb_history_changed(struct pb_book *book, bool *changed, struct pb_err *err);

/*
 * The newest act that stands and is not itself an undo, nor the running one; *n = 0: there is
 * none.  It may have changed no more than a revision.
 */
enum pb_rc pb_history_newest(struct pb_book *book, int64_t *n, struct pb_err *err);

/*
 * Take act n back, inside the running act.  Revisions of the records it touched go up, and
 * their instant becomes now; of what it had received both are again what they were before,
 * where no later act on the record stands.
 *   command  out: the words of the act taken back; yours (free)
 * PB_ENOTFOUND  no such act   PB_EINVALID  taken back already, or an undo itself
 * PB_ECONFLICT  later records rest on it; the text names them.  The caller must then roll
 *               the act back
 * The caller recomputes `open` of the records touched (pb_history_touched).
 */
enum pb_rc pb_history_undo(struct pb_book *book, int64_t n, int64_t now, char **command,
                           struct pb_err *err);

/* Codes of the records that an act changed, in their order. */
typedef enum pb_rc pb_code_each(void *ctx, const char *code, struct pb_err *err);
enum pb_rc pb_history_codes(struct pb_book *book, int64_t act, pb_code_each *each,
                            void *ctx, struct pb_err *err);

/* Codes of the crosses and batches that an act touched and that are still in the book. */
enum pb_rc pb_history_touched(struct pb_book *book, int64_t act, pb_code_each *each,
                              void *ctx, struct pb_err *err);

#endif
