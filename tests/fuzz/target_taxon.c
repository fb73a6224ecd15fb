/* Names of taxa as growers write them, two lines at a time: a plant and its seed parent. */
#include "fuzz.h"

#include "core/profile.h"
#include "core/taxon.h"

#include <string.h>

static void within(const char *text, struct pb_slice s)
{
    MUST(s.n == 0 || (s.p >= text && s.p + s.n <= text + strlen(text)),
         "a part of the name lies outside it");
}

static void take_apart(const char *text)
{
    struct pb_taxon taxon;
    pb_taxon_parse(text, &taxon);
    MUST(taxon.name_n >= 1, "no name");
    for (size_t i = 0; i < taxon.name_n && i < PB_TAXON_NAMES; i++) {
        within(text, taxon.names[i].genus);
        within(text, taxon.names[i].species);
        within(text, taxon.names[i].grex);
        within(text, taxon.names[i].clone);
    }
    MUST(!pb_taxon_is_genus(text) || pb_taxon_is_plain(text),
         "a genus is no plain name");
}

static void match(const struct pb_profiles *ps, const char *taxon, const char *parent)
{
    struct pb_profile_match m;
    struct pb_span window;
    pb_profile_find(ps, taxon, parent, &m);
    for (int s = 0; s < PB_STAGE_N; s++)
        if (pb_profile_window(&m, (enum pb_stage)s, FUZZ_TODAY, &window))
            MUST(window.first <= window.last, "a window that runs backwards");
    MUST(pb_profile_same_taxon(ps, taxon, taxon), "a taxon is not itself");
    if (parent != NULL)
        MUST(pb_profile_same_taxon(ps, taxon, parent) ==
                 pb_profile_same_taxon(ps, parent, taxon),
             "the same one way only");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const struct pb_profiles ps = {.builtin = &pb_profiles_builtin};
    char *text = fuzz_text(data, size), *rest = text;
    const char *before = NULL;
    struct pb_buf key;
    pb_buf_init(&key, (size_t)1 << 22);
    for (char *line; (line = fuzz_line(&rest)) != NULL; before = line) {
        take_apart(line);
        match(&ps, line, before);
        pb_buf_reset(&key);
        pb_taxon_key(line, &key);
        if (before != NULL)
            (void)pb_profile_may_give(&ps, before, line, pb_buf_peek(&key));
    }
    pb_buf_clear(&key);
    free(text);
    return 0;
}
