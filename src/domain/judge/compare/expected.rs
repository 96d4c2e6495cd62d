//! Judges which readings a person expects of a fix that is given.
//!
//! Every point is a place and what it showed, and both must stand together: in `VSYS normal, 3V3_SB low`
//! the low belongs to `3V3_SB`. The value is said in words of its band, or as a number that lies in
//! it. Right is who names every needed point, or two others: one telling reading, or two that add up. A
//! named test (`torch test: dark`) tells as much as two. The rule is ours.

use crate::domain::card::Card;
use crate::domain::card::KeyPoint;
use crate::domain::generate::coded::band;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::job::FindingKind;
use crate::domain::judge::compare::points;
use crate::domain::judge::danger::precautions;
use crate::domain::judge::read::stretches;
use crate::domain::judge::read::stretches::Bit;
use crate::domain::judge::read::stretches::Mark;
use crate::domain::judge::read::words::Synonyms;
use crate::domain::judge::readings::net_words::Nets;
use crate::domain::judge::readings::shown;
use crate::domain::judge::readings::shown::Said;
use crate::domain::judge::readings::shown_words;
use crate::domain::judge::readings::signs;
use crate::domain::judge::readings::value_words;

/// So many points beside the needed one are worth as much.
pub const OTHERS: usize = 2;

/// Judges a typed answer to a card that gives the fix.
pub fn judge_expected(
    typed: &str,
    card: &Card,
    board: Option<&Board>,
    words: &Synonyms,
) -> points::PointsVerdict {
    let whole = points::judge_points(typed, &card.points, board, words);
    let own: Vec<&str> = card
        .points
        .iter()
        .filter_map(|p| p.words.first()?.first().map(String::as_str))
        .collect();
    let nets = Nets::new(&own, &card.held_back, board);
    let typed = &typed.replace('\u{2019}', "'");
    let written = nets.written_out(&precautions::left_out(typed));
    let owned = owned(&written, card, board);
    let said: Vec<Said> = card
        .points
        .iter()
        .zip(&owned)
        .zip(&whole.hits)
        .map(|((point, owned), hit)| {
            let finding = finding_of(point, card, board);
            match point.words.as_slice() {
                // A sign has no place: it counts wherever it is said.
                [] | [_] => sign(typed, *hit, finding, card, board),
                [_, what @ ..] => {
                    let worded = || says(&owned.text, what, board, words);
                    let said =
                        finding.map_or(Said::Nothing, |f| shows(owned, point, f, card, board));
                    match said {
                        Said::Nothing if worded() || heard(typed, point, finding, board, words) => {
                            Said::Agrees
                        }
                        said => said,
                    }
                }
            }
        })
        .collect();
    let hits: Vec<bool> = said.iter().map(|s| *s == Said::Agrees).collect();
    let needed = || card.points.iter().zip(&hits).filter(|(p, _)| p.needed);
    let every = needed().all(|(_, hit)| *hit) && hits.contains(&true);
    let worth = |point: &KeyPoint| if is_test(point, card) { OTHERS } else { 1 };
    let others: usize = card
        .points
        .iter()
        .zip(&hits)
        .filter(|(p, hit)| !p.needed && **hit)
        .map(|(p, _)| worth(p))
        .sum();
    let safe = whole.unsafe_answer.is_none();
    let right = safe && (every || OTHERS <= others);
    // The measurement that would tell, without what it showed.
    let looked = card.points.iter().zip(&said).zip(&owned);
    let contrary = |point: &KeyPoint| {
        let mut here = card.points.iter().zip(&said);
        here.any(|(p, said)| *said == Said::Differs && p.words.first() == point.words.first())
    };
    let looked = looked.into_iter().any(|((p, said), owned)| {
        p.needed && *said == Said::Nothing && owned.named && !contrary(p)
    });
    let some = hits.contains(&true);
    points::PointsVerdict {
        right,
        partly: safe && !right && (some || looked),
        note: match &whole.unsafe_answer {
            Some(act) => act.what.clone(),
            None if !right && some => "seen too, but not what tells most".to_owned(),
            None if !right && looked => "the right place; say what it showed".to_owned(),
            None => String::new(),
        },
        hits,
        unsafe_answer: whole.unsafe_answer,
    }
}

