/* Strict JSON reading: what is refused, and where the message says it stands. */
#include "unit.h"

#include "base/limits.h"
#include "exchange/json_read.h"

#include <stdlib.h>
#include <string.h>

static const struct pb_json_origin origin = {"p.json", 0};

static enum pb_rc load(const char *text, json_t **doc, struct pb_err *err)
{
    return pb_json_load(&origin, text, strlen(text), doc, err);
}

static void document_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text;
        enum pb_rc rc;
        long line;
        const char *says;
    } rows[] = {
        {"an object",                                                "{\"a\":1}",              PB_OK,     0, ""               },
        {"an array",                                                 "[1]",                    PB_OK,     0, ""               },
        {"nothing at all",                                           "",                       PB_EPARSE, 1, "not good JSON"  },
        {"a bare word",                                              "profiles",               PB_EPARSE, 1, "not good JSON"  },
        {"cut short",                                                "{\"a\":\n[1,",           PB_EPARSE, 2, "end of file"    },
        {"a key twice",                                              "{\"a\":1,\n\"a\":2}",    PB_EPARSE, 2, "duplicate"      },
        {"text after the end",                                       "{} {}",                  PB_EPARSE, 1, "end of file"    },
        {"a comment",                                                "{/*x*/}",                PB_EPARSE, 1, "not good JSON"  },
        {"a comma too many",                                         "[1,]",                   PB_EPARSE, 1, "not good JSON"  },
        {"not UTF-8",                                                "[\"\xC3\x28\"]",         PB_EPARSE, 1, "decode byte"    },
        {"a NUL in a text",                                          "[\"a\\u0000b\"]",        PB_EPARSE, 1, "u0000"          },
        {"a number beyond all",                                      "[1e999]",                PB_EPARSE, 1, "overflow"       },
        {"a whole one too",                                          "[99999999999999999999]", PB_EPARSE, 1, "too big"        },
        {"not a number",                                             "[NaN]",                  PB_EPARSE, 1, "not good JSON"  },
        {"a byte order mark",                                        "\xEF\xBB\xBF{}",         PB_EPARSE, 0, "byte order mark"},
        {"the control character of a bad token is not repeated raw", "[\x1B]",
         PB_EPARSE,                                                                                       1, "\\u{1B}"        },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        json_t *doc = NULL;
        struct pb_err err = {0};
        CLAIM(load(rows[i].text, &doc, &err) == rows[i].rc, "%s: %s", rows[i].claim,
              err.text);
        CLAIM((doc != NULL) == (rows[i].rc == PB_OK), "%s: document", rows[i].claim);
        CLAIM(strstr(err.text, rows[i].says) != NULL, "%s: %s", rows[i].claim,
              err.text);
        CLAIM(err.line == rows[i].line, "%s: line %ld", rows[i].claim, err.line);
        CLAIM(rows[i].rc == PB_OK || strcmp(err.where, "p.json") == 0, "%s: where %s",
              rows[i].claim, err.where);
        json_decref(doc);
    }
}

/* n opening brackets, then as many closing ones. */
static enum pb_rc nested(int n, struct pb_err *err)
{
    char text[8 * PB_MAX_JSON_DEPTH];
    memset(text, '[', (size_t)n);
    memset(text + n, ']', (size_t)n);
    text[2 * n] = '\0';
    json_t *doc = NULL;
    enum pb_rc rc = load(text, &doc, err);
    json_decref(doc);
    return rc;
}

static void depth(void **state)
{
    (void)state;
    struct pb_err err = {0};
    assert_int_equal(nested(PB_MAX_JSON_DEPTH, &err), PB_OK);
    assert_int_equal(nested(PB_MAX_JSON_DEPTH + 1, &err), PB_ELIMIT);
    assert_non_null(strstr(err.text, "deeper than 32"));

    json_t *doc = NULL; /* brackets and quotes inside a text do not count */
    assert_int_equal(
        load("[\"\\\"[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[\\\\\"]", &doc, NULL),
        PB_OK);
    json_decref(doc);
}

static const char *const keys[] = {"name", "from", "list", "map", "share", "on"};
static const char *const words[] = {"swelling", NULL, "harvest"};

