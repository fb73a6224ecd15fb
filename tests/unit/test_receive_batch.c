/* Receiving and sharing seed lots, flasks, cuttings, pollen; what a plant flowered. */
#include "pair.h"

#include "act/bloom.h"
#include "act/cut.h"
#include "act/shoot.h"
#include "act/sow.h"
#include "book/flowerings.h"
#include "exchange/record.h"

/* ---- steps ------------------------------------------------------------------------------ */

static void find_batch(struct side *s, const char *code, struct pb_batch *b)
{
    bool found = false;
    pb_batch_init(b, PB_SEED);
    assert_int_equal(
        pb_batch_find(s->act.book, PB_BATCH_BY_CODE, code, b, &found, NULL), PB_OK);
    CLAIM(found, "no batch %s", code);
}

/* A look as `podbook look` enters it; amount -1: nothing counted. */
static void batch_look(struct side *s, const char *code, const char *word,
                       int64_t amount)
{
    struct pb_err err = {0};
    struct pb_batch b;
    struct pb_look l;
    find_batch(s, code, &b);
    pb_look_init(&l);
    l.on = TODAY - 1;
    l.found = pb_finding_find(&pb_courses[b.kind], word);
    l.amount = amount;
    l.note = pb_text_copy("a note of the look");
    assert_int_equal(pb_book_begin(s->act.book, "look", TODAY, s->act.now, NULL),
                     PB_OK);
    enum pb_rc rc = pb_batch_look(&s->act, &b, &l, &err);
    CLAIM(pb_book_end(s->act.book, rc, &err) == PB_OK, "%s: %s", code, err.text);
    pb_look_clear(&l);
    pb_batch_clear(&b);
}

static void sow(struct side *s, const char *from, int flasks, pb_day on)
{
    struct pb_err err = {0};
    struct pb_batch flask;
    struct pb_made made = {NULL, 0};
    pb_batch_init(&flask, PB_FLASK);
    flask.on = on;
    flask.amount = from[0] == 'S' ? 400 : 40;
    flask.chlorine = 0.525;
    const struct pb_filling f = {from, flasks, &flask};
    enum pb_rc rc = from[0] == 'S'
                        ? pb_act_sow(&s->act, &f, false, &made, &err)
                        : pb_act_replate(&s->act, &f, PB_EMPTY_ALL, &made, &err);
    CLAIM(rc == PB_OK, "%s: %s", from, err.text);
    pb_made_clear(&made);
    pb_batch_clear(&flask);
}

static void bloom(struct side *s, const char *code, enum pb_bloom what, pb_day on)
{
    struct pb_err err = {0};
    struct pb_plant p;
    struct pb_flowering f;
    const struct pb_blooming b = {code, what, on};
    pb_plant_init(&p);
    CLAIM(pb_act_bloom(&s->act, &b, &p, &f, &err) == PB_OK, "%s", err.text);
    pb_plant_clear(&p);
}

/* ---- lines ------------------------------------------------------------------------------ */

#define ID(n) "0195a1b2-c3d4-7e5f-8a9b-0000000000" n
#define HEAD(kind, code, id)                                       \
    "{\"format\":\"podbook-" kind "\",\"version\":1,\"id\":\"" ID( \
        id) "\",\"code\":\"" code                                  \
            "\",\"modified\":\"2026-02-01T12:00:00Z\",\"on\":\"2026-02-10\""
#define REV(n) ",\"revision\":" n
#define PARENT(id, code) \
    "{\"code\":\"" code "\",\"id\":\"" ID(id) "\",\"taxon\":\"Goodyera hispida\"}"
#define CROSS_OF(more)                                                            \
    ",\"cross\":{\"format\":\"podbook-cross\",\"version\":1,\"id\":\"" ID(        \
        "01") "\",\"code\":\"X26-001\",\"revision\":1,\"modified\":"              \
              "\"2026-02-01T12:00:00Z\",\"seed_parent\":" PARENT(                 \
                  "02",                                                           \
                  "GH-1") ",\"pollen_parents\":[],\"pollinated\":\"2026-01-10\"," \
                          "\"flowers\":2" more "}"
