/* The built-in timing profiles against their published figures; which row serves whom. */
#include "unit.h"

#include "core/profile.h"
#include "core/taxon.h"

#include <string.h>

static const struct pb_profiles builtin = {NULL, &pb_profiles_builtin};

/* ---- the figures ------------------------------------------------------------------- */

enum { L = PB_LOW, M = PB_MEDIUM, H = PB_HIGH };

static const struct published {
    const char *name;
    int swelling_from, swelling_to, harvest_from, harvest_to, split_from, split_to;
    const char *source;
    int confidence;
    const char *swelling_source, *sign;
} published[] = {
#define ROW(name, a, b, c, d, e, f, source, confidence, kind, sign) \
    {name, a, b, c, d, e, f, source, confidence, kind, sign},
#include "profile_rows.def"
#undef ROW
};

static void same_days(const char *name, const struct pb_profile_stage *s, int from,
                      int to)
{
    CLAIM(s->from == from && s->to == to, "%s: %d to %d, published %d to %d", name,
          s->from, s->to, from, to);
}

static void published_figures(void **state)
{
    (void)state;
    assert_int_equal(PB_ARRAY_LEN(published), 59);
    assert_int_equal(pb_profiles_builtin.row_n, 59);
    for (size_t i = 0; i < PB_ARRAY_LEN(published); i++) {
        const struct published *p = &published[i];
        struct pb_profile_match m;
        CLAIM(pb_profile_choose(&builtin, p->name, NULL, &m), "%s: is there", p->name);
        const struct pb_profile_stage *s = &m.row->stages[PB_STAGE_SWELLING];
        CLAIM((s->source == NULL) == (strcmp(p->sign, "absent") == 0), "%s: swelling",
              p->name);
        CLAIM(s->no_sign == (strcmp(p->sign, "none") == 0), "%s: sign", p->name);
        if (s->source != NULL)
            same_days(p->name, s, p->swelling_from, p->swelling_to);
        CLAIM(
            p->swelling_source[0] == '\0' ||
                (strcmp(s->source, p->swelling_source) == 0 && s->confidence == PB_LOW),
            "%s: source of swelling", p->name);
        s = &m.row->stages[PB_STAGE_HARVEST];
        same_days(p->name, s, p->harvest_from, p->harvest_to);
        CLAIM(s->source != NULL && strcmp(s->source, p->source) == 0, "%s: source %s",
              p->name, s->source);
        CLAIM((int)s->confidence == p->confidence, "%s: confidence", p->name);
        s = &m.row->stages[PB_STAGE_SPLIT];
        same_days(p->name, s, p->split_from, p->split_to);
    }
}

/* The laboratory's tables give no splitting days: those are from memory.  Nobody measured a
 * splitting day directly: none is of high confidence. */
static void splitting_days(void **state)
{
    (void)state;
    for (size_t i = 0; i < pb_profiles_builtin.row_n; i++) {
        const struct pb_profile *row = &pb_profiles_builtin.rows[i];
        const struct pb_profile_stage *s = &row->stages[PB_STAGE_SPLIT];
        CLAIM(s->confidence <= PB_MEDIUM, "%s", row->name);
        const char *harvest = row->stages[PB_STAGE_HARVEST].source;
        if (strstr(harvest, "T1") != NULL || strstr(harvest, "T2") != NULL)
            CLAIM(strstr(s->source, "memory") != NULL && s->confidence == PB_LOW,
                  "%s: from memory", row->name);
    }
    static const char *const jewels[] = {"jewel-orchid", "macodes", "dossinia"};
    for (size_t i = 0; i < PB_ARRAY_LEN(jewels); i++) {
        struct pb_profile_match m;
        assert_true(pb_profile_choose(&builtin, jewels[i], NULL, &m));
        const struct pb_profile_stage *s = pb_profile_stage(&m, PB_STAGE_SPLIT);
        assert_string_equal(s->source, "assumption");
        assert_true(s->weight > 1.9 && s->weight < 2.1);
    }
}