/// Tells whether the value of a named test is said that no other test could show: "a ticking noise".
fn heard(
    typed: &str,
    point: &KeyPoint,
    finding: Option<&Finding>,
    board: Option<&Board>,
    words: &Synonyms,
) -> bool {
    let heard = finding.is_some_and(|f| f.kind == FindingKind::Other && f.place == "sound");
    let value = point.words.last().cloned().unwrap_or_default();
    heard && says(typed, &[value], board, words)
}

/// Compares what is said of a sign with what was seen.
fn sign(
    typed: &str,
    hit: bool,
    finding: Option<&Finding>,
    card: &Card,
    board: Option<&Board>,
) -> Said {
    let visual = finding.filter(|f| f.kind == FindingKind::Visual);
    let seen = match visual {
        Some(f) if hit => !signs::only_elsewhere(typed, f, card, board),
        Some(f) => signs::shows(typed, f, card, board),
        None => hit,
    };
    if seen { Said::Agrees } else { Said::Nothing }
}

/// Returns the finding that a point is about.
fn finding_of<'a>(point: &KeyPoint, card: &'a Card, board: Option<&Board>) -> Option<&'a Finding> {
    let last = point.words.last()?;
    let place = point.words.first()?;
    let one = point.words.len() == 1;
    card.held_back.iter().find(|finding| {
        let draw = finding.kind == FindingKind::Current && place.iter().any(|w| w == DRAW[0]);
        let here = one || draw || place.contains(&finding.place);
        let own = |band: String| value_words::of(finding.kind, &band).first().cloned();
        let word = band::band(finding, board).and_then(own);
        let split = |w: &str, word: &str| w.strip_prefix(word).is_some_and(|r| r.starts_with(' '));
        here && word.is_some_and(|word| last.iter().any(|w| *w == word || split(w, &word)))
    })
}

/// Compares what stands by a place with what was read there.
fn shows(
    owned: &Owned,
    point: &KeyPoint,
    finding: &Finding,
    card: &Card,
    board: Option<&Board>,
) -> Said {
    let ground = matches!(finding.kind, FindingKind::Resistance | FindingKind::Diode);
    let asks = 2 < point.words.len();
    let text = if ground {
        owned.text.clone()
    } else {
        of_level(&owned.text, finding.kind)
    };
    let bits = stretches::bits(&text);
    let to_ground = bits.iter().any(|bit| {
        let text = bit.text.as_str();
        TO_GROUND.contains(&text) || GROUNDED.contains(&text)
    });
    let levels = |f: &Finding| {
        f.place == finding.place && matches!(f.kind, FindingKind::Rail | FindingKind::Signal)
    };
    let has_level =
        board.is_some_and(|b| b.good.iter().any(levels)) || card.held_back.iter().any(levels);
    if ground && asks && !to_ground && has_level {
        return Said::Nothing;
    }
    shown::of(
        &bits,
        finding,
        point.words.last().map_or("", |w| &w[0]),
        board,
    )
}

/// More words that say a reading to ground.
const GROUNDED: [&str; 15] = [
    "open", "ol", "infinite", "infinity", "beeps", "gnd", "earth", "deck", "chassis", "short",
    "shorted", "leaky", "leakage", "leaking", "mode",
];

/// Tells whether a point is about a named test.
fn is_test(point: &KeyPoint, card: &Card) -> bool {
    let places = point.words.first().map_or(&[][..], Vec::as_slice);
    let named = |f: &Finding| f.kind == FindingKind::Other && places.contains(&f.place);
    card.held_back.iter().any(named)
}

/// What of an answer belongs to the place of a point.
#[derive(Clone, Debug, Default)]
struct Owned {
    text: String,
    /// The place itself is named.
    named: bool,
}

