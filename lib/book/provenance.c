/* What records say of each other's origin.  See provenance.h: each rule is one text, for all
 * records or narrowed to those of one. */
#include "book/provenance.h"

#include "base/text.h"
#include "book/db.h"

/* A plant that does not say what it was raised from contradicts nothing. */
#define PLANT                                                                  \
    "SELECT p.code,printf('%s %s but came out of %s, which is of %s',p.code,"  \
    "CASE WHEN p.from_id IS NOT NULL THEN 'was raised from '||"                \
    "ifnull((SELECT code FROM crossing WHERE id=p.from_id),p.from_code)"       \
    " WHEN p.source IS NOT NULL THEN 'is a '||p.origin||' of '||"              \
    "(SELECT code FROM plant WHERE n=p.source) ELSE 'has stated parents' END," \
    "b.code,ifnull(x.code,m.code)) FROM plant p JOIN batch b ON b.n=p.out_of"  \
    " LEFT JOIN crossing x ON x.n=b.crossing LEFT JOIN plant m ON m.n=b.plant" \
    " WHERE p.withdrawn=0 AND p.origin<>'unknown'"                             \
    " AND (x.id IS NOT NULL AND p.from_id IS NOT x.id"                         \
    " OR m.n IS NOT NULL AND p.source IS NOT m.n)"
#define FLASK                                                                   \
    "SELECT f.code,printf('%s is of %s but came from %s, which is of %s',"      \
    "f.code,x.code,s.code,y.code) FROM batch f JOIN batch s ON s.n=f.source"    \
    " JOIN crossing x ON x.n=f.crossing LEFT JOIN crossing y ON y.n=s.crossing" \
    " WHERE f.withdrawn=0 AND f.crossing IS NOT s.crossing"
#define LOT(what, which)                                                   \
    "SELECT b.code," what " FROM harvest h JOIN batch b ON b.n=h.lot"      \
    " JOIN crossing y ON y.n=h.crossing JOIN crossing x ON x.n=b.crossing" \
    " WHERE b.withdrawn=0 AND " which
#define MOVED                                                                   \
    LOT("printf('%s is of %s but was harvested from %s',b.code,x.code,y.code)", \
        "b.crossing<>h.crossing")
#define COUNTED                                                                        \
    LOT("printf('%s is of %d capsule%s, its harvest from %s of %d',b.code,b.capsules," \
        "substr('s',1,b.capsules<>1),y.code,h.count)",                                 \
        "h.withdrawn=0 AND b.capsules<>h.count")
#define TAKEN                                                             \
    LOT("printf('%s is of a harvest that %s has no more',b.code,y.code)", \
        "h.withdrawn=1")
/* Of a lot that was made in another book nothing says which harvest made it: it is one of its
 * day and capsules, and each makes one lot.  A lot may come with an older cross than ours, so
 * only a cross that changed is asked, and no book as a whole; of one before the pollination
 * its day is told. */
#define UNHARVESTED                                                                 \
    "SELECT b.code,printf('%s is of a harvest that %s has no more',b.code,x.code)"  \
    " FROM batch b JOIN crossing x ON x.n=b.crossing WHERE b.kind='seed'"           \
    " AND b.withdrawn=0 AND b.capsules>0 AND b.day>=x.pollinated"                   \
    " AND NOT EXISTS(SELECT 1 FROM harvest WHERE crossing=b.crossing AND lot=b.n)"  \
    " AND (SELECT count(*) FROM batch l WHERE l.crossing=b.crossing AND"            \
    " l.kind='seed' AND l.withdrawn=0 AND l.day=b.day AND l.capsules=b.capsules)>"  \
    "(SELECT count(*) FROM harvest h WHERE h.crossing=b.crossing AND h.withdrawn=0" \
    " AND h.day=b.day AND h.count=b.capsules)"

static const char of_plant[] = "put it right: podbook amend, with from= or cutting-of=",
                  of_batch[] =
                      "withdraw it (podbook amend, with --withdraw), or go back "
                      "to a backup",
                  of_count[] = "put the count right: podbook amend, with count=";

static const struct rule {
    enum pb_provenance of;
    const char *sql, *remedy;
} rules[] = {
    {PB_PROVENANCE_ALL,   PLANT,                            of_plant},
    {PB_PROVENANCE_ALL,   FLASK,                            of_batch},
    {PB_PROVENANCE_ALL,   MOVED,                            of_batch},
    {PB_PROVENANCE_ALL,   COUNTED,                          of_count},
    {PB_PROVENANCE_ALL,   TAKEN,                            of_batch},
    {PB_PROVENANCE_PLANT, PLANT " AND p.n=?1",              of_plant},
    {PB_PROVENANCE_BATCH, FLASK " AND f.n=?1",              of_batch},
    {PB_PROVENANCE_BATCH, MOVED " AND b.n=?1",              of_batch},
    {PB_PROVENANCE_BATCH, FLASK " AND f.source=?1",         of_batch},
    {PB_PROVENANCE_BATCH, PLANT " AND p.out_of=?1",         of_plant},
    {PB_PROVENANCE_LOT,   COUNTED " AND b.n=?1",            of_count},
    {PB_PROVENANCE_LOT,   TAKEN " AND b.n=?1",              of_batch},
    {PB_PROVENANCE_CROSS, COUNTED " AND h.crossing=?1",     of_count},
    {PB_PROVENANCE_CROSS, TAKEN " AND h.crossing=?1",       of_batch},
    {PB_PROVENANCE_CROSS, UNHARVESTED " AND b.crossing=?1", of_batch},
};

static enum pb_rc ask(struct pb_book *b, const struct rule *rule, int64_t row,
                      pb_fault_each *each, void *ctx, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b, rule->sql, &s, err);
    if (rc == PB_OK && rule->of != PB_PROVENANCE_ALL)
        (void)sqlite3_bind_int64(s, 1, row);
    while (pb_db_next(b, s, &rc, err)) {
        const char *what = (const char *)sqlite3_column_text(s, 1);
        const struct pb_fault f = {PB_CHECK_ORIGIN,
                                   (const char *)sqlite3_column_text(s, 0), what,
                                   rule->remedy};
        rc = what != NULL ? each(ctx, &f, err) : pb_fail_memory(err);
    }
    (void)sqlite3_reset(s);
    return rc;
}

enum pb_rc pb_provenance_faults(struct pb_book *b, enum pb_provenance of, int64_t row,
                                pb_fault_each *each, void *ctx, struct pb_err *err)
{
    enum pb_rc rc = PB_OK;
    for (size_t i = 0; i < PB_ARRAY_LEN(rules) && rc == PB_OK; i++)
        if (rules[i].of == of)
            rc = ask(b, &rules[i], row, each, ctx, err);
    return rc;
}
