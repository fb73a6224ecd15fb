/* Reading profiles when memory runs out. */
#include "oom.h"

#include "exchange/profile_file.h"

#include <jansson.h>
#include <stdlib.h>
#include <string.h>

static enum pb_rc parse(struct pb_err *err)
{
    static const char text[] =
        "{\"profiles\":[{\"name\":\"one\",\"taxa\":[\"Macodes\",\"Macodes petola\"],"
        "\"part_of\":[\"Goodyera\"],\"group_of\":[\"Macodisia\"],\"note\":\"a\\u00e9 "
        "long"
        " enough to make the text of the lexer grow more than once\",\"stages\":{"
        "\"harvest\":{\"from\":1,\"to\":2,\"source\":\"a+b\",\"confidence\":\"H\"}}}],"
        "\"synonyms\":{\"Haemaria\":\"Ludisia\"},\"sources\":{\"a\":\"one\",\"b\":"
        "\"two\"}}";
    static const char note[] =
        "a\xC3\xA9 long enough to make the text of the lexer grow more than once";
    struct pb_profile_table *table = NULL;
    enum pb_rc rc = pb_profile_table_parse("p.json", text, strlen(text), &table, err);
    if (rc == PB_OK && strcmp(table->rows[0].note, note) != 0)
        rc = pb_fail(err, PB_EINVALID, "the note is not what was written");
    pb_profile_table_free(table);
    return rc;
}

static void profiles(void **state)
{
    (void)state;
    /* jansson's own calls then pass through the wrapped ones as well */
    json_set_alloc_funcs(malloc, free);
    oom_each("a file of profiles is read", parse);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(profiles)};
    return UNIT_MAIN("oom_profile_file", tests);
}
