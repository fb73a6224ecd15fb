/* Records out of the book in the forms of gene banks and laboratories.  See passport.h. */
#include "act/passport.h"

#include "act/find.h"
#include "act/timing.h"
#include "base/text.h"
#include "book/doubts.h"
#include "exchange/crossings.h"
#include "exchange/mcpd.h"
#include "exchange/record.h"

#include <stdlib.h>
#include <string.h>

/* ORDER PASSPORT */
const char *const pb_passport_names[PB_PASSPORT_N] = {"mcpd", "crossings"};

/* One document: what every line needs on its way out. */
struct passport {
    struct pb_act *a;
    bool notes;
    pb_share_each *each;
    void *ctx;
    size_t lines;        /* of records, until now */
    struct pb_buf text;  /* of one line; used again for the next */
    struct pb_buf doubt; /* why its parents are not believed; the same */
    int64_t *doubted; /* rows of plants that stand under a mark, ascending; its own */
    size_t doubted_n;
    struct pb_outlook outlook;
};

static enum pb_rc hand_over(struct passport *p, struct pb_err *err)
{
    p->lines++;
    return p->each(p->ctx, pb_buf_peek(&p->text), p->text.len, err);
}

static int by_row(const void *a, const void *b)
{
    const int64_t *x = a, *y = b;
    return (*x > *y) - (*x < *y);
}

static bool is_doubted(const struct passport *p, int64_t plant)
{
    return p->doubted_n > 0 &&
           bsearch(&plant, p->doubted, p->doubted_n, sizeof(plant), by_row) != NULL;
}

/* A cross is, or what is raised from it would be. */
static bool is_doubted_cross(const struct passport *p, const struct pb_cross *x)
{
    bool doubted = x->doubtful != NULL || is_doubted(p, x->seed.plant.n);
    for (size_t i = 0; i < x->pollen_n && !doubted; i++)
        doubted = is_doubted(p, x->pollen[i].parent.plant.n);
    return doubted;
}

/* Every mark that the record stands under, in words.  Its ancestors are walked only where
 * there is one. */
static enum pb_rc load_doubt(struct passport *p, enum pb_kind kind, int64_t row,
                             bool doubted, struct pb_err *err)
{
    struct pb_doubts doubts = {0};
    pb_buf_reset(&p->doubt);
    if (!doubted)
        return PB_OK;
    enum pb_rc rc = pb_doubts_load(p->a->book, kind, row, &doubts, err);
    for (size_t i = 0; i < doubts.n && rc == PB_OK; i++) {
        if (i > 0)
            pb_buf_adds(&p->doubt, "; ");
        pb_doubt_words(&doubts.v[i], &p->doubt);
    }
    pb_doubts_clear(&doubts);
    return rc == PB_OK ? pb_buf_status(&p->doubt, err) : rc;
}

/* ---- rows of a table ---------------------------------------------------------------- */

/* A parent's name in a pedigree, which is one of clones; NULL where it is not known. */
static const char *parent_name(const struct pb_parent *parent, struct pb_buf *out)
{
    if (parent->taxon == NULL)
        return NULL;
    pb_buf_printf(out, "%s (%s)",
                  parent->genet.code[0] != '\0' ? parent->genet.code
                                                : parent->plant.code,
                  parent->taxon);
    return pb_buf_peek(out);
}

static void parent_clear(struct pb_parent *parent)
{
    free(parent->taxon);
    free(parent->clone_name);
}

/* What a plant's parents make of it; a plant of unknown parents may be anything. */
static enum pb_rc plant_status(struct passport *p, const int64_t parents[2],
                               struct pb_accession *acc, struct pb_err *err)
{
    enum pb_cross_kind kind = PB_CROSS_UNKNOWN;
    enum pb_rc rc = PB_OK;
    if (parents[0] == 0 && parents[1] == 0)
        return PB_OK;
    if (parents[0] != 0 && parents[1] != 0)
        rc = pb_pair_kind(p->a, parents[0], parents[1], &kind, err);
    acc->status = kind == PB_CROSS_OUTCROSS ? PB_SAMPLE_HYBRID : PB_SAMPLE_BREEDING;
    return rc;
}

