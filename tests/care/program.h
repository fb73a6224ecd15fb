/*
 * Trials of the program: each row of trials.def is a command that is run in a process of its
 * own, on a folder that is the same each time, while something in the machine fails.
 *
 * What is held to: it ends by itself; it is done, and then all that it says and leaves is what
 * it says and leaves where nothing fails, unless it says on standard error what it did without
 * (a calendar of a book that cannot be written); or it says why not with exit status 1, and each
 * file - of a book what it holds - is the one before it or the one after it.  Nothing else
 * lies in the folder.
 */
#ifndef PB_TESTS_PROGRAM_H
#define PB_TESTS_PROGRAM_H

#include "unit.h"

#include <stdbool.h>
#include <stddef.h>

/* What the child tells of itself, in memory that both have. */
struct program_note {
    long calls;     /* of what may fail */
    long kinds[16]; /* the same of each kind there is */
    struct {
        long first, last; /* of them while a book was opened; 0: none was */
    } opening;
    long lost;   /* blocks of memory that nobody gave back: ours, SQLite's, jansson's */
    long others; /* and those of other libraries, which keep some for themselves */
    char where[96]; /* who asked for one that was lost */
};

/* In the child, around main(). */
struct program_hooks {
    void (*before)(void);
    void (*after)(struct program_note *note);
};

struct program_row {
    const char *command, *words; /* words: as typed, "|" between them */
    bool fresh;                  /* on an empty folder, not on the story's */
    int status;                  /* the exit status of it done */
};
extern const struct program_row program_rows[];
extern const size_t program_row_n;

struct program_shot; /* the files of the folder */

struct program_subject {
    const struct program_row *row;
    struct program_shot *before, *after;
    char *out, *err; /* where nothing fails */
    struct program_note note;
};

/* Make the place and tell the story; every command has a row. */
void program_init(const struct program_hooks *hooks);
void program_done(void);

void program_begin(struct program_subject *s, const struct program_row *row);
void program_end(struct program_subject *s);

/*
 * One trial.
 *   claim  names it in a failure
 *   says   a part of the message that a refusal has; NULL: any
 * Returns whether the command was done; note is the child's, out may be NULL.
 */
bool program_try(const struct program_subject *s, const char *claim, const char *says,
                 struct program_note *note);

/*
 * A test of each row, which is its state (const struct program_row **).  PB_TRIAL=WORDS: only
 * of those that begin so; PB_TRIAL_PART=K/N: only of every N-th from the K-th on, from 0.
 * Returns what main() is to.
 */
int program_test(const char *name, CMUnitTestFunction run, CMFixtureFunction set_up,
                 CMFixtureFunction tear_down);

/* Standard output is a disk that is full, from now on or no longer. */
void program_stdout_full(bool full);

#endif
