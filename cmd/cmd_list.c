/* podbook list: the records of one kind. */
#include "act/batch.h"
#include "act/bloom.h"
#include "act/due.h"
#include "base/text.h"
#include "book/batches.h"
#include "book/plants.h"
#include "core/progeny.h"
#include "out.h"
#include "table.h"

#include <string.h>

static const struct opt opts[] = {
    {"all", OPT_FLAG, NULL, "also what is closed, gone, elsewhere or withdrawn", 0, 0,
     NULL, 0},
};

enum { TAXA = 4096 }; /* bytes of a formula */

struct listing {
    struct env *env;
    struct out out;
    struct pb_outlook outlook;
    struct pb_batch_outlook batch;
};

static const struct column plant_columns[] = {
    {"code",     "code",     16, false},
    {"taxon",    "taxon",    32, false},
    {"clone_of", "clone of", 12, false},
    {"got",      "got",      0,  false},
    {"state",    "state",    0,  false},
};

static const char *plant_state(const struct pb_plant *p)
{
    if (p->head.withdrawn)
        return "withdrawn";
    if (p->elsewhere)
        return "elsewhere";
    return p->gone != PB_GONE_NOT ? pb_gone_names[p->gone] : "living";
}

static enum pb_rc plant_row(void *ctx, const struct pb_plant *p, struct pb_err *err)
{
    struct listing *l = ctx;
    char got[PB_DAY_TEXT];
    const struct pb_cell cells[] = {
        pb_cell_text(p->head.code),
        pb_cell_text(p->taxon),
        p->genet.n != p->head.n ? pb_cell_text(p->genet.code) : pb_cell_null(),
        day_cell(p->got, got),
        pb_cell_text(plant_state(p)),
    };
    return out_row(&l->out, cells, err);
}

static enum pb_rc list_plants(struct listing *l, bool all, struct pb_err *err)
{
    out_begin(&l->out, l->env, plant_columns, PB_ARRAY_LEN(plant_columns));
    return pb_plants_each(l->env->act.book, all ? PB_PLANTS_EVERY : PB_PLANTS_LIVING,
                          plant_row, l, err);
}

static const struct column cross_columns[] = {
    {"code",       "code",       0,  false},
    {"parents",    "parents",    30, false},
    {"pollinated", "pollinated", 0,  false},
    {"flowers",    "flowers",    0,  true },
    {"open",       "open",       0,  true },
    {"state",      "state",      0,  false},
};

static enum pb_rc cross_row(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct listing *l = ctx;
    struct pb_buf parents;
    char day[PB_DAY_TEXT];
    pb_buf_init(&parents, 4096);
    pb_cross_parents(x, &parents);
    enum pb_rc rc = pb_outlook_make(&l->env->act, x, &l->outlook, err);
    const struct pb_cell cells[] = {
        pb_cell_text(x->head.code),        pb_cell_text(whole(&parents)),
        day_cell(x->pollinated, day),      pb_cell_int(x->flowers),
        pb_cell_int(l->outlook.view.open), pb_cell_text(l->outlook.view.state),
    };
    if (rc == PB_OK)
        rc = out_row(&l->out, cells, err);
    pb_buf_clear(&parents);
    return rc;
}

static enum pb_rc list_crosses(struct listing *l, bool all, struct pb_err *err)
{
    out_begin(&l->out, l->env, cross_columns, PB_ARRAY_LEN(cross_columns));
    return pb_crosses_each(l->env->act.book, all ? PB_CROSSES_EVERY : PB_CROSSES_OPEN,
                           0, cross_row, l, err);
}

/* Where a batch stands, and what is left in it. */
static enum pb_rc batch_state(struct listing *l, const struct pb_batch *b,
                              const char **state, struct pb_err *err)
{
    enum pb_rc rc = pb_batch_outlook_make(&l->env->act, b, &l->batch, err);
    if (rc == PB_OK)
        *state = pb_batch_state(b, &l->batch.life);
    return rc;
}

static struct pb_cell counted(int64_t n)
{
    return n >= 0 ? pb_cell_int(n) : pb_cell_null();
}

