#!/bin/sh
# How many of the branches the tests reach, in two parts, each with a bar below which this
# fails:
#   lib/core, lib/base             95 %
#   the rest of lib, and cmd       85 %
# Counted are the quick and the full tests but those against other programs, the one of
# prop that takes minutes without being optimised, and the case that lets files grow to a few
# blocks only, which the files of the counters pass.
# Left out is what no test can reach: the failing side of an assert (only a bug gets there)
# and the branches that gcc adds on its own.
# The files that lack most are listed; HTML in .build/cov/report/.
#   sh tests/coverage.sh [--report]   --report: of what has been run already
set -eu
cd "$(dirname -- "$0")/.."
cov=.build/cov
left_out='^external/|^prop/ripening_calibration$|^cli/an-older-book-is-copied-'
if [ "${1:-}" != --report ]; then
    sh tests/install.sh build test coverage
    cmake -S . -B "$cov" -G Ninja -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=Debug \
        -DPB_COVERAGE=ON >/dev/null
    ninja -C "$cov" >/dev/null
    find "$cov" -name '*.gcda' -delete
    status=0
    ctest --test-dir "$cov" -L 'quick|full' -E "$left_out" \
        -j "$(nproc)" --no-tests=error --output-on-failure >"$cov/test.log" || status=$?
    if [ "$status" -ne 0 ]; then
        echo "coverage: a test fails, see $cov/test.log"
        exit 1
    fi
fi
mkdir -p "$cov/report"
gcovr --root . --filter lib/ --filter cmd/ --object-directory "$cov" \
    --exclude-unreachable-branches --exclude-branches-by-pattern ' *assert\(' \
    --json "$cov/branches.json" --html-details "$cov/report/index.html" "$cov"

# part NAME BAR FILTER...: the ten files that lack most, and what all of them reach
failed=0
part()
{
    name=$1
    bar=$2
    shift 2
    gcovr --root . --add-tracefile "$cov/branches.json" "$@" --csv "$cov/part.csv"
    # its columns: file, lines and how many of them, their share, branches and how many
    awk -F, 'NR > 1 && $5 > $6 { printf "%4d of %4d not reached: %s\n", $5 - $6, $5, $1 }' \
        "$cov/part.csv" | LC_ALL=C sort -rn | sed 10q
    awk -F, -v name="$name" -v bar="$bar" '
        NR > 1 { all += $5; reached += $6 }
        END {
            share = all == 0 ? 0 : 100 * reached / all
            printf "%s: %d of %d branches, %.2f %% (bar: %d)\n", name, reached, all, share, bar
            exit share < bar
        }' "$cov/part.csv" || failed=1
}
part 'core and base' 95 --filter 'lib/(core|base)/'
part 'the rest' 85 --filter lib/ --filter cmd/ --exclude 'lib/(core|base)/'
exit "$failed"