/// Returns what of the text belongs to the place of each point.
fn owned(typed: &str, card: &Card, board: Option<&Board>) -> Vec<Owned> {
    let n = card.points.len();
    let mut phrases: Vec<(usize, String)> = Vec::new();
    for (i, point) in card.points.iter().enumerate() {
        if let [place, _, ..] = point.words.as_slice() {
            phrases.extend(place.iter().map(|word| (i, word.clone())));
        }
    }
    // Another place of the board takes its own words with it.
    for place in places(card, board) {
        if !phrases
            .iter()
            .any(|(_, word)| word.eq_ignore_ascii_case(&place))
        {
            phrases.push((n, place));
        }
    }
    let typed = &level_named_anew(typed, &phrases);
    let bits = stretches::bits(typed);
    let marks = stretches::found(&bits, &phrases);
    let says = |bit: &Bit| 2 < bit.text.len() && !bit.is_joint();
    let texts = stretches::belonging(typed, &bits, &marks, n + 1, &says);
    let mut owned: Vec<Owned> = texts
        .into_iter()
        .enumerate()
        .map(|(i, text)| Owned {
            named: marks.iter().any(|m| m.of == i),
            text,
        })
        .collect();
    for mark in marks.iter().filter(|mark| is_none(&bits, mark)) {
        owned[mark.of].text.insert_str(0, "nothing, ");
    }
    share_pairs(&bits, &marks, &mut owned);
    share_places(card, &mut owned);
    owned
}

/// Says "volts" where a place is named anew and nothing is said of its ohms there: "`VBAT_F` ohms good,
/// `VBAT_F` absent" speaks of its level behind.
fn level_named_anew(typed: &str, phrases: &[(usize, String)]) -> String {
    let bits = stretches::bits(typed);
    let mut marks = stretches::found(&bits, phrases);
    marks.sort_by_key(|mark| mark.bits.start);
    let mut said = typed.to_owned();
    for (k, mark) in marks.iter().enumerate().rev() {
        let to = marks.get(k + 1).map_or(bits.len(), |m| m.bits.start);
        let clause = &bits[mark.bits.end..to];
        let of_ground = |bit: &Bit| TO_GROUND.contains(&bit.text.as_str());
        let before = &marks[..k];
        let again = before.iter().any(|m| m.of == mark.of);
        if again && !clause.is_empty() && !clause.iter().any(of_ground) {
            said.insert_str(bits[mark.bits.end - 1].at.end, " volts");
        }
    }
    said
}

/// Tells whether a place is said not to be there: "no CANH", "it does not draw anything".
fn is_none(bits: &[Bit], mark: &Mark) -> bool {
    let text = |i: usize| bits.get(i).map_or("", |bit| bit.text.as_str());
    let before = |n: usize| mark.bits.start.checked_sub(n).map_or("", text);
    let next = text(mark.bits.end);
    let other = [
        "short", "fault", "ripple", "noise", "problem", "change", "leak", "movement",
    ];
    let no = matches!(before(1), "no" | "zero")
        || before(2) == "no" && !bits[mark.bits.start - 1].is_joint();
    let not = before(1) == "not" && matches!(next, "anything" | "any" | "a");
    (no || not) && !other.contains(&next)
}

/// In "`RESET_N` and `PGOOD` both low" what is said of the second place is said of the first.
fn share_pairs(bits: &[Bit], marks: &[Mark], owned: &mut [Owned]) {
    for pair in marks.windows(2).rev() {
        let [one, other] = pair else { continue };
        let between = &bits[one.bits.end..other.bits.start];
        let joined = between
            .iter()
            .all(|bit| matches!(bit.text.as_str(), "and" | "&" | "+" | "/" | ","));
        if joined && !between.is_empty() && one.of != other.of && owned[one.of].text.is_empty() {
            let shared = owned[other.of].text.clone();
            owned[one.of].text = shared;
        }
    }
}

