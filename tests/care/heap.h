/*
 * Memory that runs out, for all of a program: its malloc and kin stand before those of the C
 * library, for every library that is linked or loaded as well.
 */
#ifndef PB_TESTS_HEAP_H
#define PB_TESTS_HEAP_H

#include "program.h"

/* From now on call `at` fails, from 1, 0: none; onward: and all after it. */
void heap_watch(long at, bool onward);
/* Calls so far. */
long heap_calls(void);
/* None fails any more. */
void heap_rest(void);
/* Tells how many calls there were and what was not given back. */
void heap_end(struct program_note *note);

#endif
