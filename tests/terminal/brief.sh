#!/usr/bin/env bash
# Looks something up before a board in a real terminal (tmux), at 80 by 24 and at 60 by 20.
#
#   tests/terminal/brief.sh target/release/benchlore
#
# Needs tmux; desk.sh beside it has the terminal and says where everything is written.
. "$(dirname "$0")/desk.sh"

answers() { cat "$shop"/people/*/"$bench".jsonl 2>/dev/null | grep '"ev":"answer"'; }
briefed() { [ "$(answers | grep -c '"mode":"brief"')" -eq "$1" ] && [ "$(answers | wc -l)" -eq "$1" ]; }
# The line under the title's rule: what a person reads first.
first_line() { screen | sed -n 3p | grep -Eq -- "$1"; }

opens_the_window

expected=0
for size in 80x24 60x20; do
    columns=${size%x*}
    rows=${size#*x}
    tm resize-window -t desk -x "$columns" -y "$rows"
    press C-l
    needs "$size: the shell is ready" 'READY>'
    text "clear; '$program' demo --into '$shop'; echo rc=\$?"
    press Enter
    needs "$size: the greeting comes up" 'Your initials'
    text zq
    press Enter
    needs "$size: home comes up" 'Today'
    sees "$size: home names the key" 'b before a board'

    text b
    needs "$size: the boards come up" 'Before a board'
    sees "$size: they are listed" 'dunlin-s20'
    text skua
    sees "$size: letters are text and narrow the list" '> skua'
    holds "$size: one board is left, marked" shows '\[skua-e6\]'
    press Escape
    sees "$size: Esc clears the letters" 'petrel-p4'
    text helm
    sees "$size: a word of the name finds it too" '\[petrel-p4\]'
    press Enter
    needs "$size: the words are asked for" 'What do you see'
    text '3V3_SB low, draw cycling'
    sees "$size: letters are text there" '> 3V3_SB low, draw cycling'
    press Enter
    needs "$size: the brief comes up" 'closed jobs match'
    holds "$size: the caution is the first line" first_line 'A wet lithium cell'
    sees "$size: and defers" "maker's instructions"
    sees "$size: the cards are counted" 'cards? about this; d drills'
    press Down
    sees "$size: the first job is marked" '\[W-[0-9]+, .*: (held|came back|not known)'
    sees "$size: it says why it is shown" 'Why: 3V3_SB low; draw cycling'
    holds "$size: the caution still stands first" first_line 'A wet lithium cell|Cell out first'
    press Enter
    sees "$size: Enter opens the whole job" 'The whole job'
    sees "$size: with how it ended" 'Outcome: |Outcome'
    press Escape
    sees "$size: Esc goes back to the brief" 'd drill these'
    press NPage NPage NPage NPage NPage NPage NPage NPage NPage NPage NPage NPage
    sees "$size: the readings of a good board stand at the end" 'diode drop|on the drawing|to ground'
    press Escape
    sees "$size: Esc goes back to the words, which stay" '> 3V3_SB low, draw cycling'
    press C-u
    text 'U13'
    press Enter
    sees "$size: U13 is not U31" 'No closed job matches'
    text d
    sees "$size: nothing to drill is said so" 'nothing to drill'
    press Escape
    needs "$size: the words again" 'What do you see'
    press C-u
    text 'came back'
    press Enter
    needs "$size: jobs that came back are found" 'closed jobs? match'
    press Down
    sees "$size: and marked in words" '\[W-[0-9]+, .*: came back'
    press Escape
    needs "$size: the words once more" 'What do you see'
    press C-u
    text '3V3_SB low'
    press Enter
    needs "$size: the brief once more" 'd drill these'

    text d
    needs "$size: d begins the drill" 'Which circuit\?'
    sees "$size: the card says that it is for a board" 'before a board'
    press Up Enter
    needs "$size: the fix is asked for" 'Name the fix'
    press Enter
    needs "$size: the verdict comes" 'Keep as'
    press Enter
    needs "$size: the next card comes" 'Which circuit\?'
    expected=$((expected + 1))
    holds "$size: the answer is on disk, as a brief" briefed "$expected"
    press Escape
    needs "$size: the sitting ends" 'The sitting is over'
    press Enter
    needs "$size: home comes up again" 'Today'
    press Escape
    sees "$size: leaving ends well" '^rc=0'
done

summary
