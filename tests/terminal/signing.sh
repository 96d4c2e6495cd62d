#!/usr/bin/env bash
# Works at the lead's desk in a real terminal (tmux), at 80x24 and at 60x20: the list, a card with its
# front, its answer and its jobs, a card signed, a why-line typed over, a card tagged out and brought
# back, and what stands in the journal and in `deck desk --json` afterwards.
#
#   tests/terminal/signing.sh target/release/benchlore
#
# Needs tmux; desk.sh beside it has the terminal and says where everything is written.
. "$(dirname "$0")/desk.sh"

now=2026-11-20T08:00:00Z

ask() { "$program" --shop "$shop" --as-of "$now" "$@" 2>/dev/null; }
edits() { cat "$shop/edits/$bench.jsonl" 2>/dev/null | wc -l; }
has_edits() { [ "$(edits)" -eq "$1" ]; }
# Tells whether the last line of this bench's edits is of a kind and holds some words.
wrote() { tail -n 1 "$shop/edits/$bench.jsonl" 2>/dev/null | grep "\"ev\":\"$1\"" | grep -qF -- "$2"; }
# The id of the card that was edited last.
edited() { tail -n 1 "$shop/edits/$bench.jsonl" | grep -o '"card":"[^"]*"' | cut -d'"' -f4; }
at() { screen | grep -oE '^ [0-9]+ of [0-9]+ ' | cut -d' ' -f2; }
is_at() { [ "$(at)" = "$1" ]; }

whole_desk() {
    size=$1x$2
    shop=$work/shop-$size
    tm resize-window -t desk -x "$1" -y "$2"
    press C-l
    needs "$size: the shell is ready" 'READY>'
    # Made outside the window: how long that takes is no matter of the screen.
    "$program" demo --plain --into "$shop" --as-of "$now" >/dev/null &&
        "$program" --shop "$shop" people add LK --role lead >/dev/null || { no "$size: the practice shop is made"; summary; }
    text "'$program' --shop '$shop' --as-of $now; echo rc=\$?"
    press Enter
    needs "$size: the greeting comes up" 'Your initials'
    text lk
    press Enter
    needs "$size: home comes up" 'Today'

    # --- The list ----------------------------------------------------------------------------------
    text l
    needs "$size: l opens the lead's desk" "The lead's desk"
    sees "$size: it counts what is signed and what wants a look" '0 of [0-9]+ cards signed; [0-9]+ want a look'
    sees "$size: it says why the marked card lies here" 'Here because: '
    text '?'
    sees "$size: ? shows the keys" "Keys   The lead's desk"
    press Escape
    needs "$size: Esc closes them" 'want a look'

    # --- One card: what is asked, the answer, the jobs ---------------------------------------------
    press Enter
    needs "$size: Enter opens a card" 's sign'
    sees "$size: front and answer stand together" '\[front and back\]'
    sees "$size: the answer is in sight" 'Answer|point|said|Told apart|circuit'
    press BTab
    sees "$size: the front stands alone" '\[front\]'
    sees "$size: and says that it is not signed" 'not yet signed'
    press Tab Tab
    sees "$size: Tab shows why it lies here" 'Why it lies here'
    press Tab Tab
    while ! screen | grep -q 'e jobs'; do
        # A bench rule has no jobs: the next card with jobs is taken.
        press Right
        sleep 0.2
        tries=$((${tries:-0} + 1))
        [ "$tries" -lt 60 ] || { no "$size: no card has jobs"; break; }
    done
    text e
    sees "$size: e shows the jobs" 'The jobs behind this card'
    press Escape
    needs "$size: Esc goes back to the card" 's sign'

    # --- Signed: one key, and the next stands there ------------------------------------------------
    was=$(at)
    text s
    holds "$size: s opens the next card" is_at $((was + 1))
    holds "$size: the signature is on the disk" wrote sign '"by":"LK"'
    holds "$size: as one line" has_edits 1
    sees "$size: it is said" '[Ss]igned'
    signed=$(edited)

    # --- The why-line: letters are text ------------------------------------------------------------
    text c
    needs "$size: c asks what is typed over" 'Type over what'
    text w
    needs "$size: w takes the why-line" 'Why-line >'
    press C-u
    text 'Warm at once: squ, and t is no key here.'
    sees "$size: letters are text" 't is no key here'
    press Escape
    holds "$size: Esc writes nothing" has_edits 1
    text c
    needs "$size: c asks again" 'Type over what'
    text w
    needs "$size: the line opens" 'Why-line >'
    press C-u
    text 'The supply folds back at once.'
    press Enter
    holds "$size: Enter writes it" wrote why 'The supply folds back at once.'
    holds "$size: the card stays" is_at $((was + 1))
    press Tab
    # Below who missed it, which may be a long list.
    press NPage
    press NPage
    sees "$size: what was done stands in its history" 'typed the why'
    press BTab

    # --- Tagged out for all, with a reason, and brought back ---------------------------------------
    text t
    needs "$size: t asks why" 'Because >'
    press Enter
    sees "$size: a reason is wanted" 'Say why'
    text 'not on rev C'
    press Enter
    holds "$size: it is tagged out" wrote tag 'not on rev C'
    out=$(edited)
    holds "$size: the next card stands there" is_at $((was + 2))
    press Left
    sees "$size: it says that it is out of use" 'OUT OF USE'

    # --- Left, and looked at from outside ----------------------------------------------------------
    press Escape
    needs "$size: Esc goes back to the list" '1 of [0-9]+ cards signed'
    press Escape
    needs "$size: Esc goes home" 'Today'
    press Escape
    needs "$size: leaving ends well" '^rc=0'
    ask deck desk --json >"$work/desk.json"
    holds "$size: deck desk --json has the card that is out" grep -qF -- "$out" "$work/desk.json"
    ask deck desk "$signed" --json >"$work/card.json"
    holds "$size: and says who signed the other" grep -q '"signed":"LK"' "$work/card.json"
    press C-l
}

opens_the_window
whole_desk 80 24
tries=0
whole_desk 60 20
summary
