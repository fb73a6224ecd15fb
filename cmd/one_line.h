/*
 * A user's text inside an error, a remark or a line that says what was done.  Each of those is
 * one line: a name with a newline in it would write lines that podbook never said.
 */
#ifndef PB_CMD_ONE_LINE_H
#define PB_CMD_ONE_LINE_H

struct one_line {
    char text[8192];
};

/*
 * The text with newlines and all other controls escaped; what passes the room is left out.
 * Allocates nothing.
 *   room  the text's; borrowed as long as it is used
 */
const char *one_line(struct one_line *room, const char *text);

#endif
