/*
 * libpodbook: what a program that is not the command line includes.
 *
 * The public headers, and nothing else.  The reference is libpodbook(3).
 */
#ifndef PB_PODBOOK_H
#define PB_PODBOOK_H

#include "base/buf.h"
#include "base/err.h"
#include "base/limits.h"
#include "core/civil.h"
#include "core/founders.h"
#include "core/kinship.h"
#include "core/life.h"
#include "core/pairing.h"
#include "core/pedigree.h"
#include "core/record.h"
#include "core/relation.h"
#include "core/span.h"
#include "core/task.h"

#endif
