#!/usr/bin/env bash
# Looks something up before a board in a real terminal (tmux), at 80 by 24 and at 60 by 20.
#
#   tests/terminal/brief.sh target/release/benchlore
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
socket=benchlore-brief-$$
passed=0
failed=0

tm() { tmux -L "$socket" -f /dev/null "$@"; }

finish() {
    tm kill-server 2>/dev/null
    # The shell in the window may still be writing as it goes.
    rm -rf "$work" 2>/dev/null || rm -rf "$work"
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

answers() { cat "$shop"/people/*/t1.jsonl 2>/dev/null | grep '"ev":"answer"'; }
briefed() { [ "$(answers | grep -c '"mode":"brief"')" -eq "$1" ] && [ "$(answers | wc -l)" -eq "$1" ]; }
# The line under the title's rule: what a person reads first.
first_line() { screen | sed -n 3p | grep -Eq -- "$1"; }

tm new-session -d -s desk -x 80 -y 24 "env -i PATH='$PATH' HOME='$work' TERM=screen-256color \
    LANG=C.UTF-8 XDG_DATA_HOME='$work/data' BENCHLORE_BENCH=t1 PS1='READY> ' bash --norc --noprofile -i" \
    || { echo "$0: tmux does not start" >&2; exit 2; }
tm set-option -g window-size manual 2>/dev/null

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
