/* Laws worked out when podbook is built.  See ripening_built.h. */
#include "core/ripening_built.h"

const struct pb_ripening_built *pb_ripening_built_find(
    const struct pb_ripening_prior *prior)
{
    for (size_t i = 0; i < pb_ripening_built_n; i++)
        if (pb_ripening_prior_is(&pb_ripening_builts[i].prior, prior))
            return &pb_ripening_builts[i];
    return NULL;
}
