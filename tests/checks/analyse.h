/*
 * Put in front of every source (-include) where an analyser reads it.  It sees one source
 * at a time and must be told that what these hand back is the code that they were given,
 * never PB_OK.
 */
#ifndef PB_TESTS_CHECKS_ANALYSE_H
#define PB_TESTS_CHECKS_ANALYSE_H

#include "base/err.h"
#include "exchange/system.h" /* before the macro of its name */

/* NOLINTBEGIN(readability-identifier-naming): the names that they stand for */
#define pb_fail(err, rc, ...) ((void)(pb_fail)(err, rc, __VA_ARGS__), (enum pb_rc)(rc))
#define pb_fail_at(err, rc, ...) \
    ((void)(pb_fail_at)(err, rc, __VA_ARGS__), (enum pb_rc)(rc))
#define pb_fail_memory(err) ((void)(pb_fail_memory)(err), (enum pb_rc)PB_ENOMEM)
#define pb_fail_system(err, ...) \
    ((void)(pb_fail_system)(err, __VA_ARGS__), (enum pb_rc)PB_EIO)
/* NOLINTEND(readability-identifier-naming) */

#endif
