/*
 * Reading one row of a profiles document.  Internal to exchange (see json_read.h).
 */
#ifndef PB_EXCHANGE_PROFILE_ROW_H
#define PB_EXCHANGE_PROFILE_ROW_H

#include "core/profile.h"
#include "exchange/json_read.h"

/* How many names the lists of a row hold at most; a list that is no array counts none. */
size_t pb_profile_row_names(const struct pb_json_at *at);

/*
 * Read the row at a place.
 *   sources  the object whose keys a source may be; NULL: there is none
 *   names    room for pb_profile_row_names(at), zeroed; the row's lists point into it
 *   row      in: zeroed; out: the row, texts borrowed from the document.  On an error it
 *            holds what was read so far
 * Errors as pb_profile_table_parse.
 */
enum pb_rc pb_profile_row_read(const struct pb_json_at *at, const json_t *sources,
                               const char **names, struct pb_profile *row,
                               struct pb_err *err);

#endif
