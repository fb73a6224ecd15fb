/* Tables as spreadsheets write them. */
#include "unit.h"

#include "exchange/table.h"

#include <stdio.h>
#include <string.h>

static const struct {
    const char *claim, *text;
    char separator; /* asked for, 0: none */
    enum pb_rc rc;
    const char *cells; /* "line:cell|cell" of every row, each ended by "/" */
} rows[] = {
    {"commas",                          "a,b\n1,2\n",                 0,   PB_OK,     "1:a|b/2:1|2/"      },
    {"semicolons where there are more", "a;b;c,d\n1;2;3\n",           0,   PB_OK,
     "1:a|b|c,d/2:1|2|3/"                                                                                 },
    {"tabs",                            "a\tb\n1\t2\n",               0,   PB_OK,     "1:a|b/2:1|2/"      },
    {"those in quotes do not count",    "\"a;;;\",b\n1,2\n",          0,   PB_OK,     "1:a;;;|b/2:1|2/"   },
    {"the one asked for",               "a,b\n1;2\n",                 ';', PB_OK,     "1:a,b/2:1|2/"      },
    {"a byte order mark goes",
     "\xEF\xBB\xBF"
     "a\n1\n",                                                        0,   PB_OK,     "1:a/2:1/"          },
    {"CRLF",                            "a,b\r\n1,2\r\n",             0,   PB_OK,     "1:a|b/2:1|2/"      },
    {"CR of old",                       "a,b\r1,2\r",                 0,   PB_OK,     "1:a|b/2:1|2/"      },
    {"a last line without its end",     "a\n1",                       0,   PB_OK,     "1:a/2:1/"          },
    {"empty lines are counted",         "a\n\n\n1\n",                 0,   PB_OK,     "1:a/4:1/"          },
    {"empty rows too",                  "a,b\n,\n1,2\n",              0,   PB_OK,     "1:a|b/3:1|2/"      },
    {"doubled quotes",                  "a\n\"x \"\"y\"\"\"\n",       0,   PB_OK,     "1:a/2:x \"y\"/"    },
    {"a stray quote stays",             "a\n3\" pot\n4\n",            0,   PB_OK,     "1:a/2:3\" pot/3:4/"},
    {"a line break becomes a blank",    "a,b\n\"x\r\n\ny\",2\n3,4\n", 0,   PB_OK,
     "1:a|b/2:x y|2/5:3|4/"                                                                               },
    {"blanks at the ends go",           "a\n\"  x  \"\n",             0,   PB_OK,     "1:a/2:x/"          },
    {"empty cells stay",                "a,b,c\n,,3\n",               0,   PB_OK,     "1:a|b|c/2:||3/"    },
    {"a quote without its end",         "a\n1\n\"x\ny\n",             0,   PB_EPARSE, "3"                 },
    {"nothing",                         "",                           0,   PB_EPARSE, "0"                 },
    {"empty lines alone",               "\n\n",                       0,   PB_EPARSE, "0"                 },
    {"UTF-16",
     "\xFF\xFE"
     "a",                                                             0,   PB_EPARSE, "0"                 },
};

static void all_cells(const struct pb_table *t, char *out, size_t size)
{
    size_t n = 0;
    out[0] = '\0';
    for (size_t r = 0; r < t->row_n; r++) {
        n += (size_t)snprintf(out + n, size - n, "%ld:", t->row[r].line);
        for (size_t c = 0; c < t->row[r].n; c++)
            n += (size_t)snprintf(out + n, size - n, "%s%s", c > 0 ? "|" : "",
                                  pb_table_cell(t, r, c));
        n += (size_t)snprintf(out + n, size - n, "/");
    }
}

static void read_as_written(void **state)
{
    (void)state;
    for (size_t i = 0; i < PB_ARRAY_LEN(rows); i++) {
        struct pb_table t;
        struct pb_err err = {0};
        char got[400];
        FILE *in = tmpfile();
        assert_non_null(in);
        (void)fputs(rows[i].text, in);
        rewind(in);
        enum pb_rc rc = pb_table_read(in, "t.csv", rows[i].separator, &t, &err);
        if (rc == PB_OK)
            all_cells(&t, got, sizeof(got));
        else
            (void)snprintf(got, sizeof(got), "%ld", err.line);
        if (rc != rows[i].rc || strcmp(got, rows[i].cells) != 0)
            fail_msg("%s: %s, got %s", rows[i].claim, pb_rc_name(rc), got);
        if (rc == PB_OK)
            assert_string_equal(pb_table_cell(&t, 0, 99), "");
        pb_table_clear(&t);
        (void)fclose(in);
    }
}

static void a_nul_is_no_text(void **state)
{
    (void)state;
    struct pb_table t;
    FILE *in = tmpfile();
    assert_non_null(in);
    assert_int_equal(fwrite("a\0b\n", 1, 4, in), 4);
    rewind(in);
    assert_int_equal(pb_table_read(in, "t.csv", 0, &t, NULL), PB_EPARSE);
    pb_table_clear(&t);
    (void)fclose(in);
}

static const struct {
    const char *claim, *text, *written;
} cells[] = {
    {"as it is",                        "one two",       "one two"           },
    {"empty",                           "",              ""                  },
    {"a comma in quotes",               "a,b",           "\"a,b\""           },
    {"a quote doubled",                 "3\" pot",       "\"3\"\" pot\""     },
    {"another's separator too",         "a;b",           "\"a;b\""           },
    {"no formula",                      "=1+1",          "'=1+1"             },
    {"nor by a sign",                   "+1",            "'+1"               },
    {"or the other",                    "-1",            "'-1"               },
    {"or a call",                       "@SUM(A1)",      "'@SUM(A1)"         },
    {"in quotes neither",               "=A1,\"x\"",     "\"'=A1,\"\"x\"\"\""},
    {"a sign further on is no formula", "a=b+c-d@e",     "a=b+c-d@e"         },
    {"an escape is not one any more",   "a\x1B[31m",     "a\\u{1B}[31m"      },
    {"nor is a line's end",             "a\r\nb",        "a\\u{D}\\u{A}b"    },
    {"nor what turns the direction",    "a\xE2\x80\xAE", "a\\u{202E}"        },
    {"nor a control of eight bits",
     "\xC2\x9B"
     "2J",                                               "\\u{9B}2J"         },
    {"a bad byte by its number",        "a\xFF,",        "\"a\\xFF,\""       },
};

static void cells_are_written(void **state)
{
    (void)state;
    for (size_t i = 0; i < PB_ARRAY_LEN(cells); i++) {
        struct pb_buf out;
        pb_buf_init(&out, 1000);
        assert_int_equal(pb_table_put(&out, '\0', cells[i].text, NULL), PB_OK);
        CLAIM(strcmp(pb_buf_peek(&out), cells[i].written) == 0, "%s: %s",
              cells[i].claim, pb_buf_peek(&out));
        assert_int_equal(pb_table_put(&out, ';', "x", NULL), PB_OK);
        assert_string_equal(pb_buf_peek(&out) + strlen(cells[i].written), ";x");
        pb_buf_clear(&out);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(read_as_written),
        cmocka_unit_test(a_nul_is_no_text),
        cmocka_unit_test(cells_are_written),
    };
    return UNIT_MAIN("table", tests);
}
