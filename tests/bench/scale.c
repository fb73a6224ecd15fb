/*
 * podbook on big books, beside bare programs on the same libraries: ratios, each with a
 * bar that it must not pass.
 *
 *   bench_scale PODBOOK [CROSSES [FIGURE...]]   PODBOOK: the program; 1,000,000; all
 *
 *   start      due on a book of ten crosses / a program that opens it for one query
 *   cross      one cross recorded / the same rows written by SQLite alone, as durably
 *   due        due on the big book, 10,000 of it open / the bare query for their rows
 *   due_small  the same / due on a book with only those 10,000
 *   calendar   100,000 reminders written / libical alone serialising the same components
 *   calendar_book   the same reminders from a book, brought up to date first / the same
 *   share      the big book as JSON / the same rows read, built and dumped by jansson
 *   receive    what share wrote / parsed, looked up and inserted, history included
 *
 * One JSON line a figure; status 1 where a bar was missed.  Makes its books in a folder of
 * its own where it runs, some six times 850 bytes a cross.  Ratios are of the processor's
 * seconds, user and system, of whole processes; of `cross` of the clock's, for there the
 * disk is what one waits for.
 */
#include "measure.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { CROSSES = 1000000, OPEN = 10000, FEW = 3, MANY = 15, KIB = 1024, WORDS = 8 };

/* What stands in the folder.  ORDER FILE */
enum file {
    BIG,
    SMALL,
    TEN,
    CALENDAR,
    LINES,
    CROSS,
    CROSS_BARE,
    EMPTY,
    EMPTY_BARE,
    NEW,
    NEW_BARE,
    RECORDS,
    OUT,
    FILE_N
};
static const char *const files[FILE_N] = {
    "big.db",      "small.db",      "ten.db",   "calendar.db",   "calendar.txt",
    "cross.db",    "cross-bare.db", "empty.db", "empty-bare.db", "new.db",
    "new-bare.db", "records.json",  "out",
};

static struct {
    char *podbook, *folder; /* of the other programs */
    char crosses[16];
} here;

/* ---- programs ------------------------------------------------------------------------ */

/* The path of a program that was built beside this one. */
static const char *beside(const char *name)
{
    static char paths[4][1024];
    static int turn;
    char *path = paths[turn++ % 4];
    (void)snprintf(path, sizeof(paths[0]), "%s/bench_%s", here.folder, name);
    return path;
}

static void must(bool done)
{
    if (!done)
        exit(1);
}

static void run(const char *const *words, const char *out)
{
    struct bench_cost cost;
    const struct bench_command c = {words, NULL, out};
    must(bench_run(&c, &cost));
}

static void make_book(enum file file, const char *finished, const char *open)
{
    struct stat st;
    const char *taxa = file == TEN ? "3" : "50";
    const char *clones = file == TEN ? "3" : file == EMPTY ? "0" : "40";
    const char *const words[] = {beside("maker"), "book",   files[file], taxa,
                                 clones,          finished, open,        NULL};
    if (stat(files[file], &st) != 0)
        run(words, NULL);
}

static void make_big(void)
{
    char finished[16];
    (void)snprintf(finished, sizeof(finished), "%d", atoi(here.crosses) - OPEN);
    make_book(BIG, finished, "10000");
}

static void take_triggers_out(enum file file)
{
    const char *const words[] = {beside("maker"), "bare", files[file], NULL};
    run(words, NULL);
}

static void copy(enum file from, enum file to)
{
    static const char *const tails[] = {"-wal", "-shm"};
    char block[65536], name[64];
    size_t n = 0;
    FILE *in = fopen(files[from], "rb"), *out = fopen(files[to], "wb");
    must(in != NULL && out != NULL);
    while ((n = fread(block, 1, sizeof(block), in)) > 0)
        must(fwrite(block, 1, n, out) == n);
    must(fclose(out) == 0 && fclose(in) == 0);
    for (size_t i = 0; i < 2; i++) {
        (void)snprintf(name, sizeof(name), "%s%s", files[to], tails[i]);
        (void)unlink(name);
    }
}

static const char *const *podbook(const char **words, enum file book, const char *a,
                                  const char *b)
{
    const char *const all[] = {here.podbook, "--book", files[book], a, b};
    memcpy(words, all, sizeof(all));
    words[sizeof(all) / sizeof(all[0])] = NULL;
    return words;
}

/* ---- figures ------------------------------------------------------------------------- */

static bool start(void)
{
    const char *words[WORDS];
    const char *const bare[] = {beside("bare_due"), "--one", files[TEN], NULL};
    make_book(TEN, "0", "10");
    const struct bench_figure f = {
        .name = "start",
        .ours = {podbook(words, TEN, "due", NULL), NULL, NULL},
        .bare = {bare,         NULL,        NULL            },
        .bar = 1.5,
        .runs = 100,
    };
    return bench_figure(&f);
}

static bool cross(void)
{
    const char *const ours[] = {here.podbook, "--book", files[CROSS], "cross",
                                "T1.1",       "T1.2",   NULL};
    const char *const bare[] = {beside("bare_cross"), files[CROSS_BARE], "T1.1", "T1.2",
                                NULL};
    make_book(SMALL, "0", "10000");
    copy(SMALL, CROSS);
    copy(SMALL, CROSS_BARE);
    take_triggers_out(CROSS_BARE);
    const struct bench_figure f = {
        .name = "cross",
        .ours = {ours, NULL, NULL},
        .bare = {bare, NULL, NULL},
        .bar = 1.5,
        .runs = 100,
        .by_clock = true,
    };
    return bench_figure(&f);
}

