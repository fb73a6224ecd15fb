/* Doubtful parents in the book: which marks a record stands under, who stands under one. */
#ifndef PB_BOOK_DOUBTS_H
#define PB_BOOK_DOUBTS_H

#include "book/book.h"
#include "core/doubt.h"

/*
 * The marks that a record stands under: its own, and those of the plants and crosses that
 * it descends from, as a piece, as a seedling, or as what was taken from or raised out of
 * them.
 *   kind, row  of it; a batch comes of its cross or its plant
 *   doubts     in: empty; out: pb_doubts_clear
 * Cost: that of all its ancestors, nothing where the book has no mark.
 */
enum pb_rc pb_doubts_load(struct pb_book *book, enum pb_kind kind, int64_t row,
                          struct pb_doubts *doubts, struct pb_err *err);

/*
 * The rows of all plants that stand under a mark, ascending.
 *   rows  out: n of them, yours (free); NULL where there are none
 * Cost: that of the marked ones and what descends from them.
 */
enum pb_rc pb_doubted_plants(struct pb_book *book, int64_t **rows, size_t *n,
                             struct pb_err *err);

#endif
