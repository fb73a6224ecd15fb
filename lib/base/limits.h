/* Every ceiling of the program in one place.  Passing one is PB_ELIMIT and is named. */
#ifndef PB_BASE_LIMITS_H
#define PB_BASE_LIMITS_H

enum {
    PB_MAX_CODE = 32,      /* bytes of a code */
    PB_MAX_NAME = 200,     /* bytes of a taxon, clone name, grex, place on a spike */
    PB_MAX_TEXT = 4000,    /* bytes of a note, source, papers, place */
    PB_MAX_EXTRA = 16384,  /* bytes of the x- keys of one record, as JSON */
    PB_MAX_FLOWERS = 9999, /* flowers of one cross */
    PB_MAX_LOOKS = 9999,   /* looks of one record */
    PB_MAX_COUNTED =
        2000000000,         /* seeds or protocorms counted: a capsule holds up to four
                                    million (Arditti & Ghani 2000, New Phytol. 145:367) */
    PB_MAX_RANGE = 1000,    /* records of one range of codes */
    PB_MAX_HARVESTS = 9999, /* harvests of one cross */
    PB_MAX_POLLEN_PARENTS = 8,      /* plants whose pollen went onto one stigma */
    PB_MAX_PLOIDY = 16,             /* chromosome sets of a plant */
    PB_MAX_STAGE_DAYS = 3650,       /* days of a profile's stage */
    PB_MAX_FLOWER_AGE = 365,        /* days a flower has been open */
    PB_MAX_POLLEN_AGE = 36500,      /* days a pollen lot was kept */
    PB_MAX_PROFILES = 2000,         /* rows of a profiles file */
    PB_MAX_PROFILE_FILE = 4194304,  /* bytes of a profiles file */
    PB_MAX_PROFILE_TAXA = 500,      /* names in one list of a profile */
    PB_MAX_PROFILE_SOURCES = 2000,  /* sources of a profiles file */
    PB_MAX_PROFILE_SYNONYMS = 2000, /* synonyms of a profiles file */
    PB_MAX_TABLE = 67108864,        /* bytes of a table */
    PB_MAX_JSON_LINE = 1048576,     /* bytes of one line of JSON Lines */
    PB_MAX_JSON_DEPTH = 32,         /* nesting of one JSON document */
    PB_MAX_GRID = 1048576,          /* nodes of one quadrature */
    PB_MAX_PEDIGREE = 16777216,     /* individuals of one pedigree */
    PB_MAX_DOUBTS = 100,            /* doubts that are read with a record */
    PB_MAX_PAIRS = 4194304,         /* pairs of plants ranked at once */
    PB_MAX_COMMAND = 2000 /* bytes of a command's words as the history keeps them */
};

#endif
