#!/bin/sh
# Install a build into an empty place and use it from there: the program, the library
# through pkg-config (shared and static), and every file that belongs to it.
#   install.sh BUILD
set -eu
export LC_ALL=C
top=$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd)
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
cmake --install "$1" --prefix "$place" >"$place/log"
rm "$place/log"

fail()
{
    echo "install: $*"
    exit 1
}

cd "$place"
pc=$(find . -name podbook.pc)
[ -n "$pc" ] || fail "no pkg-config file"
PKG_CONFIG_PATH=$place/$(dirname "$pc")
export PKG_CONFIG_PATH
# the build's prefix is another one
use()
{
    pkg-config --define-variable=prefix="$place" "$@" podbook
}
libdir=$(use --variable=libdir)

# public headers lean on public headers and on C alone, so that they need no other package
find include -name '*.h' | while read -r header; do
    sed -n 's/^ *# *include *"\([^"]*\)".*/\1/p' "$header" | while read -r other; do
        [ -f "include/podbook/$other" ] || echo "$header includes $other: not installed"
    done
    grep -nE '^ *# *include *<(sqlite3|jansson|libical|uuid|csv|cairo|pango)' "$header" |
        sed "s|^|$header:|; s|\$|: another package's header|"
done >"$place/faults"
if [ -s "$place/faults" ]; then
    cat "$place/faults"
    exit 1
fi

expected=$top/examples/use.expected
flags='-std=c11 -Wall -Wextra -Wpedantic -Werror'
# shellcheck disable=SC2086,SC2046 # lists of flags
gcc $flags "$top/examples/use.c" $(use --cflags --libs) -o shared ||
    fail "examples/use.c does not link with the shared library"
LD_LIBRARY_PATH=$libdir ./shared book.db 2026-03-02 >said || fail "examples/use.c fails"
diff -u "$expected" said || fail "examples/use.c says something else"
# the archive by its name, what it leans on as it is here
# shellcheck disable=SC2046 # a list of packages
needs=$(pkg-config --libs $(use --print-requires-private))
# shellcheck disable=SC2086,SC2046 # lists of flags
gcc $flags "$top/examples/use.c" $(use --cflags) "$libdir/libpodbook.a" $needs -lm \
    -o static ||
    fail "examples/use.c does not link with the static library"
rm book.db
./static book.db 2026-03-02 | diff -u "$expected" - || fail "the static one says something else"

soname=$(readelf -d "$libdir/libpodbook.so" | sed -n 's/.*SONAME.*\[\(.*\)\]/\1/p')
[ -e "$libdir/$soname" ] || fail "the file of the soname \"$soname\" is missing"

# what the source tree has of these must have come along
for file in "$top"/man/*.[135] "$top"/lib/schema/*.json "$top"/lib/data/profiles.json; do
    if [ -e "$file" ]; then
        found=$(find . -name "${file##*/}")
        [ -n "$found" ] || fail "${file##*/} is not installed"
        cmp -s "$file" "$found" || fail "${file##*/} is another one"
    fi
done
if [ -e "$1/podbook" ]; then
    bin/podbook --version >said || fail "the installed program does not run"
    version=$(use --modversion)
    grep -qF "$version" said || fail "podbook --version does not say $version"
fi
