/*
 * What is believed about the day on which capsules of one clone split: a mixture of
 * log-normal laws, kept as the nodes of the quadrature that pb_ripening_fit ran.
 *
 * Days are counted from pollination (day 0).  A law is never changed; share it freely.
 * No function here gives NaN or infinity, and every chance is within [0,1].
 */
#ifndef PB_CORE_RIPENING_LAW_H
#define PB_CORE_RIPENING_LAW_H

#include "base/buf.h"
#include "base/err.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum {
    PB_RIPENING_MODEL = 3,  /* raise when a law would come out otherwise */
    PB_RIPENING_DAYS = 3650 /* later than this is "not known" */
};

/* z of a day x at a node of a row is rate (ln x - centre) - place. */
struct pb_ripening_row {
    double rate;
    uint32_t node_n;
};

struct pb_ripening_node {
    double place, weight;
};

struct pb_ripening_law {
    double centre;     /* m0: log of the middle of the profile's window */
    uint64_t capsules; /* of this clone */
    uint32_t levels;   /* 0 profile only, 1 taxon has capsules, 2 this clone too */
    /* days on which a capsule of the taxon was seen, first and last; 0: none was */
    int32_t seen_first, seen_last;
    uint32_t row_n, node_n;
    const struct pb_ripening_row *rows;
    const struct pb_ripening_node *nodes; /* row by row; the weights sum to 1 */
};

/*
 * A law with room for its rows and nodes, to be filled by its maker; free releases it.
 * PB_ENOMEM
 */
enum pb_rc pb_ripening_law_new(uint32_t row_n, uint32_t node_n,
                               struct pb_ripening_row **rows,
                               struct pb_ripening_node **nodes,
                               struct pb_ripening_law **out, struct pb_err *err);
void pb_ripening_law_free(struct pb_ripening_law *law);

/* Chance that a capsule of which nothing else is known has split by the day (F). */
double pb_ripening_split_by(const struct pb_ripening_law *law, double day);

/* Chance that it has not split by the day, day > 0 (1 - F, to full relative precision). */
double pb_ripening_survival(const struct pb_ripening_law *law, double day);

/*
 * The day by which a share p of capsules has split, 0 < p < 1.
 * False: later than PB_RIPENING_DAYS, "not known"; day is then left alone.
 */
bool pb_ripening_quantile(const struct pb_ripening_law *law, double p, double *day);

/*
 * Chance that a capsule last seen intact on a day has split by later ones.
 *   intact  its last intact day; 0 where it was not looked at since pollination
 *   risk    out: n chances, by day first, first + 1, ...; 0 for days up to intact
 * The capsule must be among the data of the law (as T > intact): each node is
 * conditioned by itself, because the weights have counted "still intact" already.
 */
void pb_ripening_risks(const struct pb_ripening_law *law, int32_t intact, int32_t first,
                       double *risk, size_t n);
double pb_ripening_risk(const struct pb_ripening_law *law, int32_t intact, int32_t day);

/*
 * The same for a capsule that is not among the data, days need not be whole:
 * (F(day) - F(intact)) / (1 - F(intact)).
 */
double pb_ripening_risk_apart(const struct pb_ripening_law *law, double intact,
                              double day);

/*
 * First whole day by which the risk since the last intact day passes the tolerance.
 *   latest  look no further; intact < latest < INT32_MAX
 * Returns a day of intact + 1 .. latest, or latest + 1 where it does not pass by then.
 * Some 20 us; many questions of one law are worth remembering by their intact day.
 */
int32_t pb_ripening_risk_day(const struct pb_ripening_law *law, int32_t intact,
                             double tolerance, int32_t latest);

/*
 * Day of the next ripeness look: the last whole day on which the risk is at most the
 * tolerance, never before intact + 1, never after latest (as above).
 * Source: equal-risk inspection, Munford & Shahani (1972), Oper. Res. Q. 23:373-380.
 */
int32_t pb_ripening_next_look(const struct pb_ripening_law *law, int32_t intact,
                              double tolerance, int32_t latest);

/*
 * By how much the clone is slower than the profile: median / sqrt(A B).
 * False: the median is not known.
 */
bool pb_ripening_scale(const struct pb_ripening_law *law, double *scale);

/* Append the law as bytes in a form that every machine reads; some 3 kB. */
void pb_ripening_law_pack(const struct pb_ripening_law *law, struct pb_buf *out);

/*
 * Read a law back; out is yours (pb_ripening_law_free).
 * PB_EPARSE  not the bytes of a law of this PB_RIPENING_MODEL    PB_ENOMEM
 */
enum pb_rc pb_ripening_law_unpack(const void *bytes, size_t len,
                                  struct pb_ripening_law **out, struct pb_err *err);

#endif
