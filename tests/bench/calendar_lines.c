/*
 * The calendar alone: the reminders that bare_calendar.c makes components of by libical,
 * written by pb_calendar_add.
 *
 *   bench_calendar_lines FILE   reminders as maker.c writes them
 */
#include "book_make.h"
#include "reminder_lines.h"

#include "exchange/calendar.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LINE = 65536 };

static void flush(struct pb_buf *out)
{
    (void)fwrite(pb_buf_peek(out), 1, out->len, stdout);
    pb_buf_reset(out);
}

static void fill(struct pb_reminder *r, char *const f[FIELD_N])
{
    *r = (struct pb_reminder){
        .summary = f[SUMMARY],
        .description = f[DESCRIPTION],
        .category = f[CATEGORY],
        .span = {(pb_day)atol(f[FIRST]), (pb_day)atol(f[LAST])},
        .status = PB_REMINDER_PLANNED,
        .done_on = PB_DAY_NONE,
        .guess = f[TENTATIVE][0] == '1',
        .alarm_first = true,
        .alarm_last = f[ALARMS][0] == '2',
        .created = atoll(f[CREATED]),
        .stamp = atoll(f[STAMP]),
        .sequence = atoi(f[SEQUENCE]),
    };
    (void)snprintf(r->uid, sizeof(r->uid), "%s", f[UID]);
}

int main(int argc, char **argv)
{
    static char line[LINE];
    char *f[FIELD_N];
    struct pb_err err = {0};
    struct pb_calendar *cal = NULL;
    struct pb_reminder r;
    struct pb_buf out;
    FILE *in = argc == 2 ? fopen(argv[1], "r") : NULL;
    if (in == NULL)
        return 2;
    pb_buf_init(&out, 3 * (size_t)PB_CALENDAR_CHUNK);
    bench_must(pb_calendar_open(&cal, &err), &err);
    bench_must(pb_calendar_begin(cal, PB_CALENDAR_EVENTS, &out, &err), &err);
    while (fgets(line, sizeof(line), in) != NULL) {
        if (reminder_split(line, f) != FIELD_N)
            return 2;
        fill(&r, f);
        bench_must(pb_calendar_add(cal, &r, &out, &err), &err);
        flush(&out);
    }
    bench_must(pb_calendar_end(cal, &out, &err), &err);
    flush(&out);
    pb_calendar_close(cal);
    pb_buf_clear(&out);
    (void)fclose(in);
    return fflush(stdout) == 0 ? 0 : 1;
}