static const struct column seed_columns[] = {
    {"code",      "code",      0,  false},
    {"cross",     "cross",     0,  false},
    {"harvested", "harvested", 0,  false},
    {"capsules",  "caps",      0,  true },
    {"form",      "form",      0,  false},
    {"seeds",     "seeds",     0,  true },
    {"state",     "state",     0,  false},
    {"taxa",      "taxa",      28, false},
};
/* Of the table.  ORDER FORM */
static const char *const form_words[PB_FORM_N] = {NULL, "closed", "dry", "cold"};

static enum pb_rc seed_row(void *ctx, const struct pb_batch *b, struct pb_err *err)
{
    struct listing *l = ctx;
    char day[PB_DAY_TEXT];
    const char *state = NULL;
    int64_t left = -1;
    struct pb_buf taxa;
    pb_buf_init(&taxa, TAXA);
    pb_parents_formula(b->taxon_seed, b->taxon_pollen, !l->env->json, &taxa);
    enum pb_rc rc = batch_state(l, b, &state, err);
    if (rc == PB_OK)
        rc = pb_batch_left(b, &left, err);
    const struct pb_cell cells[] = {
        pb_cell_text(b->head.code),
        pb_cell_text(b->cross.code),
        day_cell(b->on, day),
        b->capsules > 0 ? pb_cell_int(b->capsules) : pb_cell_null(),
        pb_cell_text(l->env->json ? pb_form_names[b->form] : form_words[b->form]),
        counted(left),
        pb_cell_text(state),
        pb_cell_text(whole(&taxa)),
    };
    if (rc == PB_OK)
        rc = out_row(&l->out, cells, err);
    pb_buf_clear(&taxa);
    return rc;
}

static enum pb_rc list_batches(struct listing *l, enum pb_kind kind, bool all,
                               pb_batch_each *row, struct pb_err *err)
{
    const struct pb_batch_ask ask = {all ? PB_BATCHES_EVERY : PB_BATCHES_OPEN, kind, 0};
    return pb_batches_each(l->env->act.book, ask, row, l, err);
}

static enum pb_rc list_seed(struct listing *l, bool all, struct pb_err *err)
{
    out_begin(&l->out, l->env, seed_columns, PB_ARRAY_LEN(seed_columns));
    return list_batches(l, PB_SEED, all, seed_row, err);
}

static const struct column flask_columns[] = {
    {"code",    "code",    0,  false},
    {"cross",   "cross",   0,  false},
    {"source",  "from",    0,  false},
    {"on",      "filled",  0,  false},
    {"counted", "counted", 0,  true },
    {"state",   "state",   0,  false},
    {"taxa",    "taxa",    28, false},
};

static enum pb_rc flask_row(void *ctx, const struct pb_batch *b, struct pb_err *err)
{
    struct listing *l = ctx;
    char day[PB_DAY_TEXT];
    const char *state = NULL;
    int64_t left = -1;
    struct pb_buf taxa;
    pb_buf_init(&taxa, TAXA);
    pb_parents_formula(b->taxon_seed, b->taxon_pollen, !l->env->json, &taxa);
    enum pb_rc rc = batch_state(l, b, &state, err);
    if (rc == PB_OK)
        rc = pb_batch_left(b, &left, err);
    const struct pb_cell cells[] = {
        pb_cell_text(b->head.code),
        pb_cell_text(b->cross.code),
        pb_cell_text(b->source.code),
        day_cell(b->on, day),
        counted(left),
        pb_cell_text(state),
        pb_cell_text(whole(&taxa)),
    };
    if (rc == PB_OK)
        rc = out_row(&l->out, cells, err);
    pb_buf_clear(&taxa);
    return rc;
}

static enum pb_rc list_flasks(struct listing *l, bool all, struct pb_err *err)
{
    out_begin(&l->out, l->env, flask_columns, PB_ARRAY_LEN(flask_columns));
    return list_batches(l, PB_FLASK, all, flask_row, err);
}

static const struct column cutting_columns[] = {
    {"code",  "code",  0,  false},
    {"plant", "plant", 16, false},
    {"taxon", "taxon", 28, false},
    {"on",    "cut",   0,  false},
    {"count", "count", 0,  true },
    {"open",  "open",  0,  true },
    {"state", "state", 0,  false},
};