#define LOOKS(rows) ",\"looks\":[" rows "]}\n"
#define LOOK(id, on, found, more) \
    "{\"id\":\"" ID(id) "\",\"on\":\"" on "\",\"found\":\"" found "\"" more "}"
#define SEED(id, code, looks) HEAD("seed", code, id) REV("1") CROSS_OF("") LOOKS(looks)
#define FLASK(id, code, more) \
    HEAD("flask", code, id) REV("1") CROSS_OF("") more LOOKS("")
#define FROM(id, code) ",\"source\":{\"id\":\"" ID(id) "\",\"code\":\"" code "\"}"

/* All kinds of records that rest on each other, in book A. */
static void grow(struct side *a)
{
    struct pb_err err = {0};
    struct pb_batch b;
    harvest(a, "X26-001", TODAY - 9, 2);
    batch_look(a, "S26-001", "counted", 5000);
    sow(a, "S26-001", 2, TODAY - 8);
    batch_look(a, "F26-001", "germinated", 80);
    pb_batch_init(&b, PB_CUTTING);
    (void)snprintf(b.plant.code, sizeof(b.plant.code), "AR-1");
    b.on = TODAY - 7;
    b.units = 3;
    b.place = pb_text_copy("sill");
    CLAIM(pb_act_take(&a->act, &b, &err) == PB_OK, "%s", err.text);
    pb_batch_clear(&b);
    pb_batch_init(&b, PB_POLLEN);
    (void)snprintf(b.plant.code, sizeof(b.plant.code), "GH-2");
    b.on = TODAY - 6;
    b.celsius = 4.5;
    CLAIM(pb_act_take(&a->act, &b, &err) == PB_OK, "%s", err.text);
    pb_batch_clear(&b);
    bloom(a, "GH-2", PB_BLOOM_OPEN, TODAY - 40);
    bloom(a, "GH-2", PB_BLOOM_OVER, TODAY - 20);
}

#define ALL(word)                                                                   \
    "1 AR-1 " word "\n2 AR-1b " word "\n3 GH-2 " word "\n4 X26-001 " word           \
    "\n5 S26-001 " word "\n6 F26-001 " word "\n7 F26-002 " word "\n8 C26-001 " word \
    "\n9 P26-001 " word "\n"

static void every_kind_goes_both_ways(void **state)
{
    struct pair *p = *state;
    grow(&p->a);
    tells("all of it is new", a_to_b(p, true), ALL("added"));
    int before = acts(&p->b);
    tells("again changes nothing", a_to_b(p, true), ALL("same"));
    tells("nor does it without the notes", a_to_b(p, false), ALL("same"));
    assert_int_equal(acts(&p->b), before);
    tells("nor what comes back", b_to_a(p), ALL("same"));
    undo(&p->b);
    tells("taken back as a whole, and received again", a_to_b(p, true), ALL("added"));
}

/* The one line of a seed lot is enough. */
static void a_lot_brings_its_cross(void **state)
{
    struct pair *p = *state;
    struct pb_plant plant;
    struct pb_batch b;
    grow(&p->a);
    side_share(&p->a, "S26-001", false, &p->text);
    assert_null(strstr(pb_buf_peek(&p->text), "a note of"));
    tells("its cross comes first", side_receive(&p->b, pb_buf_peek(&p->text)),
          "1 X26-001 added\n1 S26-001 added\n");
    assert_int_equal(p->b.sum.elsewhere, 3); /* AR-1 as the first of its clone */
    find_plant(&p->b, "GH-2", &plant);
    assert_true(plant.elsewhere);
    pb_plant_clear(&plant);
    find_batch(&p->b, "S26-001", &b);
    assert_string_equal(b.cross.code, "X26-001");
    assert_string_equal(b.taxon_pollen, "Goodyera hispida");
    pb_batch_clear(&b);
    tells("and once", side_receive(&p->b, pb_buf_peek(&p->text)), "1 S26-001 same\n");
    look(&p->a, "X26-001", PB_LOST, 1);
    side_share(&p->a, "S26-001", false, &p->text);
    tells("its cross alone is newer", side_receive(&p->b, pb_buf_peek(&p->text)),
          "1 X26-001 replaced\n1 S26-001 same\n");
    sow(&p->b, "S26-001", 1, TODAY);
    side_share(&p->b, NULL, false, &p->text);
    (void)side_receive(&p->a, pb_buf_peek(&p->text));
    find_batch(&p->a, "F26-003", &b); /* F26-001 there */
    assert_string_equal(b.head.origin_code, "F26-001");
    assert_string_equal(b.source.code, "S26-001");
    assert_true(b.source.n != 0);
    pb_batch_clear(&b);
}