/* Set rates: P2 86.7%; P5 all; P10 74 to 97% (the middle); P14 46 of 60 flowers. */
static void set_rates(void **state)
{
    (void)state;
    static const struct {
        const char *row, *source;
        double low, high;
    } rows[] = {
        {"anoectochilus-formosanus", "P2",  0.8669, 0.8671},
        {"jewel-orchid",             "P5",  1.0,    1.0   },
        {"cymbidium-sinense",        "P10", 0.74,   0.97  },
        {"phal-large",               "P14", 0.7666, 0.7671},
    };
    size_t given = 0;
    for (size_t i = 0; i < pb_profiles_builtin.row_n; i++)
        given += pb_profiles_builtin.rows[i].set_rate.source != NULL;
    assert_int_equal(given, PB_ARRAY_LEN(rows));
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_profile_match m;
        assert_true(pb_profile_choose(&builtin, rows[i].row, NULL, &m));
        assert_string_equal(m.row->set_rate.source, rows[i].source);
        CLAIM(m.row->set_rate.share >= rows[i].low &&
                  m.row->set_rate.share <= rows[i].high,
              "%s: %f", rows[i].row, m.row->set_rate.share);
    }
}

/* Receptive flowers: P7 (best on day 4, lost by day 8 and 10), P5, P10, one morning. */
static void receptive(void **state)
{
    (void)state;
    static const struct {
        const char *row, *source;
        int from, to, best;
    } rows[] = {
        {"anoectochilus-roxburghii", "P7",      1, 7, 4 },
        {"anoectochilus-formosanus", "P7",      1, 9, 4 },
        {"jewel-orchid",             "P5",      0, 5, -1},
        {"cymbidium-sinense",        "P10",     1, 7, -1},
        {"vanilla",                  "growers", 0, 0, -1},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_profile_match m;
        assert_true(pb_profile_choose(&builtin, rows[i].row, NULL, &m));
        const struct pb_profile_stage *s = pb_profile_stage(&m, PB_STAGE_RECEPTIVE);
        CLAIM(s != NULL && strcmp(s->source, rows[i].source) == 0, "%s", rows[i].row);
        same_days(rows[i].row, s, rows[i].from, rows[i].to);
        CLAIM(s->best == rows[i].best, "%s: best", rows[i].row);
    }
}

/* ---- which row serves ---------------------------------------------------------------- */