static bool due(void)
{
    const char *words[WORDS];
    const char *const bare[] = {beside("bare_due"), files[BIG], NULL};
    make_big();
    const struct bench_figure f = {
        .name = "due",
        .ours = {podbook(words, BIG, "due", NULL), NULL, NULL},
        .bare = {bare,         NULL,        NULL            },
        .bar = 2,
        .runs = MANY,
    };
    return bench_figure(&f);
}

static bool due_small(void)
{
    const char *words[WORDS], *others[WORDS];
    make_big();
    make_book(SMALL, "0", "10000");
    const struct bench_figure f = {
        .name = "due_small",
        .ours = {podbook(words,  BIG,   "due", NULL), NULL, NULL},
        .bare = {podbook(others, SMALL, "due", NULL), NULL, NULL},
        .bar = 1.2,
        .runs = MANY,
    };
    return bench_figure(&f);
}

static void make_reminders(void)
{
    const char *const words[] = {beside("maker"), "reminders", files[CALENDAR],
                                 files[LINES], NULL};
    make_book(CALENDAR, "0", "6000");
    run(words, NULL);
}

static bool calendar(void)
{
    const char *const ours[] = {beside("calendar_lines"), files[LINES], NULL};
    const char *const bare[] = {beside("bare_calendar"), files[LINES], NULL};
    make_reminders();
    const struct bench_figure f = {
        .name = "calendar",
        .ours = {ours, NULL, NULL},
        .bare = {bare, NULL, NULL},
        .bar = 1.25,
        .peak_kib = 16 * KIB,
        .runs = MANY,
    };
    return bench_figure(&f);
}

static bool calendar_book(void)
{
    const char *words[WORDS];
    const char *const bare[] = {beside("bare_calendar"), files[LINES], NULL};
    make_reminders();
    const struct bench_figure f = {
        .name = "calendar_book",
        .ours = {podbook(words, CALENDAR, "calendar", NULL), NULL, NULL},
        .bare = {bare,         NULL,             NULL                      },
        .bar = 2, /* a hundred thousand windows and texts are worked out as well */
        .peak_kib = 16 * KIB,
        .runs = FEW,
    };
    return bench_figure(&f);
}

static bool share(void)
{
    const char *words[WORDS];
    const char *const bare[] = {beside("bare_share"), files[BIG], NULL};
    make_big();
    const struct bench_figure f = {
        .name = "share",
        .ours = {podbook(words, BIG, "share", NULL), NULL, NULL},
        .bare = {bare,         NULL,        NULL              },
        .bar = 1.4,
        .peak_kib = 32 * KIB,
        .runs = FEW,
    };
    return bench_figure(&f);
}

static void empty_books(void)
{
    copy(EMPTY, NEW);
    copy(EMPTY_BARE, NEW_BARE);
}

static bool receive(void)
{
    const char *words[WORDS], *sharing[WORDS];
    const char *const bare[] = {beside("bare_receive"), files[NEW_BARE], NULL};
    make_big();
    make_book(EMPTY, "0", "0");
    copy(EMPTY, EMPTY_BARE);
    take_triggers_out(EMPTY_BARE);
    run(podbook(sharing, BIG, "share", NULL), files[RECORDS]);
    const struct bench_figure f = {
        .name = "receive",
        .ours = {podbook(words,   NEW,  "receive", "-"), files[RECORDS], NULL},
        .bare = {bare, files[RECORDS], NULL         },
        .bar = 1.5,
        .peak_kib = 32 * KIB,
        .runs = FEW,
        .before = empty_books,
    };
    return bench_figure(&f);
}

static const struct {
    const char *name;
    bool (*measure)(void);
} figures[] = {
    {"start",         start        },
    {"cross",         cross        },
    {"calendar",      calendar     },
    {"calendar_book", calendar_book},
    {"due",           due          },
    {"due_small",     due_small    },
    {"share",         share        },
    {"receive",       receive      },
};

/* ---- the run ------------------------------------------------------------------------- */

/* Is the figure asked for?  None named: all are. */
static bool is_asked(const char *name, char *const *names, int n)
{
    bool asked = n == 0;
    for (int i = 0; i < n; i++)
        asked = asked || strcmp(names[i], name) == 0;
    return asked;
}

static void remove_all(void)
{
    static const char *const tails[] = {"", "-wal", "-shm"};
    char name[64];
    for (int i = 0; i < FILE_N; i++)
        for (size_t k = 0; k < sizeof(tails) / sizeof(tails[0]); k++) {
            (void)snprintf(name, sizeof(name), "%s%s", files[i], tails[k]);
            (void)unlink(name);
        }
}

int main(int argc, char **argv)
{
    char folder[] = "bench-scale-XXXXXX";
    bool held = true;
    int measured = 0;
    if (argc < 2)
        return 2;
    here.podbook = realpath(argv[1], NULL);
    here.folder = realpath(argv[0], NULL);
    if (here.podbook == NULL || here.folder == NULL || mkdtemp(folder) == NULL ||
        chdir(folder) != 0)
        return 2;
    *strrchr(here.folder, '/') = '\0';
    (void)snprintf(here.crosses, sizeof(here.crosses), "%s", argc > 2 ? argv[2] : "");
    if (atoi(here.crosses) < OPEN)
        (void)snprintf(here.crosses, sizeof(here.crosses), "%d", CROSSES);
    must(setenv("PODBOOK_TODAY", "2026-02-16", 1) == 0);
    for (size_t i = 0; i < sizeof(figures) / sizeof(figures[0]); i++)
        if (is_asked(figures[i].name, argv + 3, argc > 3 ? argc - 3 : 0)) {
            held = figures[i].measure() && held;
            measured++;
        }
    remove_all();
    must(chdir("..") == 0);
    (void)rmdir(folder);
    free(here.podbook);
    free(here.folder);
    return held && measured > 0 ? 0 : 1;
}
