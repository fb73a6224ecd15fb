/*
 * A disk that fails under the whole program: each call of each kind of each command, alone
 * and with all after it; and standard output that is full.
 *
 * --long: every one of them.  Else some of each.  PB_TRIAL=WORDS: only of these commands.
 */
#include "fault.h"
#include "program.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SHORT_TRIALS = 3, CALLS_MAX = 10000 };

int __wrap_main(int argc, char **argv);

_Static_assert(sizeof(fault_calls) <= sizeof(((struct program_note *)0)->kinds),
               "room for each kind");

static struct {
    enum fault_kind kind;
    long at;
    bool onward, all;
    long reached[FAULT_N]; /* trials of the kind */
} trial;

static void before(void)
{
    fault_set(trial.kind, trial.at, trial.onward);
}

static void after(struct program_note *note)
{
    note->calls = fault_clear();
    memcpy(note->kinds, fault_calls, sizeof(fault_calls));
}

/* Every step-th call of a kind fails; of each, until one is not reached. */
static void try_kind(const struct program_subject *s, long *done, long *refused)
{
    const long calls = s->note.kinds[trial.kind];
    const long step = trial.all ? 1 : calls / SHORT_TRIALS + 1;
    struct program_note note = {.calls = 0};
    char claim[256];
    CLAIM(calls < CALLS_MAX, "%s: %ld calls", s->row->words, calls);
    for (int onward = 0; onward < 2; onward++) {
        trial.onward = onward != 0;
        trial.at = 1 + (s->row - program_rows) % step;
        for (bool more = calls > 0; more; trial.at += step) {
            (void)snprintf(claim, sizeof(claim), "%.160s: %s %ld%s fails",
                           s->row->words, fault_names[trial.kind], trial.at,
                           trial.onward ? " and all after it" : "");
            bool is_done = program_try(s, claim, NULL, &note);
            *(is_done ? done : refused) += 1;
            trial.reached[trial.kind] += note.calls >= trial.at;
            more = trial.all ? note.calls >= trial.at : trial.at + step <= calls;
        }
    }
}

static void try_row(void **state)
{
    const struct program_row *row = *(const struct program_row *const *)*state;
    struct program_subject s;
    struct program_note note;
    char claim[256];
    long done = 0, refused = 0;
    trial.kind = FAULT_N;
    program_begin(&s, row);
    for (int kind = 0; kind < FAULT_N; kind++) {
        trial.kind = (enum fault_kind)kind;
        try_kind(&s, &done, &refused);
    }
    trial.kind = FAULT_N;
    program_stdout_full(true);
    (void)snprintf(claim, sizeof(claim), "%.160s: standard output is full", row->words);
    bool printed = program_try(&s, claim, "could not be written", &note);
    CLAIM(!printed || s.out[0] == '\0', "%s: done", claim);
    program_stdout_full(false);
    print_message("%s: %ld trials done, %ld refused\n", row->words, done, refused);
    program_end(&s);
}

static int set_up(void **state)
{
    static const struct program_hooks hooks = {before, after};
    (void)state;
    fault_install();
    program_init(&hooks);
    return 0;
}

/* What no command does is not tried. */
static int tear_down(void **state)
{
    (void)state;
    program_done();
    for (int kind = 0; kind < FAULT_N && getenv("PB_TRIAL") == NULL; kind++)
        CLAIM(trial.reached[kind] > 0, "no %s failed", fault_names[kind]);
    return 0;
}

int __wrap_main(int argc, char **argv)
{
    trial.all = argc > 1 && strcmp(argv[1], "--long") == 0;
    return program_test("commands", try_row, set_up, tear_down);
}
