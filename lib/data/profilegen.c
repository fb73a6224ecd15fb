/*
 * Build-time generator: profiles.json -> pb_profiles_builtin, a sorted constant C table, so
 * that starting the program parses nothing.
 *   profilegen IN.json OUT.c
 * Reads with the reader of the grower's own file: what one refuses, so does the other.
 */
#include "exchange/profile_file.h"

#include <stdio.h>
#include <stdlib.h>

static void put_text(FILE *out, const char *text)
{
    if (text == NULL) {
        (void)fputs("NULL", out);
        return;
    }
    (void)fputc('"', out);
    for (; *text != '\0'; text++) {
        unsigned char c = (unsigned char)*text;
        if (c < 0x20U || c >= 0x7FU || c == '"' || c == '\\' || c == '?')
            (void)fprintf(out, "\\%03o", c);
        else
            (void)fputc(c, out);
    }
    (void)fputc('"', out);
}

static void put_list(FILE *out, size_t row, size_t list, const struct pb_names *names)
{
    if (names->n == 0)
        return;
    (void)fprintf(out, "static const char *const names_%zu_%zu[] = {\n", row, list);
    for (size_t i = 0; i < names->n; i++) {
        (void)fputs("    ", out);
        put_text(out, names->v[i]);
        (void)fputs(",\n", out);
    }
    (void)fputs("};\n", out);
}

static void put_stage(FILE *out, size_t which, const struct pb_profile_stage *s)
{
    if (s->source == NULL)
        return;
    (void)fprintf(out, "            [%zu] = {%d, %d, %d, ", which, s->from, s->to,
                  s->best);
    put_text(out, s->source);
    (void)fprintf(out, ", (enum pb_confidence)%d, %.17g, %s},\n", (int)s->confidence,
                  s->weight, s->no_sign ? "true" : "false");
}

static void put_row(FILE *out, size_t row, const struct pb_profile *p)
{
    (void)fputs("    {\n        .name = ", out);
    put_text(out, p->name);
    (void)fputs(",\n        .note = ", out);
    put_text(out, p->note);
    (void)fputs(",\n        .lists = {\n", out);
    for (size_t i = 0; i < PB_LIST_N; i++)
        if (p->lists[i].n > 0)
            (void)fprintf(out, "            [%zu] = {names_%zu_%zu, %zu},\n", i, row, i,
                          p->lists[i].n);
        else
            (void)fprintf(out, "            [%zu] = {NULL, 0},\n", i);
    (void)fputs("        },\n        .stages = {\n", out);
    for (size_t i = 0; i < PB_STAGE_N; i++)
        put_stage(out, i, &p->stages[i]);
    (void)fprintf(out, "        },\n        .set_rate = {%.17g, ", p->set_rate.share);
    put_text(out, p->set_rate.source);
    (void)fprintf(out, ", (enum pb_confidence)%d},\n    },\n",
                  (int)p->set_rate.confidence);
}

static void put_pair(FILE *out, const char *a, const char *b)
{
    (void)fputs("    {", out);
    put_text(out, a);
    (void)fputs(", ", out);
    put_text(out, b);
    (void)fputs("},\n", out);
}

static void put_table(FILE *out, const struct pb_profile_table *t)
{
    (void)fputs("/* Made by profilegen from lib/data/profiles.json; change that. */\n"
                "#include \"core/profile.h\"\n\n",
                out);
    for (size_t i = 0; i < t->row_n; i++)
        for (size_t k = 0; k < PB_LIST_N; k++)
            put_list(out, i, k, &t->rows[i].lists[k]);
    (void)fputs("static const struct pb_profile rows[] = {\n", out);
    for (size_t i = 0; i < t->row_n; i++)
        put_row(out, i, &t->rows[i]);
    (void)fputs("};\nstatic const struct pb_profile_entry entries[] = {\n", out);
    for (size_t i = 0; i < t->entry_n; i++) {
        (void)fputs("    {", out);
        put_text(out, t->entries[i].taxon);
        (void)fprintf(out, ", (enum pb_profile_list)%d, %zu},\n",
                      (int)t->entries[i].list, t->entries[i].row);
    }
    (void)fputs("};\nstatic const struct pb_profile_source sources[] = {\n", out);
    for (size_t i = 0; i < t->source_n; i++)
        put_pair(out, t->sources[i].key, t->sources[i].text);
    (void)fputs("};\nstatic const struct pb_profile_synonym synonyms[] = {\n", out);
    for (size_t i = 0; i < t->synonym_n; i++)
        put_pair(out, t->synonyms[i].from, t->synonyms[i].to);
    (void)fprintf(out,
                  "};\n\nconst struct pb_profile_table pb_profiles_builtin = {\n"
                  "    rows, %zu, entries, %zu, sources, %zu, synonyms, %zu,\n};\n",
                  t->row_n, t->entry_n, t->source_n, t->synonym_n);
}

/* The whole file or none, so that a build that failed halfway starts again. */
static bool write_table(const char *path, const struct pb_profile_table *t)
{
    FILE *out = fopen(path, "w");
    if (out == NULL)
        return false;
    put_table(out, t);
    bool bad = ferror(out) != 0;
    bad = fclose(out) != 0 || bad;
    if (bad)
        (void)remove(path);
    return !bad;
}

int main(int argc, char **argv)
{
    struct pb_err err = {0};
    struct pb_profile_table *table = NULL;
    if (argc != 3) {
        (void)fputs("usage: profilegen IN.json OUT.c\n", stderr);
        return 2;
    }
    enum pb_rc rc = pb_profile_table_load(argv[1], &table, &err);
    /* C has no arrays of nothing */
    bool full = table != NULL && table->row_n > 0 && table->entry_n > 0 &&
                table->source_n > 0 && table->synonym_n > 0;
    if (rc == PB_OK && !full)
        rc = pb_fail_at(&err, PB_ENOTFOUND, argv[1], 0,
                        "is missing or has no profiles, sources or synonyms");
    if (full && !write_table(argv[2], table))
        rc = pb_fail_at(&err, PB_EIO, argv[2], 0, "cannot be written");
    if (rc != PB_OK)
        (void)fprintf(stderr, "%s:%ld: %s\n", err.where, err.line > 0 ? err.line : 1,
                      err.text);
    pb_profile_table_free(table);
    return rc == PB_OK ? 0 : 1;
}
