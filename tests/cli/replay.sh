#!/bin/sh
# Run the commands of a file, one after the other in this shell and this directory, and
# print what a reader would see:
#   $ COMMAND            a line; "> " carries it on (a here-document, a long command)
#   its stdout
#   ! its stderr         each line marked
#   [exit N]             where N is not 0
# In the file a command stands without its "$ ", and a line that begins with "> " carries
# on the one above.  Empty lines are passed over, comments are copied.
#   replay.sh [--plain] [--stop] FILE
# --plain   as on a terminal: no marks, no [exit N]
# --stop    end at the first command that fails, with its status
set -u
plain=false
stop=false
while :; do
    case $1 in
    --plain) plain=true ;;
    --stop) stop=true ;;
    *) break ;;
    esac
    shift
done
replay_dir=$(mktemp -d)
trap 'rm -rf "$replay_dir"' EXIT

# print a file, each line after a mark; say so where its last line does not end
replay_print()
{
    if [ ! -s "$1" ]; then
        return
    fi
    if [ -n "$2" ]; then
        sed "s/^/$2/" "$1"
    else
        cat "$1"
    fi
    # the substitution drops a newline, and a NUL, which no output should end in
    if [ -n "$(tail -c 1 "$1")" ]; then
        printf '\n\\ no newline at the end\n'
    fi
}

# the command as it was typed, "> " before the lines that carry it on
replay_show()
{
    case $1 in
    *'
'*) printf '%s\n' "$1" | sed -e '1s/^/$ /' -e '2,$s/^/> /' ;;
    *) printf '$ %s\n' "$1" ;;
    esac
}

replay_run()
{
    if [ -z "$replay_chunk" ]; then
        return
    fi
    replay_show "$replay_chunk"
    eval "$replay_chunk" >"$replay_dir/out" 2>"$replay_dir/err" </dev/null 3<&-
    replay_status=$?
    replay_print "$replay_dir/out" ''
    if $plain; then
        replay_print "$replay_dir/err" ''
    else
        replay_print "$replay_dir/err" '! '
        if [ "$replay_status" -ne 0 ]; then
            printf '[exit %d]\n' "$replay_status"
        fi
    fi
    replay_chunk=
    if $stop && [ "$replay_status" -ne 0 ]; then
        exit "$replay_status"
    fi
}

replay_chunk=
exec 3<"$1"
while IFS= read -r replay_line <&3 || [ -n "$replay_line" ]; do
    case $replay_line in
    '> '* | '>')
        replay_line=${replay_line#>}
        replay_chunk="$replay_chunk
${replay_line# }"
        ;;
    *)
        replay_run
        case $replay_line in
        '') ;;
        '#'*) printf '%s\n' "$replay_line" ;;
        *) replay_chunk=$replay_line ;;
        esac
        ;;
    esac
done
replay_run
exit 0
