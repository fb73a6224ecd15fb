/*
 * Names of scales.  See scale.h.
 * Sources, from memory: Zettler and Hofer (1998), Environ. Exp. Bot. 39:189-195, and the
 * papers of Zettler, Stewart and Kane that follow it; Stewart and Kane (2006), Plant Cell
 * Tissue Organ Cult. 86:147-158.
 */
#include "core/scale.h"

#include "base/limits.h"
#include "base/text.h"

#include <string.h>

enum {
    LETTERS = 3,               /* of a name, at least */
    HEAD = 5,                  /* bytes of a name of which the rest was left out */
    KEY = 3 * PB_MAX_NAME + 1, /* "&" is three letters */
};

/* ORDER SCALE */
static const char *const names[] = {"Stewart and Kane 2006", "Zettler and Hofer"};
static const char *const keys[] = {"stewart and kane 2006", "zettler and hofer"};
_Static_assert(PB_ARRAY_LEN(names) == PB_ARRAY_LEN(keys), "ORDER SCALE");

static bool is_letter(char c)
{
    unsigned char u = (unsigned char)c;
    return (u >= 'a' && u <= 'z') || (u >= 'A' && u <= 'Z') || u > 127;
}

enum pb_rc pb_scale_check(const char *name, struct pb_err *err)
{
    int letters = 0;
    bool odd = false;
    for (const char *p = name; *p != '\0'; p++) {
        letters += is_letter(*p);
        odd = odd || (!is_letter(*p) && strchr("0123456789 .,:;&-/()'", *p) == NULL);
    }
    if (letters >= LETTERS && !odd)
        return PB_OK;
    return pb_fail_at(err, PB_EINVALID, "scale", 0,
                      "\"%s\" cannot be the name of a scale, such as %s", name,
                      names[0]);
}

/* What the names are compared by. */
static void make_key(const char *name, char key[KEY])
{
    size_t n = 0;
    for (const char *p = name; *p != '\0' && n + 3 < KEY; p++) {
        bool blank = *p == ' ' && (n == 0 || key[n - 1] == ' ');
        if (*p == '&') {
            memcpy(key + n, "and", 3);
            n += 3;
        } else if (!blank && strchr(".,;()", *p) == NULL) {
            key[n] = *p;
            if (*p >= 'A' && *p <= 'Z')
                key[n] = (char)(*p - 'A' + 'a');
            n++;
        }
    }
    while (n > 0 && key[n - 1] == ' ')
        n--;
    key[n] = '\0';
}

bool pb_scale_same(const char *a, const char *b)
{
    char key_a[KEY], key_b[KEY];
    make_key(a, key_a);
    make_key(b, key_b);
    return strcmp(key_a, key_b) == 0;
}

static size_t find(const char *key)
{
    size_t i = 0;
    while (i < PB_ARRAY_LEN(keys) && strcmp(keys[i], key) != 0)
        i++;
    return i;
}

bool pb_scale_is_known(const char *name)
{
    char key[KEY];
    make_key(name, key);
    return find(key) < PB_ARRAY_LEN(keys);
}

const char *pb_scale_meant(const char *name)
{
    char key[KEY];
    make_key(name, key);
    const char *near = pb_text_nearest(key, keys, PB_ARRAY_LEN(keys));
    size_t len = strlen(key);
    for (size_t i = 0; i < PB_ARRAY_LEN(keys) && near == NULL; i++)
        if (len >= HEAD && (strncmp(key, keys[i], len) == 0 ||
                            strncmp(key, keys[i], strlen(keys[i])) == 0))
            near = keys[i];
    size_t which = near != NULL ? find(near) : PB_ARRAY_LEN(keys);
    return which < PB_ARRAY_LEN(keys) ? names[which] : NULL;
}

const char *pb_scale_name(size_t i)
{
    return i < PB_ARRAY_LEN(names) ? names[i] : NULL;
}
