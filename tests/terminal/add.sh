#!/usr/bin/env bash
# Enters a job in a real terminal (tmux), at 80x24 and at 60x20: one line in the words of the bench, the
# fields that are still asked for, a serial, Ctrl-S; then the same unit again, a correction, a form that
# is left unfinished, and a job that is logged while it is open. Says how many keys a whole job took.
#
#   tests/terminal/add.sh target/release/benchlore
#
# Needs tmux; desk.sh beside it has the terminal and says where everything is written.
. "$(dirname "$0")/desk.sh"

now=2026-11-20T08:00:00Z
line='no power, 61-118mA up/down in standby, 3V3_SB 0.41, residue at U31, reflow L12 no help, replaced U31, 3V3_SB 3.31'
keys=0

ask() { "$program" --shop "$shop" --as-of "$now" "$@" 2>/dev/null; }
lines_written() { cat "$shop/jobs/$bench.jsonl" 2>/dev/null | wc -l; }
has_written() { [ "$(lines_written)" -eq "$1" ]; }
counted_press() { keys=$((keys + $#)); press "$@"; }
counted_text() { keys=$((keys + ${#1})); text "$1"; }
no_serial() { ! grep -rqiE 'px-?12-?044' "$shop" "$work/data" 2>/dev/null; }
no_draft() { ! ls "$shop"/intake/*.draft.json >/dev/null 2>&1; }

changed() { [ "$(screen)" != "$1" ]; }

# Goes on field by field until one is typed at; counts the keys.
tab_to() {
    local before
    for _ in $(seq 1 30); do
        shows "$1" && return
        before=$(screen)
        counted_press Tab
        soon changed "$before"
    done
}

opens_the_form() {
    press C-l
    text "clear; '$program' --shop '$shop' --as-of $now $1 --person mk; echo rc=\$?"
    press Enter
    needs "$size: the form comes up" "$2"
}

a_job() {
    size=$1x$2
    shop=$work/shop-$size
    tm resize-window -t desk -x "$1" -y "$2"
    press C-l
    needs "$size: the shell is ready" 'READY>'
    "$program" demo --plain --into "$shop" --as-of "$now" >/dev/null &&
        "$program" --shop "$shop" people add MK >/dev/null || { no "$size: the practice shop is made"; summary; }

    opens_the_form "jobs add" 'A new job'
    keys=0
    counted_text "$line"
    sees "$size: the words are read as they are typed" 'cycling +61 to 118 mA'
    # MK's last job of the practice shop was on another board: the board is said, and tells the circuit.
    counted_press Tab
    sees "$size: the board is next" 'Board >'
    counted_text 'petrel-p4'
    counted_press Enter
    sees "$size: the outcome is asked for" 'Outcome >'
    counted_press Enter
    sees "$size: nothing more is missing" 'whole'
    tab_to 'Serial >'
    sees "$size: the serial has a line of its own" 'Serial >'
    counted_text 'PX12-044'
    counted_press Tab
    sees "$size: the serial shows as dots" '········'
    counted_press C-s
    sees "$size: the job is written, with what it is worth" 'is written: evidence B'
    sees "$size: what is missing for A is named" 'For A: that it holds'
    holds "$size: one line is on the disk" has_written 1
    holds "$size: the serial is nowhere on the disk" no_serial
    holds "$size: the draft is gone" no_draft
    echo "        $size: $keys keys for the whole job, ${#line} of them its words"
    number=$(ask jobs list | head -n 1 | cut -d' ' -f1)
    press Enter
    needs "$size: home lies below" 'Today'

    # The same unit comes again.
    press n
    needs "$size: the next form comes up" 'A new job'
    sees "$size: the board of the last job stands there" 'petrel-p4'
    text 'no power, 3V3_SB 0.38, replaced U31, 3V3_SB 3.30'
    press Enter
    needs "$size: the outcome is asked for again" 'Outcome >'
    press Enter
    tab_to 'Serial >'
    text 'px12044'
    press Tab
    sees "$size: the unit is known again" "this unit was|Came before"
    press Escape
    needs "$size: leaving keeps the form" 'Today'
    holds "$size: nothing was written" has_written 1
    press n
    sees "$size: the unfinished form is offered again" 'left unfinished'
    press C-x
    sees "$size: throwing away is asked" 'Throw this form away'
    press C-x
    needs "$size: and then done" 'Today'
    holds "$size: no draft is left" no_draft
    press C-c
    needs "$size: Ctrl-C leaves" 'rc=0'

    # A correction, with its history.
    opens_the_form "jobs correct $number" "Correct $number"
    tab_to 'Minutes >'
    text 35
    press C-s
    sees "$size: the correction is written" 'is written'
    holds "$size: as one more line" has_written 2
    press C-c
    needs "$size: Ctrl-C leaves again" 'rc=0'
    press C-l
    text "clear; '$program' --shop '$shop' --as-of $now jobs show $number | tail -n 5"
    press Enter
    sees "$size: the page tells what changed" 'time or money: changed|minutes: changed'

    # A job that is logged while it is open.
    ask jobs begin --person mk --board petrel-p4 --complaint 'no power' --number W-9001 >/dev/null
    ask jobs log W-9001 --person mk '3V3_SB 0.41' >/dev/null
    ask jobs log W-9001 --person mk 'replaced U31' >/dev/null
    ask jobs log W-9001 --person mk '3V3_SB 3.31' >/dev/null
    opens_the_form "jobs close W-9001" 'Close W-9001'
    press C-s
    sees "$size: the outcome is asked for here too" 'Outcome >'
    press Enter C-s
    sees "$size: the open job is closed" 'W-9001 is written'
    press C-c
    needs "$size: Ctrl-C leaves at the end" 'rc=0'
    holds "$size: a reading behind an act was taken after it" \
        test "$(ask jobs show W-9001 | grep -c 'after the repair')" -eq 1
    holds "$size: it is open no more" test "$(ask jobs open)" = 'No job is open.'
}

opens_the_window
a_job 80 24
a_job 60 20
summary
