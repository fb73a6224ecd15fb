/* What kind of disk a book lies on: some are no place for a journal in shared memory. */
#ifndef PB_BOOK_PLACE_H
#define PB_BOOK_PLACE_H

#include "base/err.h"

#include <stdint.h>

/* The word for a file system, by the number that statfs(2) gives it, on which several
 * machines or another program may change a file behind our back; NULL: a local one, or one
 * that is not known.  Static. */
const char *pb_place_word(uint32_t type);

/* The same for the file at path, or the folder that it will be in.  PB_ENOMEM */
enum pb_rc pb_place_of(const char *path, const char **word, struct pb_err *err);

#endif
