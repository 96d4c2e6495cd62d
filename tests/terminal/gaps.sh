#!/usr/bin/env bash
# Opens the gaps in a real terminal (tmux), measures a circuit there, and looks as a person does.
#
#   tests/terminal/gaps.sh target/release/benchlore
#
# Needs tmux. Everything it writes is in a folder that it makes and removes; the tmux server is its own.
set -u

if [ $# -ne 1 ] || [ ! -x "$1" ]; then
    echo "usage: $0 PATH-TO-BENCHLORE" >&2
    exit 2
fi
command -v tmux >/dev/null || { echo "$0: tmux is missing" >&2; exit 2; }

program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
work=$(mktemp -d)
shop=$work/shop
socket=benchlore-gaps-$$
passed=0
failed=0
export BENCHLORE_BENCH=t1 XDG_DATA_HOME=$work/data

tm() { tmux -L "$socket" -f /dev/null "$@"; }

finish() {
    tm kill-server 2>/dev/null
    # The shell may still be writing its history.
    rm -rf "$work" 2>/dev/null || { sleep 0.5; rm -rf "$work"; }
}
trap finish EXIT

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

spot_checks() { cat "$shop"/people/mk/t1.jsonl | grep -c '"mode":"spot-check"'; }
has_spot_checks() { [ "$(spot_checks)" -eq "$1" ]; }

# --- Some weeks of practice, line by line: always the first circuit, said aloud, named ---------------
"$program" demo --plain --into "$shop" >/dev/null
# One person, and cards of jobs alone: the answers below know no bench rules.
rm -rf "$shop/people" "$shop"/decks/bench-*.json
"$program" --shop "$shop" people add MK >/dev/null
answers=$(for _ in $(seq 120); do printf '1\n\n\nnamed\n'; done)
sit() {
    local day=$1
    shift
    printf '%s\n' "$answers" | "$program" --shop "$shop" --as-of "2026-10-${day}T08:00:00Z" --seed 1 \
        drill --plain --person mk --minutes 60 "$@" >"$work/sit.txt" || exit 1
}
for day in 01 02 03 04 05 06 07 08; do sit "$day"; done
for day in 10 12 14 16; do sit "$day" --spot-check 40; done
if grep -q 'Note: 40 spot checks: the interval will be about' "$work/sit.txt"; then
    ok "a measurement says in lines what it will buy"
else
    failed=$((failed + 1)); echo "FAILED  a measurement says in lines what it will buy"; head -4 "$work/sit.txt"
fi

tm new-session -d -s desk -x 80 -y 24 "env -i PATH='$PATH' HOME='$work' TERM=screen-256color \
    LANG=C.UTF-8 XDG_DATA_HOME='$work/data' BENCHLORE_BENCH=t1 PS1='READY> ' bash --norc --noprofile -i" \
    || { echo "$0: tmux does not start" >&2; exit 2; }
tm set-option -g window-size manual 2>/dev/null
tm resize-window -t desk -x 80 -y 24
needs "the shell is ready" 'READY>'
text "'$program' --shop '$shop' --as-of 2026-10-18T08:00:00Z; echo rc=\$?"
press Enter
needs "the greeting comes up" 'Your initials'
press Enter

# --- Home: meters on one axis ------------------------------------------------------------------------
needs "home comes up" 'Today'
sees "home has the axis" '0    25   50   75  100 % +asked'
sees "a circuit that was measured stands on it" '[·├─]*●[─┤·]* +[0-9]+ +[0-9]+ +met +[0-9]+ of'
sees "met and kept are still there" 'met +[0-9]+ of +[0-9]+ +kept +[0-9]+'
tm resize-window -t desk -x 60 -y 20
sees "home fits a small window with the axis" '0    25   50   75  100 % +asked'
sees "and still says what is met" 'met +[0-9]+/[0-9]+'
tm resize-window -t desk -x 80 -y 24

# --- Gaps --------------------------------------------------------------------------------------------
text g
needs "g opens the gaps" '^ Gaps   MK   last 90 days'
sees "they say that only spot checks count" 'spot checks only'
sees "what is known of the one marked stands below" '^ Circuit right'
sees "what measuring would buy is said beforehand" '^ Measuring +with [0-9]+ more the interval will be about'
press PageUp PageUp
press Enter
needs "Enter opens all that is known" 'Met +[0-9]+ of [0-9]+ cards'
press PageDown
sees "and the cards behind it" 'spot-checked'
press Escape
sees "Esc goes back to the gaps" '^ Gaps   MK'
text m
needs "m shows the mix-ups" '^ Taken for another'
sees "asked and said stand side by side" 'it was +said +times'
press Escape
sees "Esc goes back to the gaps" '^ Gaps   MK'
text '?'
sees "? shows the keys" 'Keys   At the gaps'
press Escape
tm resize-window -t desk -x 60 -y 20
sees "the gaps fit a small window" '^ Gaps   MK   last 90 days +spot checks only'
sees "the list of circuits scrolls there" 'lines [0-9]+ to [0-9]+ of [0-9]+'
sees "the keys of the page are there" 's measure .*Esc back'
tm resize-window -t desk -x 80 -y 24

# --- A measurement -----------------------------------------------------------------------------------
before=$(spot_checks)
text s
needs "s begins a measurement" 'Which circuit\?'
sees "it says what it will buy" 'spot checks? on [a-z]+: +the interval will'
sees "its cards are spot checks" 'spot check'
press Down
press Enter
needs "the fix is asked for" 'Name the fix'
press Enter
needs "the verdict comes" 'Keep as'
press Enter
holds "the spot check is in the journal" has_spot_checks $((before + 1))
needs "the next card comes" 'Which circuit\?'
holds "what it buys is said once" hides 'the interval will'
press Escape
needs "the sitting ends" 'The sitting is over'
press Enter
needs "home comes up" 'Today'
press Escape
sees "leaving ends well" '^rc=0'

summary
