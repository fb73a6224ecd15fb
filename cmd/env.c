/* The environment of a command.  See env.h.  The only file that asks the machine. */
#include "env.h"

#include "act/learn.h"
#include "base/hash.h"
#include "base/text.h"
#include "exchange/profile_file.h"
#include "exchange/system.h"
#include "out.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum { MAX_PATH = 65536 };

/* A variable that is set and not empty, else NULL. */
static const char *variable(const char *name)
{
    const char *value = getenv(name); /* NOLINT(concurrency-mt-unsafe): one thread */
    return value != NULL && value[0] != '\0' ? value : NULL;
}

/* $XDG_... where it is absolute (others are to be ignored), else below $HOME. */
static enum pb_rc base_folder(const char *name, const char *below_home,
                              struct pb_buf *out, struct pb_err *err)
{
    const char *base = variable(name), *home = variable("HOME");
    if (base != NULL && base[0] == '/')
        pb_buf_adds(out, base);
    else if (home != NULL)
        pb_buf_printf(out, "%s/%s", home, below_home);
    else
        return pb_fail(err, PB_EIO,
                       "neither %s nor HOME is set; name the book with --book", name);
    return pb_buf_status(out, err);
}

static enum pb_rc find_book(struct env *env, const struct line *line,
                            struct pb_err *err)
{
    const char *path = line->common[COMMON_BOOK].text;
    if (path == NULL)
        path = variable("PODBOOK_FILE");
    env->usual_place = path == NULL;
    if (path != NULL && path[0] == '\0')
        return pb_fail_at(err, PB_EPARSE, "book", 0, "the path is empty");
    if (path != NULL) /* to the library ":memory:" is no file */
        pb_buf_printf(&env->path, "%s%s", path[0] == ':' ? "./" : "", path);
    else {
        enum pb_rc rc = base_folder("XDG_DATA_HOME", ".local/share", &env->path, err);
        if (rc != PB_OK)
            return rc;
        pb_buf_adds(&env->path, "/podbook/book.db");
    }
    return pb_buf_status(&env->path, err);
}

static enum pb_rc find_now(struct env *env, struct pb_err *err)
{
    const char *epoch = variable("SOURCE_DATE_EPOCH");
    int64_t now = 0;
    if (epoch == NULL) {
        env->act.now = (int64_t)time(NULL);
        return PB_OK;
    }
    enum pb_rc rc =
        pb_parse_int("SOURCE_DATE_EPOCH", epoch, 0, INT64_C(253402300799), &now, err);
    if (rc == PB_OK)
        env->act.now = now;
    return rc;
}

/* Today as the clock of this place has it, else as the environment, else as --today says;
 * each counts from the one before ("-3d"). */
static enum pb_rc find_today(struct env *env, const struct line *line,
                             struct pb_err *err)
{
    time_t now = time(NULL);
    struct tm tm;
    const char *asked = line->common[COMMON_TODAY].text;
    const char *set = variable("PODBOOK_TODAY");
    enum pb_rc rc = PB_OK;
    if (localtime_r(&now, &tm) == NULL)
        return pb_fail(err, PB_EIO, "the clock cannot be read");
    pb_day today = pb_day_from_ymd(tm.tm_year + 1900, tm.tm_mon + 1, tm.tm_mday);
    if (set != NULL)
        rc = pb_day_parse("PODBOOK_TODAY", set, today, &today, err);
    if (rc == PB_OK && asked != NULL)
        rc = pb_day_parse("today", asked, today, &today, err);
    env->act.today = today;
    return rc;
}

static enum pb_rc find_key(struct env *env, struct pb_err *err)
{
    const char *seed = variable("PODBOOK_TEST_SEED");
    if (seed == NULL) {
        if (getentropy(env->act.ids.key, sizeof(env->act.ids.key)) == 0)
            return PB_OK;
        return pb_fail_system(err, NULL, 0, "no random bytes");
    }
    uint64_t hash = pb_hash_bytes(PB_HASH_START, seed, strlen(seed));
    env->act.ids.key[0] = hash;
    env->act.ids.key[1] = ~hash;
    return PB_OK;
}

/* A word as it can be typed again: bare, in double quotes where it holds blanks, in single
 * ones where it holds a double one (and what a shell takes for its own between those). */
static void add_word(const char *word, struct pb_buf *out)
{
    bool bare = word[0] != '\0' && strpbrk(word, " \t\"'$`\\") == NULL;
    bool single = strpbrk(word, "\"$`\\") != NULL;
    const char *quote = bare ? "" : single ? "'" : "\"";
    pb_buf_adds(out, quote);
    for (const char *p = word; *p != '\0'; p++)
        if (single && *p == '\'')
            pb_buf_adds(out, "'\\''");
        else
            pb_buf_addc(out, *p);
    pb_buf_adds(out, quote);
}

/* The words of the command, quoted where they hold blanks; where the book lies and what
 * day it was taken for is no part of it. */
