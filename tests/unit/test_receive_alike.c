/* Ways of receiving that must come to the same book, row by row, history included. */
#include "pair.h"

#include "base/limits.h"
#include "book/db.h"

#include <limits.h>

/* Every row of every table, but which book it is. */
static void dump(const struct side *s, struct pb_buf *out)
{
    sqlite3 *db = s->act.book->db;
    sqlite3_stmt *tables = NULL, *rows = NULL;
    assert_int_equal(sqlite3_prepare_v2(db,
                                        "SELECT name FROM sqlite_schema WHERE"
                                        " type='table' AND name<>'book' ORDER BY name",
                                        -1, &tables, NULL),
                     SQLITE_OK);
    while (sqlite3_step(tables) == SQLITE_ROW) {
        const char *name = (const char *)sqlite3_column_text(tables, 0);
        char *sql = sqlite3_mprintf("SELECT * FROM %s ORDER BY 1,2", name);
        assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &rows, NULL), SQLITE_OK);
        while (sqlite3_step(rows) == SQLITE_ROW) {
            pb_buf_adds(out, name);
            for (int i = 0; i < sqlite3_column_count(rows); i++) {
                const char *text = (const char *)sqlite3_column_text(rows, i);
                pb_buf_printf(out, "|%s", text != NULL ? text : "NULL");
            }
            pb_buf_addc(out, '\n');
        }
        (void)sqlite3_finalize(rows);
        sqlite3_free(sql);
    }
    (void)sqlite3_finalize(tables);
}

static void alike(const char *claim, const struct side *a, const struct side *b)
{
    enum { DUMP_BYTES = 1 << 22 };
    struct pb_buf one, other;
    pb_buf_init(&one, DUMP_BYTES);
    pb_buf_init(&other, DUMP_BYTES);
    dump(a, &one);
    dump(b, &other);
    assert_int_equal(pb_buf_status(&one, NULL), PB_OK);
    CLAIM(strcmp(pb_buf_peek(&one), pb_buf_peek(&other)) == 0, "%s:\n%s\nbut\n%s",
          claim, pb_buf_peek(&one), pb_buf_peek(&other));
    pb_buf_clear(&one);
    pb_buf_clear(&other);
}

static void two_sides(struct side *a, struct side *b)
{
    side_open(a, 7, TODAY);
    side_open(b, 7, TODAY);
}

/* ---- with and without triggers ------------------------------------------------------------ */

static void read_club(char *text, size_t size)
{
    FILE *f = fopen(PB_SOURCE_DIR "/tests/fuzz/club.jsonl", "r");
    assert_non_null(f);
    size_t n = fread(text, 1, size - 1, f);
    assert_true(feof(f) != 0);
    text[n] = '\0';
    (void)fclose(f);
}

/* Of the same lines: once as it comes, once with the triggers on all the time. */
static void both_ways(const char *claim, const char *const *texts, size_t n)
{
    struct side plain, triggers;
    two_sides(&plain, &triggers);
    triggers.act.book->additions.wait = UINT_MAX;
    for (size_t i = 0; i < n; i++) {
        char *told = pb_text_copy(side_receive(&plain, texts[i]));
        assert_non_null(told);
        tells(claim, side_receive(&triggers, texts[i]), told);
        free(told);
        alike(claim, &plain, &triggers);
    }
    side_close(&plain);
    side_close(&triggers);
}

static void every_kind(void **state)
{
    (void)state;
    static char club[65536];
    read_club(club, sizeof(club));
    /* a look that is of no cross */
    static const char pups[] =
        "{\"code\":\"MP-1\",\"flowerings\":[{\"over\":\"2026-01-10\"}],\"format\":"
        "\"podbook-plant\",\"id\":\"0195a1b2-c3d4-7e5f-8a9b-000000000001\",\"looks\":"
        "[{\"count\":2,\"found\":\"pups\",\"id\":"
        "\"0195a1b2-c3d4-7e5f-8a9b-000000000002\",\"on\":\"2026-02-01\"}],"
        "\"modified\":\"2026-03-01T00:00:00Z\",\"revision\":1,"
        "\"taxon\":\"Macodes petola\",\"version\":1}\n";
    const char *texts[] = {club, pups, club};
    both_ways("records of every kind", texts, PB_ARRAY_LEN(texts));
    struct side s;
    side_open(&s, 7, TODAY);
    (void)side_receive(&s, club);
    tells("a plant's look", side_receive(&s, pups), "1 MP-1 added\n");
    CLAIM(s.act.book->additions.wait == 0, "new records ask for triggers");
    side_close(&s);
}

