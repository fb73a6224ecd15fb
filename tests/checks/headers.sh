#!/bin/sh
# Each header compiles alone, with every compiler that is here, and its guard is its path.
#   headers.sh [ROOT]
set -eu
export LC_ALL=C # the compilers' own words
cd "${1:-.}"
flags='-std=c11 -Wall -Wextra -Wpedantic -Wstrict-prototypes -Werror -fsyntax-only'
flags="$flags -D_POSIX_C_SOURCE=200809L -Ilib -Icmd"
compilers=
for cc in gcc clang; do
    if command -v "$cc" >/dev/null; then
        compilers="$compilers $cc"
    fi
done
if [ -z "$compilers" ]; then
    echo "headers: neither gcc nor clang is here" >&2
    exit 1
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
list=$(find lib cmd -name '*.h' 2>/dev/null | LC_ALL=C sort)
if [ -z "$list" ]; then
    echo "headers: found none" >&2
    exit 1
fi
faults=0
for header in $list; do
    for cc in $compilers; do
        # twice, so that a missing guard shows
        printf '#include "%s"\n#include "%s"\ntypedef int pb_not_empty;\n' \
            "$PWD/$header" "$PWD/$header" >"$work/alone.c"
        # shellcheck disable=SC2086 # a list of flags
        if ! "$cc" $flags "$work/alone.c" 2>"$work/said"; then
            echo "$header: does not compile alone with $cc"
            grep -m 1 error: "$work/said" | sed 's/.*error: /    /'
            faults=1
        fi
    done
    guard=PB_$(printf '%s' "${header#lib/}" | tr 'a-z/.-' 'A-Z___')
    if ! grep -qx "#ifndef $guard" "$header"; then
        echo "$header: its guard is not $guard"
        faults=1
    fi
done
exit "$faults"
