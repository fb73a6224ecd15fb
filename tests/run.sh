#!/bin/sh
# Build and test everything, under .build/.  Installs what is missing (see packages).
#   sh tests/run.sh               all variants, quick tests first
#   sh tests/run.sh --quick       the developer's build and the quick tests
#   sh tests/run.sh --long        the variants long and coverage
#   sh tests/run.sh VARIANT...    only these:
#     dev       gcc, warnings are errors; quick, full, and the checks of the tree
#     release   hardened, installed as users get it; quick, then again where a decimal
#               point is a comma
#     clang     warnings of the other compiler are errors; quick
#     asan      gcc: address, leaks, undefined behaviour; quick and allocation failures
#     isan      clang: wraps and truncations of integers; quick
#     msan      clang: memory read before it is written; base and core
#     analyze   gcc -fanalyzer
#     tidy      clang-tidy
#     long      what takes longer than a run should; not part of "all"
#     coverage  the branches that the tests reach, held to a bar; not part of "all"
# Closes with "N passed, N failed, N skipped": test cases over all variants; a build or an
# analysis that fails counts as one.
set -eu
cd "$(dirname -- "$0")/.."
top=$PWD
build=$top/.build
hints="-I$top/lib -include $top/tests/checks/analyse.h"
jobs=$(nproc 2>/dev/null || echo 2)
passed=0
failed=0
skipped=0

usage()
{
    sed -n '/^#   sh tests/,/^# Closes/p' "$0" | sed -e '$d' -e 's/^# *//'
    exit 2
}

say()
{
    printf '%s: %s\n' "$1" "$2"
}

# the end of a log, indented, where something failed
show()
{
    tail -n "${2:-60}" "$1" | sed 's/^/    /'
}

# configure VARIANT CMAKE-ARGUMENT...
configure()
{
    variant=$1
    shift
    mkdir -p "$build/$variant"
    if cmake -S "$top" -B "$build/$variant" -G Ninja -DPB_WERROR=ON "$@" \
        >"$build/$variant/configure.log" 2>&1 &&
        ninja -C "$build/$variant" -j "$jobs" >"$build/$variant/build.log" 2>&1; then
        return 0
    fi
    say "$variant" "does not build"
    if grep -q 'FAILED:' "$build/$variant/build.log" 2>/dev/null; then
        # the compilers' errors, or the end of the log where something else failed
        grep -E ' error: ' "$build/$variant/build.log" | sort -u >"$build/$variant/bad.log" ||
            cp "$build/$variant/build.log" "$build/$variant/bad.log"
        show "$build/$variant/bad.log"
    else
        show "$build/$variant/configure.log"
    fi
    failed=$((failed + 1))
    return 1
}

# the number that a junit file gives for a word
counted()
{
    sed -n "s/^.*[[:space:]]$1=\"\([0-9]*\)\".*$/\1/p" "$2" | head -n 1
}

# check VARIANT LABELS [NAME]: run the cases with these labels and count them
check()
{
    began=$(date +%s)
    report=$build/$1/${3:-$1}-$2.xml
    rm -f "$report"
    status=0
    TMPDIR=$build/tmp ctest --test-dir "$build/$1" -L "^($2)\$" -j "$jobs" \
        --no-tests=error --output-on-failure --output-junit "$report" \
        >"$build/$1/test.log" 2>&1 || status=$?
    all=$(counted tests "$report" 2>/dev/null || true)
    if [ -z "$all" ] || [ "$all" -eq 0 ]; then
        say "${3:-$1}" "no test was run"
        show "$build/$1/test.log"
        failed=$((failed + 1))
        return 0
    fi
    bad=$(counted failures "$report")
    out=$(($(counted skipped "$report") + $(counted disabled "$report")))
    if [ "$status" -ne 0 ]; then
        # ctest's words on cases that passed are left out
        sed '/ \.\.\.*  *Passed /d; /^ *Start /d' "$build/$1/test.log" >"$build/$1/bad.log"
        show "$build/$1/bad.log" 200
        # and the gist of it once more at the very end
        grep -E 'ERROR|[Ee]rror:|\[  FAILED|SUMMARY:|\((Failed|Timeout|SEGFAULT|Not Run)\)' \
            "$build/$1/bad.log" | head -n 40 | sed "s/^ */${3:-$1}: /" >>"$build/failures"
        if [ "$bad" -eq 0 ]; then
            bad=1
        fi
    fi
    if [ "$out" -ne 0 ]; then
        grep -E 'Skipped|Disabled' "$build/$1/test.log" | sed 's/^ */    /' | sort -u
    fi
    passed=$((passed + all - bad - out))
    failed=$((failed + bad))
    skipped=$((skipped + out))
    say "${3:-$1}" "$2: $((all - bad - out)) passed, $bad failed, $out skipped, $(($(date +%s) - began)) s"
}

run_dev()
{
    if configure dev -DCMAKE_C_COMPILER=gcc; then
        check dev quick
        if ! $quick_only; then
            check dev full
        fi
    fi
}

run_long()
{
    if configure dev -DCMAKE_C_COMPILER=gcc; then
        check dev long
    fi
    if configure asan -DCMAKE_C_COMPILER=gcc -DPB_SANITIZE=address; then
        check asan deep
    fi
    if configure release -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=Release \
        -DPB_CHECKS=OFF -DPB_TEST_LOCALE=C.UTF-8 -DPB_TEST_LOCPATH=; then
        check release scale
    fi
}

