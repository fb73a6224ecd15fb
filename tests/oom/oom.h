/*
 * Allocation failures: run a scenario once for each allocation that it makes, and let that
 * one fail.
 *
 * The program is linked with --wrap for malloc and its kin, so every call from our own
 * archives passes through here; a library of others has to be given these functions by its
 * own means.  Leaks on the way out are for the address sanitizer to find.
 */
#ifndef PB_TESTS_OOM_H
#define PB_TESTS_OOM_H

#include "unit.h"

#include "base/err.h"

/* Does one thing with the library, releases what it got, returns the first failure. */
typedef enum pb_rc oom_scenario(struct pb_err *err);

/*
 * The claim held by all: with the n-th allocation failing, alone and with all after it,
 * the scenario returns PB_ENOMEM and the record says so; with none failing it succeeds.
 * A scenario that allocates nothing, or that never ends, fails the test.
 */
void oom_each(const char *claim, oom_scenario *run);

/*
 * The same where a library below was given these functions and may do without some of what
 * it asks for: each run either succeeds and says nothing, or is PB_ENOMEM and says so.
 *   step  every step-th allocation fails in turn, where all would take too long
 */
void oom_tolerant(const char *claim, oom_scenario *run, long step);

#endif
