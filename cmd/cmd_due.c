/* podbook due: what to look at, most urgent first. */
#include "act/due.h"
#include "base/text.h"
#include "out.h"
#include "table.h"

#include <stdio.h>

enum { O_BY, O_CHECK, HORIZON = 7, EXIT_OVERDUE = 3 };
static const struct opt opts[] = {
    {"by",    OPT_DATE, "DATE", "list what begins until then (default 7 days ahead)", 0, 0,
     NULL,                                                                                        0},
    {"check", OPT_FLAG, NULL,   "exit with status 3 if anything is overdue",          0, 0, NULL,
     0                                                                                             },
};

static const struct column columns[] = {
    {"code",      "", 0, false},
    {"kind",      "", 0, false},
    {"task",      "", 0, false},
    {"from",      "", 0, false},
    {"to",        "", 0, false},
    {"state",     "", 0, false},
    {"days_over", "", 0, false},
    {"risk",      "", 0, false},
    {"what",      "", 0, false},
};

static enum pb_rc print_json(struct env *env, const struct pb_due_list *list,
                             struct pb_err *err)
{
    struct out o;
    enum pb_rc rc = PB_OK;
    out_begin(&o, env, columns, PB_ARRAY_LEN(columns));
    for (size_t i = 0; i < list->n && rc == PB_OK; i++) {
        const struct pb_due *d = &list->v[i];
        char from[PB_DAY_TEXT], to[PB_DAY_TEXT];
        const struct pb_cell cells[] = {
            pb_cell_text(d->code),
            pb_cell_text(pb_kind_names[d->kind]),
            pb_cell_text(pb_task_names[d->task]),
            pb_cell_text(pb_day_format(d->span.first, from)),
            pb_cell_text(pb_day_format(d->span.last, to)),
            pb_cell_text(pb_task_state_names[d->state]),
            pb_cell_int(d->days_over),
            d->has_risk ? pb_cell_real(d->risk, 6) : pb_cell_null(),
            pb_cell_text(d->what),
        };
        rc = out_row(&o, cells, err);
    }
    if (rc == PB_OK)
        out_end(&o, "");
    return rc;
}

/* A day in 11 columns: with its weekday, or with its year where that is another. */
static void short_day(pb_day day, pb_day today, char text[40])
{
    int y = 0, m = 0, d = 0, this_year = 0;
    pb_day_to_ymd(today, &this_year, &m, &d);
    pb_day_to_ymd(day, &y, &m, &d);
    if (y == this_year)
        (void)snprintf(text, 40, "%s %d %.3s", pb_day_weekday_name(day), d,
                       pb_day_month_name(m));
    else
        (void)snprintf(text, 40, "%d %.3s %d", d, pb_day_month_name(m), y);
}

/* When, in 14 columns: how late, how long still, or from which day. */
static void when_text(const struct pb_due *d, pb_day today, struct pb_buf *out)
{
    enum { DAYS_MAX = 9999 }; /* of which "days late" leaves room */
    char day[40];
    if (d->state == PB_DUE && d->span.last == today) {
        pb_buf_adds(out, "today");
    } else if (d->state == PB_OVERDUE) {
        pb_buf_printf(out, "%d", d->days_over);
        pb_buf_adds(out, d->days_over > DAYS_MAX ? " d late"
                         : d->days_over == 1     ? " day late"
                                                 : " days late");
    } else {
        short_day(d->state == PB_COMING ? d->span.first : d->span.last, today, day);
        pb_buf_adds(out, d->state == PB_DUE ? "to " : "on ");
        pb_buf_adds(out, day);
    }
}

/* A text and blanks behind it, that it takes so many columns and two more. */
static void add_column(struct pb_buf *line, const char *text, size_t width)
{
    size_t cols = pb_text_cols(text);
    pb_buf_adds(line, text);
    pb_buf_pad(line, 2 + (cols < width ? width - cols : 0));
}

/* One line of at most 80 columns: when 14, code 8, pot 10, what to do 42.
 *   line, cut  to work with */
static void print_line(const struct pb_due *d, pb_day today, struct pb_buf *line,
                       struct pb_buf *cut)
{
    enum { WHEN = 14, CODE = 8, POT = 10 };
    pb_buf_reset(line);
    pb_buf_reset(cut);
    when_text(d, today, cut);
    add_column(line, whole(cut), WHEN);
    add_column(line, d->code, CODE);
    pb_buf_reset(cut);
    pb_text_clip(cut, d->pot, POT);
    add_column(line, whole(cut), POT);
    pb_buf_adds(line, d->what);
    pb_buf_reset(cut);
    pb_text_clip(cut, whole(line), OUT_WIDTH);
    say_text(whole(cut));
}

