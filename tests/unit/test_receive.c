/* Two books that exchange records: what is entered, replaced, left, kept private. */
#include "pair.h"

#include "act/timing.h"

static void again_changes_nothing(void **state)
{
    struct pair *p = *state;
    tells("into an empty book", a_to_b(p, false),
          "1 AR-1 added\n2 AR-1b added\n3 GH-2 added\n4 X26-001 added\n");
    int before = acts(&p->b);
    tells("again", a_to_b(p, false),
          "1 AR-1 same\n2 AR-1b same\n3 GH-2 same\n4 X26-001 same\n");
    assert_int_equal(acts(&p->b), before);
    int home = acts(&p->a);
    tells("and back home", b_to_a(p),
          "1 AR-1 same\n2 AR-1b same\n3 GH-2 same\n4 X26-001 same\n");
    assert_int_equal(acts(&p->a), home);
}

/* Where nothing changed there is no act to take back. */
static void nothing_leaves_no_act(void **state)
{
    struct pair *p = *state;
    plant(&p->b, "own", "Dossinia marmorata", NULL);
    int before = acts(&p->b);
    tells("rubbish", side_receive(&p->b, "rubbish\n"),
          "1 bad is not good JSON at column 7: '[' or '{' expected near 'rubbish'\n");
    assert_int_equal(p->b.sum.bad, 1);
    tells("nothing at all", side_receive(&p->b, ""), "");
    assert_int_equal(acts(&p->b), before);
}

static void taken_codes(void **state)
{
    struct pair *p = *state;
    plant(&p->b, "ar-1", "Dossinia marmorata", NULL);
    plant(&p->b, "GH-2", "Goodyera schlechtendaliana", NULL);
    cross(&p->b, "ar-1", "GH-2", 1);
    tells("taken codes get new ones", a_to_b(p, false),
          "1 AR-1-2<AR-1 added\n2 AR-1b added\n3 GH-2-2<GH-2 added\n"
          "4 X26-002<X26-001 added\n");
    struct pb_cross x;
    find(&p->b, "X26-002", &x);
    assert_string_equal(x.head.origin_code, "X26-001");
    assert_string_equal(x.pollen[0].parent.plant.code, "GH-2-2");
    assert_string_equal(x.seed.genet.code, "AR-1-2");
    pb_cross_clear(&x);
    tells("and keep them", a_to_b(p, false),
          "1 AR-1-2<AR-1 same\n2 AR-1b same\n3 GH-2-2<GH-2 same\n"
          "4 X26-002<X26-001 same\n");
    amend(&p->a, "AR-1", "ploidy", "2");
    look(&p->a, "X26-001", PB_HOLDING, 3);
    tells("when they are replaced too", a_to_b(p, false),
          "1 AR-1-2<AR-1 replaced\n2 AR-1b same\n3 GH-2-2<GH-2 same\n"
          "4 X26-002<X26-001 replaced\n");
    tells("home again, ours are new there", b_to_a(p),
          "1 ar-1-2<ar-1 added\n2 GH-2-2<GH-2 added\n3 AR-1<AR-1-2 same\n"
          "4 AR-1b same\n5 GH-2<GH-2-2 same\n6 X26-002<X26-001 added\n"
          "7 X26-001<X26-002 same\n");
}

/* A code that came is never given again. */
static void numbers_go_on(void **state)
{
    struct pair *p = *state;
    (void)a_to_b(p, false);
    cross(&p->b, "AR-1", "GH-2", 1);
    struct pb_cross x;
    find(&p->b, "X26-002", &x);
    pb_cross_clear(&x);
}