static enum pb_rc cutting_row(void *ctx, const struct pb_batch *b, struct pb_err *err)
{
    struct listing *l = ctx;
    char day[PB_DAY_TEXT];
    const char *state = NULL;
    enum pb_rc rc = batch_state(l, b, &state, err);
    const struct pb_cell cells[] = {
        pb_cell_text(b->head.code), pb_cell_text(b->plant.code),
        pb_cell_text(b->taxon),     day_cell(b->on, day),
        pb_cell_int(b->units),      pb_cell_int(l->batch.life.open),
        pb_cell_text(state),
    };
    return rc == PB_OK ? out_row(&l->out, cells, err) : rc;
}

static enum pb_rc list_cuttings(struct listing *l, bool all, struct pb_err *err)
{
    out_begin(&l->out, l->env, cutting_columns, PB_ARRAY_LEN(cutting_columns));
    return list_batches(l, PB_CUTTING, all, cutting_row, err);
}

static const struct column pollen_columns[] = {
    {"code",      "code",    0,  false},
    {"plant",     "plant",   16, false},
    {"taxon",     "taxon",   28, false},
    {"taken",     "taken",   0,  false},
    {"kept",      "kept",    0,  false},
    {"dried",     "dry",     0,  false},
    {"good_days", "days",    0,  true },
    {"used_up",   "used up", 0,  false},
};

static enum pb_rc pollen_row(void *ctx, const struct pb_batch *b, struct pb_err *err)
{
    struct listing *l = ctx;
    char day[PB_DAY_TEXT], up[PB_DAY_TEXT];
    const struct pb_cell cells[] = {
        pb_cell_text(b->head.code),
        pb_cell_text(b->plant.code),
        pb_cell_text(b->taxon),
        day_cell(b->on, day),
        pb_cell_text(pb_kept_names[b->kept]),
        pb_cell_bool(b->dried),
        pb_cell_int(pb_pollen_days_left(b, l->env->act.today)),
        day_cell(pb_batch_ended_on(b), up),
    };
    return out_row(&l->out, cells, err);
}

static enum pb_rc list_pollen(struct listing *l, bool all, struct pb_err *err)
{
    out_begin(&l->out, l->env, pollen_columns, PB_ARRAY_LEN(pollen_columns));
    return list_batches(l, PB_POLLEN, all, pollen_row, err);
}

static const struct {
    const char *word, *none;
    enum pb_rc (*list)(struct listing *l, bool all, struct pb_err *err);
} kinds[] = {
    {"plants",   "No plants; enter one with podbook plant.",          list_plants  },
    {"crosses",  "No open crosses; --all lists the closed ones too.", list_crosses },
    {"pollen",   "No stored pollen; enter some with podbook pollen.", list_pollen  },
    {"seed",     "No seed lots; podbook harvest makes them.",         list_seed    },
    {"flasks",   "No flasks; podbook sow makes them.",                list_flasks  },
    {"cuttings", "No cuttings; enter some with podbook cut.",         list_cuttings},
};

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct listing l = {.env = env};
    size_t k = 0;
    while (k < PB_ARRAY_LEN(kinds) && strcmp(kinds[k].word, args->words[0]) != 0)
        k++;
    if (k == PB_ARRAY_LEN(kinds))
        return pb_fail(
            err, PB_EPARSE,
            "expected plants, crosses, pollen, seed, flasks or cuttings, got \"%s\"",
            args->words[0]);
    pb_outlook_init(&l.outlook);
    l.outlook.brief = true;
    enum pb_rc rc = env_book(env, PB_BOOK_READ, err);
    if (rc == PB_OK)
        rc = kinds[k].list(&l, args->vals[0].given, err);
    if (rc == PB_OK)
        out_end(&l.out, kinds[k].none);
    else
        out_drop(&l.out);
    pb_outlook_clear(&l.outlook);
    pb_batch_outlook_clear(&l.batch);
    return rc;
}

const struct cmd cmd_list = {
    .name = "list",
    .args = "plants|crosses|pollen|seed|flasks|cuttings",
    .arg_min = 1,
    .arg_max = 1,
    .summary = "list the records of one kind",
    .notes = "Without --all: the living plants, the open crosses, the seed, flasks,\n"
             "cuttings and pollen that are not used up or gone.",
    .step = STEP_READ,
    .untimed = true,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