/* A flask whose source is in another book, and then is not. */
static void what_it_came_from_may_come_later(void **state)
{
    struct pair *p = *state;
    struct pb_batch b;
    grow(&p->a);
    sow(&p->a, "F26-001", 1, TODAY - 1);
    side_share(&p->a, "F26-003", false, &p->text);
    (void)side_receive(&p->b, pb_buf_peek(&p->text));
    find_batch(&p->b, "F26-003", &b);
    assert_string_equal(b.source.code, "F26-001");
    assert_int_equal(b.source.n, 0);
    assert_int_equal(b.source_kind, PB_FLASK);
    assert_int_equal(b.began, TODAY - 8);
    pb_batch_clear(&b);
    tells("it is the same all the while", side_receive(&p->b, pb_buf_peek(&p->text)),
          "1 F26-003 same\n");
    amend(&p->b, "F26-003", "medium", "half strength"); /* does not lose it */
    find_batch(&p->b, "F26-003", &b);
    assert_string_equal(b.source.code, "F26-001");
    pb_batch_clear(&b);
    undo(&p->b);
    (void)a_to_b(p, false);
    find_batch(&p->b, "F26-003", &b);
    assert_true(b.source.n != 0);
    assert_int_equal(b.began, TODAY - 8);
    pb_batch_clear(&b);
    undo(&p->b); /* it stands on the flask that goes, and was there before it */
    find_batch(&p->b, "F26-003", &b);
    assert_int_equal(b.source.n, 0);
    assert_string_equal(b.source.code, "F26-001");
    pb_batch_clear(&b);
}

/* The same of a plant. */
static void what_a_plant_came_out_of_may_come_later(void **state)
{
    struct pair *p = *state;
    struct pb_plant plant;
    struct pb_err err = {0};
    struct pb_deflasked out;
    grow(&p->a);
    memset(&out, 0, sizeof(out));
    const struct pb_deflasking d = {.flask = "F26-001",
                                    .on = TODAY,
                                    .how = PB_EMPTY_PART,
                                    .plants = 2,
                                    .prefix = "AG-",
                                    .first = 1};
    CLAIM(pb_act_deflask(&p->a.act, &d, &out, &err) == PB_OK, "%s", err.text);
    pb_deflasked_clear(&out);
    side_share(&p->a, "AG-1", false, &p->text);
    tells("it comes alone", side_receive(&p->b, pb_buf_peek(&p->text)),
          "1 AG-1 added\n");
    find_plant(&p->b, "AG-1", &plant);
    assert_int_equal(plant.out_of.n, 0);
    assert_string_equal(plant.out_of.code, "F26-001");
    pb_plant_clear(&plant);
    tells("and is the same", side_receive(&p->b, pb_buf_peek(&p->text)),
          "1 AG-1 same\n");
    amend(&p->b, "AG-1", "place", "sill");
    (void)a_to_b(p, false);
    find_plant(&p->b, "AG-1", &plant);
    assert_true(plant.out_of.n != 0);
    assert_string_equal(plant.place, "sill");
    pb_plant_clear(&plant);
}

/* ---- revisions -------------------------------------------------------------------------- */

