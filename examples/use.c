/*
 * Another front end: the windows of a cross from its profile days, through podbook.h alone.
 *
 *   cc use.c $(pkg-config --cflags --libs podbook) && ./a.out 2026-03-02
 */
#include <podbook.h>

#include <stdio.h>

static void print_task(const struct pb_task *task)
{
    char first[PB_DAY_TEXT], last[PB_DAY_TEXT];
    printf("%-8s %s %s to %s %s\n", pb_task_names[task->kind],
           pb_day_weekday_name(task->span.first),
           pb_day_format(task->span.first, first), pb_day_weekday_name(task->span.last),
           pb_day_format(task->span.last, last));
}

int main(int argc, char **argv)
{
    struct pb_err err = {0};
    struct pb_tasks tasks = {0};
    struct pb_timing timing = {
        .swelling = {4,  7 },
          .harvest = {21, 25},
          .split = {21, 30}
    };
    enum pb_rc rc =
        pb_day_parse_iso("date", argc > 1 ? argv[1] : "", &timing.start, &err);
    if (rc == PB_OK)
        rc = pb_cross_tasks(&timing, NULL, 0, true, &tasks, &err);
    if (rc != PB_OK)
        fprintf(stderr, "use: %s: %s\n", err.where, err.text);
    for (size_t i = 0; i < tasks.n; i++)
        print_task(&tasks.v[i]);
    pb_tasks_clear(&tasks);
    return rc == PB_OK ? 0 : 1;
}
