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

# The story is told up to today, and its codes carry the year.  It is eight weeks long and
# keeps to one year: early in a year it is told up to the end of the one before.
year=$(date +%Y)
if [ "$(date +%j)" -lt 60 ]; then
    year=$((year - 1))
    PODBOOK_TODAY=$year-12-31
    export PODBOOK_TODAY
fi
sed "s/\([XS]\)26-/\1${year#??}-/g" "$top/examples/club/cmd" >"$place/story"
sh "$top/tests/cli/replay.sh" --plain --stop "$place/story"

cat <<END

The example is left for you to look at:
  $place/story          the commands that you have just seen
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
