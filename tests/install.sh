#!/bin/sh
# Install the Debian packages of the named sections of tests/packages that are missing.
# Asks nothing of the network where nothing is missing.
#   sh tests/install.sh build test
set -eu
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)

if [ $# -eq 0 ]; then
    echo "usage: sh tests/install.sh SECTION..." >&2
    exit 2
fi

# the lines of one section, comments and blanks dropped
section()
{
    awk -v want="[$1]" '
        /^#/ || NF == 0 { next }
        /^\[/ { inside = $1 == want; found = found || inside; next }
        inside
        END { if (!found) exit 1 }' "$here/packages"
}

is_here()
{
    package=$1
    shift
    for name in "$@"; do
        if command -v "$name" >/dev/null; then
            return 0
        fi
    done
    dpkg-query -W -f '${db:Status-Status}\n' "$package" 2>/dev/null | grep -qx installed
}

wanted=
for name in "$@"; do
    lines=$(section "$name") || {
        echo "install: no section [$name] in tests/packages" >&2
        exit 2
    }
    wanted="$wanted$lines
"
done
missing=$(printf '%s' "$wanted" | while read -r line; do
    # shellcheck disable=SC2086 # the line is a package and its commands
    is_here $line || printf ' %s' "${line%% *}"
done)
if [ -z "$missing" ]; then
    exit 0
fi

if ! command -v apt-get >/dev/null; then
    echo "install: this system has no apt-get; install what matches:$missing" >&2
    exit 1
fi
as_root=
if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null; then
        echo "install: run this as root: apt-get install$missing" >&2
        exit 1
    fi
    as_root=sudo
fi
echo "installing:$missing"
export DEBIAN_FRONTEND=noninteractive
# shellcheck disable=SC2086 # lists, and an optional command
{
    $as_root apt-get update -qq
    $as_root apt-get install -y -qq --no-install-recommends $missing
} </dev/null >&2 || {
    echo "install: could not install$missing" >&2
    exit 1
}
