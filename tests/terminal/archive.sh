#!/usr/bin/env bash
# Works through the archive in a real terminal (tmux), at 80x24 and at 60x20: list, search, one job,
# the follow-up list with held, undo and a return, and a shop that cannot be written.
#
#   tests/terminal/archive.sh target/release/benchlore
#
# Needs tmux; desk.sh beside it has the terminal and says where everything is written.
. "$(dirname "$0")/desk.sh"

now=2026-11-20T08:00:00Z
lines_written() { cat "$shop/jobs/$bench.jsonl" 2>/dev/null | wc -l; }
has_written() { [ "$(lines_written)" -eq "$1" ]; }
marked() { screen | grep -oE '\[[A-Z]-[0-9]+\]' | head -n 1; }

ask() { "$program" --shop "$shop" --as-of "$now" "$@" 2>/dev/null; }

at_home() {
    text "'$program' --shop '$shop' --as-of $now; echo rc=\$?"
    press Enter
    needs "$size: the greeting comes up" 'Your initials'
    text mk
    press Enter
    needs "$size: home comes up" 'Today'
}

whole_archive() {
    size=$1x$2
    shop=$work/shop-$size
    tm resize-window -t desk -x "$1" -y "$2"
    press C-l
    needs "$size: the shell is ready" 'READY>'
    text "'$program' demo --plain --into '$shop' --as-of $now >/dev/null && '$program' --shop '$shop' people add MK"
    press Enter
    needs "$size: the practice shop is made" 'Added mk'
    press C-l
    # What stands in the archive is asked of the program, so that the practice shop may grow.
    oldest=$(ask jobs list | tail -n 1 | cut -d' ' -f1)
    waits=$(ask jobs check --json --only follow-up | wc -l)
    waiting=$(ask jobs check --json --only follow-up | head -n 1 | grep -oE '"jobs":\["[^"]+' | cut -d'"' -f4)
    board=$(ask jobs list | grep "^$waiting " | awk '{ print $3 }')
    later=$(ask jobs list --board "$board" | head -n 1 | cut -d' ' -f1)
    at_home

    # --- The list ----------------------------------------------------------------------------------
    text '?'
    sees "$size: the keys of home name the one of the jobs" 'j +(jobs|.*jobs)'
    press Escape
    sees "$size: Esc closes the keys" 'Today'
    text j
    needs "$size: j lists the jobs" 'Closed jobs, newest first'
    sees "$size: the columns have names" 'job +closed +board .*outcome'
    sees "$size: it says where in the list this is" ' 1 of [0-9]+'
    first=$(marked)
    press Down
    sees "$size: an arrow moves the mark" ' 2 of [0-9]+'
    press NPage
    sees "$size: PgDn moves by a page" ' 1[0-9] of [0-9]+'
    press End
    sees "$size: End goes to the oldest job" "\[$oldest\]"
    press Home
    holds "$size: Home goes back to the newest" shows "^ *\\$first"
    text '?'
    sees "$size: ? shows the keys" 'Keys   The closed jobs'
    press Escape
    needs "$size: Esc closes them" 'Closed jobs'

    # --- Search: letters are text there ------------------------------------------------------------
    text s
    sees "$size: s opens the search line" '^ Search > '
    text 'hy jrs'
    sees "$size: letters are text in it" 'Search > hy jrs'
    press Escape
    holds "$size: Esc clears it" hides 'hy jrs'
    text "$later"
    press Enter
    needs "$size: Enter searches" "Jobs found by: $later"
    sees "$size: the job itself comes first" "\[$later\]"
    press Enter
    needs "$size: Enter opens the job" "^ Job $later"
    sees "$size: its page begins with the complaint" '^ Complaint '
    press NPage
    sees "$size: and goes on to what was done" '^ Done '
    press Escape
    press Escape
    needs "$size: Esc shows all jobs again" 'Closed jobs, newest first'
    text s
    text 'zebra crossing'
    press Enter
    sees "$size: nothing found is said" 'No job has any of that'
    press Escape
    needs "$size: Esc shows all jobs again" 'Closed jobs, newest first'

    # --- One job after the other -------------------------------------------------------------------
    press Enter
    needs "$size: the newest job opens" '^ Job W-'
    before=$(screen | grep -oE '^ Job W-[0-9]+')
    press Right
    holds "$size: the right arrow opens the next" hides "^$before"
    press Left
    holds "$size: the left arrow goes back" shows "^$before"
    press Left
    sees "$size: the end of the list is said" 'first job of the list'
    press Escape
    needs "$size: Esc goes back to the list" 'Closed jobs'

    # --- The follow-up list ------------------------------------------------------------------------
    text h
    needs "$size: h opens the follow-up list" 'Follow-up, oldest first'
    sees "$size: the oldest job comes first" "\[$waiting\]"
    sees "$size: it says how many wait" " 1 of $waits"
    text y
    sees "$size: y says that it held" "$waiting held"
    holds "$size: it is on the disk at once" has_written 1
    sees "$size: one job fewer waits" " 1 of $((waits - 1))"
    text u
    sees "$size: u takes it back" 'Taken back'
    sees "$size: it waits again" " 1 of $waits"
    holds "$size: that is a line too" has_written 2
    text r
    needs "$size: r asks as which job it came back" "$waiting came back as which job"
    text 'w-9999'
    press Enter
    needs "$size: the fault is asked" 'with which fault'
    press Enter
    needs "$size: the cause is asked" 'why\?'
    press Enter
    sees "$size: a job that is not there is named" 'NOT written: .*W-9999|NOT written: .*w-9999'
    holds "$size: nothing was written" has_written 2
    text r
    needs "$size: r asks again" 'which job'
    text "$later"
    press Enter
    needs "$size: the fault is asked" 'with which fault'
    press Down Enter
    needs "$size: the cause is asked" 'why\?'
    press Down Enter
    sees "$size: the return is written" "$waiting came back as $later"
    holds "$size: both jobs got a line" has_written 4
    text u
    holds "$size: u takes both back" has_written 6
    press Escape
    needs "$size: Esc goes back to the list" 'Closed jobs'

    # --- A shop that cannot be written -------------------------------------------------------------
    press Escape
    needs "$size: Esc goes home" 'Today'
    press Escape
    needs "$size: leaving ends well" '^rc=0'
    press C-l
    rm -f "$shop/jobs/$bench.jsonl.lock"
    mkdir "$shop/jobs/$bench.jsonl.lock"
    at_home
    text j
    needs "$size: the list opens all the same" 'Closed jobs'
    text h
    needs "$size: so does the follow-up list" 'Follow-up'
    text y
    sees "$size: it says that nothing was written" 'NOT written'
    holds "$size: and nothing was" has_written 6
    press C-c
    needs "$size: Ctrl-C leaves" '^rc=[0-9]'
}

opens_the_window
whole_archive 80 24
whole_archive 60 20
summary
