/* Flowerings and stored pollen.  See bloom.h. */
#include "core/bloom.h"

#include <stdlib.h>
#include <string.h>

/* ORDER BLOOM */
const char *const pb_bloom_names[PB_BLOOM_N] = {"spike", "open", "over", "dying-back"};

void pb_flowering_init(struct pb_flowering *f)
{
    memset(f, 0, sizeof(*f));
    for (int i = 0; i < PB_BLOOM_N; i++)
        f->on[i] = PB_DAY_NONE;
}

bool pb_flowering_is_open(const struct pb_flowering *f, pb_day today)
{
    pb_day open = f->on[PB_BLOOM_OPEN], over = f->on[PB_BLOOM_OVER];
    return open != PB_DAY_NONE && open <= today &&
           (over == PB_DAY_NONE || over > today);
}

enum pb_bloom pb_flowering_last(const struct pb_flowering *f)
{
    int last = PB_BLOOM_N;
    for (int i = 0; i < PB_BLOOM_N; i++)
        if (f->on[i] != PB_DAY_NONE)
            last = i;
    return (enum pb_bloom)last;
}

/* Flowers that open belong to the spike that was seen, unless that is over already. */
static bool begins_new(const struct pb_flowering *f, enum pb_bloom what)
{
    if (f->number == 0 || what == PB_BLOOM_SPIKE)
        return true;
    return what == PB_BLOOM_OPEN && (f->on[PB_BLOOM_OVER] != PB_DAY_NONE ||
                                     f->on[PB_BLOOM_DYING] != PB_DAY_NONE);
}

static enum pb_rc begin_new(struct pb_flowering *f, enum pb_bloom what, pb_day on,
                            struct pb_err *err)
{
    struct pb_flowering next;
    char day[PB_DAY_TEXT], before[PB_DAY_TEXT];
    enum pb_bloom last = pb_flowering_last(f);
    if (what == PB_BLOOM_SPIKE && f->on[what] == on)
        return pb_fail_at(err, PB_EINVALID, "on", 0,
                          "the spike of %s is booked already, as flowering %d; spikes "
                          "of one day are one flowering",
                          pb_day_format(on, day), f->number);
    if (last != PB_BLOOM_N && on < f->on[last])
        return pb_fail_at(err, PB_EINVALID, "on", 0,
                          "%s lies in the last flowering, which was %s on %s",
                          pb_day_format(on, day), pb_bloom_names[last],
                          pb_day_format(f->on[last], before));
    pb_flowering_init(&next);
    next.plant = f->plant;
    next.number = f->number + 1;
    next.on[what] = on;
    *f = next;
    return PB_OK;
}

enum pb_rc pb_flowering_enter(struct pb_flowering *f, enum pb_bloom what, pb_day on,
                              struct pb_err *err)
{
    char day[PB_DAY_TEXT], other[PB_DAY_TEXT];
    if (begins_new(f, what))
        return begin_new(f, what, on, err);
    if (f->on[what] != PB_DAY_NONE)
        return pb_fail(err, PB_EINVALID,
                       "this flowering is booked as %s on %s already; a new one begins "
                       "with spike",
                       pb_bloom_names[what], pb_day_format(f->on[what], other));
    for (int i = 0; i < PB_BLOOM_N; i++) {
        if (f->on[i] == PB_DAY_NONE)
            continue;
        /* a shoot may die back while its last flowers are open */
        bool free = i >= PB_BLOOM_OVER && what >= PB_BLOOM_OVER;
        bool wrong = i < (int)what ? on < f->on[i] : on > f->on[i];
        if (wrong && !free)
            return pb_fail_at(err, PB_EINVALID, "on", 0, "%s lies %s %s on %s",
                              pb_day_format(on, day),
                              i < (int)what ? "before" : "after", pb_bloom_names[i],
                              pb_day_format(f->on[i], other));
    }
    f->on[what] = on;
    return PB_OK;
}

enum pb_pollen_kept pb_pollen_kept_as(const struct pb_batch *lot)
{
    enum { FRIDGE_MOST = 10 }; /* degrees Celsius */
    if (lot->kept != PB_KEPT_NOT_SAID || lot->celsius <= PB_REAL_NONE)
        return lot->kept;
    return lot->celsius < 0              ? PB_KEPT_FREEZER
           : lot->celsius <= FRIDGE_MOST ? PB_KEPT_FRIDGE
                                         : PB_KEPT_ROOM;
}

/*
 * How long it is good for, and what that was taken from.  A freezer in a house is not as
 * cold as -79 C, so one year there, an assumption; frozen wet counts for nothing.
 */
#define ROOM                                                                        \
    "about 3 months at 25 °C (an index of society articles); Cymbidium a year at " \
    "least, in clean paper, cool and dry (growers' reports)"
#define COLD                                                                            \
    "about 6 months at 4 °C, or about a year at 7 °C with half of it lost (an index " \
    "of society articles)"

static const struct {
    int days;
    const char *words;
} good[PB_KEPT_N][2] = {
    [PB_KEPT_NOT_SAID] = {{90, ROOM},                                        {90, ROOM}},
    [PB_KEPT_ROOM] = {{90, ROOM},                                        {90, ROOM}},
    [PB_KEPT_FRIDGE] =
        {{182, COLD "; in jewel orchids 4 °C keeps it longer and life falls with time "
                    "(Shao et al. 2015)"},
                          {365, COLD
          "; over silica to 6 months in Paphiopedilum and Phalaenopsis, to 12 in the "
          "Cattleya group (hobby growers' reports); one article holds that strong "
          "desiccants hurt it"}                                                        },
    [PB_KEPT_FREEZER] =
        {{0, "not frozen unless dried (growers' reports)"},
                          {365, "nearly 3 years at -79 °C (an index of society articles), years over "
               "desiccant (growers' reports); a year in a household freezer is an "
               "assumption of ours"}                                                   },
};

int pb_pollen_good_days(enum pb_pollen_kept kept, bool dried)
{
    return good[kept][dried ? 1 : 0].days;
}

const char *pb_pollen_good_words(enum pb_pollen_kept kept, bool dried)
{
    return good[kept][dried ? 1 : 0].words;
}
