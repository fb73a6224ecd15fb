/* Settings: numbers that a grower may choose, kept in the book. */
#ifndef PB_ACT_SETTING_H
#define PB_ACT_SETTING_H

#include "act/act.h"

/* A setting: its range, what it is now. */
struct pb_setting {
    const char *name, *help; /* static */
    double low, high;        /* low itself is outside, of a whole number inside */
    double preset;           /* where the book says nothing */
    bool whole;              /* whole numbers only */
};
extern const struct pb_setting pb_settings[];
extern const size_t pb_settings_n;

/* PB_ENOTFOUND  no such setting: the text lists those there are */
enum pb_rc pb_act_setting(struct pb_act *a, const char *name, double *value,
                          struct pb_err *err);
/* Keep a value; an empty text takes it back to the preset.  PB_EPARSE, PB_ELIMIT */
enum pb_rc pb_act_setting_keep(struct pb_act *a, const char *name, const char *text,
                               struct pb_err *err);

#endif
