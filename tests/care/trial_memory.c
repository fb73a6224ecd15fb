/*
 * Memory that runs out under the whole program, libraries and all: each allocation of each
 * command fails once, alone and with all after it.
 *
 * --long: every one of them; but while a book is opened all commands make the same calls, so
 * that those are tried with the first command that makes so many.  Else some of each, other
 * ones of each command.
 * PB_TRIAL_STEP=N: every N-th.  PB_TRIAL_AT=N: only the N-th, alone; with PB_TRIAL=WORDS,
 * to look at a failure.
 */
#include "heap.h"

#include "book/book.h"

#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SHORT_TRIALS = 5, CALLS_MAX = 1000000 };

int __wrap_main(int argc, char **argv);
enum pb_rc __real_pb_book_open(const char *path, enum pb_book_mode mode,
                               struct pb_book **out, struct pb_err *err);
enum pb_rc __wrap_pb_book_open(const char *path, enum pb_book_mode mode,
                               struct pb_book **out, struct pb_err *err);

static struct {
    long at;
    bool onward, all;
    long opening_first, opening_last; /* in the child */
    long openings[64];                /* calls of those that were tried */
    size_t opening_n;
} trial;

enum pb_rc __wrap_pb_book_open(const char *path, enum pb_book_mode mode,
                               struct pb_book **out, struct pb_err *err)
{
    trial.opening_first = heap_calls() + 1;
    enum pb_rc rc = __real_pb_book_open(path, mode, out, err);
    trial.opening_last = heap_calls();
    return rc;
}

static void before(void)
{
    (void)sqlite3_shutdown(); /* what it sets up first may fail, too */
    heap_watch(trial.at, trial.onward);
}

/* Calls of the way out are not counted, what they give back is. */
static void after(struct program_note *note)
{
    heap_rest();
    (void)sqlite3_shutdown();
    heap_end(note);
    note->opening.first = trial.opening_first;
    note->opening.last = trial.opening_last;
}

/* Was a book opened by so many calls before, each of which has been tried? */
static bool is_tried_opening(const struct program_note *note)
{
    long n = note->opening.last - note->opening.first;
    for (size_t i = 0; i < trial.opening_n; i++)
        if (trial.openings[i] == n)
            return true;
    if (trial.opening_n < PB_ARRAY_LEN(trial.openings))
        trial.openings[trial.opening_n++] = n;
    return false;
}

/* The next call to try. */
static long next_of(const struct program_note *note, long at, bool skips)
{
    bool skipped = skips && at >= note->opening.first && at <= note->opening.last;
    return skipped ? note->opening.last + 1 : at;
}

static void try_row(void **state)
{
    const struct program_row *row = *(const struct program_row *const *)*state;
    struct program_subject s;
    struct program_note note;
    long done = 0, refused = 0;
    trial.at = 0;
    program_begin(&s, row);
    long all = s.note.calls;
    CLAIM(all < CALLS_MAX, "%s: %ld allocations", row->words, all);
    const char *only = getenv("PB_TRIAL_AT"), *every = getenv("PB_TRIAL_STEP");
    long step = only != NULL    ? CALLS_MAX
                : every != NULL ? atol(every)
                : trial.all     ? 1
                                : all / SHORT_TRIALS + 1;
    bool skips = trial.all && is_tried_opening(&s.note);
    for (int onward = 0; onward < (only != NULL ? 1 : 2); onward++) {
        trial.onward = onward != 0;
        trial.at = only != NULL ? atol(only) : 1 + (row - program_rows) * 31 % step;
        do {
            char claim[256];
            trial.at = next_of(&s.note, trial.at, skips);
            (void)snprintf(claim, sizeof(claim),
                           "%.160s: allocation %ld of %ld%s fails", row->words,
                           trial.at, all, trial.onward ? " and all after it" : "");
            if (program_try(&s, claim, "memory", &note))
                done++;
            else
                refused++;
            trial.at += step;
        } while (only == NULL && note.calls + step >= trial.at);
    }
    trial.at = 0;
    print_message("%s: %ld allocations, %ld trials done, %ld refused\n", row->words,
                  all, done, refused);
    program_end(&s);
}

static int set_up(void **state)
{
    static const struct program_hooks hooks = {before, after};
    (void)state;
    program_init(&hooks);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    program_done();
    return 0;
}

int __wrap_main(int argc, char **argv)
{
    trial.all = argc > 1 && strcmp(argv[1], "--long") == 0;
    return program_test("memory", try_row, set_up, tear_down);
}
