#!/usr/bin/env bash
# Plays whole sittings in a real terminal (tmux) and looks at the screen as a person does.
#
#   tests/terminal/sitting.sh target/release/benchlore
#
# Needs tmux; desk.sh beside it has the terminal and says where everything is written.
. "$(dirname "$0")/desk.sh"

who=zq
journals() { cat "$shop"/people/*/"$bench".jsonl 2>/dev/null; }
lines_of() { journals | grep -c "\"ev\":\"$1\""; }
has_lines() { [ "$(lines_of "$1")" -eq "$2" ]; }
over_or_next='Which circuit\?|The sitting is over'
verdict='Keep as|an unsafe answer stays'

pane() { tm display-message -p -t desk "$1"; }
given_back() { [ "$(pane '#{alternate_on}')" = 0 ] && [ "$(pane '#{cursor_flag}')" = 1 ]; }

# The terminal is the shell's again: no alternate screen, a cursor, a prompt that echoes.
checks_given_back() {
    holds "$1: alternate screen left, cursor shown" given_back
    text 'echo back-$((40 + 2))'
    sees "$1: what is typed is echoed" 'echo back-\$'
    press Enter
    sees "$1: the shell answers" '^back-42'
    press C-l
}

start() { text "$1 '$program' demo --into '$shop'; echo rc=\$?"; press Enter; }

pid_of_program() { pgrep -P "$(pane '#{pane_pid}')" | head -n 1; }

opens_the_window

# The first card of this script asks for a circuit: the practice shop without its bench rules and people.
"$program" demo --plain --into "$shop" >/dev/null
only_cards_of_jobs

# --- A new person sits down ------------------------------------------------------------------------
start ""
needs "the greeting comes up" 'Your initials'
sees "the greeting asks for initials only" 'Who is at the bench'
text "$who"
sees "a new person is told so" "> $who +new here"
press Enter
needs "home comes up" 'Today .*minute'
sees "home says how many cards are new" 'Today .*[0-9]+ cards?, .*new to you'
sees "home lists circuits with cards met and kept" 'met +0 of +[0-9]+ +kept +0'

text '?'
sees "? shows the keys of this place" 'Keys   At home'
press Escape
sees "Esc closes the keys" 'Today'
text f
sees "f lists the circuits" '^ Circuits'
press Enter
sees "Enter opens the page of one" 'Measure first'
press Escape
sees "Esc goes back to the list" '^ Circuits'
press Escape
sees "Esc goes back home" 'Today'

# --- First card: a circuit by its letters, a typed fix ---------------------------------------------
press Enter
needs "a card comes up" 'Which circuit\?'
sees "the card says how long is left" 'about [0-9]+ min left|last cards'
sees "the complaint stands in its row" '^ Complaint'
press Enter
sees "Enter takes nothing while nothing is marked" "don't know\."
text zzzz
sees "letters that no circuit begins with are named" 'no circuit begins so'
press C-u
sees "Ctrl-U clears the letters" "don't know"
press Down
sees "an arrow marks a circuit" '\['
press Enter
needs "the fix is asked for" 'Name the fix'
press Escape
sees "Esc goes back to the circuit" 'Which circuit\?'
press Down Enter
needs "the fix is asked for again" 'Name the fix'
text 'replace q?u1'
sees "letters are text while a fix is typed" '> replace q\?u1'
press Tab
sees "Tab moves how sure" 'fair +\[high\]'
press Enter
needs "the verdict comes" "$verdict"
sees "the answer is shown" '^ Answer'
sees "the evidence is counted" '[0-9]+ of [0-9]+'
press Enter
needs "the next card comes" "$over_or_next"
holds "what the screen acknowledged is in the journal" has_lines answer 1

# --- Second card: not known, said aloud, pages, a smaller window -----------------------------------
press Up
sees "the last entry is not knowing" "\[don't know\]"
press Enter
needs "the fix is asked for" "you don't know"
press Enter
needs "the verdict comes" "$verdict"
text f
sees "f opens the page of the circuit" 'Measure first'
press Escape
sees "Esc goes back to the verdict" "$verdict"
text e
sees "e opens the jobs" 'The jobs behind this card'
press Escape
sees "Esc goes back to the verdict" "$verdict"
tm resize-window -t desk -x 60 -y 20
holds "the window is smaller" test "$(pane '#{window_width}')" = 60
sees "the verdict stands in a smaller window" "$verdict"
sees "so do the keys" 'Esc stop'
tm resize-window -t desk -x 30 -y 8
sees "a window too small says so" 'at least 40'
tm resize-window -t desk -x 80 -y 24
sees "the verdict is back" "$verdict"
if shows 'Keep as'; then
    before=$(screen | grep -o '\[[a-z ]*\]')
    if [ "$before" = '[missed]' ]; then press Up; else press Down; fi
    holds "an arrow moves the grade" hides "$(printf '%s' "$before" | sed 's/[][]/\\&/g')"
fi
press Enter
needs "the next card comes" "$over_or_next"
holds "two answers are in the journal" has_lines answer 2

# --- Undo, tag out ---------------------------------------------------------------------------------
press C-r
holds "Ctrl-R takes the last answer back, on disk" has_lines undo 1
needs "a question stands again" 'Which circuit\?'
press C-t
sees "Ctrl-T asks why" 'Tag this card out'
text d
sees "d asks for words" 'What is wrong with it'
text 'not on this revision'
sees "the words are typed" '> not on this revision'
press Enter
holds "the tag is on disk" has_lines tag 1
needs "the next card comes" "$over_or_next"

# --- The rest of the sitting -----------------------------------------------------------------------
kept=2
cards=0
while [ "$cards" -lt 60 ] && soon shows "$over_or_next" && hides 'The sitting is over'; do
    press Up Enter
    needs "card $cards asks for the fix" 'Name the fix'
    press Enter
    needs "card $cards has a verdict" "$verdict"
    press Enter
    needs "card $cards is kept" "$over_or_next"
    kept=$((kept + 1))
    cards=$((cards + 1))
    if ! soon has_lines answer "$kept"; then
        no "answer $kept is in the journal before the next card"
        summary
    fi
done
ok "$cards more cards, each in the journal before the next was shown"
if hides 'The sitting is over'; then press Escape; fi
sees "the sitting ends" 'The sitting is over'
sees "its cards and minutes are counted" '[0-9]+ cards? in [0-9.]+ minutes'
press Enter
sees "home comes up again" 'Today'
sees "home counts what was met" 'met +[1-9][0-9]* of'
press Escape
sees "leaving ends well" '^rc=0'
checks_given_back "leaving"

holds "the journal holds $kept answers" has_lines answer "$kept"
if [ "$(journals | tail -c 1 | od -An -c | tr -d ' ')" = '\n' ]; then
    ok "the journal ends with a whole line"
else
    no "the journal ends with a whole line"
fi

# --- A second session: SIGTERM, suspend, Ctrl-C ----------------------------------------------------
start ""
needs "the greeting comes up again" 'Your initials'
text "$who"
sees "the person is known now" "known here: Enter"
press Enter
sees "home comes up" 'Today'
kill -TERM "$(pid_of_program)"
sees "SIGTERM ends it in order" '^rc=[0-9]'
checks_given_back "SIGTERM"

start ""
needs "the greeting comes up again" 'Your initials'
press C-z
sees "Ctrl-Z suspends" 'Stopped'
checks_given_back "suspended"
text 'fg; echo rc=$?'
press Enter
sees "fg brings the screen back" 'Your initials'
press C-c
sees "Ctrl-C leaves" '^rc=[0-9]'
checks_given_back "Ctrl-C"

# --- Without colour --------------------------------------------------------------------------------
start "NO_COLOR=1"
needs "the greeting comes up without colour" 'Your initials'
text "$who"
press Enter
needs "home comes up without colour" 'Today'
if tm capture-pane -p -e -t desk | grep -q "$(printf '\033')\[[0-9;]*[34]8;[25]"; then
    no "NO_COLOR leaves no colour"
else
    ok "NO_COLOR leaves no colour"
fi
press Escape
sees "leaving ends well without colour" '^rc=0'

summary
