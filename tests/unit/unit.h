/* What every unit test includes: cmocka in the order it wants, and row helpers. */
#ifndef PB_TESTS_UNIT_H
#define PB_TESTS_UNIT_H

#include <locale.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/err.h"
#include "base/text.h"

/* Fail with the claim of the row that broke. */
#define CLAIM(ok, ...)             \
    do {                           \
        if (!(ok))                 \
            fail_msg(__VA_ARGS__); \
    } while (0)

/*
 * The next of a row of made numbers of 32 bits; the upper bits are the better ones.
 * Source: Numerical Recipes' "quick and dirty" generator; constants from memory.
 */
static inline uint32_t unit_next(uint32_t s)
{
    return (uint32_t)((s * UINT64_C(1664525) + 1013904223U) & UINT32_MAX);
}

/*
 * cmocka's exit status is the number of failures, and 256 of them read as 0.  The library
 * must hold in a program that took its user's locale, so the tests take theirs.
 */
#define UNIT_MAIN(suite, tests)       \
    (setlocale(LC_ALL, "") == NULL || \
     cmocka_run_group_tests_name(suite, tests, NULL, NULL) != 0)

/* The same for a test that reads a file of vectors, whose numbers have points. */
#define UNIT_MAIN_VECTORS(suite, tests) \
    (setlocale(LC_ALL, "C") == NULL ||  \
     cmocka_run_group_tests_name(suite, tests, NULL, NULL) != 0)

#endif
