/* What only receiving asks of the book.  See arrive.h. */
#include "book/arrive.h"

#include "book/db.h"

#include <string.h>

/* One of the statements below, prepared once: there is a mark for each line. */
static enum pb_rc run(struct pb_book *b, const char *sql, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b, sql, &s, err);
    return rc == PB_OK ? pb_db_run(b, s, err) : rc;
}

static const char release[] = "RELEASE line";

enum pb_rc pb_book_mark(struct pb_book *b, struct pb_err *err)
{
    static const char sql[] = "SAVEPOINT line";
    pb_additions_begin(b);
    return run(b, sql, err);
}

enum pb_rc pb_book_go_on(struct pb_book *b, struct pb_err *err)
{
    return run(b, release, err);
}

enum pb_rc pb_book_go_back(struct pb_book *b, struct pb_err *err)
{
    static const char sql[] = "ROLLBACK TO line";
    b->taken_back++;
    enum pb_rc rc = run(b, sql, err);
    return rc == PB_OK ? run(b, release, err) : rc;
}

/* Does the statement give a row?  It is bound and gets reset. */
static enum pb_rc has_row(struct pb_book *b, sqlite3_stmt *s, bool *row,
                          struct pb_err *err)
{
    enum pb_rc rc = pb_db_step(b, s, row, err);
    (void)sqlite3_reset(s);
    return rc;
}

/* No code of that letter and year up to this number is given from now on. */
static enum pb_rc count_past(struct pb_book *b, const struct pb_own_code *own,
                             struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    const char letter[2] = {own->letter, '\0'};
    enum pb_rc rc = pb_db_get(b,
                              "INSERT INTO counter(letter,year,last) VALUES(?,?,?)"
                              " ON CONFLICT DO UPDATE SET last=max(last,excluded.last)",
                              &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, letter);
    (void)sqlite3_bind_int(s, 2, own->year);
    (void)sqlite3_bind_int64(s, 3, own->number);
    return pb_db_run(b, s, err);
}

enum pb_rc pb_book_take_code(struct pb_book *b, const char *code, const char *id,
                             bool *is_free, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    struct pb_own_code own;
    char ours[PB_MAX_CODE + 1];
    bool taken = false;
    *is_free = false;
    if (!pb_own_code_parse(code, &own) || own.number < 1 || own.number > PB_MAX_TAKEN)
        return PB_OK;
    pb_own_code_format(own.letter, pb_day_from_ymd(2000 + own.year, 1, 1), own.number,
                       ours);
    if (strcmp(ours, code) != 0)
        return PB_OK;
    enum pb_rc rc = pb_db_get(b,
                              "SELECT 1 FROM crossing WHERE code=?1"
                              " UNION ALL SELECT 1 FROM batch WHERE code=?1"
                              " UNION ALL SELECT 1 FROM change WHERE code=?1"
                              " AND tbl IN('crossing','batch')"
                              " AND json_extract(before,'$.id')<>?2",
                              &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, code);
    pb_db_bind_text(s, 2, id);
    rc = has_row(b, s, &taken, err);
    if (rc == PB_OK && !taken)
        rc = count_past(b, &own, err);
    *is_free = rc == PB_OK && !taken;
    return rc;
}

enum pb_rc pb_book_kind_of(struct pb_book *b, const char *id, enum pb_kind *kind,
                           char code[PB_MAX_CODE + 1], struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(b,
                              "SELECT 'plant',code FROM plant WHERE id=?1"
                              " UNION ALL SELECT 'cross',code FROM crossing WHERE id=?1"
                              " UNION ALL SELECT kind,code FROM batch WHERE id=?1",
                              &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, id);
    rc = pb_db_step(b, s, &row, err);
    if (rc == PB_OK)
        *kind = PB_KIND_N;
    if (rc == PB_OK && row) {
        *kind = (enum pb_kind)pb_db_word(s, 0, pb_kind_names, PB_KIND_N);
        pb_db_copy(s, 1, code, PB_MAX_CODE + 1);
    }
    (void)sqlite3_reset(s);
    return rc;
}

enum pb_rc pb_look_find(struct pb_book *b, const char *id, struct pb_look_place *place,
                        struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    bool row = false;
    enum pb_rc rc = pb_db_get(
        b, "SELECT n,number,crossing,batch,plant FROM look WHERE id=?", &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, id);
    rc = pb_db_step(b, s, &row, err);
    *place = (struct pb_look_place){
        0, {PB_KIND_N, 0},
         0
    };
    if (rc == PB_OK && row) {
        static const enum pb_kind kinds[] = {PB_CROSS, PB_SEED, PB_PLANT};
        place->row = sqlite3_column_int64(s, 0);
        place->number = sqlite3_column_int(s, 1);
        for (int i = 0; i < 3; i++)
            if (sqlite3_column_type(s, 2 + i) != SQLITE_NULL)
                place->of =
                    (struct pb_looked){kinds[i], sqlite3_column_int64(s, 2 + i)};
    }
    (void)sqlite3_reset(s);
    return rc;
}