static void serving_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *taxon, *parent;
        enum pb_basis basis;
        const char *row;
        bool by_parent;
    } rows[] = {
        {"a species before its genus",           "Anoectochilus roxburghii",                     NULL,
         PB_BASIS_SPECIES,                                                                                                                     "anoectochilus-roxburghii", 0},
        {"the other measured one",               "Anoectochilus formosanus 'Club'",              NULL,
         PB_BASIS_SPECIES,                                                                                                                     "anoectochilus-formosanus", 0},
        {"another species by its genus",         "Anoectochilus albolineatus",                   NULL,
         PB_BASIS_GENUS,                                                                                                                       "anoectochilus",            0},
        {"a genus",                              "Macodes sp.",                                  NULL,                       PB_BASIS_GENUS,   "macodes",                  0},
        {"typed small",                          "macodes petola",                               NULL,                       PB_BASIS_GENUS,   "macodes",                  0},
        {"Ludisia",                              "Ludisia discolor var. alba",                   NULL,                       PB_BASIS_SPECIES,
         "jewel-orchid",                                                                                                                                                   0},
        {"an old name",                          "Haemaria discolor",                            NULL,                       PB_BASIS_SPECIES, "jewel-orchid",             0},
        {"a species of a split genus",           "Goodyera hispida",                             NULL,                       PB_BASIS_SPECIES,
         "goodyera-tropical",                                                                                                                                              0},
        {"and of its other part",                "Goodyera pubescens",                           NULL,                       PB_BASIS_SPECIES,
         "goodyera-temperate",                                                                                                                                             0},
        {"a split genus has no row",             "Goodyera",                                     NULL,                       PB_BASIS_SPLIT,   NULL,                       0},
        {"nor has its other species",            "Goodyera schlechtendaliana",                   NULL,
         PB_BASIS_SPLIT,                                                                                                                       NULL,                       0},
        {"a species that left a genus",          "Vanda falcata",                                NULL,                       PB_BASIS_SPECIES,
         "neofinetia",                                                                                                                                                     0},
        {"the genus it left",                    "Vanda tricolor",                               NULL,                       PB_BASIS_GENUS,   "vanda",                    0},
        {"a grex by its genus",                  "Macodes Green Lamp",                           NULL,                       PB_BASIS_GENUS,   "macodes",
         0                                                                                                                                                                  },
        {"a capital is a grex, not the species", "Anoectochilus Roxburghii",                     NULL,
         PB_BASIS_GENUS,                                                                                                                       "anoectochilus",            0},
        {"a grex that a row names",              "Paphiopedilum Maudiae 'Club'",                 NULL,
         PB_BASIS_SPECIES,                                                                                                                     "paph-maudiae",             0},
        {"a hybrid genus with a row",            "Potinara Green Lamp",                          NULL,                       PB_BASIS_GENUS,
         "cattleya-bi",                                                                                                                                                    0},
        {"with its sign",                        "× Ascocenda Green Lamp",                      NULL,                       PB_BASIS_GENUS,   "vanda",                    0},
        {"formula: the seed parent's row",
         "Ludisia discolor × Anoectochilus formosanus",                                         NULL,                       PB_BASIS_SPECIES,
         "jewel-orchid",                                                                                                                                                   0},
        {"and turned round",                     "Anoectochilus formosanus × Ludisia discolor", NULL,
         PB_BASIS_SPECIES,                                                                                                                     "anoectochilus-formosanus", 0},
        {"with x",                               "Macodes petola x Dossinia marmorata",          NULL,                       PB_BASIS_GENUS,
         "macodes",                                                                                                                                                        0},
        {"within a genus: the genus",
         "Anoectochilus roxburghii × Anoectochilus formosanus",                                 NULL,                       PB_BASIS_GENUS,
         "anoectochilus",                                                                                                                                                  0},
        {"a selfing keeps the species",          "Anoectochilus roxburghii x self",              NULL,
         PB_BASIS_SPECIES,                                                                                                                     "anoectochilus-roxburghii", 0},
        {"one row names both species",           "Goodyera repens × G. pubescens",              NULL,
         PB_BASIS_SPECIES,                                                                                                                     "goodyera-temperate",       0},
        {"two rows: the split genus",            "Goodyera repens × hispida",                   NULL,                       PB_BASIS_SPLIT,
         NULL,                                                                                                                                                             0},
        {"a jewel hybrid, parent known",         "× Macodisia Green Lamp",                      "Macodes petola",
         PB_BASIS_GENUS,                                                                                                                       "macodes",                  1},
        {"its parent has a species row",         "× Ludochilus",                                "Anoectochilus formosanus",
         PB_BASIS_SPECIES,                                                                                                                     "anoectochilus-formosanus", 1},
        {"its parent is of a split genus",       "× Goodisia",                                  "Goodyera sp.",             PB_BASIS_SPLIT,
         NULL,                                                                                                                                                             1},
        {"a jewel hybrid, parent not known",     "Ludochilus Green Lamp",                        NULL,
         PB_BASIS_GROUP,                                                                                                                       "jewel-orchid",             0},
        {"nor of help",                          "Ludochilus Green Lamp",                        "unknown",                  PB_BASIS_GROUP,
         "jewel-orchid",                                                                                                                                                   0},
        {"its parent is a jewel hybrid",         "× Neverheard",                                "× Macodisia",             PB_BASIS_GROUP,
         "jewel-orchid",                                                                                                                                                   1},
        {"own name before the parent's",         "Macodes petola",                               "Anoectochilus formosanus",
         PB_BASIS_GENUS,                                                                                                                       "macodes",                  0},
        {"a pleurothallid of no row of its own", "Dracula sp.",                                  NULL,                       PB_BASIS_GROUP,
         "masdevallia",                                                                                                                                                    0},
        {"nobody knows",                         "Zeuxine strateumatica",                        NULL,                       PB_BASIS_NONE,    NULL,                       0},
        {"nothing written",                      "?",                                            NULL,                       PB_BASIS_NONE,    NULL,                       0},
        {"nor the parent",                       "Zeuxine sp.",                                  "Cheirostylis sp.",         PB_BASIS_NONE,    NULL,                       0},
        {"a genus as a head of another",         "Van",                                          NULL,                       PB_BASIS_NONE,    NULL,                       0},
        {"a genus with a tail",                  "Vandas",                                       NULL,                       PB_BASIS_NONE,    NULL,                       0},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_profile_match m;
        pb_profile_find(&builtin, rows[i].taxon, rows[i].parent, &m);
        CLAIM(m.basis == rows[i].basis, "%s: %s", rows[i].claim,
              pb_basis_names[m.basis]);
        CLAIM(pb_text_equal(m.row == NULL ? NULL : m.row->name, rows[i].row), "%s: %s",
              rows[i].claim, m.row == NULL ? "no row" : m.row->name);
        CLAIM(m.by_parent == rows[i].by_parent, "%s: by parent", rows[i].claim);
        CLAIM((m.part_n > 0) == (rows[i].basis == PB_BASIS_SPLIT), "%s: parts",
              rows[i].claim);
        CLAIM(!m.own, "%s: not the grower's", rows[i].claim);
    }
}

