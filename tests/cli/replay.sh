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

# What a command wrote ends here: after a newline of ours the mark, which replay_ends reads.
# A case has many commands and the suite many cases: no process for each of them.
replay_end()
{
    printf '\n\002\n'
}

# take the marks out again, and say so where a command's last line does not end
replay_ends()
{
    awk '
    $0 == "\002" { if (line != "") print line "\n\\ no newline at the end"; held = 0; next }
    { if (held) print line; line = $0; held = 1 }
    END { if (held) print line }'
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
    eval "$replay_chunk" 2>"$replay_dir/err" </dev/null 3<&-
    replay_status=$?
    replay_end
    if [ -s "$replay_dir/err" ]; then
        if $plain; then
            cat "$replay_dir/err"
        else
            sed 's/^/! /' "$replay_dir/err"
        fi
        replay_end
    fi
    if [ "$replay_status" -ne 0 ] && ! $plain; then
        printf '[exit %d]\n' "$replay_status"
    fi
    replay_chunk=
    if $stop && [ "$replay_status" -ne 0 ]; then
        echo "$replay_status" >"$replay_dir/stopped"
        exit
    fi
}

replay_all()
{
    replay_chunk=
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
}

replay_all 3<"$1" | replay_ends
if [ -f "$replay_dir/stopped" ]; then
    exit "$(cat "$replay_dir/stopped")"
fi
