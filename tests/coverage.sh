#!/bin/sh
# How much of the library and the program the quick tests and the allocation failures
# reach: a report to read, no gate.  HTML in .build/cov/report/.
set -eu
cd "$(dirname -- "$0")/.."
sh tests/install.sh build test coverage
cmake -S . -B .build/cov -G Ninja -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=Debug \
    -DPB_COVERAGE=ON >/dev/null
ninja -C .build/cov >/dev/null
find .build/cov -name '*.gcda' -delete
ctest --test-dir .build/cov -L 'quick|oom' -j "$(nproc)" --no-tests=error \
    --output-on-failure >.build/cov/test.log || tail -n 20 .build/cov/test.log
mkdir -p .build/cov/report
gcovr --root . --filter 'lib/' --filter 'cmd/' --object-directory .build/cov \
    --exclude-unreachable-branches --html-details .build/cov/report/index.html \
    --print-summary .build/cov
