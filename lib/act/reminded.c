/* Which reminders calendars were told before.  See reminded.h. */
#include "act/reminded.h"

#include <stdlib.h>
#include <string.h>

enum { FIRST_CAP = 64 };

uint64_t pb_reminded_mark(const char *code, const char *hash)
{
    return pb_hash_text(pb_hash_text(PB_HASH_START, code), hash) & ~PB_REMINDED_ASKED;
}

static enum pb_rc add(void *ctx, const struct pb_kept *k, struct pb_err *err)
{
    struct pb_reminded_list *list = ctx;
    if (list->n == list->cap) {
        size_t cap = list->cap > 0 ? list->cap * 2 : FIRST_CAP;
        void *v = realloc(list->v, cap * sizeof(*list->v));
        if (v == NULL)
            return pb_fail_memory(err);
        list->v = v;
        list->cap = cap;
    }
    struct pb_reminded *r = &list->v[list->n++];
    if (!pb_uid_pack(k->said.uid, r->uid))
        return pb_fail_at(err, PB_EPARSE, k->code, 0,
                          "the reminder %s of the book is damaged: its uid is no UUID",
                          k->said.uid);
    r->mark = pb_reminded_mark(k->code, k->hash);
    return PB_OK;
}

static int by_uid(const void *pa, const void *pb)
{
    const struct pb_reminded *a = pa, *b = pb;
    return memcmp(a->uid, b->uid, sizeof(a->uid));
}

static int uid_is(const void *uid, const void *pr)
{
    const struct pb_reminded *r = pr;
    return memcmp(uid, r->uid, sizeof(r->uid));
}

/* Codes may be named twice, and then their reminders are. */
static void sort(struct pb_reminded_list *list)
{
    size_t n = 1;
    qsort(list->v, list->n, sizeof(*list->v), by_uid);
    for (size_t i = 1; i < list->n; i++)
        if (by_uid(&list->v[n - 1], &list->v[i]) != 0)
            list->v[n++] = list->v[i];
    list->n = n;
}

enum pb_rc pb_reminded_load(struct pb_reminded_list *list, struct pb_book *book,
                            const struct pb_remind_codes *codes, struct pb_err *err)
{
    list->all = codes->n == 0;
    if (list->all)
        return pb_reminders_each(book, NULL, PB_KEPT_HEAD, add, list, err);
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; rc == PB_OK && i < codes->n; i++)
        rc = pb_reminders_each(book, codes->v[i], PB_KEPT_HEAD, add, list, err);
    if (rc == PB_OK && list->n > 1)
        sort(list);
    return rc;
}

void pb_reminded_clear(struct pb_reminded_list *list)
{
    free(list->v);
    *list = (struct pb_reminded_list){.v = NULL};
}

struct pb_reminded *pb_reminded_find(const struct pb_reminded_list *list,
                                     const char *uid)
{
    unsigned char bytes[PB_UID_BYTES];
    if (list->n == 0 || !pb_uid_pack(uid, bytes))
        return NULL;
    return bsearch(bytes, list->v, list->n, sizeof(*list->v), uid_is);
}