static void parts_are_named(void **state)
{
    (void)state;
    struct pb_profile_match m;
    pb_profile_find(&builtin, "Dendrobium sp.", NULL, &m);
    assert_int_equal(m.basis, PB_BASIS_SPLIT);
    assert_int_equal(m.part_n, 4);
    assert_string_equal(m.parts[0]->name, "dendrobium-ant");
    assert_string_equal(m.parts[3]->name, "dendrobium-phal");
}

static void chosen_by_name(void **state)
{
    (void)state;
    struct pb_profile_match m = {.part_n = 77};
    assert_false(pb_profile_choose(&builtin, "goodyera", "Goodyera sp.", &m));
    assert_int_equal(m.part_n, 77);
    assert_true(pb_profile_choose(&builtin, "Goodyera-TEMPERATE", "Goodyera sp.", &m));
    assert_int_equal(m.basis, PB_BASIS_CHOSEN);
    assert_string_equal(m.row->name, "goodyera-temperate");
    assert_ptr_equal(m.table, &pb_profiles_builtin);
}

/* A figure measured in one species is a guess for its relatives. */
static void stretched(void **state)
{
    (void)state;
    static const struct {
        const char *taxon;
        bool stretched;
    } rows[] = {
        {"Cypripedium subtropicum",                false},
        {"Cypripedium japonicum",                  true },
        {"Cephalanthera falcata 'Club'",           false},
        {"Cephalanthera sp.",                      true },
        {"Cephalanthera falcata × C. longifolia", true },
        {"Anoectochilus roxburghii",               false},
        {"Vanda tricolor",                         false},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_profile_match m;
        pb_profile_find(&builtin, rows[i].taxon, NULL, &m);
        const struct pb_profile_stage *s = pb_profile_stage(&m, PB_STAGE_HARVEST);
        CLAIM(m.stretched == rows[i].stretched, "%s", rows[i].taxon);
        CLAIM(s != NULL && pb_profile_confidence(&m, s) ==
                               (rows[i].stretched ? PB_LOW : PB_HIGH),
              "%s: confidence", rows[i].taxon);
    }
    struct pb_profile_match m;
    assert_true(
        pb_profile_choose(&builtin, "paph-parvi", "Paphiopedilum micranthum", &m));
    assert_true(m.stretched);
    struct pb_profile_match row;
    assert_true(pb_profile_choose(&builtin, "paph-parvi", NULL, &row));
    assert_false(row.stretched); /* the row as it stands */
    assert_true(pb_profile_weight(&m, pb_profile_ripening(&m)) < 2.1);
}

/* ---- what a match says --------------------------------------------------------------- */

