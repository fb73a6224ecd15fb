/* The built-in table is what its file says, read by a second way. */
#include "unit.h"

#include "core/profile.h"

#include <jansson.h>
#include <string.h>

static const struct pb_profile *row_named(const char *name)
{
    for (size_t i = 0; i < pb_profiles_builtin.row_n; i++)
        if (strcmp(pb_profiles_builtin.rows[i].name, name) == 0)
            return &pb_profiles_builtin.rows[i];
    fail_msg("no row %s", name);
    return NULL;
}

static int days(const json_t *stage, const char *key)
{
    const json_t *v = json_object_get(stage, key);
    return v == NULL ? -1 : (int)json_integer_value(v);
}

static void same_text(const char *name, const json_t *v, const char *text)
{
    const char *want = v == NULL ? NULL : json_string_value(v);
    CLAIM(pb_text_equal(want, text), "%s: \"%s\", the file has \"%s\"", name,
          text == NULL ? "" : text, want == NULL ? "" : want);
}

static void same_stage(const char *name, const json_t *v,
                       const struct pb_profile_stage *s)
{
    same_text(name, json_object_get(v, "source"), s->source);
    if (v == NULL)
        return;
    CLAIM(days(v, "from") == s->from && days(v, "to") == s->to &&
              days(v, "best") == s->best,
          "%s: days", name);
    same_text(name, json_object_get(v, "confidence"),
              pb_confidence_names[s->confidence]);
    same_text(name, json_object_get(v, "sign"), s->no_sign ? "none" : NULL);
    double weight = json_number_value(json_object_get(v, "weight"));
    CLAIM(!(weight < s->weight) && !(weight > s->weight), "%s: weight", name);
}

static void same_row(json_t *v)
{
    const char *name = json_string_value(json_object_get(v, "name"));
    const struct pb_profile *row = row_named(name);
    if (row == NULL) {
        fail_msg("%s: not built in", name);
        return; /* for the compiler: fail_msg does not come back */
    }
    same_text(name, json_object_get(v, "note"), row->note);
    for (size_t i = 0; i < PB_LIST_N; i++) {
        const json_t *list = json_object_get(v, pb_profile_list_names[i]);
        CLAIM(json_array_size(list) == row->lists[i].n, "%s: %s", name,
              pb_profile_list_names[i]);
        for (size_t k = 0; k < row->lists[i].n; k++)
            same_text(name, json_array_get(list, k), row->lists[i].v[k]);
    }
    const json_t *stages = json_object_get(v, "stages");
    size_t n = 0;
    for (size_t i = 0; i < PB_STAGE_N; i++) {
        same_stage(name, json_object_get(stages, pb_stage_names[i]), &row->stages[i]);
        n += row->stages[i].source != NULL;
    }
    CLAIM(n == json_object_size(stages), "%s: stages", name);
    const json_t *rate = json_object_get(v, "set_rate");
    same_text(name, json_object_get(rate, "source"), row->set_rate.source);
    double share = json_number_value(json_object_get(rate, "share"));
    CLAIM(!(share < row->set_rate.share) && !(share > row->set_rate.share), "%s: share",
          name);
}

static void builtin_is_the_file(void **state)
{
    (void)state;
    json_error_t fault;
    json_t *doc = json_load_file(PB_SOURCE_DIR "/lib/data/profiles.json", 0, &fault);
    CLAIM(doc != NULL, "%s", fault.text);
    const struct pb_profile_table *t = &pb_profiles_builtin;
    const json_t *rows = json_object_get(doc, "profiles");
    assert_int_equal(json_array_size(rows), t->row_n);
    for (size_t i = 0; i < t->row_n; i++)
        same_row(json_array_get(rows, i));
    const json_t *sources = json_object_get(doc, "sources");
    assert_int_equal(json_object_size(sources), t->source_n);
    for (size_t i = 0; i < t->source_n; i++)
        same_text(t->sources[i].key, json_object_get(sources, t->sources[i].key),
                  t->sources[i].text);
    const json_t *synonyms = json_object_get(doc, "synonyms");
    assert_int_equal(json_object_size(synonyms), t->synonym_n);
    for (size_t i = 0; i < t->synonym_n; i++)
        same_text(t->synonyms[i].from, json_object_get(synonyms, t->synonyms[i].from),
                  t->synonyms[i].to);
    json_decref(doc);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(builtin_is_the_file)};
    return UNIT_MAIN("profile_builtin", tests);
}