static void newer_replaces(void **state)
{
    struct pair *p = *state;
    (void)a_to_b(p, true);
    look(&p->a, "X26-001", PB_DROPPED, 1);
    amend(&p->a, "GH-2", "taxon", "Goodyera hispida var.");
    tells("newer", a_to_b(p, false),
          "1 AR-1 same\n2 AR-1b same\n3 GH-2 replaced\n4 X26-001 replaced\n");
    struct pb_cross x;
    find(&p->b, "X26-001", &x);
    assert_int_equal(x.look_n, 2);
    assert_int_equal(x.looks[1].found, PB_DROPPED);
    assert_string_equal(x.note, "a note of the cross"); /* private, and it stays */
    assert_string_equal(x.looks[0].note, "a note of the look");
    assert_null(x.looks[1].note);
    assert_string_equal(x.pollen[0].parent.taxon, "Goodyera hispida var.");
    assert_int_equal(x.head.revision, 3);
    pb_cross_clear(&x);
    tells("then it is the same", a_to_b(p, false),
          "1 AR-1 same\n2 AR-1b same\n3 GH-2 same\n4 X26-001 same\n");
    undo(&p->b); /* the replacement goes back to the history's state */
    find(&p->b, "X26-001", &x);
    assert_int_equal(x.look_n, 1);
    pb_cross_clear(&x);
}

static void older_and_clash(void **state)
{
    struct pair *p = *state;
    (void)a_to_b(p, false);
    look(&p->b, "X26-001", PB_HOLDING, 3);
    amend(&p->b, "AR-1", "ploidy", "2");
    tells("older", a_to_b(p, false),
          "1 AR-1 older\n2 AR-1b same\n3 GH-2 same\n4 X26-001 older\n");
    look(&p->a, "X26-001", PB_DROPPED, 3);
    amend(&p->a, "AR-1", "ploidy", "4");
    tells("both changed it", a_to_b(p, false),
          "1 AR-1 clash\n2 AR-1b same\n3 GH-2 same\n4 X26-001 clash\n");
    struct pb_cross x;
    find(&p->b, "X26-001", &x);
    assert_int_equal(x.looks[1].found, PB_HOLDING); /* ours stays */
    pb_cross_clear(&x);
}

static void private_by_default(void **state)
{
    struct pair *p = *state;
    struct pb_plant gh;
    side_share(&p->a, NULL, false, &p->text);
    assert_null(strstr(pb_buf_peek(&p->text), "note"));
    assert_null(strstr(pb_buf_peek(&p->text), "friend"));
    (void)side_receive(&p->b, pb_buf_peek(&p->text));
    tells("notes that came later are taken in", a_to_b(p, true),
          "1 AR-1 same\n2 AR-1b same\n3 GH-2 replaced\n4 X26-001 replaced\n");
    amend(&p->a, "GH-2", "place", "bench 2");
    tells("new ones too", a_to_b(p, true),
          "1 AR-1 same\n2 AR-1b same\n3 GH-2 replaced\n4 X26-001 same\n");
    find_plant(&p->b, "GH-2", &gh);
    assert_string_equal(gh.source_text, "a friend");
    assert_string_equal(gh.place, "bench 2");
    pb_plant_clear(&gh);
}

static void has_note(struct side *s, const char *code, const char *note)
{
    struct pb_plant p;
    find_plant(s, code, &p);
    CLAIM(p.note != NULL && strcmp(p.note, note) == 0, "%s: %s", code, p.note);
    pb_plant_clear(&p);
}

/* What is private, or only this book's, outvotes nothing that was shared. */
static void own_texts_outvote_nothing(void **state)
{
    struct pair *p = *state;
    (void)a_to_b(p, false);
    for (int i = 0; i < 3; i++)
        amend(&p->b, "AR-1", "note", i == 2 ? "mine" : "");
    amend(&p->b, "X26-001", "note", "mine");
    amend(&p->b, "X26-001/1", "note", "mine");
    amend(&p->b, "GH-2", "code", "GH-22");
    tells("to us they are the same", b_to_a(p),
          "1 AR-1 same\n2 AR-1b same\n3 GH-2<GH-22 same\n4 X26-001 same\n");
    amend(&p->a, "AR-1", "ploidy", "4");
    amend(&p->a, "GH-2", "ploidy", "2");
    amend(&p->a, "X26-001", "at", "lowest");
    tells("and what we change reaches them", a_to_b(p, false),
          "1 AR-1 replaced\n2 AR-1b same\n3 GH-22<GH-2 replaced\n4 X26-001 replaced\n");
    has_note(&p->b, "AR-1", "mine");
    amend(&p->a, "AR-1", "note", "ours");
    tells("a note of the same instant does not", a_to_b(p, true),
          "1 AR-1 same\n2 AR-1b same\n3 GH-22<GH-2 replaced\n4 X26-001 same\n");
    p->a.act.now += 60;
    amend(&p->a, "AR-1", "note", "later");
    tells("a later one does", a_to_b(p, true),
          "1 AR-1 replaced\n2 AR-1b same\n3 GH-22<GH-2 same\n4 X26-001 same\n");
    has_note(&p->b, "AR-1", "later");
    amend(&p->b, "AR-1", "ploidy", "2");
    amend(&p->a, "AR-1", "ploidy", "3");
    tells("facts changed in both books clash", a_to_b(p, true),
          "1 AR-1 clash\n2 AR-1b same\n3 GH-22<GH-2 same\n4 X26-001 same\n");
}

