#!/bin/sh
# Run the commands of a file, one after the other in this shell and this directory, and
# print what a reader would see:
#   $ COMMAND            a line; "> " carries it on (a here-document, a long command)
#   its stdout
#   ! its stderr         each line marked
#   [exit N]             where N is not 0
# In the file a command stands without its "$ ", and a line that begins with "> " carries
# on the one above.  Empty lines are passed over, comments are copied.
#   transcript.sh [--plain] [--stop] FILE
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
transcript_dir=$(mktemp -d)
trap 'rm -rf "$transcript_dir"' EXIT

# print a file; say so where its last line does not end
transcript_print()
{
    sed "s/^/$2/" "$1"
    if [ -s "$1" ] && [ -n "$(tail -c 1 "$1" | tr -d '\n')" ]; then
        printf '\n\\ no newline at the end\n'
    fi
}

transcript_run()
{
    if [ -z "$transcript_chunk" ]; then
        return
    fi
    printf '%s\n' "$transcript_chunk" | sed -e '1s/^/$ /' -e '2,$s/^/> /'
    eval "$transcript_chunk" >"$transcript_dir/out" 2>"$transcript_dir/err" </dev/null 3<&-
    transcript_status=$?
    transcript_print "$transcript_dir/out" ''
    if $plain; then
        transcript_print "$transcript_dir/err" ''
    else
        transcript_print "$transcript_dir/err" '! '
        if [ "$transcript_status" -ne 0 ]; then
            printf '[exit %d]\n' "$transcript_status"
        fi
    fi
    transcript_chunk=
    if $stop && [ "$transcript_status" -ne 0 ]; then
        exit "$transcript_status"
    fi
}

transcript_chunk=
exec 3<"$1"
while IFS= read -r transcript_line <&3 || [ -n "$transcript_line" ]; do
    case $transcript_line in
    '> '* | '>')
        transcript_line=${transcript_line#>}
        transcript_chunk="$transcript_chunk
${transcript_line# }"
        ;;
    *)
        transcript_run
        case $transcript_line in
        '') ;;
        '#'*) printf '%s\n' "$transcript_line" ;;
        *) transcript_chunk=$transcript_line ;;
        esac
        ;;
    esac
done
transcript_run
exit 0
