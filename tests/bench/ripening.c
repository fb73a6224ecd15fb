/*
 * How fast ripening is learnt, and how fast the laws answer.
 *
 *   bench_ripening
 *
 * One JSON line a figure: milliseconds of the processor for a fit (with the nodes of the
 * law that came out), microseconds for a question.  Quickest of several rounds.
 */
#include "core/ripening.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { OBS_MAX = 10000, ROUNDS = 5, QUESTIONS = 2000 };

struct book {
    struct pb_ripening_prior prior;
    struct pb_ripening_obs obs[OBS_MAX];
    size_t n;
};

static void add(struct book *b, uint32_t clone, int32_t after, int32_t by,
                uint32_t count)
{
    b->obs[b->n++] = (struct pb_ripening_obs){clone, after, by, count};
}

/* Spreads without pattern, the same everywhere. */
static int32_t scatter(uint32_t i, int32_t n)
{
    return (int32_t)((uint64_t)i * 2654435761U % 4294967291U % (uint64_t)n);
}

static void none(struct book *b)
{
    b->n = 0;
}

static void twenty(struct book *b)
{
    for (uint32_t i = 0; i < 20; i++) {
        int32_t day = 20 + scatter(i, 8);
        add(b, i % 4, day, i % 5 == 0 ? PB_RIPENING_NEVER : day + 2, 1);
    }
}

static void pooled(struct book *b)
{
    for (uint32_t clone = 0; clone < 10; clone++)
        for (int32_t k = 0; k < 4; k++)
            add(b, clone, 22 + (int32_t)clone % 5 + k, 23 + (int32_t)clone % 5 + k,
                230 + clone * 4);
}

static void one_day(struct book *b)
{
    add(b, 0, 24, 25, 10000);
}

static void hanging(struct book *b)
{
    add(b, 0, 24, PB_RIPENING_NEVER, 10000);
}

static void intervals(struct book *b)
{
    for (int32_t i = 0; i < OBS_MAX; i++)
        add(b, 0, 150 + i % 90, 151 + i % 90 + i / 90, 1);
}

static void clones(struct book *b)
{
    for (uint32_t i = 0; i < OBS_MAX; i++) {
        int32_t day = 18 + scatter(i, 12);
        add(b, i / 10, day, day + 1 + scatter(i + 7, 3), 1);
    }
}

static const struct {
    const char *name;
    void (*fill)(struct book *);
} shapes[] = {
    {"a profile alone",                        none     },
    {"20 capsules of 4 clones",                twenty   },
    {"10000 capsules of 10 clones, pooled",    pooled   },
    {"10000 capsules in one day",              one_day  },
    {"10000 capsules that hang",               hanging  },
    {"10000 capsules, every interval its own", intervals},
    {"10000 capsules of 1000 clones",          clones   },
};

static double milliseconds(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

static bool learn(struct book *b, size_t shape)
{
    double best = 1e9;
    uint32_t nodes = 0;
    b->n = 0;
    shapes[shape].fill(b);
    for (int i = 0; i < ROUNDS; i++) {
        struct pb_ripening *r = NULL;
        double began = milliseconds();
        if (pb_ripening_fit(&b->prior, b->obs, b->n, &r, NULL) != PB_OK)
            return false;
        double took = milliseconds() - began;
        best = took < best ? took : best;
        nodes = pb_ripening_law_of(r, 0)->node_n;
        pb_ripening_free(r);
    }
    printf("{\"bench\":\"ripening fit\",\"of\":\"%s\",\"ms\":%.3f,\"nodes\":%u}\n",
           shapes[shape].name, best, nodes);
    return true;
}

static void answer(const char *question, double began, double sum)
{
    /* the sum is printed so that no answer can be left out */
    printf("{\"bench\":\"ripening question\",\"of\":\"%s\",\"us\":%.2f,\"sum\":%.4g}\n",
           question, (milliseconds() - began) * 1e3 / QUESTIONS, sum);
}

static bool ask(struct book *b)
{
    struct pb_ripening *r = NULL;
    b->n = 0;
    twenty(b);
    if (pb_ripening_fit(&b->prior, b->obs, b->n, &r, NULL) != PB_OK)
        return false;
    const struct pb_ripening_law *law = pb_ripening_law_of(r, 0);
    double began = milliseconds(), sum = 0, day = 0;
    for (int32_t i = 0; i < QUESTIONS; i++)
        sum += pb_ripening_risk(law, 10 + i % 16, 12 + i % 16);
    answer("risk", began, sum);
    began = milliseconds();
    for (int32_t i = 0; i < QUESTIONS; i++)
        sum += pb_ripening_next_look(law, 10 + i % 16, 0.1, 24 + i % 16);
    answer("next look", began, sum);
    began = milliseconds();
    for (int32_t i = 0; i < QUESTIONS; i++)
        sum += pb_ripening_quantile(law, 0.01 + 0.98 * i / QUESTIONS, &day) ? day : 0;
    answer("quantile", began, sum);
    pb_ripening_free(r);
    return true;
}

int main(void)
{
    struct book *b = calloc(1, sizeof(*b));
    bool ok = b != NULL;
    if (ok)
        b->prior = (struct pb_ripening_prior){21, 30, 2};
    for (size_t i = 0; ok && i < sizeof(shapes) / sizeof(shapes[0]); i++)
        ok = learn(b, i);
    ok = ok && ask(b);
    free(b);
    return ok ? 0 : 1;
}
