#!/bin/sh
# What the archives of the layers call and what they offer.
#   symbols.sh pure ARCHIVE...   base and core: call nothing but what is listed here, and
#                                keep no data that can be written
#   symbols.sh layer ARCHIVE...  the others: do not print, exit, or ask for the
#                                environment, the locale or an unsafe function
# Both: every symbol that is offered begins with pb_.
set -eu
kind=$1
shift

# memory, strings, formatting into memory, libm, and what the compiler itself puts in
pure_may='^(malloc|calloc|realloc|free|mem(chr|cmp|cpy|move|set)|bsearch|qsort|abs|div)$
^str(chr|cmp|cspn|len|ncmp|nlen|pbrk|rchr|spn|str|to(l|ll|ul|ull))$
^v?snprintf$
^(erfc?|exp|expm1|log|log1p|log2|log10|lgamma|sqrt|pow|floor|ceil|fabs|fmin|fmax|round|trunc|l?lround|hypot|cbrt|frexp|ldexp|modf|scalbn|nextafter)$
^__(assert_fail|stack_chk_fail|errno_location)$
^__(mem(cpy|move|set)|v?snprintf)_chk$
^_GLOBAL_OFFSET_TABLE_$
^pb_'
# C23 names that later versions of the C library give to strtol and its kin
pure_may="$pure_may
^__isoc23_strto(l|ll|ul|ull)\$"

layer_may_not='^(__)?v?d?printf(_chk)?$
^(puts|putchar|perror|psignal)$
^(_exit|_Exit|exit|quick_exit|abort|atexit|system|popen|fork)$
^(secure_)?getenv$|^(setenv|unsetenv|putenv)$
^(setlocale|newlocale|uselocale)$
^(__)?(v?sprintf|strcpy|stpcpy|strcat)(_chk)?$
^(gets|atoi|atol|atoll|atof|scanf|sscanf|__isoc(99|23)_sscanf)$
^(strtok|localtime|gmtime|asctime|ctime|rand|srand|random|tmpnam|mktemp)$
^(time|clock|clock_gettime|gettimeofday|localtime_r)$'

faults=$(mktemp)
trap 'rm -f "$faults"' EXIT
seen=0
for archive in "$@"; do
    name=${archive##*/}
    offered=$(nm -g --defined-only "$archive" | awk 'NF == 3 { print $3 }' | sort -u)
    if [ -n "$offered" ]; then
        seen=1
        printf '%s\n' "$offered" | grep -v '^pb_' |
            sed "s/^/$name offers /; s/\$/: not pb_/" >>"$faults" || true
    fi
    called=$(nm -u "$archive" | awk '$1 == "U" { print $2 }' | sort -u)
    if [ "$kind" = pure ]; then
        printf '%s\n' "$called" | grep -vE "$pure_may" | grep . |
            sed "s/^/$name calls /; s/\$/: it is no longer pure/" >>"$faults" || true
        # constant tables of pointers are in .data.rel.ro: written by the linker alone
        nm -f sysv "$archive" | awk -F '|' '
            $7 ~ /^ *\.(data|bss|tdata|tbss)/ && $7 !~ /\.rel\.ro/ { print $1 }' |
            sed "s/ *\$//; s/^/$name keeps /; s/\$/: data that can be written/" |
            sort -u >>"$faults"
    else
        printf '%s\n' "$called" | grep -E "$layer_may_not" |
            sed "s/^/$name calls /; s/\$/: only cmd may, or nobody/" >>"$faults" || true
    fi
done
if [ "$seen" -eq 0 ]; then
    echo "symbols: no symbol in any archive" >&2
    exit 1
fi
cat "$faults"
if [ -s "$faults" ]; then
    exit 1
fi
