#!/bin/sh
# The form of the sources: clang-format's for C, shellcheck's opinion of every script.
#   format.sh c|shell [ROOT]
set -eu
kind=$1
cd "${2:-.}"
list=$(mktemp)
trap 'rm -f "$list"' EXIT
case $kind in
c)
    find lib cmd tests examples -name '*.[ch]' 2>/dev/null |
        grep -v /fixtures/ | LC_ALL=C sort >"$list" || true
    ;;
shell)
    find tests examples .ci -type f 2>/dev/null |
        LC_ALL=C sort | while read -r file; do
        case $file in
        */fixtures/*) ;;
        *.sh) echo "$file" ;;
        *) head -n 1 "$file" 2>/dev/null | grep -aq '^#!/bin/sh' && echo "$file" ;;
        esac
    done >"$list" || true
    ;;
*) exit 2 ;;
esac
if [ ! -s "$list" ]; then
    echo "format: found nothing to look at" >&2
    exit 1
fi
if [ "$kind" = c ]; then
    xargs clang-format --dry-run -Werror --style=file <"$list"
else
    xargs shellcheck <"$list"
    loose=$(xargs grep -L '^set -e\{0,1\}u$' <"$list" || true)
    if [ -n "$loose" ]; then
        echo "neither set -eu nor set -u:" "$loose"
        exit 1
    fi
fi
