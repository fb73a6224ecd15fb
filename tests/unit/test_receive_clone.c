/* Received records and clones: one clone stays one taxon. */
#include "pair.h"

static void is_taxon(struct side *s, const char *code, const char *taxon)
{
    struct pb_plant p;
    find_plant(s, code, &p);
    CLAIM(strcmp(p.taxon, taxon) == 0, "%s is %s", code, p.taxon);
    pb_plant_clear(&p);
}

/* A label put right there reaches the whole clone here; what contradicts it is bad. */
static void clones_keep_one_taxon(void **state)
{
    struct pair *p = *state;
    (void)a_to_b(p, false);
    plant(&p->b, "own", "Anoectochilus roxburghii", "AR-1b");
    amend(&p->a, "AR-1", "taxon", "Anoectochilus formosanus");
    tells("the pups follow before they come", a_to_b(p, false),
          "1 AR-1 replaced: its clone has the new taxon with it: AR-1b, own\n"
          "2 AR-1b same\n3 GH-2 same\n4 X26-001 same\n");
    is_taxon(&p->b, "own", "Anoectochilus formosanus");
    plant(&p->a, "AR-1c", "Anoectochilus formosanus", "AR-1");
    amend(&p->b, "AR-1", "taxon", "Dossinia marmorata");
    tells(
        "another label here", a_to_b(p, false),
        "1 AR-1 older\n2 AR-1b older\n3 GH-2 same\n"
        "4 bad source_plant: AR-1c cannot be Anoectochilus formosanus: its source AR-1 "
        "is Dossinia marmorata, and a clone is one taxon; podbook amend AR-1 "
        "taxon=NAME puts the whole clone right, or give AR-1c another origin\n"
        "5 X26-001 same\n");
    cross(&p->a, "AR-1c", "GH-2", 1);
    side_share(&p->a, "X26-002", false, &p->text);
    tells("a plant only named follows ours", side_receive(&p->b, pb_buf_peek(&p->text)),
          "1 X26-002 added\n");
    is_taxon(&p->b, "AR-1c", "Dossinia marmorata");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(clones_keep_one_taxon),
    };
    return UNIT_MAIN("receive_clone", tests);
}