run_coverage()
{
    began=$(date +%s)
    mkdir -p "$build/cov"
    if sh tests/coverage.sh >"$build/cov/log" 2>&1; then
        say coverage "above the bars, $(($(date +%s) - began)) s"
        passed=$((passed + 1))
    else
        say coverage "below a bar"
        failed=$((failed + 1))
    fi
    show "$build/cov/log" 22
}

# A locale whose decimal point is a comma, made here so that none need be installed.
comma_locale()
{
    mkdir -p "$build/locale"
    if [ -d "$build/locale/de_DE.UTF-8" ]; then
        return 0
    fi
    localedef --no-archive -i de_DE -f UTF-8 "$build/locale/de_DE.UTF-8" 2>/dev/null
}

run_release()
{
    set -- release -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=Release -DPB_CHECKS=OFF
    if ! configure "$@" -DPB_TEST_LOCALE=C.UTF-8 -DPB_TEST_LOCPATH=; then
        return
    fi
    check release 'quick|story'
    if ! comma_locale; then
        say comma "skipped: cannot make the locale de_DE.UTF-8"
        skipped=$((skipped + 1))
    elif configure "$@" -DPB_TEST_LOCALE=de_DE.UTF-8 -DPB_TEST_LOCPATH="$build/locale"; then
        check release 'quick|story' comma
    fi
}

run_clang()
{
    if configure clang -DCMAKE_C_COMPILER=clang -DPB_CHECKS=OFF; then
        check clang 'quick|story'
    fi
}

run_asan()
{
    if configure asan -DCMAKE_C_COMPILER=gcc -DPB_SANITIZE=address; then
        check asan 'quick|story|oom'
    fi
}

run_isan()
{
    if configure isan -DCMAKE_C_COMPILER=clang -DPB_SANITIZE=integer; then
        check isan 'quick|story'
    fi
}

run_msan()
{
    if configure msan -DCMAKE_C_COMPILER=clang -DPB_SANITIZE=memory; then
        check msan quick
    fi
}

# Leaks are left to the address sanitizer: gcc 12 takes memory that a function stores in
# its caller's struct for lost.
run_analyze()
{
    began=$(date +%s)
    if configure analyze -DCMAKE_C_COMPILER=gcc -DPB_TESTS=OFF \
        -DCMAKE_C_FLAGS="-O2 -fanalyzer -Wno-analyzer-malloc-leak $hints"; then
        say analyze "nothing found, $(($(date +%s) - began)) s"
    fi
}

run_tidy()
{
    began=$(date +%s)
    if [ ! -f "$build/clang/compile_commands.json" ] &&
        ! configure clang -DCMAKE_C_COMPILER=clang -DPB_CHECKS=OFF; then
        return
    fi
    # A source that is compiled for two targets is looked at once: in a second round
    # version 14 forgets what va_start does.
    mkdir -p "$build/tidy"
    jq 'unique_by(.file)' "$build/clang/compile_commands.json" \
        >"$build/tidy/compile_commands.json"
    # the shell's own globs give the sources; generated ones are left out
    if printf '%s\n' lib/*/*.c cmd/*.c | grep -v '\*' |
        xargs -P "$jobs" -n 1 clang-tidy --quiet -p "$build/tidy" \
            --extra-arg="-I$top/lib" --extra-arg="-include$top/tests/checks/analyse.h" \
            >"$build/tidy/log" 2>&1; then
        say tidy "nothing found, $(($(date +%s) - began)) s"
    else
        say tidy "found something"
        grep -E ' (error|warning): ' "$build/tidy/log" | sort -u >"$build/tidy/said" || true
        show "$build/tidy/said" 200
        failed=$((failed + 1))
    fi
}

# The peers written in JavaScript, at the versions that external/package-lock.json pins.
npm_peers()
{
    lock=tests/external/package-lock.json
    if [ ! -f "$lock" ] || cmp -s "$lock" "$build/npm/installed.json"; then
        return 0
    fi
    rm -rf "$build/npm"
    mkdir -p "$build/npm"
    cp tests/external/package.json "$lock" "$build/npm/"
    if (cd "$build/npm" && npm ci --ignore-scripts --no-audit --no-fund) \
        >"$build/npm.log" 2>&1 </dev/null; then
        cp "$lock" "$build/npm/installed.json"
    else
        say npm "cannot fetch the packages of tests/external; what needs them is skipped"
    fi
}

quick_only=false
variants=
for word in "$@"; do
    case $word in
    --quick) quick_only=true ;;
    --long) variants="$variants long coverage" ;;
    dev | release | clang | asan | isan | msan | analyze | tidy | long | coverage)
        variants="$variants $word"
        ;;
    *) usage ;;
    esac
done
if $quick_only; then
    variants=dev
elif [ -z "$variants" ]; then
    variants='dev release clang asan isan msan analyze tidy'
fi

sh tests/install.sh build test
rm -rf "$build/tmp" "$build/failures"
mkdir -p "$build/tmp"
if ! $quick_only; then
    npm_peers
fi
began_all=$(date +%s)
for variant in $variants; do
    "run_$variant"
done
echo "took $(($(date +%s) - began_all)) s"
if [ "$passed" -eq 0 ] && [ "$failed" -eq 0 ]; then
    case $variants in
    *dev* | *release* | *clang* | *san* | *long* | *coverage*)
        echo "no test was run"
        failed=1
        ;;
    esac
fi
if [ -s "$build/failures" ]; then
    show "$build/failures" 120
fi
echo "$passed passed, $failed failed, $skipped skipped"
if [ "$failed" -ne 0 ]; then
    exit 1
fi
