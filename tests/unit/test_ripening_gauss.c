/* Few nodes in the place of many: as many as the width asks for, and what they sum to. */
#include "unit.h"

#include "core/ripening_gauss.h"
#include "core/special.h"

#include <math.h>
#include <stdbool.h>

enum { MANY = 41 };

/* Forty-one even weights over a width, in units of the spread: the average of Phi over
 * them must stay, with no more nodes than it takes. */
static void as_many_nodes_as_the_width_asks_for(void **state)
{
    (void)state;
    static const struct {
        double width;
        size_t n;
    } rows[] = {
        {0.001, 2},
        {0.1,   3},
        {0.5,   4},
        {1,     5},
        {2,     7},
        {3,     8},
    };
    double weights[MANY], scratch[2 * MANY];
    for (size_t i = 0; i < MANY; i++)
        weights[i] = 1.0 / MANY;
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_ripening_node nodes[PB_RIPENING_GAUSS_MAX];
        double step = rows[i].width / (MANY - 1), sum = 0;
        size_t n = pb_ripening_gauss(weights, MANY, -1, step, scratch, nodes);
        CLAIM(n == rows[i].n, "%g wide: %zu nodes", rows[i].width, n);
        for (size_t k = 0; k < n; k++)
            sum += nodes[k].weight;
        CLAIM(fabs(sum - 1) < 1e-12, "%g wide: weights of %.15g", rows[i].width, sum);
        for (double x = -3; x < 3; x += 0.25) {
            double all = 0, few = 0;
            for (size_t k = 0; k < MANY; k++)
                all += weights[k] * pb_normal_cdf(x - (-1 + (double)k * step));
            for (size_t k = 0; k < n; k++)
                few += nodes[k].weight * pb_normal_cdf(x - nodes[k].place);
            CLAIM(fabs(all - few) < 1e-9, "%g wide, at %g: off by %g", rows[i].width, x,
                  all - few);
        }
    }
}

/* One or two points are their own rule, even where the middle between them is 0. */
static void few_points_stay_as_they_are(void **state)
{
    (void)state;
    static const struct {
        const char *claim;
        size_t n;
        double weights[2], first, step;
    } rows[] = {
        {"one",             1, {1},          0.5,  1  },
        {"two of a weight", 2, {0.5, 0.5},   -0.5, 1  },
        {"two",             2, {0.25, 0.75}, -2,   0.5},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_ripening_node nodes[PB_RIPENING_GAUSS_MAX];
        double scratch[4];
        size_t n = pb_ripening_gauss(rows[i].weights, rows[i].n, rows[i].first,
                                     rows[i].step, scratch, nodes);
        CLAIM(n == rows[i].n, "%s: %zu nodes", rows[i].claim, n);
        for (size_t k = 0; k < n; k++) {
            bool found = false;
            for (size_t j = 0; j < n; j++)
                found = found ||
                        (fabs(nodes[j].place -
                              (rows[i].first + (double)k * rows[i].step)) < 1e-12 &&
                         fabs(nodes[j].weight - rows[i].weights[k]) < 1e-12);
            CLAIM(found, "%s: the place of %g", rows[i].claim, rows[i].weights[k]);
        }
    }
}

/* Wider than any fit makes them: no more nodes than there is room for. */
static void no_more_nodes_than_there_is_room_for(void **state)
{
    (void)state;
    double weights[MANY], scratch[2 * MANY], sum = 0;
    struct pb_ripening_node nodes[PB_RIPENING_GAUSS_MAX];
    for (size_t i = 0; i < MANY; i++)
        weights[i] = 1.0 / MANY;
    size_t n = pb_ripening_gauss(weights, MANY, -100, 5, scratch, nodes);
    assert_int_equal(n, PB_RIPENING_GAUSS_MAX);
    for (size_t i = 0; i < n; i++)
        sum += nodes[i].weight;
    CLAIM(fabs(sum - 1) < 1e-12, "weights of %.15g", sum);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(as_many_nodes_as_the_width_asks_for),
        cmocka_unit_test(few_points_stay_as_they_are),
        cmocka_unit_test(no_more_nodes_than_there_is_room_for),
    };
    return UNIT_MAIN("ripening_gauss", tests);
}