static void newer_older_and_clash(void **state)
{
    struct pair *p = *state;
    struct pb_batch b;
    grow(&p->a);
    (void)a_to_b(p, true);
    side_share(&p->a, "F26-002", true, &p->text); /* what it was */
    batch_look(&p->a, "F26-002", "germinated", 40);
    struct pb_buf newer;
    pb_buf_init(&newer, 1 << 20);
    side_share(&p->a, "F26-002", false, &newer);
    tells("newer", side_receive(&p->b, pb_buf_peek(&newer)), "1 F26-002 replaced\n");
    find_batch(&p->b, "F26-002", &b);
    assert_null(b.looks[0].note);
    pb_batch_clear(&b);
    side_share(&p->a, "F26-002", true, &newer);
    tells("its note alone", side_receive(&p->b, pb_buf_peek(&newer)),
          "1 F26-002 replaced\n");
    tells("older", side_receive(&p->b, pb_buf_peek(&p->text)), "1 F26-002 older\n");
    batch_look(&p->a, "F26-002", "contaminated", -1);
    amend(&p->b, "F26-002", "light", "dark");
    side_share(&p->a, "F26-002", true, &newer);
    tells("changed in both", side_receive(&p->b, pb_buf_peek(&newer)),
          "1 F26-002 clash\n");
    find_batch(&p->b, "F26-002", &b);
    assert_int_equal(b.light, PB_DARK);
    assert_int_equal(b.look_n, 1);
    pb_batch_clear(&b);
    withdraw(&p->a, "F26-002/2");
    batch_look(&p->a, "F26-002", "unchanged", -1);
    side_share(&p->a, "F26-002", true, &newer);
    (void)side_receive(&p->b, pb_buf_peek(&newer));
    find_batch(&p->b, "F26-002", &b);
    assert_int_equal(b.look_n, 2); /* what went there never came */
    assert_int_equal(b.looks[1].found, PB_FLASK_UNCHANGED);
    assert_int_equal(b.looks[1].number, 2);
    pb_batch_clear(&b);
    pb_buf_clear(&newer);
}

static void what_rests_on_it_is_not_withdrawn(void **state)
{
    struct pair *p = *state;
    grow(&p->a);
    (void)a_to_b(p, false);
    sow(&p->b, "S26-001", 1, TODAY);
    undo(&p->a); /* the flowering, the pollen, the cuttings, the look, both flasks */
    for (int i = 0; i < 5; i++)
        undo(&p->a);
    withdraw(&p->a, "S26-001");
    side_share(&p->a, "S26-001", false, &p->text);
    const char *told = side_receive(&p->b, pb_buf_peek(&p->text));
    CLAIM(strstr(told, "S26-001 was withdrawn there, but F26-001 rests on it here; "
                       "withdraw that first") != NULL,
          "%s", told);
}

static void taken_codes(void **state)
{
    struct pair *p = *state;
    struct pb_batch b;
    grow(&p->a);
    plant(&p->b, "GH-9", "Goodyera hispida", NULL);
    cross(&p->b, "GH-9", "GH-9", 1);
    harvest(&p->b, "X26-001", TODAY - 1, 1);
    side_share(&p->a, "S26-001", false, &p->text);
    tells("theirs get new ones", side_receive(&p->b, pb_buf_peek(&p->text)),
          "1 X26-002<X26-001 added\n1 S26-002<S26-001 added\n");
    side_share(&p->a, "F26-002", false, &p->text);
    tells("a free one is kept", side_receive(&p->b, pb_buf_peek(&p->text)),
          "1 F26-002 added\n");
    find_batch(&p->b, "F26-002", &b);
    assert_string_equal(b.source.code, "S26-002"); /* found by its id */
    assert_string_equal(b.cross.code, "X26-002");
    pb_batch_clear(&b);
    sow(&p->b, "S26-001", 1, TODAY);
    find_batch(&p->b, "F26-003", &b); /* numbers go on behind it */
    pb_batch_clear(&b);
}

/* ---- flowerings ------------------------------------------------------------------------- */

static enum pb_rc count(void *ctx, const struct pb_flowering *f, struct pb_err *err)
{
    (void)f;
    (void)err;
    ++*(int *)ctx;
    return PB_OK;
}

static int flowerings(struct side *s, const char *code)
{
    struct pb_plant p;
    int n = 0;
    find_plant(s, code, &p);
    assert_int_equal(pb_flowerings_of(s->act.book, p.head.n, count, &n, NULL), PB_OK);
    pb_plant_clear(&p);
    return n;
}

