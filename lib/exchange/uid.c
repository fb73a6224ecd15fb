/* Version-5 UUIDs through libuuid.  See uid.h. */
#include "exchange/uid.h"

#include <stdio.h>
#include <string.h>
#include <uuid/uuid.h>

_Static_assert(UUID_STR_LEN == PB_ID_TEXT, "both count the NUL");
_Static_assert(sizeof(uuid_t) == PB_UID_BYTES, "RFC 9562: 128 bits");

enum pb_rc pb_uid_of_name(const char *space, const char *name, char uid[PB_ID_TEXT],
                          struct pb_err *err)
{
    uuid_t inside, made;
    if (uuid_parse(space, inside) != 0)
        return pb_fail(err, PB_EPARSE, "expected a UUID as namespace, got \"%.40s\"",
                       space);
    uuid_generate_sha1(made, inside, name, strlen(name));
    uuid_unparse_lower(made, uid);
    return PB_OK;
}

enum pb_rc pb_uid_of_task(const char *record_id, const char *task, int n,
                          char uid[PB_ID_TEXT], struct pb_err *err)
{
    char name[64];
    (void)snprintf(name, sizeof(name), "%s/%d", task, n);
    return pb_uid_of_name(record_id, name, uid, err);
}

bool pb_uid_pack(const char *uid, unsigned char bytes[PB_UID_BYTES])
{
    return pb_id_is_valid(uid) && uuid_parse(uid, bytes) == 0;
}

char *pb_uid_unpack(const unsigned char bytes[PB_UID_BYTES], char uid[PB_ID_TEXT])
{
    uuid_unparse_lower(bytes, uid);
    return uid;
}
