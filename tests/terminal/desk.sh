# A bench for the scripts beside it: a real terminal (tmux) with a shell in it, and claims about what
# its screen shows. It is sourced, with the program's path as the script's one argument.
#
# Everything that is written is in a folder that is made and removed; the tmux server is its own.
# Gives program, work, shop, bench; the window is opened by opens_the_window, the counts told by summary.
set -u

if [ $# -ne 1 ] || [ ! -x "$1" ]; then
    echo "usage: $0 PATH-TO-BENCHLORE" >&2
    exit 2
fi
command -v tmux >/dev/null || { echo "$0: tmux is missing" >&2; exit 2; }

program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
work=$(mktemp -d)
shop=$work/shop
socket=benchlore-$(basename "$0" .sh)-$$
bench=t1
passed=0
failed=0
export BENCHLORE_BENCH=$bench XDG_DATA_HOME=$work/data

tm() { tmux -L "$socket" -f /dev/null "$@"; }

finish() {
    tm kill-server 2>/dev/null
    # The shell, or a program that is just ending, may still write into it.
    rm -rf "$work" 2>/dev/null || { sleep 1; rm -rf "$work"; }
}
trap finish EXIT

# Opens a window of 80 by 24 with a shell in it.
opens_the_window() {
    tm new-session -d -s desk -x 80 -y 24 "env -i PATH='$PATH' HOME='$work' TERM=screen-256color \
        LANG=C.UTF-8 XDG_DATA_HOME='$XDG_DATA_HOME' BENCHLORE_BENCH=$bench PS1='READY> ' \
        bash --norc --noprofile -i" \
        || { echo "$0: tmux does not start" >&2; exit 2; }
    tm set-option -g window-size manual 2>/dev/null
    tm resize-window -t desk -x 80 -y 24
    needs "the shell is ready" 'READY>'
}

# Leaves the practice shop without its people and bench rules, for scripts that know neither.
only_cards_of_jobs() { rm -rf "$shop/people" "$shop"/decks/bench-*.json; }

screen() { tm capture-pane -p -t desk; }

ok() { passed=$((passed + 1)); echo "ok      $1"; }

no() {
    failed=$((failed + 1))
    echo "FAILED  $1"
    screen | sed 's/^/        | /'
}

# Tells whether a command comes true within ten seconds.
soon() {
    local end=$((SECONDS + 10))
    until "$@"; do
        [ "$SECONDS" -lt "$end" ] || return 1
        sleep 0.03
    done
}

shows() { screen | grep -Eq -- "$1"; }
hides() { ! shows "$1"; }

# Waits for a pattern; counts it.
sees() { if soon shows "$2"; then ok "$1"; else no "$1 (no '$2')"; fi; }

# Waits for a pattern and gives the whole run up without it: what follows would be noise.
needs() {
    soon shows "$2" && return
    no "$1 (no '$2')"
    summary
}

holds() { local claim=$1; shift; if soon "$@"; then ok "$claim"; else no "$claim"; fi; }

press() { tm send-keys -t desk "$@"; }
text() { tm send-keys -t desk -l -- "$1"; }

summary() {
    echo "$passed passed, $failed failed"
    [ "$failed" -eq 0 ]
    exit
}