/* The rest of a plant's row, of which its parents' names are known. */
static enum pb_rc write_plant(struct passport *p, const struct pb_plant *plant,
                              struct pb_accession *acc, struct pb_err *err)
{
    const char *taxon = plant->taxon;
    acc->id = plant->head.id;
    acc->code = plant->head.code;
    acc->origin_code = plant->head.origin_code;
    acc->taxa = &taxon;
    acc->taxon_n = 1;
    acc->acquired = plant->got;
    acc->gone = pb_gone_names[plant->gone];
    acc->storage = plant->gone == PB_GONE_NOT ? PB_STORAGE_PLANT : 0;
    if (p->notes) {
        acc->donor = plant->source_text;
        acc->note = plant->note;
    }
    pb_buf_reset(&p->text);
    enum pb_rc rc =
        load_doubt(p, PB_PLANT, plant->head.n, is_doubted(p, plant->head.n), err);
    acc->doubtful = pb_buf_peek(&p->doubt);
    if (rc == PB_OK)
        rc = pb_mcpd_write(acc, &p->text, err);
    acc->taxa = NULL;
    return rc == PB_OK ? hand_over(p, err) : rc;
}

/* The parents of a plant are those of its clone, and so is its name. */
static enum pb_rc plant_row(void *ctx, const struct pb_plant *plant, struct pb_err *err)
{
    enum { SEED, POLLEN, SELF, OF };
    struct passport *p = ctx;
    struct pb_accession acc = {.acquired = PB_DAY_NONE};
    struct pb_parent of[OF] = {{.taxon = NULL}, {.taxon = NULL}, {.taxon = NULL}};
    struct pb_buf name[SELF];
    int64_t rows[OF] = {0, 0, plant->head.n};
    enum pb_rc rc = pb_genet_parents(p->a->book, plant->genet.n, rows, err);
    for (int i = 0; i < OF && rc == PB_OK; i++)
        if (rows[i] != 0)
            rc = pb_parent_load(p->a->book, rows[i], &of[i], err);
    for (int i = 0; i < SELF; i++)
        pb_buf_init(&name[i], PB_MAX_RECORD);
    acc.seed_parent = parent_name(&of[SEED], &name[SEED]);
    acc.pollen_parent = parent_name(&of[POLLEN], &name[POLLEN]);
    acc.clone_name = of[SELF].clone_name;
    for (int i = 0; i < SELF && rc == PB_OK; i++)
        rc = pb_buf_status(&name[i], err);
    if (rc == PB_OK)
        rc = plant_status(p, rows, &acc, err);
    if (rc == PB_OK)
        rc = write_plant(p, plant, &acc, err);
    for (int i = 0; i < SELF; i++)
        pb_buf_clear(&name[i]);
    for (int i = 0; i < OF; i++)
        parent_clear(&of[i]);
    return rc;
}

/* What there is of a cross's progeny that is no plant yet. */
struct held {
    struct pb_buf codes;
    unsigned storage;
};

/* One whose looks contradict each other (a received record) counts as held. */
static enum pb_rc hold(void *ctx, const struct pb_batch *b, struct pb_err *err)
{
    struct held *held = ctx;
    struct pb_life life = {0};
    enum pb_rc rc = pb_batch_replay(b, &life, NULL);
    bool is_held = !b->elsewhere && (rc == PB_EINVALID || life.open > 0);
    bool potted = rc == PB_OK && b->kind == PB_FLASK &&
                  life.by_stand[PB_FLASK_COMPOT] + life.by_stand[PB_FLASK_SETTLED] > 0;
    pb_life_clear(&life);
    if (rc == PB_ENOMEM)
        return pb_fail_memory(err);
    if (is_held) {
        held->storage |= b->kind == PB_SEED ? PB_STORAGE_SEED
                         : potted           ? PB_STORAGE_PLANT
                                            : PB_STORAGE_IN_VITRO;
        pb_buf_printf(&held->codes, "%s:%s", held->codes.len > 0 ? ";" : "",
                      b->head.code);
    }
    return pb_buf_status(&held->codes, err);
}

static enum pb_sample_status progeny_status(enum pb_cross_kind kind)
{
    return kind == PB_CROSS_OUTCROSS  ? PB_SAMPLE_HYBRID
           : kind == PB_CROSS_UNKNOWN ? PB_SAMPLE_BREEDING
                                      : PB_SAMPLE_SEGREGATING;
}

