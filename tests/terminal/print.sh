#!/usr/bin/env bash
# Prints cards as a person would: `deck print` for both papers and both sizes, the HTML printed to PDF by a
# headless Chromium, the PDF looked at page by page with poppler's tools. Claims: the number of pages, the
# size of the paper, every card's number on both sides with the back behind its front, nothing below the
# line at a card's foot or outside a card (so no text was too long for its place), the words that defer to
# makers, codes and licensed people on every page.
#
#   tests/terminal/print.sh target/release/benchlore
#
# Needs chromium (chromium-browser, google-chrome), pdfinfo and pdftotext. Everything that is written is
# in a folder that is made and removed.
set -u

if [ $# -ne 1 ] || [ ! -x "$1" ]; then
    echo "usage: $0 PATH-TO-BENCHLORE" >&2
    exit 2
fi
browser=
for name in chromium chromium-browser google-chrome; do
    [ -n "$browser" ] || browser=$(command -v "$name")
done
[ -n "$browser" ] || { echo "$0: no chromium is here" >&2; exit 2; }
for tool in pdfinfo pdftotext; do
    command -v "$tool" >/dev/null || { echo "$0: $tool (poppler-utils) is missing" >&2; exit 2; }
done

program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
work=$(mktemp -d)
trap 'rm -rf "$work" 2>/dev/null || { sleep 1; rm -rf "$work"; }' EXIT
export BENCHLORE_BENCH=t1 XDG_DATA_HOME=$work/data HOME=$work
now=2026-11-20T08:00:00Z
passed=0
failed=0

claim() {
    local what=$1
    shift
    if "$@"; then
        passed=$((passed + 1)); echo "ok      $what"
    else
        failed=$((failed + 1)); echo "FAILED  $what"
    fi
}

is() { [ "$1" = "$2" ] || { printf '%s\n' "not $2:" "$1" | head -12 | sed 's/^/        | /'; return 1; }; }

# Reads `pdftotext -bbox` and says what is wrong with the places of cards; prints the number of cards.
# Millimetres from the paper, the size and the edge as DEVELOPERS and the help tell them, not from the file.
places() {
    awk -v paper="$2" -v size="$3" -v edge="$4" '
    function mm(attribute,   found) {
        match($0, attribute "=\"[-0-9.]+\"")
        found = substr($0, RSTART + length(attribute) + 2, RLENGTH - length(attribute) - 3)
        return found * 25.4 / 72
    }
    function bad(why) { print "page " page ": " why; wrong++ }
    BEGIN {
        width = paper == "a4" ? 210 : 215.9; height = paper == "a4" ? 297 : 279.4
        columns = size == "wall" ? 1 : 2; rows = size == "wall" ? 1 : 3
        wide = size == "wall" ? 188 : 95; high = size == "wall" ? 252 : 84
        padding = size == "wall" ? 6 : 4; foot = size == "wall" ? 9 : 3.5
        left = (width - columns * wide) / 2; top = (height - rows * high) / 2
    }
    /<page / { page++; deferred = 0 }
    /<word / {
        x0 = mm("xMin"); x1 = mm("xMax"); y0 = mm("yMin"); y1 = mm("yMax")
        word = $0; sub(/^[^>]*>/, "", word); sub(/<.*$/, "", word)
        if (word == "licensed" && y1 < top) deferred = 1
        if (y1 < top || top + rows * high < y0) next
        column = int(((x0 + x1) / 2 - left) / wide); row = int(((y0 + y1) / 2 - top) / high)
        if (x0 < left || columns <= column) { bad("outside the cards: " word); next }
        # A line of text is as high as its font says, which is a little more than the letters are.
        in_x0 = x0 - left - column * wide; in_x1 = x1 - left - column * wide
        in_y1 = y1 - top - row * high
        if (in_x0 < padding - 0.5 || wide - padding + 0.5 < in_x1) bad("over the side of its card: " word)
        if (in_y1 <= high - padding - foot + 0.3) next
        # pdftotext reads across the cards: what is at a foot is put in order from the left.
        cell = column " " row
        for (at = ++feet[cell]; at > 1 && x0 < foot_x[cell, at - 1]; at--) {
            foot_x[cell, at] = foot_x[cell, at - 1]; foot_word[cell, at] = foot_word[cell, at - 1]
        }
        foot_x[cell, at] = x0; foot_word[cell, at] = word
    }
    # At the foot of a card: Card, its number, front or back, the beginning of its id; nothing else.
    /<\/page>/ {
        if (!deferred) bad("nothing defers to licensed people")
        side = page % 2 ? "front" : "back"
        for (cell in feet) {
            number = foot_word[cell, 2]; mark = foot_word[cell, 4]
            if (feet[cell] != 4 || foot_word[cell, 1] != "Card" || number !~ /^[0-9]+$/ \
                || foot_word[cell, 3] != side || mark !~ /^[0-9a-f]+$/) {
                line = ""
                for (at = 1; at <= feet[cell]; at++) line = line " " foot_word[cell, at]
                bad("at the foot of a card stands" line)
            } else if (side == "front") { front[number] = page " " cell; id[number] = mark; cards++ }
            else {
                back[number] = page " " cell; backs++
                if (id[number] != mark) bad("card " number " is " id[number] " in front, " mark " behind")
            }
        }
        delete feet; delete foot_x; delete foot_word
    }
    END {
        for (n = 1; n <= cards; n++) {
            if (!(n in front) || !(n in back)) { print "card " n " lacks a side"; wrong++; continue }
            split(front[n], f, " "); split(back[n], b, " ")
            column = edge == "long" ? columns - 1 - f[2] : f[2]
            row = edge == "long" ? f[3] : rows - 1 - f[3]
            if (b[1] != f[1] + 1 || b[2] != column || b[3] != row) {
                print "card " n ": front " front[n] ", back " back[n]; wrong++
            }
        }
        if (backs != cards) { print cards " fronts, " backs " backs"; wrong++ }
        if (wrong) exit 1
        print cards
    }' "$1"
}

# Tells whether the looking, told of the long edge, finds what is wrong.
notices() { places "$1" a4 pocket long | grep -q "$2"; }

to_pdf() {
    "$browser" --headless --no-sandbox --disable-gpu --no-pdf-header-footer --user-data-dir="$work/browser" \
        --print-to-pdf="$2" "$1" >"$work/browser.log" 2>&1
}

printed() {
    local deck=$1 paper=$2 size=$3 edge=$4 per_side=$5 called="$1, $2, $3, $4 edge"
    shift 5
    local file=$work/$deck-$paper-$size-$edge
    local said cards pages found
    said=$("$program" --shop "$work/shop" --as-of "$now" deck print "$deck" --paper "$paper" --size "$size" \
        --edge "$edge" --into "$file.html" --json "$@") || { claim "$called: printed" false; return; }
    cards=$(printf '%s' "$said" | sed 's/.*"cards":\([0-9]*\),"in_parts".*/\1/')
    to_pdf "$file.html" "$file.pdf" || { cat "$work/browser.log"; claim "$called: the browser prints it" false; return; }
    pages=$(pdfinfo "$file.pdf" | awk '/^Pages:/ { print $2 }')
    claim "$called: $cards cards on $pages pages" is "$pages" $((2 * ((cards + per_side - 1) / per_side)))
    case $paper in
        a4) claim "$called: the paper is A4" is "$(paper_of "$file.pdf")" "210 297" ;;
        letter) claim "$called: the paper is Letter" is "$(paper_of "$file.pdf")" "216 279" ;;
    esac
    pdftotext -bbox "$file.pdf" "$file.bbox"
    found=$(places "$file.bbox" "$paper" "$size" "$edge")
    claim "$called: each back is behind its front, all text in its place" is "$found" "$cards"
}

# Whole millimetres, as pdfinfo's points round.
paper_of() { pdfinfo "$1" | awk '/^Page size:/ { printf "%.0f %.0f", $3 * 25.4 / 72, $5 * 25.4 / 72 }'; }

"$program" demo --plain --into "$work/shop" --as-of "$now" >/dev/null || { echo "$0: no practice shop" >&2; exit 2; }
for paper in a4 letter; do
    printed shop "$paper" pocket long 6
    printed bench-safety "$paper" wall long 1
done
printed bench-rules a4 pocket short 6
printed shop letter wall long 1 --board petrel-p4

# The looking itself: a sheet turned on the other edge, and type that is too large, must not pass.
short=$work/bench-rules-a4-pocket-short
claim "a back that is not behind its front is noticed" notices "$short.bbox" 'front .*, back '
sed 's/{font-size:9pt}/{font-size:17pt}/' "$short.html" >"$work/large.html"
to_pdf "$work/large.html" "$work/large.pdf" && pdftotext -bbox "$work/large.pdf" "$work/large.bbox"
claim "text that is too long for its card is noticed" notices "$work/large.bbox" 'at the foot of a card stands'

echo "$passed claims hold, $failed do not"
[ "$failed" = 0 ]
