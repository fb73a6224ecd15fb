#!/bin/sh
# Fuzz with clang's libFuzzer, address and undefined-behaviour sanitizers.
#   sh tests/fuzz/run.sh TARGET|all... [--runs N] [--seconds S] [--minimise]
#     --runs N     executions of each target (default 100000)
#     --seconds S  end a target after so long (default: when it has its runs)
#     --minimise   afterwards take what reached something new into corpus/TARGET, and leave
#                  out of it what reaches nothing more than others do
# Prints "TARGET: N executions, S s, C edges" a line each, then their sum.  What fails is
# kept in .build/fuzz-found, its report beside it, and the exit status is 1.
set -eu
cd "$(dirname -- "$0")/../.."
top=$PWD
build=$top/.build/fuzz
found=$top/.build/fuzz-found
log=$build/log
runs=100000
seconds=0
minimise=false
targets=

usage()
{
    sed -n '/^#   sh tests/,/^# kept/p' "$0" | sed -e 's/^# *//'
    exit 2
}

all_targets()
{
    for source in tests/fuzz/target_*.c; do
        basename "$source" .c | sed 's/^target_//'
    done
}

while [ $# -gt 0 ]; do
    case $1 in
    --runs)
        [ $# -ge 2 ] || usage
        runs=$2
        shift
        ;;
    --seconds)
        [ $# -ge 2 ] || usage
        seconds=$2
        shift
        ;;
    --minimise) minimise=true ;;
    all) targets="$targets $(all_targets)" ;;
    -*) usage ;;
    *)
        if [ ! -f "tests/fuzz/target_$1.c" ]; then
            echo "no target $1; there are:" "$(all_targets | tr '\n' ' ')" >&2
            exit 2
        fi
        targets="$targets $1"
        ;;
    esac
    shift
done
[ -n "$targets" ] || usage
if ! command -v clang >/dev/null; then
    echo "skipped: no clang"
    exit 77
fi

mkdir -p "$build" "$log" "$found"
# shellcheck disable=SC2046,SC2086 # a word a target
if ! { cmake -S . -B "$build" -G Ninja -DPB_WERROR=ON -DCMAKE_C_COMPILER=clang \
    -DPB_SANITIZE=fuzz -DPB_CHECKS=OFF &&
    ninja -C "$build" $(printf 'fuzz_%s ' $targets); } >"$log/build" 2>&1; then
    echo "the targets do not build:"
    tail -n 40 "$log/build"
    exit 1
fi

# The zone and the locale of the other tests; small numbers of what the sanitizer remembers
# are twice as fast.
export TZ=Pacific/Apia LC_ALL=C.UTF-8
checks=strict_string_checks=1:detect_stack_use_after_return=1
export ASAN_OPTIONS=$checks:quarantine_size_mb=16:malloc_context_size=8
export UBSAN_OPTIONS=print_stacktrace=1

failed=0
total=0
for target in $targets; do
    work=$build/corpus/$target
    kept=$top/tests/fuzz/corpus/$target
    mkdir -p "$work" "$kept"
    # what is longer only takes longer
    case $target in
    date | taxon) length=200 ;;
    text | cells | options) length=400 ;;
    calendar) length=1000 ;;
    *) length=4096 ;;
    esac
    began=$(date +%s)
    status=0
    # new inputs go into the first folder: never into what is kept
    "$build/tests/fuzz/fuzz_$target" -runs="$runs" -max_total_time="$seconds" \
        -max_len="$length" -timeout=60 -rss_limit_mb=4096 -print_final_stats=1 \
        -artifact_prefix="$found/$target-" "$work" "$kept" >"$log/$target" 2>&1 ||
        status=$?
    done=$(sed -n 's/^stat::number_of_executed_units: *//p' "$log/$target")
    edges=$(sed -n 's/.* cov: \([0-9]*\) .*/\1/p' "$log/$target" | tail -n 1)
    echo "$target: ${done:-0} executions, $(($(date +%s) - began)) s, ${edges:-0} edges"
    total=$((total + ${done:-0}))
    if [ "$status" -ne 0 ]; then
        cp "$log/$target" "$found/$target.report"
        tail -n 30 "$log/$target" | sed 's/^/    /'
        failed=$((failed + 1))
    elif $minimise; then
        rm -rf "$work.less"
        mkdir "$work.less"
        # what was found before stays whatever it reaches: its name says what it was
        "$build/tests/fuzz/fuzz_$target" -merge=1 -use_counters=0 -max_len="$length" "$work.less" "$kept" \
            "$work" >"$log/$target.merge" 2>&1
        find "$kept" -type f -regextype posix-extended -regex '.*/[0-9a-f]{40}' -delete
        cp "$work.less"/* "$kept"/
    fi
done
echo "$total executions in all, $failed failed"
[ "$failed" -eq 0 ]
