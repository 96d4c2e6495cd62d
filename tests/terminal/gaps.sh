#!/usr/bin/env bash
# Opens the gaps in a real terminal (tmux), measures a circuit there, and looks as a person does.
#
#   tests/terminal/gaps.sh target/release/benchlore
#
# Needs tmux; desk.sh beside it has the terminal and says where everything is written.
. "$(dirname "$0")/desk.sh"

spot_checks() { cat "$shop"/people/mk/"$bench".jsonl | grep -c '"mode":"spot-check"'; }
has_spot_checks() { [ "$(spot_checks)" -eq "$1" ]; }

# --- Some weeks of practice, line by line: always the first circuit, said aloud, named ---------------
"$program" demo --plain --into "$shop" >/dev/null
# One person, and cards of jobs alone: the answers below know no bench rules.
only_cards_of_jobs
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

opens_the_window
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
needs "the fix is asked for" 'Name the '
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
