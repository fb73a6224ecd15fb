/* The ripening estimator when memory runs out. */
#include "oom.h"

#include "core/ripening.h"
#include "core/ripening_brief.h"

#include <stdlib.h>

static const struct pb_ripening_prior prior = {21, 30, 2};

/* Clones with records of their own, so that grids, slices and laws all grow. */
static enum pb_rc learn(struct pb_err *err)
{
    static const struct pb_ripening_obs obs[] = {
        {0, 22, 24,                2},
        {1, 24, 26,                3},
        {2, 20, PB_RIPENING_NEVER, 1},
        {0, 0,  23,                1},
    };
    struct pb_ripening *r = NULL;
    enum pb_rc rc = pb_ripening_fit(&prior, obs, PB_ARRAY_LEN(obs), &r, err);
    pb_ripening_free(r);
    return rc;
}

static enum pb_rc learn_nothing(struct pb_err *err)
{
    struct pb_ripening *r = NULL;
    enum pb_rc rc = pb_ripening_fit(&prior, NULL, 0, &r, err);
    pb_ripening_free(r);
    return rc;
}

static enum pb_rc keep(struct pb_err *err)
{
    struct pb_ripening *r = NULL;
    struct pb_ripening_law *back = NULL;
    struct pb_buf bytes;
    pb_buf_init(&bytes, 1000000);
    enum pb_rc rc = pb_ripening_fit(&prior, NULL, 0, &r, err);
    if (rc == PB_OK) {
        pb_ripening_law_pack(pb_ripening_law_unseen(r), &bytes);
        rc = pb_buf_status(&bytes, err);
    }
    if (rc == PB_OK)
        rc = pb_ripening_law_unpack(bytes.data, bytes.len, &back, err);
    pb_ripening_law_free(back);
    pb_buf_clear(&bytes);
    pb_ripening_free(r);
    return rc;
}

static enum pb_rc keep_brief(struct pb_err *err)
{
    struct pb_ripening *r = NULL;
    struct pb_ripening_brief *brief = NULL, *back = NULL;
    struct pb_buf bytes;
    pb_buf_init(&bytes, 1000000);
    enum pb_rc rc = pb_ripening_fit(&prior, NULL, 0, &r, err);
    if (rc == PB_OK)
        rc = pb_ripening_brief_new(pb_ripening_law_unseen(r), PB_RIPENING_BRIEF_NEAR,
                                   &brief, err);
    if (rc == PB_OK) {
        pb_ripening_brief_pack(brief, &bytes);
        rc = pb_buf_status(&bytes, err);
    }
    if (rc == PB_OK)
        rc = pb_ripening_brief_unpack(bytes.data, bytes.len, &back, err);
    free(back);
    free(brief);
    pb_buf_clear(&bytes);
    pb_ripening_free(r);
    return rc;
}

static void ripening(void **state)
{
    (void)state;
    oom_each("capsules of three clones are learnt from", learn);
    oom_each("a profile alone is learnt from", learn_nothing);
    oom_each("a law is stored and read back", keep);
    oom_each("its brief is stored and read back", keep_brief);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ripening),
    };
    return UNIT_MAIN("oom ripening", tests);
}
