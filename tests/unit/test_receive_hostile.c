/* Lines that should not have been sent: each is named, none spoils the others or the book. */
#include "books.h"

#include "act/due.h"
#include "act/timing.h"
#include "book/plants.h"

enum { TODAY = 20514 }; /* 2026-03-02 */

#define ID(n) "0195a1b2-c3d4-7e5f-8a9b-0000000000" n
#define PLANT(n, code, more)                                                 \
    "{\"code\":\"" code "\",\"format\":\"podbook-plant\",\"id\":\"" ID(      \
        n) "\","                                                             \
           "\"modified\":\"2026-03-01T00:00:00Z\",\"revision\":1,\"taxon\":" \
           "\"Goodyera\","                                                   \
           "\"version\":1" more "}\n"
#define PLANT_2(n, code, more)                                               \
    "{\"code\":\"" code "\",\"format\":\"podbook-plant\",\"id\":\"" ID(      \
        n) "\","                                                             \
           "\"modified\":\"2026-03-01T00:00:00Z\",\"revision\":2,\"taxon\":" \
           "\"Goodyera\","                                                   \
           "\"version\":1" more "}\n"
#define REF(n, code) "{\"code\":\"" code "\",\"id\":\"" ID(n) "\"}"
#define PARENT(n, code) \
    "{\"code\":\"" code "\",\"id\":\"" ID(n) "\",\"taxon\":\"Goodyera\"}"
#define PUP_OF(n, code) ",\"origin\":\"pup\",\"source_plant\":" REF(n, code)
#define FROM(n, code)   ",\"origin\":\"cross\",\"from_cross\":" REF(n, code)
#define CROSS(n, code, seed, pollen, more)                                            \
    "{\"code\":\"" code "\",\"flowers\":3,\"format\":\"podbook-cross\",\"id\":\"" ID( \
        n) "\",\"modified\":\"2026-03-01T00:00:00Z\",\"pollen_parents\":[" pollen     \
           "],\"pollinated\":\"2026-02-01\",\"revision\":1,\"seed_parent\":" seed     \
           ",\"version\":1" more "}\n"
#define LOOK(n, on, found, count)                                                      \
    "{\"id\":\"" ID(n) "\",\"on\":\"" on "\",\"found\":\"" found "\",\"count\":" count \
                       "}"

/* What the book has before each row: a plant, its pup, a cross with a look. */
static const char base[] =
    PLANT("01", "AR-1", "") PLANT("02", "AR-2", PUP_OF("01", "AR-1"))
        CROSS("03", "X26-001", PARENT("01", "AR-1"), PARENT("02", "AR-2"),
              ",\"looks\":[" LOOK("10", "2026-02-07", "swollen", "3") "]");