static void windows(void **state)
{
    (void)state;
    struct pb_profile_match m;
    struct pb_span w = {0, 0};
    pb_day start = pb_day_from_ymd(2026, 3, 1);
    pb_profile_find(&builtin, "Dossinia marmorata", NULL, &m);
    assert_true(pb_profile_window(&m, PB_STAGE_HARVEST, start, &w));
    assert_int_equal(w.first, pb_day_from_ymd(2026, 3, 22));
    assert_int_equal(w.last, pb_day_from_ymd(2026, 3, 26));
    assert_false(pb_profile_window(&m, PB_STAGE_SOW, start, &w));
    assert_int_equal(w.last, pb_day_from_ymd(2026, 3, 26));

    pb_profile_find(&builtin, "Habenaria sp.", NULL, &m); /* nothing to see: no days */
    assert_false(pb_profile_window(&m, PB_STAGE_SWELLING, start, &w));
    assert_true(pb_profile_stage(&m, PB_STAGE_SWELLING)->no_sign);

    pb_profile_find(&builtin, "Zeuxine sp.", NULL, &m);
    assert_false(pb_profile_window(&m, PB_STAGE_HARVEST, start, &w));
    assert_null(pb_profile_stage(&m, PB_STAGE_HARVEST));
    assert_null(pb_profile_ripening(&m));
}

static void weight_by_confidence(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        struct pb_profile_stage split;
        double weight;
    } rows[] = {
        {"high",   {1, 2, -1, "x", PB_HIGH, 0, false},   6  },
        {"medium", {1, 2, -1, "x", PB_MEDIUM, 0, false}, 4  },
        {"low",    {1, 2, -1, "x", PB_LOW, 0, false},    2  },
        {"given",  {1, 2, -1, "x", PB_LOW, 7.5, false},  7.5},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_profile row = {.name = "r"};
        row.stages[PB_STAGE_SPLIT] = rows[i].split;
        const struct pb_profile_match m = {.row = &row};
        double w = pb_profile_weight(&m, pb_profile_ripening(&m));
        CLAIM(w > rows[i].weight - 1e-12 && w < rows[i].weight + 1e-12, "%s: %f",
              rows[i].claim, w);
    }
    struct pb_profile row = {.name =
                                 "r"}; /* without a split stage the harvest serves */
    row.stages[PB_STAGE_HARVEST] = rows[0].split;
    const struct pb_profile_match m = {.row = &row};
    assert_ptr_equal(pb_profile_ripening(&m), &row.stages[PB_STAGE_HARVEST]);
}

static void sources(void **state)
{
    (void)state;
    const struct pb_profile_table *t = &pb_profiles_builtin;
    assert_string_equal(pb_profile_source(t, "P2+P3+practice", 0)->key, "P2");
    assert_string_equal(pb_profile_source(t, "P2+P3+practice", 2)->text,
                        "common practice, no source");
    assert_null(pb_profile_source(t, "P2+P3+practice", 3));
    assert_null(pb_profile_source(t, "P", 0));
}

/* Every number of every row names sources that are listed. */
static void every_source_is_listed(void **state)
{
    (void)state;
    const struct pb_profile_table *t = &pb_profiles_builtin;
    for (size_t i = 0; i < t->row_n; i++)
        for (size_t k = 0; k <= PB_STAGE_N; k++) {
            const char *keys = k < PB_STAGE_N ? t->rows[i].stages[k].source
                                              : t->rows[i].set_rate.source;
            size_t n = keys != NULL;
            for (const char *p = keys; p != NULL && *p != '\0'; p++)
                n += *p == '+';
            for (size_t s = 0; s < n; s++)
                CLAIM(pb_profile_source(t, keys, s) != NULL, "%s: %s", t->rows[i].name,
                      keys);
        }
}

/* What the searches rest on. */
static void sorted(void **state)
{
    (void)state;
    const struct pb_profile_table *t = &pb_profiles_builtin;
    for (size_t i = 1; i < t->row_n; i++)
        CLAIM(pb_text_casecmp(t->rows[i - 1].name, t->rows[i].name) < 0, "row %zu", i);
    for (size_t i = 1; i < t->entry_n; i++)
        CLAIM(pb_profile_entry_cmp(&t->entries[i - 1], &t->entries[i]) < 0, "entry %zu",
              i);
    for (size_t i = 1; i < t->source_n; i++)
        CLAIM(strcmp(t->sources[i - 1].key, t->sources[i].key) < 0, "source %zu", i);
    for (size_t i = 0; i < t->entry_n; i++)
        CLAIM(t->entries[i].row < t->row_n, "entry %zu: row", i);
}

