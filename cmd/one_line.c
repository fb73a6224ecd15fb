/* A user's text inside a line.  See one_line.h. */
#include "one_line.h"

#include "base/text.h"

#include <string.h>

const char *one_line(struct one_line *room, const char *text)
{
    size_t len = strlen(text), used = 0;
    for (size_t i = 0; i < len && used + PB_TEXT_ESCAPED <= sizeof(room->text);) {
        i += pb_text_escape_first(text + i, len - i, room->text + used);
        used += strlen(room->text + used);
    }
    room->text[used] = '\0';
    return room->text;
}
