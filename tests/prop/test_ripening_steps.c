/*
 * The grids of the ripening estimator on random small books: halving every step changes no
 * quantile by 1e-4 day.
 */
#include "ripening_book.h"

#include <math.h>
#include <stdlib.h>

static const double shares[] = {0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95};

static void steps_are_fine(void **state)
{
    (void)state;
    uint64_t s = 424242;
    for (int round = 0; round < 1500; round++) {
        static const double weights[] = {2, 2.5, 4, 6, 40};
        struct book b;
        int32_t first = 10 + below(&s, 60), width = below(&s, 40);
        int32_t centre = first + width / 2 + below(&s, 30) - 15,
                unit = 1 + below(&s, 9);
        book_init(&b, first, first + width, weights[below(&s, 5)]);
        for (int32_t i = below(&s, 15); i > 0; i--) {
            int32_t day = centre + below(&s, 9) - 4, kind = below(&s, 6);
            day = day > 1 ? day : 1;
            add(&b, (uint32_t)below(&s, 4), kind == 0 ? 0 : day,
                kind == 1 ? NEVER : day + unit, (uint32_t)(1 + below(&s, 3)));
        }
        struct pb_ripening *r = fit(&b, 1), *fine = fit(&b, 0.5);
        for (uint32_t clone = 0; clone < 5; clone++)
            for (size_t q = 0; q < PB_ARRAY_LEN(shares); q++) {
                double day = day_of(pb_ripening_law_of(r, clone), shares[q]);
                double half = day_of(pb_ripening_law_of(fine, clone), shares[q]);
                CLAIM(fabs(day - half) < 1e-4, "round %d, clone %u: %.7f or %.7f",
                      round, clone, day, half);
            }
        pb_ripening_free(r);
        pb_ripening_free(fine);
        free(b.obs);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steps_are_fine),
    };
    return UNIT_MAIN("ripening_steps", tests);
}