static void rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text, *told;
    } rows[] = {
        {"a bad line between good ones is passed over",
         PLANT("04",                                                                                    "B",                    "") "{\"format\":\"podbook-plant\"\n" PLANT("05",                                                                                         "C",""),
         "1 B added\n2 bad is not good JSON at column 25: '}' expected near end of "
         "file\n3 C added\n"},
        {"blank lines count",                                                        "\n\n" PLANT("04", "B",                    "") "\n[]\n",
         "3 B added\n5 bad expected an object, got an array\n"},
        {"a record over several lines gives a hint",
         "{\n\"format\":\"podbook-plant\"}\n",                                                                   "1 bad is only the beginning of a record; each must stand on one line, as "
         "jq -c writes it\n2 bad is not good JSON at column 8: '[' or '{' expected "
         "near "
         "'\"format\"'\n"                                                                },
        {"a newer format is named",                   "{\"format\":\"podbook-cross\",\"version\":2}\n",
         "1 bad version: 2 is newer than this podbook reads (1); receive it with a "
         "newer "
         "podbook\n"                          },
        {"a later kind of record is named",
         "{\"format\":\"podbook-pot\",\"version\":1}\n",                                                                                    "1 bad format: unknown format \"podbook-pot\"; this podbook reads "
         "podbook-plant, "
         "-cross, -seed, -flask, -cutting and -pollen\n"                                                                               },
        {"a plant with the id of a cross",                                                                          PLANT("03",                                                           "B",                                                                                                            ""),
         "1 bad id: " ID("03") " is the id of cross X26-001 here, not of a plant\n"},
        {"a cross with the id of a plant",
         CROSS("01",                  "X26-005", PARENT("02", "AR-2"),"",                     ""),
         "1 bad id: " ID("01") " is the id of plant AR-1 here, not of a cross\n"},
        {"a parent with the id of a cross",
         CROSS("04",                                                        "X26-005",                                                                     PARENT("03",                                                                                                                                                                                                             "B"),"",""),
         "1 bad id: " ID("03") " is the id of cross X26-001 here, not of a plant\n"},
        {"a look with the id of a look elsewhere",
         CROSS("04",                                                                       "X26-005",     PARENT("01",                                                                                                                                                                                    "AR-1"),"",
         ",\"looks\":[" LOOK("10","2026-02-07", "swollen", "1") "]"),
         "1 bad looks: " ID("10") " is the id of a look on another record here\n"},
        {"its parents are not left behind by a bad line",
         CROSS("04",                                                                                 "X26-005",                                                                            PARENT("06",                                                                                                                                                                                                                                                      "NEW-1"),"",
         ",\"looks\":[" LOOK("10", "2026-02-07", "swollen", "1") "]")
             PLANT("07", "NEW-1", ""),
         "1 bad looks: " ID("10") " is the id of a look on another record here\n"
                                  "2 NEW-1 added\n"},
        {"tomorrow may be today there",                                                              PLANT("04",                                                                               "B",                                                                      ",\"got\":\"2026-03-03\""),
         "1 B added\n"},
        {"the day after is a wrong clock",                                                     PLANT("04",                                                                                    "B",                         ",\"got\":\"2026-03-04\""),
         "1 bad got: 2026-03-04 lies in the future (today is 2026-03-02); is a clock "
         "wrong?\n"},
        {"a look in the future",
         CROSS("04",                                                                         "X26-005",                                                                                                            PARENT("01",                                                                                                                                                                                                                    "AR-1"),"",
         ",\"looks\":[" LOOK("11","2026-04-01", "swollen", "1") "]"),
         "1 bad looks: 2026-04-01 lies in the future (today is 2026-03-02); is a clock "
         "wrong?\n"},
        {"two plants that are pups of each other",
         PLANT("04",                                                                        "B",                                                                                   PUP_OF("05",                                                                                                                                                "C")) PLANT("05","C",PUP_OF("04","B")),
         "1 B added\n2 bad it would make C its own ancestor\n"},
        {"a plant that becomes its pup's pup",
         PLANT_2("01",                                                                          "AR-1",               PUP_OF("02",                                           "AR-2")),
         "1 bad it would make AR-1 its own ancestor\n"},
        {"a plant raised from a cross of its own offspring",
         PLANT_2("01",                                                                       "AR-1",                                                                         FROM("03",                                                                                                                                                                                                                                                    "X26-001")),
         "1 bad it would make AR-1 its own ancestor\n"},
        {"a cross that comes later than a plant raised from it",
         PLANT("04",                                                            "B",                                                                       FROM("05",                                                                       "X25-001"))
             CROSS("05","X25-001",PARENT("04","B"), PARENT("01", "AR-1"), ""),
         "1 B added\n2 bad it would make B its own ancestor\n"},
        {"the same through its pollen parent",
         PLANT("04",                                                        "B",                                                                                                            FROM("05",                                                                                                                                                                                                                   "X25-001"))
             CROSS("05","X25-001",PARENT("01","AR-1"), PARENT("04", "B"), ""),
         "1 B added\n2 bad it would make B its own ancestor\n"},
        {"a pollen parent that tells of itself what makes a ring",
         PLANT_2("01",                                                                         "AR-1",                                                                                           PUP_OF("06",                                                                                                                                                                                                                 "E")) CROSS(
             "05","X25-001",
         "{\"code\":\"E\",\"id\":\"" ID("06") "\",\"taxon\":\"Goodyera\",\"clone\":"
                                                  "{\"id\":\"" ID("02") "\"}}",
         "", ""),
         "1 AR-1 replaced\n2 bad it would make E its own ancestor\n"},
        {"looks that contradict each other are kept and told",
         CROSS("04",  "X26-005",PARENT("01",                                                                                                                                                                                                           "AR-1"),"",
         ",\"looks\":[" LOOK("11","2026-02-07", "dropped", "3") "," LOOK(
                   "12", "2026-02-09", "swollen", "3") "]"),
         "1 X26-005 added conflict "},
        {"more capsules taken than there were",
         CROSS("04",                                        "X26-005",                                                                                                            PARENT("01",                                                                                                                                                                                          "AR-1"),"",
         ",\"harvests\":[{\"as\":\"closed\",\"count\":3,\"on\":\"2026-02-20\"},"
               "{\"as\":\"closed\",\"count\":1,\"on\":\"2026-02-21\"}]"),
         "1 X26-005 added conflict "},
        {"a number that leaves no room gets one of ours",
         CROSS("04",                                                                      "X26-999999999999",                                                                      PARENT("01",                                                                                                                                                                                                                                "AR-1"),"",""),
         "1 X26-002<X26-999999999999 added\n"},
        {"a number with more zeros than ours gets one of ours",
         CROSS("04",                                                                                    "X26-0007",                                                          PARENT("01",                                             "AR-1"),"",""),
         "1 X26-002<X26-0007 added\n"},
        {"a code that differs in case alone is taken",                                                                          PLANT("04",                                             "ar-1",                                                                                                            ""),
         "1 ar-1-2<ar-1 added\n"},
        {"the longest code still gets a number",
         PLANT("04",                                                        "A2345678901234567890123456789012",                          "")
             PLANT("05",                                                                                                                                                                                                  "A2345678901234567890123456789012",""),
         "1 A2345678901234567890123456789012 added\n"
         "2 A234567890123456789012345-2<A2345678901234567890123456789012 added\n"},
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct side s;
        struct pb_buf out;
        size_t n = strlen(rows[i].told);
        side_open(&s, 1, TODAY);
        pb_buf_init(&out, 1 << 20);
        CLAIM(strcmp(side_receive(&s, base), "1 AR-1 added\n2 AR-2 added\n"
                                             "3 X26-001 added\n") == 0,
              "base: %s", pb_buf_peek(&s.told));
        const char *told = side_receive(&s, rows[i].text);
        /* a row that does not end in a line's end leaves the rest open */
        CLAIM(strncmp(told, rows[i].told, n) == 0 &&
                  (told[n] == '\0' || rows[i].told[n - 1] != '\n'),
              "%s: told\n%sinstead of\n%s", rows[i].claim, told, rows[i].told);
        side_share(&s, NULL, true, &out); /* what was kept can still be read */
        pb_buf_clear(&out);
        side_close(&s);
    }
}

