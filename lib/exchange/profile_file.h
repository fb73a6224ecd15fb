/*
 * Reading timing profiles from JSON: the grower's own file and the built-in table's source
 * are one format (podbook-profiles(5), lib/schema/profiles.schema.json), read strictly.
 *
 * A table that was read owns all its texts and arrays: release with pb_profile_table_free.
 * Errors name the file, the place as a JSON path and the reason.
 */
#ifndef PB_EXCHANGE_PROFILE_FILE_H
#define PB_EXCHANGE_PROFILE_FILE_H

#include "core/profile.h"

/*
 * Read one document.
 *   file     its name, for messages
 *   text, n  its bytes
 *   table    out: yours (pb_profile_table_free)
 * PB_EPARSE  not JSON, an unknown or repeated key, a wrong type, a taxon that is no
 *            "Genus", "Genus species" or "Genus Grex"
 * PB_ELIMIT  a number or a count outside its range, nested too deep, too many bytes
 * PB_EINVALID  it contradicts itself: from after to, a source that is not listed, two rows
 *            of one name or for one taxon
 * PB_ENOMEM
 */
enum pb_rc pb_profile_table_parse(const char *file, const char *text, size_t n,
                                  struct pb_profile_table **table, struct pb_err *err);

/*
 * Read a file.  One that does not exist is no error: *table is NULL then.
 * PB_EIO  it cannot be opened or read, or is no plain file    otherwise as pb_profile_table_parse
 */
enum pb_rc pb_profile_table_load(const char *path, struct pb_profile_table **table,
                                 struct pb_err *err);

/* NULL is allowed. */
void pb_profile_table_free(struct pb_profile_table *table);

#endif