/* Read one of every kind; the first fault ends it. */
static enum pb_rc read_all(const struct pb_json_at *at, struct pb_err *err)
{
    struct pb_json_at m;
    const char *text = NULL;
    int64_t whole = 0;
    double number = 0;
    bool flag = false;
    size_t n = 0;
    enum pb_rc rc = pb_json_object(at, keys, PB_ARRAY_LEN(keys), true, err);
    if (rc == PB_OK)
        rc = pb_json_need(at, "name", &m, err);
    if (rc == PB_OK)
        rc = pb_json_text(&m, 10, &text, err);
    if (rc == PB_OK && pb_json_get(at, "from", &m))
        rc = pb_json_int(&m, 0, 3650, &whole, err);
    if (rc == PB_OK && pb_json_get(at, "share", &m))
        rc = pb_json_number(&m, 0, 1, &number, err);
    if (rc == PB_OK && pb_json_get(at, "on", &m))
        rc = pb_json_bool(&m, &flag, err);
    if (rc == PB_OK && pb_json_get(at, "list", &m)) {
        rc = pb_json_array(&m, 1, 3, &n, err);
        for (size_t i = 0; rc == PB_OK && i < n; i++) {
            struct pb_json_at item = pb_json_item(&m, i);
            size_t which = 0;
            rc = pb_json_word(&item, words, PB_ARRAY_LEN(words), &which, err);
        }
    }
    if (rc == PB_OK && pb_json_get(at, "map", &m)) {
        struct pb_json_at e;
        rc = pb_json_map(&m, 2, &n, err);
        void *it = rc == PB_OK ? pb_json_first(&m, &e) : NULL;
        for (; rc == PB_OK && it != NULL; it = pb_json_next(&m, it, &e)) {
            rc = pb_json_key(&e, 10, err);
            if (rc == PB_OK)
                rc = pb_json_int(&e, 0, 9, &whole, err);
        }
    }
    return rc;
}

#define WITH(rest) "{\"in\":[0,{\"name\":\"a\"," rest "}]}"

static void value_rows(void **state)
{
    (void)state;
    static const struct {
        const char *claim, *text;
        enum pb_rc rc;
        const char *says;
    } rows[] = {
        {"all good",
         WITH("\"from\":3650,\"share\":1,\"on\":true,\"list\":[\"harvest\"],"
              "\"map\":{\"k\":9},\"x-mine\":null"),
         PB_OK,                                                                                         ""                               },
        {"unknown key, its neighbour offered",    WITH("\"fron\":1"),                        PB_EPARSE,
         "in[1]: unknown key \"fron\"; did you mean \"from\""                                                                            },
        {"unknown key, none near",                WITH("\"whatever\":1"),                    PB_EPARSE,
         "in[1]: unknown key \"whatever\"; expected one of: name from list"                                                              },
        {"a key must be there",                   "{\"in\":[0,{\"from\":1}]}",               PB_EPARSE,
         "in[1]: \"name\" is missing"                                                                                                    },
        {"null is no value",                      WITH("\"from\":null"),                     PB_EPARSE,
         "in[1].from: expected a whole number, got null"                                                                                 },
        {"a point makes it no whole number",      WITH("\"from\":4.0"),                      PB_EPARSE,
         "in[1].from: expected a whole number, got a number with a point"                                                                },
        {"digits in quotes are a text",           WITH("\"from\":\"4\""),                    PB_EPARSE,
         "in[1].from: expected a whole number, got a text"                                                                               },
        {"over the range",                        WITH("\"from\":3651"),                     PB_ELIMIT,
         "in[1].from: expected a whole number from 0 to 3650, got 3651"                                                                  },
        {"under the range",                       WITH("\"from\":-1"),                       PB_ELIMIT, "got -1"                         },
        {"a number over the range",               WITH("\"share\":1.01"),                    PB_ELIMIT,
         "in[1].share: expected a number from 0 to 1, got 1.01"                                                                          },
        {"an array is no number",                 WITH("\"share\":[]"),                      PB_EPARSE, "got an array"                   },
        {"1 is not true",                         WITH("\"on\":1"),                          PB_EPARSE, "in[1].on: expected true"        },
        {"too few",                               WITH("\"list\":[]"),                       PB_EPARSE, "in[1].list: expected at least 1"},
        {"too many",                              WITH("\"list\":[1,2,3,4]"),                PB_ELIMIT,
         "in[1].list: expected at most 3, got 4"                                                                                         },
        {"no array",                              WITH("\"list\":{}"),                       PB_EPARSE,
         "expected an array, got an object"                                                                                              },
        {"unknown word",                          WITH("\"list\":[\"harvest\",\"ripe\"]"),   PB_EPARSE,
         "in[1].list[1]: unknown word \"ripe\"; expected one of: swelling harvest"                                                       },
        {"misspelt word",                         WITH("\"list\":[\"sweling\"]"),            PB_EPARSE,
         "in[1].list[0]: unknown word \"sweling\"; did you mean \"swelling\""                                                            },
        {"a word is a text",                      WITH("\"list\":[true]"),                   PB_EPARSE, "got true or false"              },
        {"a long key of a map",                   WITH("\"map\":{\"0123456789x\":1}"),       PB_ELIMIT,
         "in[1].map.0123456789x: is 11 bytes long"                                                                                       },
        {"an odd key of a map",                   WITH("\"map\":{\"a \\u001b[31m\":1}"),     PB_EPARSE,
         "in[1].map[\"a \\u{1B}[31m\"]: holds the control character U+001B"                                                              },
        {"a map too large",                       WITH("\"map\":{\"a\":1,\"b\":2,\"c\":3}"), PB_ELIMIT,
         "in[1].map: expected at most 2"                                                                                                 },
        {"a map's value has its key in the path", WITH("\"map\":{\"a\":1,\"b\":10}"),
         PB_ELIMIT,                                                                                     "in[1].map.b: expected"          },
        {"a text too long",                       "{\"in\":[0,{\"name\":\"0123456789x\"}]}", PB_ELIMIT,
         "in[1].name: is 11 bytes long, at most 10 fit"                                                                                  },
        {"a control character",                   "{\"in\":[0,{\"name\":\"a\\nb\"}]}",       PB_EPARSE,
         "in[1].name: holds the control character U+000A"                                                                                },
        {"an empty text",                         "{\"in\":[0,{\"name\":\"\"}]}",            PB_EPARSE, "is empty"                       },
        {"an object, not a number",               "{\"in\":[0,7]}",                          PB_EPARSE,
         "in[1]: expected an object, got a whole number"                                                                                 },
    };
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        json_t *doc = NULL;
        struct pb_err err = {0};
        struct pb_json_at list;
        CLAIM(load(rows[i].text, &doc, &err) == PB_OK, "%s: %s", rows[i].claim,
              err.text);
        struct pb_json_at root = pb_json_root(&origin, doc);
        CLAIM(pb_json_get(&root, "in", &list), "%s: in", rows[i].claim);
        struct pb_json_at at = pb_json_item(&list, 1);
        CLAIM(read_all(&at, &err) == rows[i].rc, "%s: %s", rows[i].claim, err.text);
        CLAIM(strncmp(err.text, rows[i].says, strlen(rows[i].says)) == 0 ||
                  strstr(err.text, rows[i].says) != NULL,
              "%s: %s", rows[i].claim, err.text);
        json_decref(doc);
    }
}