/* New records and changed ones in turn, and plants that crosses named before they came. */
static void changes_between(void **state)
{
    struct pair *p = *state;
    struct pb_buf first, crosses, all;
    pb_buf_init(&first, PB_MAX_JSON_LINE);
    pb_buf_init(&crosses, PB_MAX_JSON_LINE);
    pb_buf_init(&all, PB_MAX_JSON_LINE);
    side_share(&p->a, "X26-001", false, &first);
    cross(&p->a, "GH-2", "AR-1", 4);
    look(&p->a, "X26-001", PB_SWOLLEN, 2);
    cross(&p->a, "AR-1b", "GH-2", 2);
    look(&p->a, "X26-003", PB_HOLDING, 1);
    amend(&p->a, "AR-1", "ploidy", "2");
    side_share(&p->a, "X26-003", false, &crosses);
    side_share(&p->a, NULL, false, &all);
    const char *texts[] = {pb_buf_peek(&first), pb_buf_peek(&crosses),
                           pb_buf_peek(&all)};
    both_ways("new ones and changed ones", texts, PB_ARRAY_LEN(texts));
    pb_buf_clear(&first);
    pb_buf_clear(&crosses);
    pb_buf_clear(&all);
}

/* ---- with and without bad lines ------------------------------------------------------------ */

#define ID "0195a1b2-c3d4-7e5f-8a9b-0000000%05d"

enum { LINES = 200 };

/* A plant, or every third a cross whose parents are told with it; bad: it has a look with the
 * id of another's, which is found when its parents are in the book. */
static void add_line(struct pb_buf *text, int i, bool bad)
{
    static const char head[] = "\"modified\":\"2026-03-01T00:00:00Z\",\"revision\":1,"
                               "\"version\":1,\"id\":\"" ID "\"";
    if (!bad && i % 3 != 0) {
        pb_buf_printf(text, "{\"format\":\"podbook-plant\",\"code\":\"P%d\",", i);
        pb_buf_printf(text, head, i);
        pb_buf_adds(text, ",\"taxon\":\"Goodyera\"}\n");
        return;
    }
    pb_buf_printf(text, "{\"format\":\"podbook-cross\",\"code\":\"X26-%03d\",", i + 1);
    pb_buf_printf(text, head, i);
    pb_buf_printf(text,
                  ",\"pollinated\":\"2026-02-01\",\"flowers\":3,\"pollen_parents\":[],"
                  "\"seed_parent\":{\"id\":\"" ID
                  "\",\"code\":\"S%d\",\"taxon\":\"Goodyera\"},\"looks\":[{\"id\":\"" ID
                  "\",\"on\":\"2026-02-07\",\"found\":\"swollen\",\"count\":3}]}\n",
                  1000 + i, i, bad ? 2000 : 2000 + i);
}

/* Where the bad lines stand: alone, one behind the other, far apart. */
static bool is_bad(int i, int way)
{
    static const int alone[] = {1, 100, 40}, run[] = {1, 3, 5};
    return i > 0 && i % alone[way] < run[way] && (way == 0 ? i == 77 : i > 20);
}

static void bad_between_good(void **state)
{
    (void)state;
    for (int way = 0; way < 3; way++) {
        struct side mixed, good;
        struct pb_buf with, without;
        size_t bad = 0;
        two_sides(&mixed, &good);
        pb_buf_init(&with, PB_MAX_JSON_LINE);
        pb_buf_init(&without, PB_MAX_JSON_LINE);
        for (int i = 0; i < LINES; i++) {
            bad += is_bad(i, way);
            add_line(&with, i, is_bad(i, way));
            if (!is_bad(i, way))
                add_line(&without, i, false);
        }
        (void)side_receive(&mixed, pb_buf_peek(&with));
        (void)side_receive(&good, pb_buf_peek(&without));
        assert_int_equal(mixed.sum.bad, bad);
        assert_int_equal(mixed.sum.merged[PB_MERGE_ADD], (size_t)LINES - bad);
        assert_int_equal(mixed.sum.elsewhere, good.sum.elsewhere);
        alike("bad lines leave nothing behind", &mixed, &good);
        pb_buf_clear(&with);
        pb_buf_clear(&without);
        side_close(&mixed);
        side_close(&good);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind),
        T(changes_between),
        cmocka_unit_test(bad_between_good),
    };
    return UNIT_MAIN("receive_alike", tests);
}