/* Several pollen parents stand with a plus between them. */
static enum pb_rc write_progeny(struct passport *p, const struct pb_cross *x,
                                struct pb_accession *acc, struct pb_err *err)
{
    const char *taxa[1 + PB_MAX_POLLEN_PARENTS] = {x->seed.taxon, NULL};
    struct pb_buf seed, pollen;
    pb_buf_init(&seed, PB_MAX_RECORD);
    pb_buf_init(&pollen, PB_MAX_RECORD);
    acc->id = x->head.id;
    acc->code = x->head.code;
    acc->origin_code = x->head.origin_code;
    acc->taxa = taxa;
    acc->taxon_n = x->pollen_n > 0 ? 1 + x->pollen_n : 2;
    acc->grex = x->grex;
    acc->doubtful = pb_buf_peek(&p->doubt);
    acc->note = p->notes ? x->note : NULL;
    acc->seed_parent = parent_name(&x->seed, &seed);
    for (size_t i = 0; i < x->pollen_n; i++) {
        taxa[1 + i] = x->pollen[i].parent.taxon;
        if (i > 0)
            pb_buf_addc(&pollen, '+');
        acc->pollen_parent = parent_name(&x->pollen[i].parent, &pollen);
    }
    for (size_t i = 0; i < x->harvest_n; i++)
        if (acc->acquired == PB_DAY_NONE || x->harvests[i].on < acc->acquired)
            acc->acquired = x->harvests[i].on;
    enum pb_rc rc = pb_buf_status(&seed, err);
    if (rc == PB_OK)
        rc = pb_buf_status(&pollen, err);
    pb_buf_reset(&p->text);
    if (rc == PB_OK)
        rc = pb_mcpd_write(acc, &p->text, err);
    pb_buf_clear(&seed);
    pb_buf_clear(&pollen);
    acc->taxa = NULL;
    return rc == PB_OK ? hand_over(p, err) : rc;
}

/* The row of a cross's progeny.  all: also where nothing of it is held any more. */
static enum pb_rc progeny_row(struct passport *p, const struct pb_cross *x, bool all,
                              struct pb_err *err)
{
    const struct pb_batch_ask ask = {PB_BATCHES_OF_CROSS, PB_KIND_N, x->head.n};
    struct held held = {.storage = 0};
    enum pb_cross_kind kind = PB_CROSS_UNKNOWN;
    pb_buf_init(&held.codes, PB_MAX_RECORD);
    enum pb_rc rc = pb_batches_each(p->a->book, ask, hold, &held, err);
    if (rc == PB_OK)
        rc = pb_cross_kind_of(p->a, x, &kind, err);
    if (rc == PB_OK)
        rc = load_doubt(p, PB_CROSS, x->head.n, is_doubted_cross(p, x), err);
    if (rc == PB_OK && (all || held.storage != 0)) {
        struct pb_accession acc = {.acquired = PB_DAY_NONE,
                                   .status = progeny_status(kind),
                                   .others = pb_buf_peek(&held.codes),
                                   .storage = held.storage};
        rc = write_progeny(p, x, &acc, err);
    }
    pb_buf_clear(&held.codes);
    return rc;
}

static enum pb_rc held_row(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    return progeny_row(ctx, x, false, err);
}

static enum pb_rc any_row(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    return progeny_row(ctx, x, true, err);
}

/* ---- crossings ---------------------------------------------------------------------- */

static enum pb_success success_of(const struct pb_outlook *o)
{
    uint32_t flowers = 0, set = 0;
    pb_life_set(&o->life, &flowers, &set);
    if (o->conflict || (set == 0 && (flowers == 0 || o->life.open > 0)))
        return PB_SUCCESS_PENDING;
    return set > 0 ? PB_SUCCESS_YES : PB_SUCCESS_NO;
}

/* An element of the array; the comma goes before it, for nobody knows the last one. */
static enum pb_rc crossing(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    struct passport *p = ctx;
    pb_buf_reset(&p->text);
    if (p->lines > 0)
        pb_buf_addc(&p->text, ',');
    enum pb_rc rc = pb_outlook_make(p->a, x, &p->outlook, err);
    if (rc == PB_OK)
        rc = load_doubt(p, PB_CROSS, x->head.n, is_doubted_cross(p, x), err);
    const struct pb_crossing told = {.view = &p->outlook.view,
                                     .success = success_of(&p->outlook),
                                     .doubtful = pb_buf_peek(&p->doubt),
                                     .notes = p->notes};
    if (rc == PB_OK)
        rc = pb_crossing_write(x, &told, &p->text, err);
    return rc == PB_OK ? hand_over(p, err) : rc;
}

/* ---- the document ------------------------------------------------------------------- */

/* ORDER PASSPORT */
static const struct {
    bool header;             /* the table's column names come first */
    const char *open, *shut; /* lines round the rest, or NULL */
    pb_plant_each *plant;    /* NULL: plants have no place in it */
    pb_cross_each *named;    /* a cross that was asked for */
    pb_cross_each *cross;    /* one of all */
    bool harvested;          /* a cross has a place only once it gave seed */
} forms[] = {
    {true,  NULL, NULL, plant_row, any_row,  held_row, true },
    {false, "[",  "]",  NULL,      crossing, crossing, false},
};
_Static_assert(PB_ARRAY_LEN(forms) == PB_PASSPORT_N, "ORDER PASSPORT");

