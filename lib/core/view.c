/* What is computed of a record for a reader.  See view.h. */
#include "core/view.h"

/* ORDER CROSS_KIND */
const char *const pb_cross_kind_names[PB_CROSS_KIND_N] = {
    "unknown", "outcross", "self", "sib", "backcross",
};

void pb_cross_view_init(struct pb_cross_view *view)
{
    const struct pb_span none = {PB_DAY_NONE, PB_DAY_NONE};
    *view = (struct pb_cross_view){
        .swelling = none, .harvest = none, .split = none, .risk_day = PB_DAY_NONE};
}
