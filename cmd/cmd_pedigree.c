/* podbook pedigree: the ancestors of a plant, or its descendants, as a tree. */
#include "act/find.h"
#include "act/lineage.h"
#include "base/text.h"
#include "out.h"
#include "table.h"

#include <string.h>

enum { MAX_TEXT = 1 << 24, WIDTH = 80 };

enum { OPT_DOWN, OPT_COUNT };
static const struct opt opts[OPT_COUNT] = {
    {"down", OPT_FLAG, NULL, "its descendants, not its ancestors", 0, 0, NULL, 0},
};

/* Its parents, or those of what it comes of, are not believed. */
#define DOUBTFUL " (doubtful)"

/* ORDER LINE */
static const char *const line_words[PB_LINE_N] = {
    "", "seed parent ", "pollen parent ", "selfing of ", "", "", "",
};

static const char *code_of(const struct pb_lineage *l, int32_t genet)
{
    return genet != PB_UNKNOWN ? pb_kin_clone(&l->kin, genet) : "unknown";
}

static bool is_doubted(const struct pb_lineage *l, int32_t row)
{
    return (l->kin.family.flags[row] & PB_FAMILY_DOUBTED) != 0;
}

/* " = AR-1a, AR-1b": the other plants of the clone. */
static void add_plants(const struct pb_lineage *l, int32_t genet, struct pb_buf *b)
{
    int32_t origin = l->kin.ped.origin_row[genet];
    bool any = false;
    for (int32_t i = l->first[genet]; i != PB_UNKNOWN; i = l->next[i]) {
        if (i == origin)
            continue;
        pb_buf_printf(b, "%s%s%s", any ? ", " : " = ",
                      pb_family_code(&l->kin.family, i),
                      is_doubted(l, i) && !is_doubted(l, origin) ? DOUBTFUL : "");
        any = true;
    }
}

static void add_node(const struct pb_lineage *l, const struct pb_lineage_node *n,
                     struct pb_buf *b)
{
    pb_buf_printf(b, "%s%s", line_words[n->line], code_of(l, n->genet));
    if (n->genet == PB_UNKNOWN)
        return;
    if (is_doubted(l, l->kin.ped.origin_row[n->genet]))
        pb_buf_adds(b, DOUBTFUL);
    if (n->again) {
        pb_buf_adds(b, " (see above)");
        return;
    }
    if (n->cut) {
        pb_buf_adds(b, " ...");
        return;
    }
    add_plants(l, n->genet, b);
    pb_buf_printf(b, "  %s",
                  pb_family_taxon(&l->kin.family, l->kin.ped.origin_row[n->genet]));
    if (n->line == PB_LINE_BY_SELFING)
        pb_buf_adds(b, ", selfed");
    else if (n->line == PB_LINE_BY_SEED)
        pb_buf_printf(b, ", pollen of %s", code_of(l, n->mate));
    else if (n->line == PB_LINE_BY_POLLEN)
        pb_buf_printf(b, ", carried by %s", code_of(l, n->mate));
}

static void print_tree(const struct pb_lineage *l, bool down)
{
    int32_t cut_at = PB_UNKNOWN;
    bool open[PB_LINEAGE_DEPTH + 1] = {
        false}; /* has the line of that depth siblings? */
    for (size_t i = 0; i < l->n; i++) {
        const struct pb_lineage_node *n = &l->node[i];
        struct pb_buf b, cut;
        pb_buf_init(&b, MAX_TEXT);
        pb_buf_init(&cut, MAX_TEXT);
        for (int d = 1; d < n->depth; d++)
            pb_buf_adds(&b, open[d] ? "│  " : "   ");
        if (n->depth > 0)
            pb_buf_adds(&b, n->last ? "└─ " : "├─ ");
        open[n->depth] = !n->last;
        cut_at = n->cut ? n->genet : cut_at;
        add_node(l, n, &b);
        pb_text_clip(&cut, whole(&b), WIDTH);
        say("%s", whole(&cut));
        pb_buf_clear(&cut);
        pb_buf_clear(&b);
    }
    if (cut_at != PB_UNKNOWN)
        say("\"...\" goes on: podbook pedigree %s%s", code_of(l, cut_at),
            down ? " --down" : "");
}

