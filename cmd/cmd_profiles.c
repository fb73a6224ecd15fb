/* podbook profiles: which timing serves a taxon, and why. */
#include "base/text.h"
#include "out.h"
#include "print.h"
#include "table.h"

#include <stdio.h>
#include <string.h>

enum { MAX_TEXT = 1 << 20 };

static const struct column columns[] = {
    {"name",       "name",    36, false},
    {"taxa",       "for",     30, false},
    {"harvest",    "harvest", 0,  false},
    {"split",      "split",   0,  false},
    {"confidence", "sure",    0,  false},
    {"source",     "source",  0,  false},
};

static void days_text(const struct pb_profile_stage *s, char text[24])
{
    if (s->source == NULL || s->from < 0)
        (void)snprintf(text, 24, "-");
    else
        (void)snprintf(text, 24, "%d-%d", s->from, s->to);
}

static void names_text(const struct pb_profile *row, struct pb_buf *out)
{
    for (int list = PB_LIST_TAXA; list <= PB_LIST_PART_OF; list++)
        for (size_t i = 0; i < row->lists[list].n; i++)
            pb_buf_printf(out, "%s%s%s", out->len > 0 ? ", " : "",
                          list == PB_LIST_PART_OF ? "part of " : "",
                          row->lists[list].v[i]);
}

static enum pb_rc list_table(struct out *o, const struct pb_profile_table *table,
                             struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < table->row_n && rc == PB_OK; i++) {
        const struct pb_profile *row = &table->rows[i];
        const struct pb_profile_stage *h = &row->stages[PB_STAGE_HARVEST];
        char harvest[24], split[24];
        struct pb_buf names;
        pb_buf_init(&names, MAX_TEXT);
        days_text(h, harvest);
        days_text(&row->stages[PB_STAGE_SPLIT], split);
        names_text(row, &names);
        const struct pb_cell cells[] = {
            pb_cell_text(row->name),
            pb_cell_text(whole(&names)),
            pb_cell_text(harvest),
            pb_cell_text(split),
            h->source != NULL ? pb_cell_text(pb_confidence_names[h->confidence])
                              : pb_cell_null(),
            pb_cell_text(h->source),
        };
        rc = out_row(o, cells, err);
        pb_buf_clear(&names);
    }
    return rc;
}

static enum pb_rc list_all(struct env *env, struct pb_err *err)
{
    struct out o;
    enum pb_rc rc = PB_OK;
    out_begin(&o, env, columns, PB_ARRAY_LEN(columns));
    if (env->profiles.own != NULL)
        rc = list_table(&o, env->profiles.own, err);
    if (rc == PB_OK)
        rc = list_table(&o, env->profiles.builtin, err);
    if (rc == PB_OK)
        out_end(&o, "");
    else
        out_drop(&o);
    return rc;
}

/* One number of a profile: what it is of, how sure, from where. */
static void say_value(const char *name, const char *value, const char *confidence,
                      const char *source)
{
    say("  %-11s %-34s %s  %s", name, value, confidence, source);
}

static void say_stages(const struct pb_profile_match *m)
{
    struct pb_buf share;
    for (int i = 0; i < PB_STAGE_N; i++) {
        const struct pb_profile_stage *s = pb_profile_stage(m, (enum pb_stage)i);
        char days[24], value[64];
        if (s == NULL)
            continue;
        days_text(s, days);
        (void)snprintf(value, sizeof(value), "%-9s days from %s",
                       s->from < 0 ? "no sign" : days, pb_stage_starts[i]);
        say_value(pb_stage_names[i], value,
                  pb_confidence_names[pb_profile_confidence(m, s)], s->source);
    }
    if (m->row->set_rate.source == NULL)
        return;
    pb_buf_init(&share, MAX_TEXT);
    pb_buf_printf(&share, "%.1f%% of flowers", m->row->set_rate.share * 100);
    say_value("set rate", whole(&share),
              pb_confidence_names[m->row->set_rate.confidence],
              m->row->set_rate.source);
    pb_buf_clear(&share);
}