/// Two points at one place (its volts, its ohms) share what belongs to it.
fn share_places(card: &Card, owned: &mut [Owned]) {
    let place = |i: usize| card.points.get(i).and_then(|p| p.words.first());
    for i in 0..card.points.len() {
        let first = (0..i).find(|j| place(*j).is_some() && place(*j) == place(i));
        if let Some(first) = first {
            let same = owned[first].clone();
            owned[i] = same;
        }
    }
}

/// Returns the nets of the board and the words for a draw, as far as no point is about them.
fn places(card: &Card, board: Option<&Board>) -> Vec<String> {
    let mut places: Vec<String> = DRAW.iter().map(|w| (*w).to_owned()).collect();
    if let Some(board) = board {
        places.extend(board.good.iter().map(|g| g.place.clone()));
        places.extend(board.parts.values().filter_map(|p| p.rail.clone()));
        places.extend(board.parts.keys().cloned());
    }
    places.extend(card.held_back.iter().map(|f| f.place.clone()));
    places.retain(|p| !p.trim().is_empty());
    places.sort();
    places.dedup();
    places
}

/// Words by which the supply's draw is named.
pub const DRAW: [&str; 6] = ["draw", "current", "amps", "consumption", "mA", "draws"];

/// Words that say a reading to ground, not a level.
const TO_GROUND: [&str; 5] = ["ohm", "resistance", "ground", "diode", "drop"];

/// Those of them that say nothing else.
const OHMS: [&str; 4] = ["ohm", "resistance", "diode", "drop"];

/// Words that say a level.
const VOLTS: [&str; 5] = ["v", "volt", "volts", "voltage", "level"];

fn says(owned: &str, what: &[Vec<String>], board: Option<&Board>, words: &Synonyms) -> bool {
    let point = KeyPoint {
        say: String::new(),
        words: what.to_vec(),
        needed: true,
    };
    // "5V0 low ohms" says nothing of its volts.
    let asks_ohms = what
        .iter()
        .flatten()
        .any(|w| TO_GROUND.iter().any(|t| w.contains(t)));
    let own = if asks_ohms {
        owned.to_owned()
    } else {
        of_level(owned, FindingKind::Rail)
    };
    points::judge_points(&own, &[point], board, words)
        .hits
        .contains(&true)
}

