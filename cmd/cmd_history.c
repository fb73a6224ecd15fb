/* podbook history: every command that changed the book, or one record. */
#include "act/find.h"
#include "base/text.h"
#include "book/history.h"
#include "core/instant.h"
#include "out.h"
#include "table.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

static const struct column columns[] = {
    {"number",        "", 0, false},
    {"at",            "", 0, false},
    {"today",         "", 0, false},
    {"command",       "", 0, false},
    {"takes_back",    "", 0, false},
    {"taken_back_by", "", 0, false},
};

struct telling {
    struct env *env;
    struct out out;
    const char *code; /* NULL: the whole book */
    size_t told;
};

static enum pb_rc json_act(void *ctx, const struct pb_history *h, struct pb_err *err)
{
    struct telling *t = ctx;
    char at[PB_INSTANT_TEXT], today[PB_DAY_TEXT];
    if (t->told++ == 0)
        out_begin(&t->out, t->env, columns, PB_ARRAY_LEN(columns));
    const struct pb_cell cells[] = {
        pb_cell_int(h->n),
        pb_cell_text(pb_instant_format(h->at, at)),
        day_cell(h->today, today),
        pb_cell_text(h->command),
        h->undoes != 0 ? pb_cell_int(h->undoes) : pb_cell_null(),
        h->undone_by != 0 ? pb_cell_int(h->undone_by) : pb_cell_null(),
    };
    return out_row(&t->out, cells, err);
}

/* What a table of the book holds, in the trade's words; of a batch its code tells. */
static const char *table_words(const char *table, const char *code)
{
    static const struct {
        const char *table, *words;
    } rows[] = {
        {"crossing",      "cross"        },
        {"pollen_parent", "pollen parent"},
    };
    int look = 0;
    enum pb_kind kind =
        strcmp(table, "batch") == 0 ? pb_code_kind(code, &look) : PB_KIND_N;
    if (kind < PB_KIND_N)
        return pb_courses[kind].noun;
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++)
        if (strcmp(rows[i].table, table) == 0)
            return rows[i].words;
    return table;
}

static const char *or_none(const char *value)
{
    return value != NULL ? value : "(none)";
}

/* "  X26-001/2: found swollen -> holding", "  X26-001 harvest 1: count 2 -> 3" */
static enum pb_rc say_change(void *ctx, const struct pb_change *c, struct pb_err *err)
{
    (void)ctx;
    (void)err;
    char part[32] = "";
    const char *code = c->code != NULL ? c->code : "the book";
    const char *words = table_words(c->table, code);
    if (c->number > 0 && strcmp(c->table, "look") == 0)
        (void)snprintf(part, sizeof(part), "/%d", c->number);
    else if (c->number > 0 && c->field != NULL)
        (void)snprintf(part, sizeof(part), " %s %d", words, c->number);
    if (c->field == NULL)
        say("      %s%s: %s %s", code, part, words, c->gone ? "gone" : "new");
    else
        say("      %s%s: %s %s -> %s", code, part, c->field, or_none(c->before),
            or_none(c->after));
    return PB_OK;
}

static enum pb_rc say_act(void *ctx, const struct pb_history *h, struct pb_err *err)
{
    struct telling *t = ctx;
    char at[PB_INSTANT_TEXT], back[64] = "", lead[64];
    struct pb_buf words;
    t->told++;
    if (h->undone_by != 0)
        (void)snprintf(back, sizeof(back), "  (taken back by %" PRId64 ")",
                       h->undone_by);
    else if (h->undoes != 0)
        (void)snprintf(back, sizeof(back), "  (takes back %" PRId64 ")", h->undoes);
    (void)snprintf(lead, sizeof(lead), "%4" PRId64 "  %s  ", h->n,
                   pb_instant_format(h->at, at));
    pb_buf_init(&words, sizeof(back) + PB_MAX_COMMAND);
    pb_buf_printf(&words, "%s%s", h->command, back);
    say_wrapped(lead, strlen(lead), whole(&words));
    pb_buf_clear(&words);
    if (t->code == NULL)
        return PB_OK;
    return pb_history_changes(t->env->act.book, h->n, t->code, say_change, NULL, err);
}

/* Was there ever a look of that number?  One that was withdrawn or undone is told too. */
struct looking {
    struct pb_book *book;
    const char *code;
    int look;
    bool told, found; /* the record, the look */
};

static enum pb_rc match_change(void *ctx, const struct pb_change *c, struct pb_err *err)
{
    struct looking *l = ctx;
    (void)err;
    l->found = l->found || (strcmp(c->table, "look") == 0 && c->number == l->look);
    return PB_OK;
}

static enum pb_rc match_act(void *ctx, const struct pb_history *h, struct pb_err *err)
{
    struct looking *l = ctx;
    l->told = true;
    return l->found ? PB_OK
                    : pb_history_changes(l->book, h->n, l->code, match_change, l, err);
}

static enum pb_rc check_look(struct env *env, const char *code, int look,
                             struct pb_err *err)
{
    struct looking l = {env->act.book, code, look, false, false};
    enum pb_rc rc = pb_history_each_act(l.book, code, match_act, &l, err);
    if (rc == PB_OK && l.told && !l.found)
        rc = pb_pick_look(code, NULL, 0, look, NULL, err); /* it says so */
    return rc;
}

static enum pb_rc run(struct env *env, const struct args *args, struct pb_err *err)
{
    struct telling t = {.env = env};
    char bare[PB_BARE_CODE];
    int look = 0;
    if (args->word_n > 0) { /* a look is told with its record */
        (void)pb_code_kind(args->words[0], &look);
        pb_code_bare(args->words[0], bare);
        t.code = bare;
    }
    enum pb_rc rc = env_book(env, PB_BOOK_READ, err);
    if (rc == PB_OK && look > 0)
        rc = check_look(env, bare, look, err);
    if (rc != PB_OK)
        return rc;
    rc = pb_history_each_act(env->act.book, t.code, env->json ? json_act : say_act, &t,
                             err);
    if (rc == PB_OK && t.code != NULL && t.told == 0)
        rc = pb_not_found(&env->act, NULL, PB_CODES_RECORD, t.code, err);
    if (rc != PB_OK || !env->json)
        return rc;
    if (t.told == 0)
        out_begin(&t.out, env, columns, PB_ARRAY_LEN(columns));
    out_end(&t.out, "");
    return PB_OK;
}

const struct cmd cmd_history = {
    .name = "history",
    .args = "[CODE]",
    .arg_max = 1,
    .summary = "show what was entered and changed, and when",
    .notes = "With a code: what each command changed of that record. Times are UTC.",
    .step = STEP_RIGHT,
    .untimed = true,
    .run = run,
};
