/*
 * Errors: one small set of codes and a fixed-size record that the caller owns.
 *
 * Every fallible function of the library returns enum pb_rc and takes a struct
 * pb_err last, which may be NULL.  The first error wins: a record that already
 * holds one is left alone, so the cause survives the unwinding.  Out-parameters are
 * written only on success.
 */
#ifndef PB_BASE_ERR_H
#define PB_BASE_ERR_H

/* ORDER RC: rc_names in err.c */
enum pb_rc {
    PB_OK,
    PB_ENOMEM,    /* an allocation failed */
    PB_EINVALID,  /* the request contradicts itself or what the book holds */
    PB_EPARSE,    /* text is not of the form it should have */
    PB_ELIMIT,    /* a ceiling of limits.h was passed; the message names it */
    PB_ENOTFOUND, /* no such code, taxon, file */
    PB_ECONFLICT, /* others rest on it, or somebody else was first */
    PB_EIO,       /* the file system, or the book's file, said no */
    PB_RC_N
};

struct pb_err {
    enum pb_rc rc;
    long line;       /* line of the input, from 1; 0: none */
    char where[256]; /* file, option or field; empty: none.  Of a longer one the end */
    char text[512];  /* lower case, no full stop; names the remedy if there is one */
};

#if defined(__GNUC__)
#define PB_PRINTF(fmt, first) __attribute__((format(printf, fmt, first)))
#else
#define PB_PRINTF(fmt, first)
#endif

/*
 * Record an error and hand its code back, so that "return pb_fail(...)" reads well.
 *   err  the caller's record or NULL; left alone if it already holds an error
 *   fmt  printf form of the text; a text that is too long is cut at a character
 * Returns rc, always.  Allocates nothing.
 */
enum pb_rc pb_fail(struct pb_err *err, enum pb_rc rc, const char *fmt, ...)
    PB_PRINTF(3, 4);

/* The same with a place: where (file, option, field; NULL none), line from 1 (0 none). */
enum pb_rc pb_fail_at(struct pb_err *err, enum pb_rc rc, const char *where, long line,
                      const char *fmt, ...) PB_PRINTF(5, 6);

/* Out of memory, in the words every module uses. */
enum pb_rc pb_fail_memory(struct pb_err *err);

/* Make the record empty again.  NULL is allowed. */
void pb_err_clear(struct pb_err *err);

/* One word for a code, for logs and tests; static. */
const char *pb_rc_name(enum pb_rc rc);

#endif
