/* Cuttings that become plants; they are taken and looked at as any batch (batch.h). */
#ifndef PB_ACT_CUT_H
#define PB_ACT_CUT_H

#include "act/batch.h"

/*
 * A look on cuttings that enters the plants that they have become: of the clone of the
 * plant that they were taken from, got on the day that they were potted.  Only inside an act.
 *   look  as of pb_batch_look; count 0: as many as there are plants
 *   as    codes of the new plants, joined by commas
 * PB_EINVALID, PB_EPARSE  a finding that enters none, more plants than cuttings, a code
 * that is none    PB_ECONFLICT  a code is taken
 */
enum pb_rc pb_cutting_look(struct pb_act *a, struct pb_batch *b, struct pb_look *look,
                           const char *as, struct pb_err *err);

#endif
