/* Reminders on lines.  See reminder_lines.h. */
#include "reminder_lines.h"

#include <string.h>

int reminder_split(char *line, char *f[FIELD_N])
{
    int n = 0;
    line[strcspn(line, "\n")] = '\0';
    for (char *p = line; p != NULL && n < FIELD_N; n++) {
        f[n] = p;
        p = strchr(p, '\t');
        if (p != NULL)
            *p++ = '\0';
    }
    for (char *p = f[n - 1]; (p = strchr(p, REMINDER_BREAK)) != NULL;)
        *p = '\n';
    return n;
}