/* ORDER STATE */
static const char *const headings[PB_TASK_STATE_N] = {"Overdue", "Due now", "Coming"};

/* An absence with what it meets; nothing where it meets nothing. */
static void print_absence(const struct pb_work_away *away)
{
    char first[DAY_TEXT], last[DAY_TEXT];
    if (away->harvests.len == 0 && away->others.len == 0)
        return;
    say("\nAway %s to %s; %s that it meets:", day_text(away->absence.span.first, first),
        day_text(away->absence.span.last, last),
        away->harvests.len > 0 ? "harvest windows" : "work");
    if (away->harvests.len > 0)
        say_wrapped("  ", 2, whole(&away->harvests));
    if (away->harvests.len > 0 && away->others.len > 0)
        say("and other work that cannot wait:");
    if (away->others.len > 0)
        say_wrapped("  ", 2, whole(&away->others));
}

/* ORDER SILENCE */
static const char *const silent_words[PB_SILENT_N] = {
    "Open, but timed by no profile, so never due (podbook show CODE tells more):",
    "After their flowers; when pups come is not known of them, so nothing is asked. "
    "Look "
    "for pups and new shoots at base and nodes before you throw away what dies back:",
    "Seed of which nothing says how long it keeps, so sowing it is never due:",
    "Compots that have settled: their seedlings can be potted (podbook deflask CODE):",
};

/* Who asks for nothing. */
static void print_silent(const struct pb_due_list *list)
{
    for (int i = 0; i < PB_SILENT_N; i++) {
        if (list->silent[i].len == 0)
            continue;
        say("%s", "");
        say_wrapped("", 0, silent_words[i]);
        say_wrapped("  ", 2, whole(&list->silent[i]));
    }
}

static void print_list(const struct pb_due_list *list, pb_day today, pb_day by)
{
    char day[DAY_TEXT];
    struct pb_buf line, cut;
    pb_buf_init(&line, 4096);
    pb_buf_init(&cut, 4096);
    for (size_t i = 0; i < list->n; i++) {
        if (i == 0 || list->v[i].state != list->v[i - 1].state)
            say("%s%s", i > 0 ? "\n" : "", headings[list->v[i].state]);
        print_line(&list->v[i], today, &line, &cut);
    }
    pb_buf_clear(&cut);
    pb_buf_clear(&line);
    if (list->n == 0)
        say("Nothing is due until %s.",
            day_text(list->opens != PB_DAY_NONE ? list->opens : by, day));
    print_silent(list);
    if (list->early.len > 0) {
        say("\nMore than %g%% may split before the harvest window opens; look early, "
            "or "
            "bag:",
            100 * list->tolerance);
        say_wrapped("  ", 2, whole(&list->early));
    }
    for (size_t i = 0; i < list->away_n; i++)
        print_absence(&list->away[i]);
}

/* What was due on a day that is past, the book no longer tells. */
static enum pb_rc check_by(pb_day by, pb_day today, struct pb_err *err)
{
    char last[PB_DAY_TEXT], day[PB_DAY_TEXT];
    if (by >= today)
        return PB_OK;
    return pb_fail_at(err, PB_EINVALID, "by", 0,
                      "%s lies before today, %s: what is due lies ahead",
                      pb_day_format(by, last), pb_day_format(today, day));
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct pb_due_list list = {0};
    bool asked = args->vals[O_BY].given;
    pb_day by = asked ? args->vals[O_BY].day : pb_day_add(env->act.today, HORIZON);
    enum pb_rc rc = check_by(by, env->act.today, err);
    if (rc == PB_OK)
        rc = env_book(env, PB_BOOK_READ, err);
    if (rc == PB_OK)
        rc = pb_act_due(&env->act, (struct pb_due_ask){by, asked}, &list, err);
    if (rc == PB_OK && env->json)
        rc = print_json(env, &list, err);
    else if (rc == PB_OK)
        print_list(&list, env->act.today, by);
    if (rc == PB_OK && args->vals[O_CHECK].given && list.n > 0 &&
        list.v[0].state == PB_OVERDUE)
        env->status = EXIT_OVERDUE;
    pb_due_clear(&list);
    return rc;
}

const struct cmd cmd_due = {
    .name = "due",
    .args = "",
    .summary = "list what to look at today and soon, most urgent first",
    .notes =
        "At most one look of a cross is shown, and its harvest from the first day of\n"
        "the harvest window; of seed, flasks, cuttings, pollen and plants whatever\n"
        "waits. A look, or the work itself, answers what it was for.",
    .step = STEP_WATCH,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
