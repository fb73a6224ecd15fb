/* podbook calendar: reminders as iCalendar, to standard output, a file or a folder. */
#include "act/learn.h"
#include "act/remind.h"
#include "base/text.h"
#include "exchange/calendar.h"
#include "exchange/replace.h"
#include "out.h"
#include "table.h"

#include <stdio.h>
#include <sys/stat.h>

enum { O_OUT, O_DIR, O_TO_DO };
static const struct opt opts[] = {
    {"out",   OPT_NAME, "FILE", "write the calendar to this file, replacing it whole", 0,
     0,                                                                                      NULL, 0},
    {"dir",   OPT_NAME, "DIR",  "write one file a reminder into this folder",          0, 0, NULL,
     0                                                                                              },
    {"to-do", OPT_FLAG, NULL,   "to-dos instead of events",                            0, 0, NULL, 0},
};

enum { MAX_PATH = 65536 };

/* A run over the reminders that the book keeps. */
struct job {
    struct pb_calendar *cal;
    enum pb_calendar_form form;
    struct pb_buf out;       /* what has been made and not written yet */
    struct pb_replace *file; /* NULL: standard output */
    const char *folder;      /* of --dir */
    struct pb_buf path;      /* of a file in it */
    int shown, changed, removed;
    bool stale; /* the book could not be written: only what it kept can be told */
};

/* ---- one file ---------------------------------------------------------------------------- */

/* Write out what is in the buffer.  Standard output is looked at when all is done. */
static enum pb_rc flush(struct job *job, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    if (job->file != NULL)
        rc = pb_replace_write(job->file, pb_buf_peek(&job->out), job->out.len, err);
    else
        (void)fwrite(pb_buf_peek(&job->out), 1, job->out.len, stdout);
    pb_buf_reset(&job->out);
    return rc;
}

static enum pb_rc add(void *ctx, const struct pb_reminder *r, bool shown,
                      struct pb_err *err)
{
    struct job *job = ctx;
    if (!shown)
        return PB_OK;
    enum pb_rc rc = pb_calendar_add(job->cal, r, &job->out, err);
    job->shown += rc == PB_OK;
    return rc == PB_OK ? flush(job, err) : rc;
}

static enum pb_rc write_file(struct env *env, const struct pb_remind_codes *codes,
                             struct job *job, struct pb_err *err)
{
    enum pb_rc rc = pb_calendar_begin(job->cal, job->form, &job->out, err);
    if (rc == PB_OK)
        rc = pb_act_reminders(&env->act, codes, add, job, err);
    if (rc == PB_OK)
        rc = pb_calendar_end(job->cal, &job->out, err);
    return rc == PB_OK ? flush(job, err) : rc;
}

/* The file was begun before the book kept anything of it. */
static enum pb_rc replace_file(struct env *env, const char *path,
                               const struct pb_remind_codes *codes, struct job *job,
                               struct pb_err *err)
{
    enum pb_rc rc = write_file(env, codes, job, err);
    if (rc == PB_OK && job->stale && job->shown == 0)
        rc = pb_fail_at(err, PB_EIO, path, 0,
                        "is left as it is: the book keeps no reminders, and new ones "
                        "cannot be written to it");
    rc = pb_replace_end(job->file, rc, err);
    job->file = NULL;
    if (rc == PB_OK)
        say_line("%d reminder%s in %s", job->shown, job->shown == 1 ? "" : "s", path);
    return rc;
}

/* ---- a folder ---------------------------------------------------------------------------- */

/* The file of one reminder: written, left alone, or removed when its time is over. */
static enum pb_rc place(void *ctx, const struct pb_reminder *r, bool shown,
                        struct pb_err *err)
{
    struct job *job = ctx;
    bool touched = false;
    pb_buf_reset(&job->path);
    pb_buf_printf(&job->path, "%s/%s.ics", job->folder, r->uid);
    enum pb_rc rc = pb_buf_status(&job->path, err);
    if (rc == PB_OK && !shown) {
        rc = pb_replace_remove(pb_buf_peek(&job->path), &touched, err);
        job->removed += touched;
        return rc;
    }
    pb_buf_reset(&job->out);
    if (rc == PB_OK)
        rc = pb_calendar_begin(job->cal, job->form, &job->out, err);
    if (rc == PB_OK)
        rc = pb_calendar_add(job->cal, r, &job->out, err);
    if (rc == PB_OK)
        rc = pb_calendar_end(job->cal, &job->out, err);
    if (rc == PB_OK)
        rc = pb_replace_file(pb_buf_peek(&job->path), pb_buf_peek(&job->out),
                             job->out.len, &touched, err);
    job->shown++;
    job->changed += touched;
    return rc;
}

