#!/bin/sh
# Run cases: each is a directory whose name is the claim, with
#   cmd        the commands, in the form that replay.sh reads
#   expected   the replay that they must give
#   any other file or folder is copied beside the commands before they run.
# They run in an empty directory with the clock, the ids and the book fixed.
#   run-case.sh [--bin DIR] CASE...            compare, print the difference
#   run-case.sh [--bin DIR] --accept [CASE...] write "expected" anew (none: all of cli/);
#                                              read the change before you commit it
#   run-case.sh [--bin DIR] --print CASE       only print the replay
# --bin DIR   where the program is; default .build/dev
# --plain     the replay has no marks, as on a terminal
set -eu
cli=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
PB_SOURCE=$(CDPATH='' cd -- "$cli/../.." && pwd)
bin=$PB_SOURCE/.build/dev
accept=false
print=false
plain=
while [ $# -gt 0 ]; do
    case $1 in
    --bin)
        bin=$(CDPATH='' cd -- "$2" && pwd)
        shift 2
        ;;
    --accept)
        accept=true
        shift
        ;;
    --print)
        print=true
        shift
        ;;
    --plain)
        plain=--plain
        shift
        ;;
    *) break ;;
    esac
done
if [ $# -eq 0 ]; then
    if ! $accept; then
        echo "usage: run-case.sh [--bin DIR] [--accept] CASE..." >&2
        exit 2
    fi
    for cmd in "$cli"/*/cmd; do
        set -- "$@" "$(dirname "$cmd")"
    done
fi

work=$(mktemp -d)
work=$(CDPATH='' cd -- "$work" && pwd -P)
# a case may take away its own rights to its folder
trap 'chmod -R u+rwx "$work"; rm -rf "$work"' EXIT

PATH=$bin:$PATH
PYTHON=/usr/bin/python3
NO_COLOR=1
PODBOOK_TODAY=2026-03-02
SOURCE_DATE_EPOCH=1772452800 # noon of that day, UTC
PODBOOK_TEST_SEED=1
export PB_SOURCE PATH PYTHON NO_COLOR PODBOOK_TODAY SOURCE_DATE_EPOCH PODBOOK_TEST_SEED
# The locale is the tests' for numbers and characters; tools sort and speak as in C.
LANG=${LC_ALL:-${LANG:-C.UTF-8}}
LC_COLLATE=C
LC_MESSAGES=C
export LANG LC_COLLATE LC_MESSAGES
unset LC_ALL
unset XDG_DATA_HOME XDG_CONFIG_HOME XDG_STATE_HOME XDG_CACHE_HOME PODBOOK_BOOK COLUMNS

failed=0
for case in "$@"; do
    case=$(CDPATH='' cd -- "$case" && pwd)
    name=${case##*/}
    here=$work/$name
    mkdir "$here"
    for file in "$case"/* "$case"/.[!.]*; do
        case ${file##*/} in
        cmd | expected | '*' | '.[!.]*') ;;
        *) cp -R "$file" "$here/" ;;
        esac
    done
    (
        cd "$here"
        HOME=$here
        PODBOOK_FILE=$here/book.db
        export HOME PODBOOK_FILE
        # shellcheck disable=SC2086 # an option or nothing
        exec sh "$cli/replay.sh" $plain "$case/cmd"
    ) >"$work/got.raw" 2>&1 || echo "[the commands stopped: exit $?]" >>"$work/got.raw"
    sed "s|$here|{here}|g" "$work/got.raw" >"$work/got"
    if $print; then
        cat "$work/got"
    elif $accept; then
        if ! cmp -s "$work/got" "$case/expected"; then
            cp "$work/got" "$case/expected"
            echo "accepted: $name"
        fi
    elif [ ! -f "$case/expected" ]; then
        echo "$name: no file \"expected\"; write it with --accept" >&2
        failed=1
    elif ! diff -u "$case/expected" "$work/got"; then
        failed=1
    fi
done
exit "$failed"
