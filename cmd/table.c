/* The sorted table of commands.  See table.h. */
#include "table.h"

#include "base/text.h"

#include <string.h>

#define COMMAND(name) &cmd_##name,
const struct cmd *const cmd_table[] = {
#include "commands.def"
};
#undef COMMAND
const size_t cmd_n = PB_ARRAY_LEN(cmd_table);

enum pb_rc cmd_unknown(const char *word, struct pb_err *err)
{
    static const char *const names[] = {
#define COMMAND(name) #name,
#include "commands.def"
#undef COMMAND
    };
    const char *best = pb_text_nearest(word, names, PB_ARRAY_LEN(names));
    return pb_fail(err, PB_ENOTFOUND, "no command \"%s\"%s%s%s", word,
                   best != NULL ? "; did you mean " : "; see podbook help",
                   best != NULL ? best : "", best != NULL ? "?" : "");
}

const struct cmd *cmd_find(const char *name)
{
    size_t low = 0, high = cmd_n;
    while (low < high) {
        size_t mid = low + (high - low) / 2;
        int c = strcmp(name, cmd_table[mid]->name);
        if (c == 0)
            return cmd_table[mid];
        if (c < 0)
            high = mid;
        else
            low = mid + 1;
    }
    return NULL;
}
