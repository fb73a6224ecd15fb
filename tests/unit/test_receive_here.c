/* What is received and what stands here: one clone stays one taxon; where a plant is, its
 * book says. */
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

static void is_elsewhere(struct side *s, const char *code, bool elsewhere, bool named)
{
    struct pb_plant p;
    find_plant(s, code, &p);
    CLAIM(p.elsewhere == elsewhere && p.named_only == named, "%s: %d, %d", code,
          p.elsewhere, p.named_only);
    pb_plant_clear(&p);
}

/* Where a plant is, is the business of each book; a record that comes again leaves it. */
static void each_book_says_where(void **state)
{
    struct pair *p = *state;
    p->b.stay = true;
    side_share(&p->a, "X26-001", false, &p->text);
    (void)side_receive(&p->b, pb_buf_peek(&p->text));
    is_elsewhere(&p->b, "AR-1b", true, true);
    tells("its own record comes", a_to_b(p, false),
          "1 AR-1 added\n2 AR-1b added\n3 GH-2 added\n4 X26-001 same\n");
    is_elsewhere(&p->b, "AR-1b", true, false);
    assert_int_equal(p->b.sum.yours, 0);
    p->b.stay = false;
    tells("and again", a_to_b(p, false),
          "1 AR-1 same\n2 AR-1b same\n3 GH-2 same\n4 X26-001 same\n");
    amend(&p->b, "GH-2", "elsewhere", "no");
    amend(&p->a, "AR-1b", "ploidy", "2");
    amend(&p->a, "GH-2", "ploidy", "2");
    plant(&p->a, "GH-3", "Goodyera hispida", NULL);
    tells("a newer one", a_to_b(p, false),
          "1 AR-1 same\n2 AR-1b replaced\n3 GH-2 replaced\n4 GH-3 added\n"
          "5 X26-001 same\n");
    is_elsewhere(&p->b, "AR-1b", true, false);
    is_elsewhere(&p->b, "GH-2", false, false);
    is_elsewhere(&p->b, "GH-3", false, false);
    assert_int_equal(p->b.sum.yours, 1);
    undo(&p->b);
    undo(&p->b);
    undo(&p->b); /* known by name only, as before its record came */
    is_elsewhere(&p->b, "AR-1b", true, true);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(clones_keep_one_taxon),
        T(each_book_says_where),
    };
    return UNIT_MAIN("receive_here", tests);
}
