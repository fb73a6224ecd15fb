/*
 * Build-time generator: the ripening law in brief of each prior that a built-in profile can
 * give, as a constant C table (core/ripening_built.h).
 *   briefgen OUT.c
 */
#include "core/profile.h"
#include "core/ripening.h"
#include "core/ripening_brief.h"

#include <stdio.h>
#include <stdlib.h>

enum { MOST = 256, BYTES = 1 << 20, A_LINE = 16 };

static struct pb_ripening_prior priors[MOST];
static size_t prior_n;

static void add(const struct pb_ripening_prior *prior)
{
    for (size_t i = 0; i < prior_n; i++)
        if (pb_ripening_prior_is(&priors[i], prior))
            return;
    if (prior_n < MOST) /* what finds no place is worked out when it is asked for */
        priors[prior_n++] = *prior;
}

/* A row's figures count for less where they are stretched to other taxa. */
static void find_priors(void)
{
    for (size_t i = 0; i < pb_profiles_builtin.row_n; i++)
        for (int stretched = 0; stretched < 2; stretched++) {
            const struct pb_profile_match m = {.row = &pb_profiles_builtin.rows[i],
                                               .table = &pb_profiles_builtin,
                                               .stretched = stretched != 0};
            const struct pb_profile_stage *s = pb_profile_ripening(&m);
            if (s != NULL && s->from >= 0)
                add(&(struct pb_ripening_prior){s->from, s->to,
                                                pb_profile_weight(&m, s)});
        }
}

static enum pb_rc put_bytes(FILE *out, size_t i, size_t *n, struct pb_err *err)
{
    struct pb_ripening *fit = NULL;
    struct pb_ripening_brief *brief = NULL;
    struct pb_buf bytes;
    pb_buf_init(&bytes, BYTES);
    enum pb_rc rc = pb_ripening_fit(&priors[i], NULL, 0, &fit, err);
    if (rc == PB_OK)
        rc = pb_ripening_brief_new(pb_ripening_law_unseen(fit), PB_RIPENING_BRIEF_FAR,
                                   &brief, err);
    if (rc == PB_OK) {
        pb_ripening_brief_pack(brief, &bytes);
        rc = pb_buf_status(&bytes, err);
    }
    if (rc == PB_OK) {
        (void)fprintf(out, "static const unsigned char bytes_%zu[] = {", i);
        for (size_t k = 0; k < bytes.len; k++)
            (void)fprintf(out, "%s%u,", k % A_LINE == 0 ? "\n    " : " ",
                          (unsigned)(unsigned char)pb_buf_peek(&bytes)[k]);
        (void)fputs("\n};\n", out);
        *n = bytes.len;
    }
    pb_buf_clear(&bytes);
    free(brief);
    pb_ripening_free(fit);
    return rc;
}

static enum pb_rc put_all(FILE *out, struct pb_err *err)
{
    size_t lengths[MOST];
    enum pb_rc rc = PB_OK;
    (void)fputs("/* Made by briefgen from the built-in profiles. */\n"
                "#include \"core/ripening_built.h\"\n\n",
                out);
    for (size_t i = 0; i < prior_n && rc == PB_OK; i++)
        rc = put_bytes(out, i, &lengths[i], err);
    if (rc != PB_OK)
        return rc;
    (void)fputs("\nconst struct pb_ripening_built pb_ripening_builts[] = {\n", out);
    for (size_t i = 0; i < prior_n; i++)
        (void)fprintf(out, "    {{%d, %d, %.17g}, bytes_%zu, %zu},\n",
                      (int)priors[i].first, (int)priors[i].last, priors[i].weight, i,
                      lengths[i]);
    (void)fprintf(out, "};\nconst size_t pb_ripening_built_n = %zu;\n", prior_n);
    return rc;
}

int main(int argc, char **argv)
{
    struct pb_err err = {0};
    FILE *out = argc == 2 ? fopen(argv[1], "w") : NULL;
    if (out == NULL) {
        (void)fputs("usage: briefgen OUT.c\n", stderr);
        return 2;
    }
    find_priors();
    enum pb_rc rc = put_all(out, &err);
    bool bad = ferror(out) != 0;
    bad = fclose(out) != 0 || bad || prior_n == 0; /* C has no arrays of nothing */
    if (rc == PB_OK && !bad)
        return 0;
    (void)fprintf(stderr, "%s: %s\n", argv[1],
                  rc != PB_OK ? err.text : "cannot be written");
    (void)remove(argv[1]); /* so that a build that failed halfway starts again */
    return 1;
}