static enum pb_rc fill_folder(struct env *env, const struct pb_remind_codes *codes,
                              struct job *job, struct pb_err *err)
{
    enum pb_rc rc = pb_replace_folder(job->folder, err);
    if (rc == PB_OK)
        rc = pb_act_reminders(&env->act, codes, place, job, err);
    pb_replace_settle(job->folder);
    if (rc == PB_OK)
        say_line("%d reminder%s in %s: %d written, %d removed, the others as they were",
                 job->shown, job->shown == 1 ? "" : "s", job->folder, job->changed,
                 job->removed);
    return rc;
}

/* ---- the command ------------------------------------------------------------------------- */

/* Bring the book's reminders up to date, if it can be written; a book that does not exist
 * is left so.  Afterwards the book is open. */
static enum pb_rc update(struct env *env, const struct pb_remind_codes *codes,
                         bool *stale, struct pb_err *err)
{
    struct stat st;
    struct pb_err why = {0};
    enum pb_rc rc =
        env_profiles(env, err); /* the book has no part in a failure of it */
    if (rc != PB_OK)
        return rc;
    if (stat(pb_buf_peek(&env->path), &st) != 0 || st.st_size == 0)
        return env_book(env, PB_BOOK_READ, err);
    rc = env_book(env, PB_BOOK_WRITE, &why);
    if (rc == PB_OK)
        rc = pb_act_remind(&env->act, codes, &why);
    *stale = rc == PB_EIO;
    if (rc == PB_EIO) {
        pb_learner_drop(&env->act); /* it belongs to the book as it was opened */
        pb_book_close(env->act.book);
        env->act.book = NULL;
        rc = pb_book_open(pb_buf_peek(&env->path), PB_BOOK_READ, &env->act.book, err);
        if (rc == PB_OK)
            remark("calendar: %s: %s; so these are the reminders as they were last "
                   "kept",
                   why.where, why.text);
        return rc;
    }
    return rc == PB_OK ? rc : pb_fail_at(err, rc, why.where, why.line, "%s", why.text);
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    const struct optval *out = &args->vals[O_OUT], *dir = &args->vals[O_DIR];
    const struct pb_remind_codes codes = {args->words, args->word_n};
    struct job job = {.folder = dir->text};
    if (out->given && dir->given)
        return env_usage(env, err, "either a file (--out) or a folder (--dir)");
    if (env->json)
        return env_usage(env, err,
                         "a calendar is not JSON; podbook due --json lists the work");
    job.form = args->vals[O_TO_DO].given ? PB_CALENDAR_TO_DOS : PB_CALENDAR_EVENTS;
    pb_buf_init(&job.out, 3 * (size_t)PB_CALENDAR_CHUNK);
    pb_buf_init(&job.path, MAX_PATH);
    enum pb_rc rc = pb_calendar_open(&job.cal, err);
    if (rc == PB_OK && out->given)
        rc = pb_replace_begin(out->text, &job.file, err);
    if (rc == PB_OK)
        rc = update(env, &codes, &job.stale, err);
    if (rc == PB_OK && dir->given)
        rc = fill_folder(env, &codes, &job, err);
    else if (rc == PB_OK && out->given)
        rc = replace_file(env, out->text, &codes, &job, err);
    else if (rc == PB_OK)
        rc = write_file(env, &codes, &job, err);
    rc = pb_replace_end(job.file, rc, err); /* of one that did not get so far */
    pb_calendar_close(job.cal);
    pb_buf_clear(&job.path);
    pb_buf_clear(&job.out);
    return rc;
}

const struct cmd cmd_calendar = {
    .name = "calendar",
    .args = "[CODE...]",
    .arg_max = 1000,
    .summary = "write the reminders of all open work as a calendar",
    .notes =
        "Whole-day events with an alarm at 09:00: subscribe to the file, or let a\n"
        "synchroniser serve the folder; then changes move the same event. Importing\n"
        "a file again only adds in several programs.\n"
        "A reminder that no longer holds is shown as cancelled for 60 days.",
    .step = STEP_SHARE,
    .opts = opts,
    .opt_n = PB_ARRAY_LEN(opts),
    .run = run,
};