static enum pb_rc count_plant(void *ctx, const struct pb_plant *p, struct pb_err *err)
{
    (void)p;
    (void)err;
    ++*(int *)ctx;
    return PB_OK;
}

static enum pb_rc count_cross(void *ctx, const struct pb_cross *x, struct pb_err *err)
{
    (void)x;
    (void)err;
    ++*(int *)ctx;
    return PB_OK;
}

/* A cross alone brings its parents: in pedigrees, but in no list of work. */
static void parents_are_elsewhere(void **state)
{
    struct pair *p = *state;
    struct pb_outlook o;
    struct pb_cross x;
    int living = 0, due = 0;
    cross(&p->a, "AR-1b", "AR-1", 2);
    side_share(&p->a, "X26-002", false, &p->text);
    tells("one cross", side_receive(&p->b, pb_buf_peek(&p->text)), "1 X26-002 added\n");
    assert_int_equal(p->b.sum.elsewhere, 2);
    find(&p->b, "X26-002", &x);
    assert_true(x.seed.elsewhere && x.pollen[0].parent.elsewhere);
    assert_int_equal(x.seed.genet.n, x.pollen[0].parent.plant.n);
    pb_outlook_init(&o);
    assert_int_equal(pb_outlook_make(&p->b.act, &x, &o, NULL), PB_OK);
    assert_int_equal(o.view.kind, PB_CROSS_SELF); /* the clone came along */
    pb_outlook_clear(&o);
    pb_cross_clear(&x);
    assert_int_equal(
        pb_plants_each(p->b.act.book, PB_PLANTS_LIVING, count_plant, &living, NULL),
        PB_OK);
    assert_int_equal(living, 0);
    assert_int_equal(
        pb_crosses_each(p->b.act.book, PB_CROSSES_DUE, 0, count_cross, &due, NULL),
        PB_OK);
    assert_int_equal(due, 0);
    side_share(&p->b, NULL, false, &p->text); /* B does not tell them as its own */
    assert_null(strstr(pb_buf_peek(&p->text), "podbook-plant"));
    tells("then the plants themselves", a_to_b(p, false),
          "1 AR-1 added\n2 AR-1b added\n3 GH-2 added\n4 X26-001 added\n"
          "5 X26-002 same\n");
    assert_int_equal(p->b.sum.elsewhere, 0);
    assert_int_equal(
        pb_plants_each(p->b.act.book, PB_PLANTS_LIVING, count_plant, &living, NULL),
        PB_OK);
    assert_int_equal(living, 3);
}

/* A look that goes and comes back keeps its place, here and there. */
static void looks_come_and_go(void **state)
{
    struct pair *p = *state;
    struct pb_cross x;
    look(&p->a, "X26-001", PB_HOLDING, 2);
    (void)a_to_b(p, false);
    withdraw(&p->a, "X26-001/1");
    look(&p->a, "X26-001", PB_YELLOWING, 1);
    (void)a_to_b(p, false);
    find(&p->b, "X26-001", &x);
    assert_int_equal(x.look_n, 2);
    assert_int_equal(x.looks[0].number, 2);
    assert_int_equal(x.looks[1].number, 3);
    pb_cross_clear(&x);
    undo(&p->a);
    undo(&p->a); /* look 1 is back */
    (void)a_to_b(p, false);
    tells("the same on both sides", a_to_b(p, false),
          "1 AR-1 same\n2 AR-1b same\n3 GH-2 same\n4 X26-001 same\n");
    find(&p->b, "X26-001", &x);
    assert_int_equal(x.look_n, 2);
    assert_int_equal(x.looks[0].found, PB_SWOLLEN);
    assert_int_equal(x.looks[1].found, PB_HOLDING);
    pb_cross_clear(&x);
}

