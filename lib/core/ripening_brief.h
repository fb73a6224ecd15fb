/*
 * A ripening law in brief: what most questions need of it, each worked out once.
 *
 * A law has some hundred nodes, and a question goes through all of them.  A list of many
 * crosses asks of each clone the same few: its median, its window, the chance by a whole
 * day.  The brief remembers those; as bytes it has all of them, in a quarter of the law's.
 */
#ifndef PB_CORE_RIPENING_BRIEF_H
#define PB_CORE_RIPENING_BRIEF_H

#include "core/ripening_law.h"

enum {
    PB_RIPENING_BRIEF_DAYS = 512 /* most days in the table: a window of half a year */
};

/* How far the table goes. */
enum pb_ripening_brief_reach {
    PB_RIPENING_BRIEF_NEAR, /* to three times the middle of the profile's window */
    PB_RIPENING_BRIEF_FAR   /* as far as a table may */
};

struct pb_ripening_brief {
    /* what is not worked out yet is asked of it; borrowed, NULL: all is */
    const struct pb_ripening_law *law;
    uint64_t capsules; /* these four as of the law */
    uint32_t levels;
    int32_t seen_first, seen_last;
    /* internal; asked for by the functions below */
    double scale;    /* 0: not yet */
    double split[2]; /* 0: not yet; below 0: not known */
    /* days from pollination that the table has, from the first on up to day_n; before it
     * practically nothing splits */
    int32_t first, day_n;
    enum pb_ripening_brief_reach reach; /* of one that has a law */
    double *whole; /* by day - first: share not split by its end; below 0: not yet */
};

/*
 * The brief of a law, which must stay as long; yours (free).
 * PB_ENOMEM
 */
enum pb_rc pb_ripening_brief_new(const struct pb_ripening_law *law,
                                 enum pb_ripening_brief_reach reach,
                                 struct pb_ripening_brief **out, struct pb_err *err);

/* pb_ripening_scale; 1: the median is not known. */
double pb_ripening_brief_scale(struct pb_ripening_brief *brief);

/* Days by which 5% and 95% have split; both below 0: one of them is not known. */
void pb_ripening_brief_split(struct pb_ripening_brief *brief, double days[2]);

/* Can it answer for a capsule last seen intact on the one day by the other: is that in the
 * table, or behind it, where all but a billionth of such have split by the table's end? */
bool pb_ripening_brief_has(struct pb_ripening_brief *brief, int32_t intact,
                           int32_t day);

/* pb_ripening_risk_apart of whole days, to a billionth, where it can answer. */
double pb_ripening_brief_risk(struct pb_ripening_brief *brief, int32_t intact,
                              int32_t day);

/* The last day of the table by whose end at most that share has split; 0 < share < 1. */
int32_t pb_ripening_brief_until(struct pb_ripening_brief *brief, double share);

/*
 * Is a window reckoned beyond what was seen: do all its days lie on one side of every day
 * on which a capsule of the taxon was seen, and on that side of the usual window too?
 *   from, to              the window, both days included
 *   usual_from, usual_to  the profile's own
 * False where no capsule was seen: the window is the profile's then.
 */
bool pb_ripening_brief_is_beyond(const struct pb_ripening_brief *brief, int32_t from,
                                 int32_t to, int32_t usual_from, int32_t usual_to);

/*
 * Append as bytes in a form that every machine reads, all worked out; some 300 for a window
 * of three weeks.  The table begins before the first day by which 1e-12 has split; a near one
 * ends, where that is sooner, at half as much again as the day by which all but a thousandth
 * has.
 * Cost: some 0.5 ms.
 */
void pb_ripening_brief_pack(struct pb_ripening_brief *brief, struct pb_buf *out);

/*
 * Read it back; out is yours (free).
 * PB_EPARSE  not the bytes of a brief    PB_ENOMEM
 */
enum pb_rc pb_ripening_brief_unpack(const void *bytes, size_t len,
                                    struct pb_ripening_brief **out, struct pb_err *err);

#endif
