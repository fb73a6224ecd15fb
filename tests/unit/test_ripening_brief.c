/* A law in brief answers as the law does. */
#include "ripening_book.h"

#include "core/ripening_brief.h"
#include "core/ripening_built.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { DAYS = 400 };

/* Books whose laws differ in width and in what they were learnt from. */
static void fill(struct book *b, int which)
{
    static const int32_t windows[][2] = {
        {21,  30 },
        {40,  50 },
        {60,  90 },
        {150, 200},
        {1,   2  }
    };
    book_init(b, windows[which][0], windows[which][1], which % 2 == 0 ? 2 : 6);
    if (which == 0) { /* tight: many capsules of one clone */
        for (int32_t i = 0; i < 40; i++)
            add(b, 1, 23 + i % 3, 25 + i % 3, 2);
        add(b, 2, 30, NEVER, 1);
    }
    if (which == 1)
        add(b, 1, 60, NEVER, 3);
}

static void same_risk(const char *claim, const struct pb_ripening_law *law,
                      struct pb_ripening_brief *brief, int32_t intact, int32_t day)
{
    if (!pb_ripening_brief_has(brief, intact, day))
        return;
    double one = pb_ripening_risk_apart(law, intact, day);
    double other = pb_ripening_brief_risk(brief, intact, day);
    CLAIM(fabs(one - other) < 2e-9, "%s: intact %d, day %d: %.12f and %.12f", claim,
          (int)intact, (int)day, one, other);
}

/* All that a brief says, against its law. */
static void same_answers(const char *claim, const struct pb_ripening_law *law,
                         struct pb_ripening_brief *brief)
{
    static const double shares[] = {1e-6, 0.05, 0.1, 0.3, 0.5};
    double scale = 1, split[2], low = -1, high = -1;
    (void)pb_ripening_scale(law, &scale);
    CLAIM(fabs(pb_ripening_brief_scale(brief) - scale) < 1e-12, "%s: scale", claim);
    bool known =
        pb_ripening_quantile(law, 0.05, &low) && pb_ripening_quantile(law, 0.95, &high);
    pb_ripening_brief_split(brief, split);
    CLAIM(known ? fabs(split[0] - low) + fabs(split[1] - high) < 1e-9
                : split[0] < 0 && split[1] < 0,
          "%s: split", claim);
    for (int32_t day = -1; day < DAYS; day++)
        for (int32_t intact = 0; intact < DAYS; intact += 1 + intact / 3)
            same_risk(claim, law, brief, intact, day);
    for (size_t i = 0; i < PB_ARRAY_LEN(shares); i++) {
        int32_t until = pb_ripening_brief_until(brief, shares[i]);
        bool past = until + 1 >= brief->day_n ||
                    pb_ripening_split_by(law, until + 1) > shares[i];
        CLAIM(pb_ripening_split_by(law, until) <= shares[i] + 1e-12 && past,
              "%s: until %g is day %d", claim, shares[i], (int)until);
    }
}

static void as_the_law(void **state)
{
    (void)state;
    for (int which = 0; which < 5; which++)
        for (uint32_t clone = 0; clone < 3; clone++) {
            struct book b;
            struct pb_ripening_brief *brief = NULL, *back = NULL;
            struct pb_buf bytes;
            char claim[64];
            fill(&b, which);
            struct pb_ripening *r = fit(&b, 1);
            const struct pb_ripening_law *law = pb_ripening_law_of(r, clone);
            (void)snprintf(claim, sizeof(claim), "book %d, clone %u", which,
                           (unsigned)clone);
            pb_buf_init(&bytes, 100000);
            assert_int_equal(
                pb_ripening_brief_new(law, PB_RIPENING_BRIEF_NEAR, &brief, NULL),
                PB_OK);
            same_answers(claim, law, brief);
            pb_ripening_brief_pack(brief, &bytes);
            assert_int_equal(
                pb_ripening_brief_unpack(bytes.data, bytes.len, &back, NULL), PB_OK);
            assert_null(back->law);
            CLAIM(back->capsules == law->capsules && back->levels == law->levels &&
                      back->seen_first == law->seen_first &&
                      back->seen_last == law->seen_last,
                  "%s: what was seen", claim);
            same_answers(claim, law, back);
            free(back);
            free(brief);
            pb_buf_clear(&bytes);
            pb_ripening_free(r);
            free(b.obs);
        }
}

/* The days that a list asks about are in the table, for a window of any length. */
static void reaches_far_enough(void **state)
{
    (void)state;
    for (int which = 0; which < 4; which++) {
        struct book b;
        struct pb_ripening_brief *brief = NULL, *back = NULL;
        struct pb_buf bytes;
        fill(&b, which);
        struct pb_ripening *r = fit(&b, 1);
        pb_buf_init(&bytes, 100000);
        assert_int_equal(pb_ripening_brief_new(pb_ripening_law_unseen(r),
                                               PB_RIPENING_BRIEF_NEAR, &brief, NULL),
                         PB_OK);
        pb_ripening_brief_pack(brief, &bytes);
        assert_int_equal(pb_ripening_brief_unpack(bytes.data, bytes.len, &back, NULL),
                         PB_OK);
        CLAIM(pb_ripening_brief_has(back, 0, b.prior.last + 14), "book %d", which);
        CLAIM(!pb_ripening_brief_has(back, PB_RIPENING_DAYS, PB_RIPENING_DAYS + 1),
              "book %d: ten years are not", which);
        free(back);
        free(brief);
        pb_buf_clear(&bytes);
        pb_ripening_free(r);
        free(b.obs);
    }
}