/* ---- for machines ---------------------------------------------------------------------- */

static const struct column columns[] = {
    {"code",          "", 0, false},
    {"taxon",         "", 0, false},
    {"plants",        "", 0, false},
    {"generation",    "", 0, false},
    {"seed_parent",   "", 0, false},
    {"pollen_parent", "", 0, false},
    {"selfing",       "", 0, false},
    {"doubtful",      "", 0, false},
};

/* Codes of the clone's plants; a code holds nothing to be escaped. */
static void plants_json(const struct pb_lineage *l, int32_t genet, struct pb_buf *b)
{
    pb_buf_addc(b, '[');
    for (int32_t i = l->first[genet]; i != PB_UNKNOWN; i = l->next[i])
        pb_buf_printf(b, "%s\"%s\"", i != l->first[genet] ? "," : "",
                      pb_family_code(&l->kin.family, i));
    pb_buf_addc(b, ']');
}

static struct pb_cell parent_cell(const struct pb_lineage *l, int32_t genet)
{
    return genet != PB_UNKNOWN ? pb_cell_text(pb_kin_clone(&l->kin, genet))
                               : pb_cell_null();
}

static enum pb_rc print_json(struct env *env, const struct pb_lineage *l,
                             struct pb_err *err)
{
    struct out o;
    enum pb_rc rc = PB_OK;
    const struct pb_pedigree *ped = &l->kin.ped;
    out_begin(&o, env, columns, PB_ARRAY_LEN(columns));
    for (size_t i = 0; i < l->n && rc == PB_OK; i++) {
        const struct pb_lineage_node *n = &l->node[i];
        struct pb_buf plants;
        if (n->genet == PB_UNKNOWN || n->repeat)
            continue;
        int32_t seed = ped->seed_parent[n->genet],
                pollen = ped->pollen_parent[n->genet];
        pb_buf_init(&plants, MAX_TEXT);
        plants_json(l, n->genet, &plants);
        const struct pb_cell cells[] = {
            pb_cell_text(code_of(l, n->genet)),
            pb_cell_text(pb_family_taxon(&l->kin.family, ped->origin_row[n->genet])),
            json_cell(&plants),
            pb_cell_int(n->depth),
            parent_cell(l, seed),
            parent_cell(l, pollen),
            pb_cell_bool(seed != PB_UNKNOWN && seed == pollen),
            pb_cell_bool(is_doubted(l, ped->origin_row[n->genet])),
        };
        rc = out_row(&o, cells, err);
        pb_buf_clear(&plants);
    }
    if (rc == PB_OK)
        out_end(&o, "");
    else
        out_drop(&o);
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_plant p;
    struct pb_lineage l;
    memset(&l, 0, sizeof(l));
    pb_plant_init(&p);
    enum pb_rc rc = env_book(env, PB_BOOK_READ, err);
    if (rc == PB_OK)
        rc = pb_find_plant(&env->act, NULL, args->words[0], &p, err);
    if (rc == PB_OK)
        rc = pb_act_lineage(&env->act, p.head.n, args->vals[OPT_DOWN].given, &l, err);
    if (rc == PB_OK && env->json)
        rc = print_json(env, &l, err);
    else if (rc == PB_OK)
        print_tree(&l, args->vals[OPT_DOWN].given);
    pb_lineage_clear(&l);
    pb_plant_clear(&p);
    return rc;
}

const struct cmd cmd_pedigree = {
    .name = "pedigree",
    .args = "PLANT",
    .arg_min = 1,
    .arg_max = 1,
    .summary = "the ancestors of a plant as a tree",
    .notes =
        "Plants of one clone stand in one line, after \"=\". Who has been shown "
        "already is\n"
        "not opened again. (doubtful): its parents, or those of what it comes of,\n"
        "are not believed; podbook show tells why.",
    .step = STEP_READ,
    .untimed = true,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
