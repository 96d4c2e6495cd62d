#!/usr/bin/env bash
# Opens the weeks ahead in a real terminal (tmux), after practice and after an absence.
#
#   tests/terminal/plan.sh target/release/benchlore
#
# Needs tmux; desk.sh beside it has the terminal and says where everything is written.
. "$(dirname "$0")/desk.sh"

# --- Some days of practice, line by line: always the first circuit, said aloud, named -----------------
"$program" demo --plain --into "$shop" >/dev/null
only_cards_of_jobs
"$program" --shop "$shop" people add MK >/dev/null
answers=$(for _ in $(seq 60); do printf '1\n\n\nnamed\n'; done)
for day in 01 02 03 05 06; do
    printf '%s\n' "$answers" | "$program" --shop "$shop" --as-of "2026-10-${day}T08:00:00Z" --seed 1 \
        drill --plain --person mk --minutes 30 >"$work/sit.txt" || exit 1
done

plan() { "$program" --shop "$shop" --as-of 2026-10-07T08:00:00Z plan --person mk "$@"; }
says() { grep -Eq -- "$1" "$work/plan.txt"; }

# --- In lines -----------------------------------------------------------------------------------------
plan --days 30 >"$work/plan.txt"
holds "the lines say what the picture draws" says 'you would know [0-9]+ today, [0-9]+ on 6 Nov'
holds "three budgets stand side by side" says '^20 min'
plan --days 30 --json >"$work/one.json"
plan --days 30 --json >"$work/two.json"
holds "the same day says the same" cmp -s "$work/one.json" "$work/two.json"
plan --ready-by 2026-10-12 --minutes 2 >"$work/plan.txt"
holds "a date out of reach says what would reach it" says 'NOT reached with 2 minutes a day'
plan --ready-by 2026-10-06 >"$work/plan.txt" 2>&1
holds "a date in the past is refused" says 'it is not after today'

# --- A day to be ready by ---------------------------------------------------------------------------
prefer() { "$program" --shop "$shop" --as-of 2026-10-07T08:00:00Z people prefer mk "$@"; }
prefer --ready-by 2026-10-12 --board petrel-p4 --minutes 6 >"$work/plan.txt"
holds "a day to be ready by is kept" says 'ready by 2026-10-12, board petrel-p4, at most 6 minutes a day'
echo '{"stop":true}' | "$program" --shop "$shop" --as-of 2026-10-07T08:00:00Z drill --person mk --json >"$work/plan.txt"
holds "the drill begins with it" says '^\{"ready_by":\{"date":"2026-10-12"'
prefer --ready-by none >"$work/plan.txt"
holds "and it is dropped" says 'no day to be ready by'

# --- On the screen ------------------------------------------------------------------------------------
opens_the_window
text "'$program' --shop '$shop' --as-of 2026-10-07T08:00:00Z; echo rc=\$?"
press Enter
needs "the greeting comes up" 'Your initials'
press Enter
needs "home comes up" 'Today'
holds "nobody was away" hides 'You were away'
text p
needs "p opens the plan" '^ Plan   MK   90 days at 15 minutes'
sees "it says that it is simulated" 'simulated, not measured'
sees "the band is drawn" '│.*●'
# Where all runs end alike, it says so.
sees "and said in words" '(between [0-9]+ and [0-9]+|the same) in 8 of 10'
sees "three budgets stand below" '^ 20 min'
press PageDown
sees "the circuits are told one by one" 'Circuit +cards met +jobs known now'
press Escape
needs "Esc goes back home" 'Today'
text p
needs "p opens the plan again" '^ Plan   MK'
text r
needs "r opens the line of a day to be ready by" 'Ready by >'
sees "it says what stands" 'No day to be ready by stands'
text 2026-10-12
press Space
text nowhere
press Enter
sees "a name that is not known is refused" 'no board, circuit or deck is called so'
press C-u
text 2026-10-12
press Space
text petrel-p4
press Enter
needs "the day is set" 'Kept: ready by 2026-10-12'
sees "the plan says it first" '^ Ready by 12 Oct, board petrel-p4'
press Escape
needs "home says it too" '^ Ready by 12 Oct, board petrel-p4'
tm resize-window -t desk -x 60 -y 20
sees "in a small window as well" '^ Ready by 12 Oct'
tm resize-window -t desk -x 80 -y 24
press Enter
needs "the sitting opens with it" 'Ready by 12 Oct, board petrel-p4: [0-9]+ cards? of it first'
press Escape
needs "the sitting may be left at once" 'The sitting is over'
press Enter
needs "back home" 'Circuit right, by spot checks'
text p
needs "p opens the plan to drop it" '^ Plan   MK'
text r
needs "r opens the line again" 'Ready by >'
press C-x
needs "Ctrl-X drops it" 'No day to be ready by any more'
tm resize-window -t desk -x 60 -y 20
sees "the plan fits a small window" '^ Plan   MK   90 days at 15 minutes'
sees "with its band" '│.*●'
tm resize-window -t desk -x 80 -y 24
press Escape
press Escape
sees "leaving ends well" '^rc=0'

# --- After three weeks away ---------------------------------------------------------------------------
text "clear; '$program' --shop '$shop' --as-of 2026-10-28T08:00:00Z; echo rc=\$?"
press Enter
needs "the greeting comes up after an absence" 'Your initials'
press Enter
needs "home says how long one was away" 'You were away 21 days'
text p
needs "p opens the plan after an absence" '^ Plan   MK'
press PageDown
sees "it tells the way back sitting by sitting" 'Sitting 1: mostly'
press Escape
press Escape
sees "leaving ends well again" '^rc=0'

summary
