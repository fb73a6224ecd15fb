/* podbook bloom: what a plant's flowering has come to. */
#include "act/bloom.h"
#include "base/text.h"
#include "out.h"
#include "print.h"
#include "print_shoot.h"
#include "table.h"

enum { LINE = 1000 };

static const struct opt opts[] = {
    {"on", OPT_DATE, "DATE", "day it was so (default today)", 0, 0, NULL, 0},
};

static const struct column columns[] = {
    {"plant",      "", 0, false},
    {"flowering",  "", 0, false},
    {"spike",      "", 0, false},
    {"open",       "", 0, false},
    {"over",       "", 0, false},
    {"dying_back", "", 0, false},
};

static enum pb_rc print_json(const struct pb_plant *p, const struct pb_flowering *f,
                             struct pb_err *err)
{
    const char *keys[PB_ARRAY_LEN(columns)];
    char day[PB_BLOOM_N][PB_DAY_TEXT];
    const struct pb_cell cells[] = {
        pb_cell_text(p->head.code),
        pb_cell_int(f->number),
        day_cell(f->on[PB_BLOOM_SPIKE], day[PB_BLOOM_SPIKE]),
        day_cell(f->on[PB_BLOOM_OPEN], day[PB_BLOOM_OPEN]),
        day_cell(f->on[PB_BLOOM_OVER], day[PB_BLOOM_OVER]),
        day_cell(f->on[PB_BLOOM_DYING], day[PB_BLOOM_DYING]),
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(columns); i++)
        keys[i] = columns[i].key;
    return out_object(keys, cells, PB_ARRAY_LEN(cells), err);
}

/* What is normal once the flowers are over, and what is asked for then. */
static enum pb_rc say_after(struct env *env, const struct pb_plant *p,
                            struct pb_err *err)
{
    struct pb_shoot s = {0};
    struct pb_buf b;
    enum pb_rc rc = pb_shoot_make(&env->act, p, &s, err);
    const struct pb_profile_stage *stage =
        rc == PB_OK && s.match.row != NULL ? pb_profile_stage(&s.match, PB_STAGE_PUPS)
                                           : NULL;
    if (rc == PB_OK)
        print_shoot(env, &s);
    pb_buf_init(&b, LINE);
    if (stage != NULL) {
        pb_buf_adds(&b,
                    "The shoot that flowered yellows, slumps and roots at its nodes: "
                    "that is normal, do not throw it away. Pups come there. When to "
                    "look is ");
        pb_stage_sources(&s.match, stage, &b);
        pb_buf_addc(&b, '.');
    } else {
        pb_buf_adds(&b, "Before you throw away what dies back, look for pups and new "
                        "shoots at its base and nodes.");
    }
    if (rc == PB_OK)
        say_wrapped("", 0, whole(&b));
    pb_buf_clear(&b);
    pb_shoot_clear(&s);
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_plant p;
    struct pb_flowering f;
    int what = pb_name_find(pb_bloom_names, PB_BLOOM_N, args->words[1]);
    if (what < 0)
        return pb_fail(err, PB_EPARSE,
                       "expected spike, open, over or dying-back, got \"%s\"",
                       args->words[1]);
    const struct pb_blooming bloom = {args->words[0], (enum pb_bloom)what,
                                      args->vals[0].given ? args->vals[0].day
                                                          : env->act.today};
    pb_plant_init(&p);
    pb_flowering_init(&f);
    enum pb_rc rc = env_book(env, PB_BOOK_WRITE, err);
    if (rc == PB_OK)
        rc = pb_act_bloom(&env->act, &bloom, &p, &f, err);
    if (rc == PB_OK && env->json)
        rc = print_json(&p, &f, err);
    else if (rc == PB_OK) {
        say("%s  %s", p.head.code, p.taxon);
        print_flowering(&f);
        if (what >= PB_BLOOM_OVER)
            rc = say_after(env, &p, err);
    }
    pb_plant_clear(&p);
    return rc;
}

const struct cmd cmd_bloom = {
    .name = "bloom",
    .args = "PLANT spike|open|over|dying-back",
    .arg_min = 2,
    .arg_max = 2,
    .summary = "enter what a plant's flowering has come to",
    .notes = "A new spike begins a new flowering. Plants with open flowers are what "
             "podbook\n"
             "pairs chooses from.",
    .step = STEP_POLLINATE,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
