/* Which disks a book is warned of. */
#include "unit.h"

#include "book/place.h"

#include <string.h>

/* Source of the numbers: statfs(2). */
static const struct {
    const char *claim;
    uint32_t type;
    const char *word;
} rows[] = {
    {"a disk of this machine is none",           0xEF53,     NULL  },
    {"nor is another",                           0x9123683E, NULL  },
    {"nor one in memory",                        0x01021994, NULL  },
    {"a network's is",                           0x6969,     "nfs" },
    {"and of the other kind",                    0xFF534D42, "cifs"},
    {"whose number has its upper bit, too",      0xFE534D42, "smb" },
    {"one that a program serves is",             0x65735546, "fuse"},
    {"and one of the host of a virtual machine", 0x01021997, "9p"  },
};

static void test_words(void **state)
{
    (void)state;
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        const char *word = pb_place_word(rows[i].type);
        CLAIM((word == NULL) == (rows[i].word == NULL) &&
                  (word == NULL || strcmp(word, rows[i].word) == 0),
              "%s: %s", rows[i].claim, word != NULL ? word : "none");
    }
}

static void test_paths(void **state)
{
    /* /proc is of the kernel: neither a disk nor a network */
    static const char *const paths[] = {"/proc/self/status", "/proc/none", "none",
                                        "/nowhere/at/all"};
    (void)state;
    for (size_t i = 0; i < PB_ARRAY_LEN(paths); i++) {
        const char *word = "not asked";
        enum pb_rc rc = pb_place_of(paths[i], &word, NULL);
        CLAIM(rc == PB_OK && word == NULL, "%s: %s", paths[i], word);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_words),
        cmocka_unit_test(test_paths),
    };
    return UNIT_MAIN("place", tests);
}