static void flowerings_follow(void **state)
{
    struct pair *p = *state;
    grow(&p->a);
    (void)a_to_b(p, false);
    assert_int_equal(flowerings(&p->b, "GH-2"), 1);
    bloom(&p->a, "GH-2", PB_BLOOM_SPIKE, TODAY - 2);
    (void)a_to_b(p, false);
    assert_int_equal(flowerings(&p->b, "GH-2"), 2);
    int before = acts(&p->b);
    (void)a_to_b(p, false);
    assert_int_equal(acts(&p->b), before);
    undo(&p->a);
    amend(&p->a, "GH-2", "ploidy", "2");
    amend(&p->a, "GH-2", "ploidy", "4");
    (void)a_to_b(p, false);
    assert_int_equal(flowerings(&p->b, "GH-2"), 1); /* taken back there */
    undo(&p->b);
    assert_int_equal(flowerings(&p->b, "GH-2"), 2);
}

/* ---- elsewhere -------------------------------------------------------------------------- */

static void they_may_stay_where_they_are(void **state)
{
    struct pair *p = *state;
    struct pb_batch b;
    struct pb_batch_outlook o = {0};
    grow(&p->a);
    p->b.stay = true;
    (void)a_to_b(p, false);
    find_batch(&p->b, "C26-001", &b);
    assert_true(b.elsewhere);
    assert_int_equal(pb_batch_outlook_make(&p->b.act, &b, &o, NULL), PB_OK);
    for (size_t i = 0; i < o.tasks.n; i++)
        assert_true(o.tasks.v[i].done);
    pb_batch_outlook_clear(&o);
    pb_batch_clear(&b);
    side_share(&p->b, NULL, false, &p->text);
    assert_null(strstr(pb_buf_peek(&p->text), "podbook-cutting"));
    p->b.stay = false;
    batch_look(&p->a, "C26-001", "callused", -1);
    (void)a_to_b(p, false);
    find_batch(&p->b, "C26-001", &b); /* later records leave that as it is */
    assert_true(b.elsewhere);
    assert_int_equal(b.look_n, 1);
    pb_batch_clear(&b);
    amend(&p->b, "C26-001", "elsewhere", "no");
    find_batch(&p->b, "C26-001", &b);
    assert_int_equal(pb_batch_outlook_make(&p->b.act, &b, &o, NULL), PB_OK);
    assert_true(o.tasks.n > 0 && !o.tasks.v[o.tasks.n - 1].done);
    pb_batch_outlook_clear(&o);
    pb_batch_clear(&b);
    side_share(&p->a, "C26-001", false, &p->text);
    tells("it is no other record than theirs",
          side_receive(&p->b, pb_buf_peek(&p->text)), "1 C26-001 same\n");
}

/* ---- lines that are not good -------------------------------------------------------------- */

