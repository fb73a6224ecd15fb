/*
 * Another front end, in one page: a cross goes into a book, and the book says what is due.
 * It knows podbook.h alone; the day is an argument, as everything of the outside is.
 *
 *   cc use.c $(pkg-config --cflags --libs podbook) && ./a.out book.db 2026-03-02
 */
#include <podbook.h>

#include <stdio.h>
#include <time.h>

enum { SEASON = 40 }; /* days to look ahead */

/* Both plants are entered in the same act: their taxa are given. */
static enum pb_rc cross(struct pb_act *act, struct pb_err *err)
{
    struct pb_cross x;
    int entered = 0;
    pb_cross_init(&x);
    (void)snprintf(x.seed.plant.code, sizeof(x.seed.plant.code), "GH-2");
    x.seed.taxon = pb_text_copy("Goodyera hispida");
    (void)snprintf(x.pollen[0].parent.plant.code, sizeof(x.pollen[0].parent.plant.code),
                   "DL-1");
    x.pollen[0].parent.taxon = pb_text_copy("Dossinia marmorata");
    x.pollen_n = 1;
    x.pollinated = act->today;
    x.flowers = 3;
    enum pb_rc rc = x.seed.taxon != NULL && x.pollen[0].parent.taxon != NULL
                        ? pb_act_cross(act, &x, &entered, err)
                        : pb_fail_memory(err);
    if (rc == PB_OK)
        printf("%s: %d flowers, %d plants entered with it\n", x.head.code, x.flowers,
               entered);
    pb_cross_clear(&x);
    return rc;
}

static enum pb_rc due(struct pb_act *act, struct pb_err *err)
{
    struct pb_due_list list = {0};
    enum pb_rc rc = pb_act_due(
        act, (struct pb_due_ask){.by = pb_day_add(act->today, SEASON)}, &list, err);
    for (size_t i = 0; rc == PB_OK && i < list.n; i++) {
        const struct pb_due *d = &list.v[i];
        char first[PB_DAY_TEXT], last[PB_DAY_TEXT];
        printf("%s: %s from %s %s to %s %s\n", d->code, pb_task_names[d->task],
               pb_day_weekday_name(d->span.first), pb_day_format(d->span.first, first),
               pb_day_weekday_name(d->span.last), pb_day_format(d->span.last, last));
    }
    pb_due_clear(&list);
    return rc;
}

int main(int argc, char **argv)
{
    struct pb_err err = {0};
    const struct pb_profiles profiles = {NULL, &pb_profiles_builtin};
    struct pb_act act = {
        .profiles = &profiles, .command = "use", .now = (int64_t)time(NULL)};
    act.ids.key[0] = (uint64_t)act.now; /* a real one draws random bytes */
    if (argc != 3) {
        fprintf(stderr, "usage: use BOOK YYYY-MM-DD\n");
        return 2;
    }
    enum pb_rc rc = pb_day_parse_iso("date", argv[2], &act.today, &err);
    if (rc == PB_OK)
        rc = pb_book_open(argv[1], PB_BOOK_WRITE, &act.book, &err);
    if (rc == PB_OK)
        rc = cross(&act, &err);
    if (rc == PB_OK)
        rc = due(&act, &err);
    pb_learner_close(&act);
    pb_book_close(act.book);
    if (rc != PB_OK)
        fprintf(stderr, "use: %s%s%s\n", err.where, err.where[0] != '\0' ? ": " : "",
                err.text);
    return rc == PB_OK ? 0 : 1;
}