static enum pb_rc keep_words(struct env *env, int argc, char **argv, struct pb_err *err)
{
    struct pb_buf text;
    pb_buf_init(&text, MAX_PATH);
    for (int i = 1; i < argc; i++) {
        bool skip = strcmp(argv[i], "--book") == 0 || strcmp(argv[i], "--today") == 0;
        bool one = strncmp(argv[i], "--book=", 7) == 0 ||
                   strncmp(argv[i], "--today=", 8) == 0 ||
                   strcmp(argv[i], "--json") == 0;
        if (skip)
            i++;
        if (skip || one)
            continue;
        pb_buf_adds(&text, text.len > 0 ? " " : "");
        add_word(argv[i], &text);
    }
    struct pb_buf escaped;
    pb_buf_init(&escaped, (size_t)4 * MAX_PATH);
    pb_text_escape(&escaped, pb_buf_peek(&text));
    pb_text_clip(&env->command, pb_buf_peek(&escaped), PB_MAX_COMMAND / 4);
    enum pb_rc rc = pb_buf_status(&text, NULL) == PB_ENOMEM ||
                            pb_buf_status(&escaped, NULL) == PB_ENOMEM
                        ? pb_fail_memory(err)
                        : pb_buf_status(&env->command, err);
    pb_buf_clear(&escaped);
    pb_buf_clear(&text);
    return rc;
}

enum pb_rc env_init(struct env *env, const struct line *line, int argc, char **argv,
                    struct pb_err *err)
{
    memset(env, 0, sizeof(*env));
    pb_buf_init(&env->path, MAX_PATH);
    pb_buf_init(&env->command, PB_MAX_COMMAND);
    env->json = line->common[COMMON_JSON].given;
    env->profiles.builtin = &pb_profiles_builtin;
    env->act.profiles = &env->profiles;
    enum pb_rc rc = find_now(env, err);
    if (rc == PB_OK)
        rc = find_today(env, line, err);
    if (rc == PB_OK)
        rc = find_key(env, err);
    if (rc == PB_OK)
        rc = keep_words(env, argc, argv, err);
    env->act.command = pb_buf_peek(&env->command);
    return rc == PB_OK ? find_book(env, line, err) : rc;
}

/* Make the folders of a path one after the other, for their owner alone. */
static enum pb_rc make_folders(const char *path, struct pb_err *err)
{
    char *copy = pb_text_copy(path);
    enum pb_rc rc = copy != NULL ? PB_OK : pb_fail_memory(err);
    for (char *p = copy != NULL ? strchr(copy + 1, '/') : NULL;
         p != NULL && rc == PB_OK; p = strchr(p + 1, '/')) {
        *p = '\0';
        if (mkdir(copy, 0700) != 0 && errno != EEXIST)
            rc = pb_fail_system(err, copy, 0, "the folder cannot be made");
        *p = '/';
    }
    free(copy);
    return rc;
}

enum pb_rc env_profiles(struct env *env, struct pb_err *err)
{
    struct pb_buf path;
    enum pb_rc rc = PB_OK;
    if (env->own != NULL)
        return PB_OK;
    pb_buf_init(&path, MAX_PATH);
    /* neither folder is no error: there are no profiles of the grower's then */
    if (base_folder("XDG_CONFIG_HOME", ".config", &path, NULL) == PB_OK ||
        path.rc != PB_OK) {
        pb_buf_adds(&path, "/podbook/profiles.json");
        rc = pb_buf_status(&path, err);
        if (rc == PB_OK)
            rc = pb_profile_table_load(pb_buf_peek(&path), &env->own, err);
    }
    env->profiles.own = env->own;
    pb_buf_clear(&path);
    return rc;
}

static void warn_of_place(const struct env *env)
{
    const char *place = pb_book_place(env->act.book);
    if (place != NULL)
        remark(
            "%s: %s lies on a disk that others may write to (%s), where a book can be "
            "damaged; keep it on a disk of this machine, and copy it there with "
            "podbook backup",
            env->cmd->name, pb_buf_peek(&env->path), place);
}

static void tell_of_copy(const struct env *env)
{
    const char *before = pb_book_before(env->act.book);
    if (before != NULL)
        remark(
            "%s: %s was of an older form and has been brought up to date; as it was it "
            "lies in %s",
            env->cmd->name, pb_buf_peek(&env->path), before);
}

enum pb_rc env_book(struct env *env, enum pb_book_mode mode, struct pb_err *err)
{
    enum pb_rc rc = env->cmd->untimed ? PB_OK : env_profiles(env, err);
    if (rc == PB_OK && mode == PB_BOOK_WRITE && env->usual_place)
        rc = make_folders(pb_buf_peek(&env->path), err);
    if (rc == PB_OK)
        rc = pb_book_open(pb_buf_peek(&env->path), mode, &env->act.book, err);
    if (rc == PB_OK)
        tell_of_copy(env);
    if (rc == PB_OK && mode == PB_BOOK_WRITE)
        warn_of_place(env);
    else if (rc == PB_OK)
        rc = pb_book_hold(env->act.book, err);
    return rc;
}

enum pb_rc env_usage(struct env *env, struct pb_err *err, const char *fmt, ...)
{
    struct pb_err said = {0};
    va_list ap;
    va_start(ap, fmt);
    (void)vsnprintf(said.text, sizeof(said.text), fmt, ap);
    va_end(ap);
    env->usage = true;
    return pb_fail(err, PB_EINVALID, "%s; see podbook help %s", said.text,
                   env->cmd->name);
}

void env_clear(struct env *env)
{
    pb_learner_close(&env->act);
    pb_book_close(env->act.book);
    pb_profile_table_free(env->own);
    pb_buf_clear(&env->path);
    pb_buf_clear(&env->command);
}