/* The message is safe and bounded whatever a key of a megabyte holds. */
static void hostile_key(void **state)
{
    (void)state;
    enum { N = 1000000 };
    static char text[N + 10];
    memset(text, 'k', N);
    memcpy(text, "{\"\x7F", 3);
    memcpy(text + N, "\":1}", 5);
    json_t *doc = NULL;
    struct pb_err err = {0};
    assert_int_equal(load(text, &doc, &err), PB_OK);
    struct pb_json_at root = pb_json_root(&origin, doc);
    assert_int_equal(pb_json_object(&root, keys, PB_ARRAY_LEN(keys), true, &err),
                     PB_EPARSE);
    assert_non_null(strstr(err.text, "unknown key \"\\u{7F}kkk"));
    assert_non_null(strstr(err.text, "…\"; expected one of"));
    json_decref(doc);
}

/* JSON Lines: the line of the file, not of the document. */
static void line_of_the_file(void **state)
{
    (void)state;
    const struct pb_json_origin line = {"x.jsonl", 7};
    struct pb_err err = {0};
    json_t *doc = NULL;
    assert_int_equal(pb_json_load(&line, "{", 1, &doc, &err), PB_EPARSE);
    assert_int_equal(err.line, 7);
    pb_err_clear(&err);
    assert_int_equal(pb_json_load(&line, "[]", 2, &doc, &err), PB_OK);
    struct pb_json_at root = pb_json_root(&line, doc);
    assert_int_equal(pb_json_object(&root, NULL, 0, true, &err), PB_EPARSE);
    assert_int_equal(err.line, 7);
    assert_string_equal(err.text, "expected an object, got an array");
    json_decref(doc);
}

/* Documents come and go in any order; one that is refused takes none of the others along. */
static void several_documents(void **state)
{
    (void)state;
    enum { LONG = 40000 };
    json_t *first = NULL, *second = NULL, *refused = NULL;
    char text[LONG + 5] = "[\"";
    memset(text + 2, 'a', LONG);
    memcpy(text + 2 + LONG, "\"]", 3);
    assert_int_equal(load("[\"first\"]", &first, NULL), PB_OK);
    assert_int_equal(load(text, &second, NULL), PB_OK);
    assert_int_equal(load("[\"refused\",]", &refused, NULL), PB_EPARSE);
    assert_string_equal(json_string_value(json_array_get(first, 0)), "first");
    json_decref(first);
    assert_int_equal(json_string_length(json_array_get(second, 0)), LONG);
    assert_int_equal(json_array_append_new(second, json_string("more")), 0);
    assert_int_equal(load("[\"third\"]", &first, NULL), PB_OK);
    json_decref(second);
    assert_string_equal(json_string_value(json_array_get(first, 0)), "third");
    json_decref(first);
}

static size_t own_calls;

static void *own_malloc(size_t n)
{
    own_calls++;
    return malloc(n);
}

/* A program that gave the JSON library an allocator is served by it. */
static void own_allocator(void **state)
{
    (void)state;
    json_t *doc = NULL;
    json_set_alloc_funcs(own_malloc, free);
    assert_int_equal(load("[\"a\"]", &doc, NULL), PB_OK);
    json_decref(doc);
    assert_true(own_calls > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(document_rows),    cmocka_unit_test(depth),
        cmocka_unit_test(value_rows),       cmocka_unit_test(hostile_key),
        cmocka_unit_test(line_of_the_file), cmocka_unit_test(several_documents),
        cmocka_unit_test(own_allocator),
    };
    return UNIT_MAIN("json_read", tests);
}
