/* Books for the unit tests: in memory, each with an act ready to be used. */
#ifndef PB_TESTS_BOOKS_H
#define PB_TESTS_BOOKS_H

#include "unit.h"

#include "act/enter.h"
#include "act/learn.h"
#include "act/receive.h"
#include "act/share.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

struct side {
    struct pb_profiles profiles;
    struct pb_act act;
    struct pb_received sum; /* of the last receive */
    struct pb_buf told;     /* its receipts */
    bool stay;              /* plants are received as elsewhere */
};

/* An empty book; number makes its ids differ from the other sides'. */
static inline void side_open(struct side *s, unsigned number, pb_day today)
{
    memset(s, 0, sizeof(*s));
    s->profiles.builtin = &pb_profiles_builtin;
    s->act.profiles = &s->profiles;
    s->act.command = "test";
    s->act.today = today;
    s->act.now = (int64_t)today * 86400;
    s->act.ids.key[0] = number;
    s->act.ids.key[1] = ~(uint64_t)number;
    pb_buf_init(&s->told, 1 << 20);
    assert_int_equal(pb_book_open(":memory:", PB_BOOK_WRITE, &s->act.book, NULL),
                     PB_OK);
}

static inline void side_close(struct side *s)
{
    pb_learner_close(&s->act);
    pb_book_close(s->act.book);
    pb_buf_clear(&s->told);
}

static inline enum pb_rc side_line(void *ctx, const char *json, size_t n,
                                   struct pb_err *err)
{
    struct pb_buf *text = ctx;
    (void)err;
    pb_buf_add(text, json, n);
    pb_buf_addc(text, '\n');
    return PB_OK;
}

/* What the book shares: of one code, or all (NULL). */
static inline void side_share(struct side *s, const char *code, bool notes,
                              struct pb_buf *text)
{
    struct pb_err err = {0};
    const struct pb_share what = {&code, code != NULL ? 1 : 0, notes};
    pb_buf_reset(text);
    enum pb_rc rc = pb_act_share(&s->act, &what, side_line, text, &err);
    CLAIM(rc == PB_OK, "share: %s", err.text);
}

/* "1 AR-1 added" with the code there behind "<" where it differs, "conflict" where
 * its looks contradict each other, and what else is said; a line each. */
static inline enum pb_rc side_told(void *ctx, const struct pb_receipt *r,
                                   struct pb_err *err)
{
    struct pb_buf *told = ctx;
    (void)err;
    pb_buf_printf(told, "%ld ", r->line);
    if (r->bad) {
        pb_buf_printf(told, "bad %s\n", r->why);
        return PB_OK;
    }
    pb_buf_printf(told, "%s", r->code);
    if (strcmp(r->code, r->there) != 0)
        pb_buf_printf(told, "<%s", r->there);
    pb_buf_printf(told, " %s%s%s\n", pb_merge_names[r->merge],
                  r->conflict      ? " conflict "
                  : r->why != NULL ? ": "
                                   : "",
                  r->why != NULL ? r->why : "");
    return PB_OK;
}

/* Receive a text; the receipts are in s->told afterwards. */
static inline const char *side_receive(struct side *s, const char *text)
{
    struct pb_err err = {0};
    FILE *f = tmpfile();
    assert_non_null(f);
    assert_int_equal(fwrite(text, 1, strlen(text), f), strlen(text));
    rewind(f);
    const struct pb_receiving what = {f, "in", side_told, &s->told, s->stay, false};
    pb_buf_reset(&s->told);
    enum pb_rc rc = pb_act_receive(&s->act, &what, &s->sum, &err);
    (void)fclose(f);
    CLAIM(rc == PB_OK, "receive: %s", err.text);
    return pb_buf_peek(&s->told);
}

#endif
