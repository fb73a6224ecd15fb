#!/bin/sh
# Build podbook and run the example book, a school greenhouse club's; leave its book, its
# calendar and its JSON in .build/example/ and say where.
#   sh examples/start.sh
# Installs the Debian packages that are missing.  Nothing outside .build/ is written.
set -eu
cd "$(dirname -- "$0")/.."
top=$PWD
sh tests/install.sh build

mkdir -p .build/start
if ! {
    cmake -S . -B .build/start -G Ninja -DCMAKE_BUILD_TYPE=Release -DPB_TESTS=OFF &&
        ninja -C .build/start
} >.build/start/log 2>&1; then
    tail -n 40 .build/start/log >&2
    echo "start: the build failed; all of it is in .build/start/log" >&2
    exit 1
fi

place=$top/.build/example
rm -rf "$place"
mkdir -p "$place"
cd "$place"
unset PODBOOK_TODAY SOURCE_DATE_EPOCH PODBOOK_TEST_SEED XDG_CONFIG_HOME
PATH=$top/.build/start:$PATH
HOME=$place
PODBOOK_FILE=$place/book.db
export PATH HOME PODBOOK_FILE
sh "$top/tests/cli/transcript.sh" --plain --stop "$top/examples/club/cmd"

cat <<END

The example is left for you to look at:
  $place/book.db        the book
  $place/calendar.ics   its reminders; open it with a calendar program
  $place/records.jsonl  its records as JSON, one a line
Go on with it:
  PODBOOK_FILE=$place/book.db $top/.build/start/podbook due
END
for file in book.db calendar.ics records.jsonl; do
    if [ ! -s "$place/$file" ]; then
        echo "start: the example left no $file" >&2
        exit 1
    fi
done
