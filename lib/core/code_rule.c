/* What a code must look like.  See code_rule.h. */
#include "core/code_rule.h"

#include "core/record.h"

#include <string.h>

_Static_assert((int)PB_RULE_PLANT == PB_PLANT && (int)PB_RULE_POLLEN == PB_POLLEN,
               "a rule for each kind");

/* podbook's own code of one of those letters (NULL: any), as podbook writes it. */
static bool is_own_code(const char *code, const char *letters)
{
    enum { SHORTEST = 7 }; /* X26-001 */
    struct pb_own_code own;
    return pb_own_code_parse(code, &own) && own.look == 0 && code[0] == own.letter &&
           strlen(code) >= SHORTEST &&
           (letters == NULL || strchr(letters, own.letter) != NULL);
}

enum pb_rc pb_code_fits(enum pb_code_rule rule, const char *code, struct pb_err *err)
{
    /* ORDER RULE */
    static const struct {
        const char *letters, *noun;
    } rows[PB_RULE_N] = {
        {NULL, NULL                 },
        {"X",  "cross"              },
        {"S",  "seed lot"           },
        {"F",  "flask"              },
        {"C",  "cutting"            },
        {"P",  "pollen lot"         },
        {"SF", "seed lot's or flask"},
        {"FC", "flask's or cutting" },
        {NULL, NULL                 },
    };
    if (rule == PB_RULE_PLANT)
        return pb_code_check(NULL, code, err);
    if (rule == PB_RULE_ANY)
        return is_own_code(code, NULL) ? PB_OK : pb_code_check(NULL, code, err);
    if (is_own_code(code, rows[rule].letters))
        return PB_OK;
    return pb_fail(err, PB_EPARSE, "expected a %s's code, as %c26-001, got \"%s\"",
                   rows[rule].noun, rows[rule].letters[0], code);
}
