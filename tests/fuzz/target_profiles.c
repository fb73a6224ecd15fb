/* The grower's own profiles: a file that is read finds a row for every name in it. */
#include "fuzz.h"

#include "exchange/profile_file.h"

#include <string.h>

static void ask(const struct pb_profile_table *own)
{
    static const char *const taxa[] = {"Goodyera hispida", "Haemaria",
                                       "Ludisia × Macodes", "Anoectochilus", "Vanda"};
    const struct pb_profiles ps = {.builtin = &pb_profiles_builtin, .own = own};
    struct pb_profile_match m;
    struct pb_span window;
    for (size_t i = 0; i < PB_ARRAY_LEN(taxa); i++) {
        pb_profile_find(&ps, taxa[i], taxa[0], &m);
        for (int s = 0; s < PB_STAGE_N; s++)
            if (pb_profile_window(&m, (enum pb_stage)s, FUZZ_TODAY, &window)) {
                const struct pb_profile_stage *stage =
                    pb_profile_stage(&m, (enum pb_stage)s);
                MUST(window.first <= window.last, "a window that runs backwards");
                MUST(pb_profile_weight(&m, stage) > 0, "a weight of nothing");
                (void)pb_profile_confidence(&m, stage);
            }
    }
    for (size_t i = 0; i < own->row_n; i++) {
        MUST(pb_profile_choose(&ps, own->rows[i].name, NULL, &m) && m.own, "no row %s",
             own->rows[i].name);
        fuzz_must_be_plain("a profile's name", own->rows[i].name,
                           strlen(own->rows[i].name));
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct pb_profile_table *own = NULL;
    struct pb_err err = {0};
    if (pb_profile_table_parse("own", (const char *)data, size, &own, &err) == PB_OK)
        ask(own);
    else
        MUST(err.text[0] != '\0', "refused without a word");
    pb_profile_table_free(own);
    return 0;
}
