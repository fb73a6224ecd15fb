/* A copy of the book.  See backup.h. */
#include "act/backup.h"

#include "exchange/replace.h"

enum pb_rc pb_act_backup(struct pb_act *a, const char *path, struct pb_copied *made,
                         struct pb_err *err)
{
    struct pb_replace *f = NULL;
    enum pb_rc rc = pb_book_copy_check(a->book, path, err);
    if (rc == PB_OK)
        rc = pb_replace_begin_book(path, &f, err);
    if (rc == PB_OK)
        rc = pb_book_copy(a->book, pb_replace_beside(f), path, made, err);
    return pb_replace_end(f, rc, err);
}
