#!/usr/bin/env bash
# Works through rows of an old sheet in a real terminal (tmux), at 80x24 and at 60x20: the list and what
# it is worth, a row mended, accepted, passed over, taken back, and the desk opened again.
#
#   tests/terminal/intake.sh target/release/benchlore
#
# Needs tmux; desk.sh beside it has the terminal and says where everything is written.
. "$(dirname "$0")/desk.sh"

now=2026-11-20T08:00:00Z
sheet=$(cd "$(dirname "$0")/../.." && pwd)/demo-data/sheets

ask() { "$program" --shop "$shop" --as-of "$now" "$@" 2>/dev/null; }
decisions() { cat "$shop/intake/$bench.jsonl" 2>/dev/null | wc -l; }
decided() { [ "$(decisions)" -eq "$1" ]; }
jobs_here() { ask jobs list | wc -l; }
has_jobs() { [ "$(jobs_here)" -eq "$1" ]; }
waiting() { ask jobs backlog --json | grep -o '"waiting":[0-9]*' | head -n 1 | cut -d: -f2; }
waits() { [ "$(waiting)" -eq "$1" ]; }

at_the_desk() {
    text "'$program' --shop '$shop' --as-of $now; echo rc=\$?"
    press Enter
    needs "$size: the greeting comes up" 'Your initials'
    text mk
    press Enter
    needs "$size: home comes up" 'Today'
    text i
    needs "$size: i opens the intake desk" 'Intake: rows that need a person'
}

whole_desk() {
    size=$1x$2
    shop=$work/shop-$size
    tm resize-window -t desk -x "$1" -y "$2"
    press C-l
    needs "$size: the shell is ready" 'READY>'
    # Made outside the window: how long that takes is no matter of the screen.
    "$program" demo --plain --into "$shop" --as-of "$now" >/dev/null &&
        "$program" --shop "$shop" people add MK >/dev/null || { no "$size: the practice shop is made"; summary; }
    ask jobs import "$(ls "$sheet"/*.csv | head -n 1)" --yes >/dev/null
    press C-l
    rows=$(waiting)
    [ "${rows:-0}" -gt 3 ] || { no "$size: rows wait after an import"; summary; }
    jobs=$(jobs_here)
    at_the_desk

    # --- The list ----------------------------------------------------------------------------------
    # Counted on a thread by the builder of decks itself: a slow program takes its time, the desk does not.
    for _ in 1 2 3 4; do soon hides 'Counting what' && break; done
    sees "$size: it says what the rows are worth" 'Mend these [0-9]+ rows: .*card'
    sees "$size: it says how many wait" " of $rows"
    text '?'
    sees "$size: ? shows the keys" 'Keys   The intake desk'
    press Escape
    needs "$size: Esc closes them" 'Intake: rows'

    # --- One row: letters are text while a reason is typed -----------------------------------------
    press Enter
    needs "$size: Enter opens a row" 'Enter accept'
    text s
    needs "$size: s asks for a reason" 'Skip, because >'
    text 'aunt q'
    sees "$size: letters are text" 'because > aunt q'
    press Enter
    sees "$size: it is passed over" 'passed over: aunt q'
    holds "$size: that is on the disk" decided 1
    holds "$size: one row fewer waits" waits $((rows - 1))
    text u
    sees "$size: u takes it back" 'Taken back'
    holds "$size: it waits again" waits "$rows"

    # --- Mended in free words, and accepted once nothing is missing --------------------------------
    text a
    holds "$size: a takes every suggestion, or says there is none" shows 'Kept|nothing is suggested'
    mend() {
        text r
        soon shows "^ ($1|[A-Z][a-z ]*) >( |$)" || no "$size: r opens a line"
        text "$2"
        press Enter
    }
    while screen | grep -q 'Missing: '; do
        before=$(screen)
        case $(screen | grep -oE '^ ?\[[A-Z][a-z ]+\]|│ \[[A-Z][a-z ]+\]' | grep -oE '[A-Z][a-z ]+' | head -n 1) in
            Job) mend Job "T-$size" ;;
            Closed) mend Closed 2025-03-14 ;;
            Board) mend Board petrel-p4 ;;
            Complaint) mend Complaint 'no power' ;;
            Seen) mend Seen '3V3_SB 0.41 V' ;;
            Done) mend Done 'replaced U31' ;;
            Circuit) mend Circuit standby ;;
            Outcome) mend Outcome held ;;
            'No fix') mend 'No fix' 'value exceeded' ;;
            *) press Tab ;;
        esac
        sleep 0.3
        tries=$((${tries:-0} + 1))
        [ "$tries" -lt 40 ] || { no "$size: the row cannot be made whole"; break; }
    done
    sees "$size: nothing required is missing" 'Nothing required is missing'
    press Enter
    holds "$size: Enter makes it a job" has_jobs $((jobs + 1))
    holds "$size: one row fewer waits" waits $((rows - 1))
    at=$(decisions)
    press Escape
    needs "$size: Esc goes back to the list" 'Intake: rows'
    press Escape
    needs "$size: Esc goes home" 'Today'
    press Escape
    needs "$size: leaving ends well" '^rc=0'
    press C-l

    # --- Another day: the decision can be taken back -----------------------------------------------
    at_the_desk
    sees "$size: the row is gone from the list" " of $((rows - 1))"
    text u
    holds "$size: u takes the job back" has_jobs "$jobs"
    holds "$size: that is one more line" decided $((at + 1))
    sees "$size: the row waits again" " of $rows"
    press C-c
    needs "$size: Ctrl-C leaves" '^rc=[0-9]'
}

opens_the_window
whole_desk 80 24
tries=0
whole_desk 60 20
summary