/* The plant of a code; each NULL: only look whether it has a place. */
static enum pb_rc plant_of(struct passport *p, const char *code, pb_plant_each *each,
                           struct pb_err *err)
{
    struct pb_plant plant;
    pb_plant_init(&plant);
    enum pb_rc rc = pb_find_plant(p->a, NULL, code, &plant, err);
    if (rc == PB_OK && plant.elsewhere)
        rc = pb_fail(err, PB_EINVALID,
                     "%s stands in another collection, which is to give its passport",
                     plant.head.code);
    if (rc == PB_OK && each != NULL)
        rc = each(p, &plant, err);
    pb_plant_clear(&plant);
    return rc;
}

static enum pb_rc cross_of(struct passport *p, const char *code, bool harvested,
                           pb_cross_each *each, struct pb_err *err)
{
    struct pb_cross x;
    pb_cross_init(&x);
    enum pb_rc rc = pb_find_cross(p->a, NULL, code, &x, err);
    if (rc == PB_OK && harvested && x.harvest_n == 0)
        rc = pb_fail(err, PB_EINVALID,
                     "%s has given no seed yet; a passport is of what there is",
                     x.head.code);
    if (rc == PB_OK && each != NULL)
        rc = each(p, &x, err);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc check_code(struct passport *p, const char *code,
                             enum pb_passport form, struct pb_err *err)
{
    int look = 0;
    enum pb_kind kind = pb_code_kind(code, &look);
    if (kind == PB_PLANT && forms[form].plant != NULL)
        return plant_of(p, code, NULL, err);
    if (kind == PB_CROSS && look == 0)
        return cross_of(p, code, forms[form].harvested, NULL, err);
    return forms[form].plant != NULL
               ? pb_fail(err, PB_EINVALID,
                         "%s is neither a plant nor a cross; share the plant or the "
                         "cross that it is of",
                         code)
               : pb_fail(err, PB_EINVALID,
                         "%s is no cross; crossings are crosses alone", code);
}

/* All are looked at before the first line leaves. */
static enum pb_rc check_codes(struct passport *p, const struct pb_share *what,
                              enum pb_passport form, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < what->n && rc == PB_OK; i++)
        rc = check_code(p, what->codes[i], form, err);
    return rc;
}

static enum pb_rc tell_codes(struct passport *p, const struct pb_share *what,
                             enum pb_passport form, struct pb_err *err)
{
    int look = 0;
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < what->n && rc == PB_OK; i++)
        if (pb_code_kind(what->codes[i], &look) == PB_PLANT)
            rc = plant_of(p, what->codes[i], forms[form].plant, err);
    for (size_t i = 0; i < what->n && rc == PB_OK; i++)
        if (pb_code_kind(what->codes[i], &look) == PB_CROSS)
            rc = cross_of(p, what->codes[i], false, forms[form].named, err);
    return rc;
}

static enum pb_rc tell_all(struct passport *p, enum pb_passport form,
                           struct pb_err *err)
{
    struct pb_book *book = p->a->book;
    enum pb_rc rc = PB_OK;
    if (forms[form].plant != NULL)
        rc = pb_plants_each(book, PB_PLANTS_LIVING, forms[form].plant, p, err);
    if (rc == PB_OK)
        rc = pb_crosses_each(book, PB_CROSSES_ALL, 0, forms[form].cross, p, err);
    return rc;
}

static enum pb_rc line(struct passport *p, const char *text, struct pb_err *err)
{
    return text != NULL ? p->each(p->ctx, text, strlen(text), err) : PB_OK;
}

static enum pb_rc column_names(struct passport *p, struct pb_err *err)
{
    enum pb_rc rc = pb_mcpd_header(&p->text, err);
    return rc == PB_OK ? line(p, pb_buf_peek(&p->text), err) : rc;
}

enum pb_rc pb_act_passport(struct pb_act *a, const struct pb_share *what,
                           enum pb_passport form, pb_share_each *each, void *ctx,
                           struct pb_err *err)
{
    struct passport p = {.a = a, .notes = what->notes, .each = each, .ctx = ctx};
    pb_buf_init(&p.text, 2 * (size_t)PB_MAX_RECORD);
    pb_buf_init(&p.doubt, PB_MAX_RECORD);
    pb_outlook_init(&p.outlook);
    enum pb_rc rc = check_codes(&p, what, form, err);
    if (rc == PB_OK)
        rc = pb_doubted_plants(a->book, &p.doubted, &p.doubted_n, err);
    if (rc == PB_OK)
        rc = forms[form].header ? column_names(&p, err)
                                : line(&p, forms[form].open, err);
    if (rc == PB_OK)
        rc = what->n > 0 ? tell_codes(&p, what, form, err) : tell_all(&p, form, err);
    if (rc == PB_OK)
        rc = line(&p, forms[form].shut, err);
    pb_outlook_clear(&p.outlook);
    free(p.doubted);
    pb_buf_clear(&p.doubt);
    pb_buf_clear(&p.text);
    return rc;
}