static void name_order(void **state)
{
    (void)state;
    static const struct {
        const char *a, *b;
        int sign;
    } rows[] = {
        {"Vanda",         "vanda",          0 },
        {"Vanda",         "Vandas",         -1},
        {"Vandas",        "Vanda falcata",  1 },
        {"Vanda",         "Vanda falcata",  -1},
        {"Vanda falcata", "VANDA falcata",  0 },
        {"Vanda falcata", "Vanda Falcata",  1 },
        {"Vanda falcata", "Vanda falcatas", -1},
        {"Aerides",       "Vanda",          -1},
        {"",              "Vanda",          -1},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        int c = pb_taxon_name_cmp(rows[i].a, rows[i].b);
        int back = pb_taxon_name_cmp(rows[i].b, rows[i].a);
        CLAIM((c > 0) - (c < 0) == rows[i].sign, "%s, %s: %d", rows[i].a, rows[i].b, c);
        CLAIM((back > 0) - (back < 0) == -rows[i].sign, "%s, %s: back", rows[i].a,
              rows[i].b);
    }
}

static void one_taxon(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *a, *b;
        bool same;
    } rows[] = {
        {"the same text",               "Goodyera hispida",                   "Goodyera hispida",                                    true },
        {"the genus in another case",   "GOODYERA hispida",                   "Goodyera hispida",                                    true },
        {"the epithet likewise",        "Goodyera Hispida",                   "Goodyera hispida",                                    true },
        {"a synonym of the genus",      "Haemaria discolor",                  "Ludisia discolor",                                    true },
        {"the sign of a hybrid genus",  "\u00d7 Ludochilus",                  "Ludochilus",                                          true },
        {"an x for that sign",          "xLudochilus Eos",                    "Ludochilus Eos",                                      true },
        {"a clone's name is no taxon",  "Macodes petola 'Club'",              "Macodes petola",                                      true },
        {"nor what is below a species", "Macodes petola var. javanica",
         "Macodes petola",                                                                                                           true },
        {"blanks in a formula",         "Ludisia discolor  x Macodes petola",
         "Ludisia discolor \u00d7 Macodes petola",                                                                                   true },
        {"the other parent first",      "Macodes petola x Ludisia discolor",
         "Ludisia discolor x Macodes petola",                                                                                        false},
        {"another species",             "Goodyera hispida",                   "Goodyera pusilla",                                    false},
        {"another genus",               "Dossinia marmorata",                 "Ludisia discolor",                                    false},
        {"a genus alone is less",       "Goodyera",                           "Goodyera hispida",                                    false},
        {"a parent is not its hybrid",  "Ludisia discolor",
         "Ludisia discolor x Macodes petola",                                                                                        false},
        {"no names, the same text",     "'?'",                                "'?'",                                                 true },
        {"no names, another text",      "'?'",                                "\"!\"",                                               false},
        {"more parents than are read",
         "A a x B b x C c x D d x E e x F f x G g x H h x I i",               "A a x B b x C c x D d x E e x F f x G g x H h x J j", false},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        bool same = pb_profile_same_taxon(&builtin, rows[i].a, rows[i].b);
        CLAIM(same == rows[i].same, "%s", rows[i].claim);
        same = pb_profile_same_taxon(&builtin, rows[i].b, rows[i].a);
        CLAIM(same == rows[i].same, "%s: the other way round", rows[i].claim);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_figures),
        cmocka_unit_test(splitting_days),
        cmocka_unit_test(set_rates),
        cmocka_unit_test(receptive),
        cmocka_unit_test(serving_rows),
        cmocka_unit_test(parts_are_named),
        cmocka_unit_test(chosen_by_name),
        cmocka_unit_test(stretched),
        cmocka_unit_test(windows),
        cmocka_unit_test(weight_by_confidence),
        cmocka_unit_test(sources),
        cmocka_unit_test(every_source_is_listed),
        cmocka_unit_test(sorted),
        cmocka_unit_test(name_order),
        cmocka_unit_test(one_taxon),
    };
    return UNIT_MAIN("profile", tests);
}
