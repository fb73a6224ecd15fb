/*
 * The whole program within a fuzz target: main() of podbook with its words, in a folder of
 * its own in memory, with what it prints caught.
 */
#ifndef PB_TESTS_FUZZ_COMMAND_H
#define PB_TESTS_FUZZ_COMMAND_H

#include "fuzz.h"

enum { FUZZ_WORDS = 32 };

/* An empty folder, but for book.db with the records of club.jsonl. */
void fuzz_folder_fill(void);

/* Is it still that book.db, to the byte? */
bool fuzz_folder_is_untouched(void);

/* The bytes of book.db as it is now, yours (free). */
char *fuzz_folder_book(size_t *n);

/*
 * Run one command.  Its words must not lead out of the folder: false, and nothing is run,
 * where one holds a "/".  What it prints must be plain, its status one that podbook has.
 *   words  without the program's name; n at most FUZZ_WORDS; they may be changed
 *   status  out
 */
bool fuzz_command(char **words, size_t n, int *status);

/* The same of one line, its words between blanks. */
bool fuzz_command_line(const char *line, int *status);

#endif