static void say_sources(const struct pb_profile_match *m)
{
    bool said[256] = {false};
    say("Sources:");
    for (int i = 0; i <= PB_STAGE_N; i++) {
        const struct pb_profile_stage *s =
            i < PB_STAGE_N ? pb_profile_stage(m, (enum pb_stage)i) : NULL;
        const char *keys = i == PB_STAGE_N ? m->row->set_rate.source
                           : s != NULL     ? s->source
                                           : NULL;
        for (size_t k = 0; keys != NULL; k++) {
            const struct pb_profile_source *src = pb_profile_source(m->table, keys, k);
            if (src == NULL)
                break;
            size_t at = (size_t)(src - m->table->sources);
            struct pb_buf lead;
            if (at >= PB_ARRAY_LEN(said) || said[at])
                continue;
            said[at] = true;
            pb_buf_init(&lead, 100);
            pb_buf_printf(&lead, "  %-11s", src->key);
            say_wrapped(whole(&lead), 13, src->text);
            pb_buf_clear(&lead);
        }
    }
}

static enum pb_rc json_match(const char *taxon, const struct pb_profile_match *m,
                             struct pb_err *err)
{
    static const char *const keys[] = {"taxon",   "basis", "profile",    "own",
                                       "harvest", "split", "confidence", "source"};
    const struct pb_profile_stage *h =
        m->row != NULL ? pb_profile_stage(m, PB_STAGE_HARVEST) : NULL;
    const struct pb_profile_stage *p =
        m->row != NULL ? pb_profile_stage(m, PB_STAGE_SPLIT) : NULL;
    char harvest[24] = "", split[24] = "";
    if (h != NULL)
        days_text(h, harvest);
    if (p != NULL)
        days_text(p, split);
    const struct pb_cell cells[] = {
        pb_cell_text(taxon),
        pb_cell_text(pb_basis_names[m->basis]),
        m->row != NULL ? pb_cell_text(m->row->name) : pb_cell_null(),
        pb_cell_bool(m->own),
        pb_cell_text(harvest),
        pb_cell_text(split),
        h != NULL ? pb_cell_text(pb_confidence_names[pb_profile_confidence(m, h)])
                  : pb_cell_null(),
        h != NULL ? pb_cell_text(h->source) : pb_cell_null(),
    };
    return out_object(keys, cells, PB_ARRAY_LEN(keys), err);
}

static void explain(const char *taxon, const struct pb_profile_match *m)
{
    struct pb_buf b;
    pb_buf_init(&b, MAX_TEXT);
    if (m->basis == PB_BASIS_SPLIT) {
        say("%s: several profiles serve parts of its genus; choose one with --profile:",
            taxon);
        for (size_t i = 0; i < m->part_n; i++)
            say("  %s", m->parts[i]->name);
        return;
    }
    if (m->row == NULL) {
        pb_buf_printf(&b,
                      "%s: no profile times it. Crosses are kept all the same; give "
                      "your own timing in profiles.json (man podbook-profiles) or "
                      "choose one of podbook profiles.",
                      taxon);
        say_wrapped("", 0, whole(&b));
        pb_buf_clear(&b);
        return;
    }
    match_text(m, &b);
    say("%s: %s", taxon, whole(&b));
    pb_buf_clear(&b);
    say_stages(m);
    if (m->row->note != NULL)
        say_wrapped("  ", 2, m->row->note);
    say_sources(m);
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_profile_match m;
    enum pb_rc rc = env_profiles(env, err);
    if (rc != PB_OK)
        return rc;
    if (args->word_n == 0)
        return list_all(env, err);
    const char *taxon = args->words[0];
    rc = pb_text_check("TAXON", taxon, PB_MAX_NAME, err);
    if (rc != PB_OK)
        return rc;
    memset(&m, 0, sizeof(m));
    pb_profile_find(&env->profiles, taxon, NULL, &m);
    if (m.basis == PB_BASIS_NONE) /* a profile's own name, then */
        (void)pb_profile_choose(&env->profiles, taxon, NULL, &m);
    if (env->json)
        return json_match(taxon, &m, err);
    explain(taxon, &m);
    return PB_OK;
}

const struct cmd cmd_profiles = {
    .name = "profiles",
    .args = "[TAXON]",
    .arg_max = 1,
    .summary = "list the timing profiles, or say which serves a taxon",
    .notes =
        "Every number is a guess until your own capsules say otherwise. sure: H, M\n"
        "or L, how far it can be trusted. Your own file, profiles.json in\n"
        "$XDG_CONFIG_HOME/podbook, wins over the built-in table.",
    .step = STEP_READ,
    .run = run,
};
