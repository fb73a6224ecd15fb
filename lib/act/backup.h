/* A copy of the book, for the day on which its disk is no more. */
#ifndef PB_ACT_BACKUP_H
#define PB_ACT_BACKUP_H

#include "act/act.h"
#include "book/copy.h"

/*
 * Copy the book to a file: written beside it, brought to the disk, read again and checked,
 * and only then put in place.  An older copy of the same book is replaced, nothing else.
 * The book may be open for reading only.
 *   made  out
 * The errors are those of pb_book_copy_check, pb_book_copy and pb_replace_begin.
 */
enum pb_rc pb_act_backup(struct pb_act *a, const char *path, struct pb_copied *made,
                         struct pb_err *err);

#endif
