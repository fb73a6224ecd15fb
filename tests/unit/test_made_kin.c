/* F and mean kinship of made pedigrees, beside what another program found. */
#include "../checks/pedigree/made_vectors.h"

static void up_to_100000_rows(void **state)
{
    (void)state;
    check_made(1, 100000, 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(up_to_100000_rows)};
    return UNIT_MAIN_VECTORS("made_kin", tests);
}
