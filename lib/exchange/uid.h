/*
 * Names that stay the same without being stored: version-5 UUIDs (RFC 9562, section 5.5).
 *
 * The UID of a reminder is made from the id of its record and the task it stands for, so
 * every run and every machine gives a reminder the same one, and nothing in it tells of a
 * person, a machine or a title.
 */
#ifndef PB_EXCHANGE_UID_H
#define PB_EXCHANGE_UID_H

#include "base/err.h"
#include "core/record.h"

/*
 * The UUID that a name has inside a namespace.
 *   space  a UUID as text, the namespace
 *   name   any bytes up to the NUL
 *   uid    out: lower case, with hyphens
 * PB_EPARSE  space is not a UUID
 */
enum pb_rc pb_uid_of_name(const char *space, const char *name, char uid[PB_ID_TEXT],
                          struct pb_err *err);

/*
 * The UID of a reminder: name "task/n" in the namespace of the record.
 *   record_id  the record's id
 *   task       a word of pb_task_names
 *   n          the planned look's number of that task, from 1
 * PB_EPARSE  record_id is not a UUID
 */
enum pb_rc pb_uid_of_task(const char *record_id, const char *task, int n,
                          char uid[PB_ID_TEXT], struct pb_err *err);

enum { PB_UID_BYTES = 16 };

/* A UID in few bytes, for those who hold many; their order is that of the texts.  false: it
 * is no UUID in lower case. */
bool pb_uid_pack(const char *uid, unsigned char bytes[PB_UID_BYTES]);
/* The text again, which is returned. */
char *pb_uid_unpack(const unsigned char bytes[PB_UID_BYTES], char uid[PB_ID_TEXT]);

#endif