/// Returns what of the text at one place is said of its level: all up to where a reading to ground
/// begins, and what names volts after it (`absent, ohms good`, but nothing of `ohms: low`).
fn of_level(owned: &str, kind: FindingKind) -> String {
    let bits = stretches::bits(owned);
    let has = |clause: &[Bit], words: &[&str]| {
        let mut texts = clause.iter().map(|bit| bit.text.as_str());
        texts.any(|text| words.contains(&text))
    };
    let mut to_ground = false;
    let mut level = Vec::new();
    for clause in bits.split_inclusive(Bit::is_joint) {
        // "held down to ground" is a level.
        let held = clause.iter().any(|bit| shown_words::holds(&bit.text))
            && (kind == FindingKind::Signal || !has(clause, &["shorted"]));
        let ohms = has(clause, &TO_GROUND) && (!held || has(clause, &OHMS));
        to_ground |= ohms;
        let volts = has(clause, &VOLTS) && !ohms;
        if let (true, Some(first), Some(last)) =
            (!to_ground || volts, clause.first(), clause.last())
        {
            level.push(&owned[first.at.start..last.at.end]);
        }
    }
    level.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::card::CardKind;
    use crate::domain::generate::coded::table::Name;
    use crate::domain::generate::sample;
    use crate::domain::generate::words::say;
    use crate::domain::samples;

    fn point(finding: &Finding, needed: bool) -> KeyPoint {
        let board = sample::board();
        let band = band::band(finding, Some(&board)).expect("a band");
        KeyPoint {
            needed,
            ..say::shows("", &Name::of(finding), finding.kind, &band)
        }
    }

    fn card() -> Card {
        let mut rail = sample::rail("3V3_SB", "low");
        rail.got = Some(0.41);
        rail.good = Some(3.3);
        let mut draw = Finding::new(FindingKind::Current, "");
        draw.code = Some("cycling".to_owned());
        let mut ohms = sample::resistance("VSYS", 1.3);
        ohms.good = Some(510.0);
        let residue = sample::sign("U31", "residue");
        let findings = vec![draw, rail, ohms, residue];
        Card {
            kind: CardKind::Expect,
            points: findings
                .iter()
                .zip([true, false, false, false])
                .map(|(f, needed)| point(f, needed))
                .collect(),
            held_back: findings,
            ..samples::card("e", "standby", "U31")
        }
    }

    fn judged(typed: &str) -> points::PointsVerdict {
        judge_expected(typed, &card(), Some(&sample::board()), &Synonyms::default())
    }

    #[test]
    fn the_telling_reading_or_two_others_are_right() {
        for typed in [
            "draw cycling",
            "the current pulses up and down",
            "the draw hiccups, 3V3_SB low",
            "3V3_SB dropped and VSYS low ohms to ground",
            "residue, 3V3_SB: low",
            "3V3_SB 0.4V, white residue",
            "VSYS 2 ohm; 3V3_SB sagging",
            "low 3V3_SB, leaky VSYS: ohms low",
            "VSYS normal, 3V3_SB low, draw cycling",
            "the ammeter was see-sawing",
            "standby rail dragged down to 0.41 where 3.3 belongs, white stuff and residue",
            "3V3_SB and VSYS both low, in ohms VSYS to ground 1.3",
            "hunting draw",
        ] {
            let verdict = judged(typed);
            assert!(verdict.right, "{typed:?}: {verdict:?}");
        }
    }

    #[test]
    fn volts_and_ohms_of_one_place_are_told_apart() {
        let mut rail = sample::rail("3V3_SB", "absent");
        rail.got = Some(0.01);
        rail.good = Some(3.3);
        let mut ohms = sample::resistance("3V3_SB", 5_100.0);
        ohms.good = Some(5_200.0);
        let findings = vec![rail, ohms];
        let card = Card {
            points: findings
                .iter()
                .zip([true, false])
                .map(|(f, needed)| point(f, needed))
                .collect(),
            held_back: findings,
            ..card()
        };
        let right = |typed: &str| {
            let board = sample::board();
            judge_expected(typed, &card, Some(&board), &Synonyms::default()).right
        };
        for typed in [
            "3V3_SB absent, 3V3_SB ohm as on a good board",
            "3V3_SB absent, ohms good",
            "3V3_SB ohms as on a good board, volts absent",
            "3V3_SB ohm as on a good board, 3V3_SB absent",
            "3V3_SB: absent",
        ] {
            assert!(right(typed), "{typed}");
        }
        for typed in [
            "3V3_SB ohms: absent",
            "3V3_SB ohms good",
            "3V3_SB low ohms, absent",
        ] {
            assert!(!right(typed), "{typed}");
        }
    }

    #[test]
    fn a_value_belongs_to_its_place() {
        for typed in [
            "VSYS low",
            "3V3_SB normal, VSYS low, draw steady",
            "3V3_SB normal and VSYS low and draw normal",
            "draw normal, 3V3_SB cycling",
            "3V3_SB low",
            "3V3_SB 3.3 V, VSYS 500 ohm",
            "draw not cycling, 3V3_SB not low",
            "3V3_SB low ohms, VSYS shorted",
            "don't know",
            "draw",
            "",
        ] {
            let verdict = judged(typed);
            assert!(!verdict.right, "{typed:?}: {verdict:?}");
        }
        assert_eq!(
            judged("3V3_SB normal, VSYS low ohms").hits,
            [false, false, true, false]
        );
        assert!(judged("3V3_SB low").partly);
        assert!(judged("I would watch the draw").partly);
        assert!(!judged("the draw stayed at one value").partly);
        assert!(!judged("no draw").partly);
    }
}
