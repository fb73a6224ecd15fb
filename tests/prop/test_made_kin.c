/* F and mean kinship of a million plants, beside what another program found. */
#include "../checks/pedigree/made_vectors.h"

static void a_million_rows(void **state)
{
    (void)state;
    check_made(1000000, 1000000, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_million_rows)};
    return UNIT_MAIN_VECTORS("made_kin", tests);
}
