/*
 * Books for the benches: taxa with a few clones each, and crosses between these, finished
 * and open, pollinated on many days before TODAY.  The same every time.
 */
#ifndef BENCH_BOOK_MAKE_H
#define BENCH_BOOK_MAKE_H

#include "act/act.h"

enum { BENCH_TODAY = 20500 }; /* 2026-02-16 */

struct bench_book {
    int taxa;           /* up to 100 */
    int clones;         /* a taxon */
    int finished, open; /* crosses, spread evenly over the taxa */
};

/* Print what went wrong and end the program, where anything did. */
void bench_must(enum pb_rc rc, const struct pb_err *err);

/*
 * Enter the plants and crosses in one act.
 *   a  a book open for writing, BENCH_TODAY
 * A finished cross of 4 flowers was seen to hold; of three one split and two were harvested
 * closed.  An open one was made within the last 40 days and has not been looked at.
 */
void bench_book_make(struct pb_act *a, const struct bench_book *what);

#endif
