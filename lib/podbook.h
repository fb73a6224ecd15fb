/*
 * libpodbook: what a program that is not the command line includes.
 *
 * The public headers, and nothing else.  They are what podbook's own commands use, which is
 * a front end like any other.  The reference is libpodbook(3).
 */
#ifndef PB_PODBOOK_H
#define PB_PODBOOK_H

#include "act/absence.h"
#include "act/act.h"
#include "act/amend.h"
#include "act/chances.h"
#include "act/due.h"
#include "act/enter.h"
#include "act/fields.h"
#include "act/find.h"
#include "act/learn.h"
#include "act/receive.h"
#include "act/share.h"
#include "act/timing.h"
#include "base/buf.h"
#include "base/err.h"
#include "base/hash.h"
#include "base/limits.h"
#include "base/text.h"
#include "book/absences.h"
#include "book/book.h"
#include "book/crosses.h"
#include "book/history.h"
#include "book/learnt.h"
#include "book/plants.h"
#include "core/civil.h"
#include "core/founders.h"
#include "core/instant.h"
#include "core/kinship.h"
#include "core/life.h"
#include "core/merge.h"
#include "core/pairing.h"
#include "core/pedigree.h"
#include "core/profile.h"
#include "core/record.h"
#include "core/relation.h"
#include "core/ripening.h"
#include "core/ripening_law.h"
#include "core/setrate.h"
#include "core/span.h"
#include "core/task.h"
#include "core/view.h"
#include "exchange/profile_file.h"
#include "exchange/record.h"
#include "exchange/rows.h"

#endif