static enum pb_rc count(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    (void)x;
    (void)err;
    ++*(int *)ctx;
    return PB_OK;
}

/* The book with a contradiction in it goes on working. */
static void conflict_lives_on(void **state)
{
    (void)state;
    static const char text[] = PLANT("01", "AR-1", "")
        CROSS("04", "X26-005", PARENT("01", "AR-1"), "",
              ",\"looks\":[" LOOK("11", "2026-02-07", "dropped", "3") "," LOOK(
                  "12", "2026-02-09", "swollen", "3") "]");
    struct side s;
    struct pb_due_list due = {0};
    struct pb_outlook o;
    struct pb_cross x;
    bool found = false;
    int open = 0;
    side_open(&s, 1, TODAY);
    (void)side_receive(&s, text);
    assert_int_equal(s.sum.conflicts, 1);
    assert_int_equal(
        pb_crosses_each(s.act.book, PB_CROSSES_OPEN, 0, count, &open, NULL), PB_OK);
    assert_int_equal(open, 1);
    assert_int_equal(
        pb_act_due(&s.act, (struct pb_due_ask){.by = TODAY + 7}, &due, NULL), PB_OK);
    pb_due_clear(&due);
    pb_cross_init(&x);
    pb_outlook_init(&o);
    assert_int_equal(
        pb_cross_find(s.act.book, PB_CROSS_BY_CODE, "X26-005", &x, &found, NULL),
        PB_OK);
    assert_int_equal(pb_outlook_make(&s.act, &x, &o, NULL), PB_OK);
    assert_true(o.conflict);
    pb_outlook_clear(&o);
    pb_cross_clear(&x);
    CLAIM(strcmp(side_receive(&s, text), "1 AR-1 same\n2 X26-005 same\n") == 0,
          "again: %s", pb_buf_peek(&s.told));
    side_close(&s);
}