static void damaged(void **state)
{
    static const struct {
        const char *claim;
        size_t at;
        unsigned char byte;
    } rows[] = {
        {"three levels",                0,  3   },
        {"seen before pollination",     15, 0x80},
        {"it begins after its end",     21, 0xFF},
        {"more days than there are",    24, 0xFF},
        {"a scale that is no number",   35, 0xFF},
        {"a median before the flower",  35, 0xBF},
        {"the last split is the first", 51, 0xFF},
        {"at first more than whole",    59, 0x7F},
        {"a chance below nothing",      67, 0xBF},
    };
    struct book b;
    struct pb_ripening_brief *brief = NULL, *out = NULL;
    struct pb_buf bytes;
    (void)state;
    fill(&b, 0);
    struct pb_ripening *r = fit(&b, 1);
    pb_buf_init(&bytes, 100000);
    assert_int_equal(pb_ripening_brief_new(pb_ripening_law_unseen(r),
                                           PB_RIPENING_BRIEF_NEAR, &brief, NULL),
                     PB_OK);
    pb_ripening_brief_pack(brief, &bytes);
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_err err = {0};
        char was = bytes.data[rows[i].at];
        bytes.data[rows[i].at] = (char)rows[i].byte;
        CLAIM(pb_ripening_brief_unpack(bytes.data, bytes.len, &out, &err) ==
                      PB_EPARSE &&
                  strstr(err.text, "not of this version") != NULL,
              "%s", rows[i].claim);
        bytes.data[rows[i].at] = was;
    }
    for (size_t len = 0; len < bytes.len; len += 7)
        CLAIM(pb_ripening_brief_unpack(bytes.data, len, &out, NULL) == PB_EPARSE,
              "%zu bytes of %zu", len, bytes.len);
    assert_int_equal(pb_ripening_brief_unpack(bytes.data, bytes.len, &out, NULL),
                     PB_OK);
    free(out);
    free(brief);
    pb_buf_clear(&bytes);
    pb_ripening_free(r);
    free(b.obs);
}

static void beyond_what_was_seen(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        int32_t seen_first, seen_last, from, to; /* beside the usual 21 to 25 */
        bool beyond;
    } rows[] = {
        {"long after the last that was seen",     63, 63, 264, 314, true },
        {"from the day after it",                 20, 40, 41,  45,  true },
        {"from that day itself",                  20, 40, 40,  45,  false},
        {"later than seen, but the usual days",   10, 14, 24,  28,  false},
        {"the last usual day is usual",           10, 14, 25,  29,  false},
        {"the day after it is not",               10, 14, 26,  30,  true },
        {"well before the first that was seen",   30, 44, 9,   12,  true },
        {"to that day",                           12, 44, 9,   12,  false},
        {"earlier than seen, but the usual days", 40, 44, 19,  21,  false},
        {"round all that was seen",               24, 26, 10,  60,  false},
        {"nothing was seen",                      0,  0,  264, 314, false},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        const struct pb_ripening_brief brief = {.seen_first = rows[i].seen_first,
                                                .seen_last = rows[i].seen_last};
        CLAIM(pb_ripening_brief_is_beyond(&brief, rows[i].from, rows[i].to, 21, 25) ==
                  rows[i].beyond,
              "%s", rows[i].claim);
    }
}

/* What was worked out when podbook was built is what a fit gives now. */
static void built_in(void **state)
{
    (void)state;
    assert_true(pb_ripening_built_n > 0);
    for (size_t i = 0; i < pb_ripening_built_n; i++) {
        const struct pb_ripening_built *built = &pb_ripening_builts[i];
        struct pb_ripening_brief *brief = NULL;
        struct pb_ripening *r = NULL;
        char claim[64];
        (void)snprintf(claim, sizeof(claim), "built in: %d-%d, weight %g",
                       (int)built->prior.first, (int)built->prior.last,
                       built->prior.weight);
        assert_int_equal(pb_ripening_brief_unpack(built->bytes, built->n, &brief, NULL),
                         PB_OK);
        assert_int_equal(pb_ripening_fit(&built->prior, NULL, 0, &r, NULL), PB_OK);
        same_answers(claim, pb_ripening_law_unseen(r), brief);
        assert_int_equal(brief->capsules, 0);
        assert_int_equal(brief->seen_last, 0);
        CLAIM(pb_ripening_built_find(&built->prior) == built, "%s is found", claim);
        free(brief);
        pb_ripening_free(r);
    }
    assert_null(pb_ripening_built_find(&(struct pb_ripening_prior){3, 999, 2}));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(as_the_law),           cmocka_unit_test(built_in),
        cmocka_unit_test(reaches_far_enough),   cmocka_unit_test(damaged),
        cmocka_unit_test(beyond_what_was_seen),
    };
    return UNIT_MAIN("ripening_brief", tests);
}