static void lines(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text, *told;
    } rows[] = {
        {"a flask that comes out of what came out of it",
         FLASK("05",                                                 "F26-001",     FROM("06", "F26-002"))
             FLASK("06", "F26-002",        FROM("05",     "F26-001")),
         "1 X26-001 added\n1 F26-001 added\n2 bad it would make F26-002 come out of "
         "itself\n"                                                                                                                                                                                                                       },
        {"a lot with the id of a plant",                  SEED("02", "S26-001",     ""),
         "1 bad id: " ID("02") " is the id of plant GH-1 here, not of a seed lot\n"                                  },
        {"a lot with the id of a flask",
         FLASK("07",                                            "F26-001",         "") SEED("07",                  "S26-001",               ""),
         "1 X26-001 added\n1 F26-001 added\n2 bad id: " ID(
             "07") " is the id of flask F26-001 here, not of a seed lot\n"},
        {"a source of another kind",
         SEED("05",                                                   "S26-001",                                                                "") FLASK("06",                                 "F26-001",                                                                                                    FROM("05",                                                                                                                      "F26-009")),
         "1 X26-001 added\n1 S26-001 added\n2 bad source: S26-001 is a seed lot "
         "here\n"                                                                                                                                                    },
        {"a look with the id of a look of another",
         SEED("05",                                      "S26-001",                                       LOOK("10",                                       "2026-02-11",                                                         "used-up",                                                                      ""))
             SEED("06",                                    "S26-002",          LOOK("10",                                                                                                                                                                  "2026-02-11", "used-up", "")),
         "1 X26-001 added\n1 S26-001 added\n2 bad looks: " ID(
             "10") " is the id of a look on another record here\n"},
        {"a look in the future",
         SEED("05",                                   "S26-001",                                       LOOK("10",      "2026-04-11",                                                                                                   "used-up",                                                                      "")),
         "1 bad looks: 2026-04-11 lies in the future (today is 2026-03-02); is a clock "
         "wrong?\n"},
        {"a sample without its method",
         SEED("05",                                    "S26-001",
         LOOK("10",                                                 "2026-02-11",                                                                       "viable",                                                                                                                   ",\"count\":3,\"of\":9")),
         "1 bad viable: say how many of how many, and how: --count 63 --of 100 "
         "--method "
         "\"filled, under the microscope\"\n"                                                                            },
        {"more of a sample than all",
         SEED("05",              "S26-001",
         LOOK("10",                                          "2026-02-11",                        "viable",
         ",\"count\":10,\"of\":9,\"method\":\"TTC\"")),
         "1 bad count: 10 of 9 is more than all\n"                                                                                                                                                     },
        {"what was used up twice is kept and told",
         SEED("05",                           "S26-001",
         LOOK("10",                                                                    "2026-02-11",                                                                 "used-up",                                                                                                                      "") "," LOOK("11",                                                                                                "2026-02-12",
         "discarded",                                  "")),
         "1 X26-001 added\n1 S26-001 added conflict "},
        {"more sown than was counted is kept and told",
         SEED("05",                                   "S26-001",
         LOOK("10",                        "2026-02-11",                 "counted",                                                                                 ",\"count\":5") "," LOOK(
                  "11",                                                  "2026-02-12",                                                                                                                                                      "sown", ",\"count\":6")),
         "1 X26-001 added\n1 S26-001 added conflict S26-001: 6 cannot be sown on "
         "2026-02-12: 5 are left of those that were counted\n"},
        {"a bad line leaves no cross behind",
         SEED("05",                                      "S26-001",  LOOK("10", "2026-04-11",  "used-up", ""))
             SEED("06",                                                                                         "S26-001",                                                                                                                                                      ""),
         "1 bad looks: 2026-04-11 lies in the future (today is 2026-03-02); is a clock "
         "wrong?\n2 X26-001 added\n2 S26-001 added\n"},
        {"of many of one cross it is told once",
         SEED("05",                                       "S26-001", "") SEED("06", "S26-002",         "") FLASK("07",        "F26-001",""),
         "1 X26-001 added\n1 S26-001 added\n2 S26-002 added\n3 F26-001 added\n"                                                                                                                                                                          },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct side s;
        struct pb_buf out;
        size_t n = strlen(rows[i].told);
        side_open(&s, 1, TODAY);
        pb_buf_init(&out, 1 << 20);
        plant(&s, "ZZ-1", "Goodyera hispida", NULL);
        const char *told = side_receive(&s, rows[i].text);
        CLAIM(strncmp(told, rows[i].told, n) == 0 &&
                  (told[n] == '\0' || rows[i].told[n - 1] != '\n'),
              "%s: told\n%sinstead of\n%s", rows[i].claim, told, rows[i].told);
        side_share(&s, NULL, true, &out); /* what was kept can still be read */
        pb_buf_clear(&out);
        side_close(&s);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(every_kind_goes_both_ways),
        T(a_lot_brings_its_cross),
        T(what_it_came_from_may_come_later),
        T(what_a_plant_came_out_of_may_come_later),
        T(newer_older_and_clash),
        T(what_rests_on_it_is_not_withdrawn),
        T(taken_codes),
        T(flowerings_follow),
        T(they_may_stay_where_they_are),
        cmocka_unit_test(lines),
    };
    return UNIT_MAIN("receive_batch", tests);
}
