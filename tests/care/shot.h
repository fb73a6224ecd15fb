/* The files of a folder and of one folder in it, kept so that each trial begins alike. */
#ifndef PB_TESTS_SHOT_H
#define PB_TESTS_SHOT_H

#include <stdbool.h>
#include <stddef.h>

enum { SHOT_FILES = 96, SHOT_NAME = 96 };

struct shot_file {
    char name[SHOT_NAME]; /* from the folder on */
    char *bytes;
    size_t n;
    char
        *facts; /* of a book: all that is in it, but for the cache of what was learnt */
    char *learnt;
};

struct program_shot {
    struct shot_file files[SHOT_FILES];
    size_t n;
};

/* Take one of the folder.  A book's content is read by shot_read. */
struct program_shot *shot_take(const char *folder);
void shot_free(struct program_shot *s);
/* Make the folder what it was. */
void shot_restore(const struct program_shot *s, const char *folder);
/* Do the two hold the same files, byte for byte? */
bool shot_same(const struct program_shot *a, const struct program_shot *b);
const struct shot_file *shot_find(const struct program_shot *s, const char *name);
bool shot_is_book(const struct shot_file *f);
/* Read the facts of a book from its file; fails the test where it is damaged. */
void shot_read(struct shot_file *f, const char *folder, const char *claim);

#endif