/* What another program put there comes out again where it stood. */
static void foreign_keys_stay(void **state)
{
    (void)state;
    static const char text[] = PLANT("01", "AR-1", ",\"x-tag\":[1,{\"a\":0.1}]")
        CROSS("03", "X26-001",
              "{\"code\":\"AR-1\",\"id\":\"" ID(
                  "01") "\",\"taxon\":\"Goodyera\",\"x-pot\":9}",
              "",
              ",\"x-mood\":\"good\",\"looks\":[{\"id\":\"" ID(
                  "10") "\",\"on\":\"2026-02-07\",\"found\":\"swollen\",\"count\":3,"
                        "\"x-photo\":\"a.jpg\"}]");
    static const char *const parts[] = {"\"x-tag\":[1,{\"a\":0.1}]", "\"x-pot\":9}",
                                        "\"x-mood\":\"good\"",
                                        "\"x-photo\":\"a.jpg\"}]"};
    struct side s;
    struct pb_buf out;
    side_open(&s, 1, TODAY);
    pb_buf_init(&out, 1 << 20);
    (void)side_receive(&s, text);
    side_share(&s, NULL, false, &out);
    for (size_t i = 0; i < PB_ARRAY_LEN(parts); i++)
        CLAIM(strstr(pb_buf_peek(&out), parts[i]) != NULL, "%s is lost", parts[i]);
    pb_buf_clear(&out);
    side_close(&s);
}

static enum pb_rc stop(void *ctx, const struct pb_receipt *r, struct pb_err *err)
{
    (void)ctx;
    return r->line == 2 ? pb_fail(err, PB_EIO, "no more") : PB_OK;
}

/* What ends everything leaves nothing. */
static void all_or_nothing(void **state)
{
    (void)state;
    struct side s;
    struct pb_received sum;
    struct pb_err err = {0};
    struct pb_buf out;
    side_open(&s, 1, TODAY);
    pb_buf_init(&out, 1 << 20);
    (void)side_receive(&s, PLANT("09", "Z", ""));
    FILE *f = tmpfile();
    assert_non_null(f);
    assert_int_equal(fwrite(base, 1, sizeof(base) - 1, f), sizeof(base) - 1);
    rewind(f);
    const struct pb_receiving what = {.in = f, .file = "in", .each = stop};
    assert_int_equal(pb_act_receive(&s.act, &what, &sum, &err), PB_EIO);
    assert_string_equal(err.text, "no more");
    (void)fclose(f);
    side_share(&s, NULL, false, &out);
    assert_null(strstr(pb_buf_peek(&out), "AR-1"));
    assert_non_null(strstr(pb_buf_peek(&out), "\"Z\""));
    pb_buf_clear(&out);
    side_close(&s);
}

static void sharing_refused(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *code, *says;
        enum pb_rc rc;
    } rows[] = {
        {"an unknown plant",  "AR-9",
         "no plant \"AR-9\" in the book; did you mean AR-1 or AR-2?",                             PB_ENOTFOUND},
        {"an unknown cross",  "X26-777",   "no cross \"X26-777\" in the book",
         PB_ENOTFOUND                                                                                         },
        {"a look",            "X26-001/1", "X26-001/1 is a look; share the record it belongs to",
         PB_EINVALID                                                                                          },
        {"a seed lot",        "S26-001",   "no seed lot \"S26-001\" in the book",                 PB_ENOTFOUND},
        {"a plant elsewhere", "E-1",
         "E-1 stands in another collection; it is told with the crosses that name it",            PB_EINVALID },
    };
    struct side s;
    struct pb_buf out;
    side_open(&s, 1, TODAY);
    pb_buf_init(&out, 1 << 20);
    (void)side_receive(&s, base);
    (void)side_receive(&s, CROSS("04", "X26-002", PARENT("05", "E-1"), "", ""));
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_err err = {0};
        const char *const codes[] = {"AR-1", rows[i].code};
        const struct pb_share what = {codes, 2, false};
        pb_buf_reset(&out);
        CLAIM(pb_act_share(&s.act, &what, side_line, &out, &err) == rows[i].rc, "%s",
              rows[i].claim);
        CLAIM(strcmp(err.text, rows[i].says) == 0, "%s: %s", rows[i].claim, err.text);
        CLAIM(out.len == 0, "%s: AR-1 left before it was known", rows[i].claim);
    }
    pb_buf_clear(&out);
    side_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows),
        cmocka_unit_test(conflict_lives_on),
        cmocka_unit_test(all_or_nothing),
        cmocka_unit_test(foreign_keys_stay),
        cmocka_unit_test(sharing_refused),
    };
    return UNIT_MAIN("receive_hostile", tests);
}