static enum pb_rc run_for(struct pb_book *b, const char *sql, int64_t row,
                          const char *id, struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b, sql, &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, row);
    pb_db_bind_text(s, 2, id);
    return pb_db_run(b, s, err);
}

/* Did anything come out of the batch before it came itself? */
static enum pb_rc is_awaited(struct pb_book *b, const char *id, bool *awaited,
                             struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(b,
                              "SELECT 1 FROM batch WHERE source_id=?1"
                              " UNION ALL SELECT 1 FROM plant WHERE out_of_id=?1",
                              &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, id);
    return has_row(b, s, awaited, err);
}

enum pb_rc pb_batch_link(struct pb_book *b, const struct pb_batch *batch,
                         struct pb_err *err)
{
    bool awaited = false;
    enum pb_rc rc = is_awaited(b, batch->head.id, &awaited, err);
    if (rc != PB_OK || !awaited)
        return rc;
    rc = run_for(b,
                 "UPDATE batch SET source=?1,source_id=NULL,source_code=NULL,"
                 "source_kind=NULL,began=NULL WHERE source_id=?2",
                 batch->head.n, batch->head.id, err);
    if (rc == PB_OK)
        rc = run_for(b,
                     "UPDATE plant SET out_of=?1,out_of_id=NULL,out_of_code=NULL"
                     " WHERE out_of_id=?2",
                     batch->head.n, batch->head.id, err);
    return rc;
}

enum pb_rc pb_batch_is_ring(struct pb_book *b, int64_t batch, bool *ring,
                            struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        pb_db_get(b,
                  "WITH RECURSIVE up(n) AS (SELECT source FROM batch WHERE n=?1"
                  " UNION SELECT f.source FROM up JOIN batch f ON f.n=up.n"
                  "  WHERE f.source IS NOT NULL LIMIT 100000)"
                  "SELECT 1 FROM up WHERE n=?1",
                  &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, batch);
    return has_row(b, s, ring, err);
}

enum pb_rc pb_flowerings_drop(struct pb_book *b, int64_t plant, size_t n,
                              struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        pb_db_get(b, "DELETE FROM flowering WHERE plant=?1 AND number>?2", &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, plant);
    (void)sqlite3_bind_int64(s, 2, (int64_t)n);
    return pb_db_run(b, s, err);
}

enum pb_rc pb_pedigree_is_ring(struct pb_book *b, int64_t plant, bool *ring,
                               struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc = pb_db_get(
        b,
        "WITH RECURSIVE up(n) AS (SELECT ?1"
        " UNION SELECT p.source FROM up JOIN plant p ON p.n=up.n"
        "  WHERE p.source IS NOT NULL"
        " UNION SELECT p.seed_parent FROM up JOIN plant p ON p.n=up.n"
        "  WHERE p.seed_parent IS NOT NULL"
        " UNION SELECT p.pollen_parent FROM up JOIN plant p ON p.n=up.n"
        "  WHERE p.pollen_parent IS NOT NULL"
        " UNION SELECT x.seed_parent FROM up JOIN plant p ON p.n=up.n"
        "  JOIN crossing x ON x.id=p.from_id"
        " UNION SELECT q.plant FROM up JOIN plant p ON p.n=up.n"
        "  JOIN crossing x ON x.id=p.from_id JOIN pollen_parent q ON q.crossing=x.n"
        " LIMIT 100000)"
        "SELECT 1 FROM up JOIN plant p ON p.n=up.n LEFT JOIN crossing x ON "
        "x.id=p.from_id"
        " WHERE ?1 IN (p.source,p.seed_parent,p.pollen_parent,x.seed_parent)"
        " OR EXISTS(SELECT 1 FROM pollen_parent q WHERE q.crossing=x.n AND q.plant=?1)"
        " LIMIT 1",
        &s, err);
    if (rc != PB_OK)
        return rc;
    (void)sqlite3_bind_int64(s, 1, plant);
    return has_row(b, s, ring, err);
}

enum pb_rc pb_cross_has_offspring(struct pb_book *b, const char *id, bool *has,
                                  struct pb_err *err)
{
    sqlite3_stmt *s = NULL;
    enum pb_rc rc =
        pb_db_get(b, "SELECT 1 FROM plant WHERE from_id=? LIMIT 1", &s, err);
    if (rc != PB_OK)
        return rc;
    pb_db_bind_text(s, 1, id);
    return has_row(b, s, has, err);
}