/* Our seed lot stays with the harvest that made it. */
static void lots_stay(void **state)
{
    struct pair *p = *state;
    struct pb_cross x;
    (void)a_to_b(p, false);
    harvest(&p->b, "X26-001", TODAY - 2, 1);
    harvest(&p->a, "X26-001", TODAY - 3, 1);
    harvest(&p->a, "X26-001", TODAY - 2, 1);
    tells("theirs is newer", a_to_b(p, false),
          "1 AR-1 same\n2 AR-1b same\n3 GH-2 same\n4 X26-001 replaced\n"
          "5 S26-002<S26-001 added\n6 S26-003<S26-002 added\n");
    find(&p->b, "X26-001", &x);
    assert_int_equal(x.harvest_n, 2);
    assert_int_equal(x.harvests[0].on, TODAY - 3);
    assert_string_equal(x.harvests[0].lot, "");
    assert_string_equal(x.harvests[1].lot, "S26-001");
    pb_cross_clear(&x);
    tells("and is the same then", a_to_b(p, false),
          "1 AR-1 same\n2 AR-1b same\n3 GH-2 same\n4 X26-001 same\n"
          "5 S26-002<S26-001 same\n6 S26-003<S26-002 same\n");
    undo(&p->a);
    (void)a_to_b(p, false);
    find(&p->b, "X26-001", &x);
    assert_int_equal(x.harvest_n, 1); /* taken back there, taken back here */
    assert_int_equal(x.harvests[0].on, TODAY - 3);
    pb_cross_clear(&x);
}

static void withdrawn_there(void **state)
{
    struct pair *p = *state;
    struct pb_cross x;
    (void)a_to_b(p, false);
    plant(&p->b, "AR-1c", "Anoectochilus roxburghii", "AR-1b");
    withdraw(&p->a, "X26-001");
    withdraw(&p->a, "AR-1b");
    tells(
        "withdrawn there", a_to_b(p, false),
        "1 AR-1 same\n"
        "2 bad AR-1b was withdrawn there, but X26-001 rests on it here; withdraw that "
        "first\n"
        "3 GH-2 same\n4 X26-001 replaced\n");
    find(&p->b, "X26-001", &x);
    assert_true(x.head.withdrawn);
    pb_cross_clear(&x);
    tells("the pup here still rests on it", a_to_b(p, false),
          "1 AR-1 same\n"
          "2 bad AR-1b was withdrawn there, but AR-1c rests on it here; withdraw that "
          "first\n"
          "3 GH-2 same\n4 X26-001 same\n");
    withdraw(&p->b, "AR-1c");
    tells("and goes when nothing does", a_to_b(p, false),
          "1 AR-1 same\n2 AR-1b replaced\n3 GH-2 same\n4 X26-001 same\n");
}

/* One act takes all of it back. */
static void undone(void **state)
{
    struct pair *p = *state;
    plant(&p->b, "own", "Dossinia marmorata", NULL);
    (void)a_to_b(p, false);
    undo(&p->b);
    side_share(&p->b, NULL, false, &p->text);
    assert_non_null(strstr(pb_buf_peek(&p->text), "\"own\""));
    assert_null(strstr(pb_buf_peek(&p->text), "AR-1"));
    assert_null(strstr(pb_buf_peek(&p->text), "X26-001"));
    tells("and can be received anew", a_to_b(p, false),
          "1 AR-1 added\n2 AR-1b added\n3 GH-2 added\n4 X26-001 added\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        T(again_changes_nothing),
        T(nothing_leaves_no_act),
        T(taken_codes),
        T(numbers_go_on),
        T(newer_replaces),
        T(older_and_clash),
        T(private_by_default),
        T(own_texts_outvote_nothing),
        T(parents_are_elsewhere),
        T(looks_come_and_go),
        T(lots_stay),
        T(withdrawn_there),
        T(undone),
    };
    return UNIT_MAIN("receive", tests);
}
