#!/bin/sh
# Prints club.jsonl: the records that the fuzz targets find in a book, one of each kind at
# least.  Their taxon is in no table of profiles, so that no law is fitted for each input.
#   sh tests/fuzz/club.sh FOLDER-OF-PODBOOK >tests/fuzz/club.jsonl
set -eu
PATH=$1:$PATH
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
export PODBOOK_FILE="$folder/book.db" XDG_CONFIG_HOME="$folder" PODBOOK_TEST_SEED=fuzz
export PODBOOK_TODAY=2026-03-02 SOURCE_DATE_EPOCH=1772409600 TZ=UTC
{
    podbook --today -90d plant AR-1 'Zeuxine alba' --place 'bench 1' --got 2024-05-01
    podbook --today -90d plant DM-1 'Zeuxine' --clone-name 'Old Bench' --note 'two pots'
    podbook --today -90d plant DM-1b 'Zeuxine' --pup-of DM-1
    podbook --today -80d bloom DM-1 spike
    podbook --today -70d cross AR-1 DM-1 --flowers 3 --own-pollen removed --at 'lowest'
    podbook --today -60d look X25-001 swollen --count 2
    podbook --today -60d look X25-001 dropped --count 1 --note 'fell at a touch'
    podbook --today -30d harvest X25-001 --count 1
    podbook --today -25d sow S26-001
    podbook --today -20d cross DM-1 unknown --note 'a bee was on it'
    podbook --today -10d pollen AR-1 --kept fridge --dried
    podbook --today -9d cut DM-1 --count 3
    podbook --today -5d look F26-001 germinated --count 1
} >"$folder/said"
podbook share --with-notes
