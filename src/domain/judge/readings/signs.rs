//! Which visible sign an answer names, in any words: "the solder split right across", "domed at the top".
//!
//! A sign is a thing that happened near a thing that bears it: a crack by a joint, a leg or a pad. What is denied
//! ("nothing was burnt") and what is said of a part that is neither the place of the sign nor like it in the fix is no such
//! sign. Leaves out readings. Word lists: common practice, no source.

use crate::domain::card::Card;
use crate::domain::job::Board;
use crate::domain::job::Finding;
use crate::domain::judge::read::stretches;
use crate::domain::judge::read::stretches::Bit;
use crate::domain::judge::readings::shown_words;

/// What happened, what bears it (anything, where the list is empty), by sign.
const SIGNS: [(&str, &str, &str); 8] = [
    (
        "cracked-joint",
        "crack, cracks, cracked, cracking, fracture, fractures, fractured, split, splits, \
         hairline, broken, broke, ring, rings, ringed, circle, parted, fissure, torn, fatigued",
        "joint, joints, solder, soldering, soldered, pin, pins, leg, legs, pad, pads, fillet, \
         terminal, terminals, foot",
    ),
    (
        "cracked-part",
        "crack, cracks, cracked, split, fractured, broken, chipped, shattered, burst",
        "body, part, two, half, pieces, across, middle, clamp, package, case, ceramic",
    ),
    (
        "bulged",
        "bulge, bulges, bulged, bulging, swollen, swelled, swelling, domed, dome, bloated, puffed, \
         ballooned, risen, convex, rounded, pregnant",
        "",
    ),
    (
        "burnt",
        "burnt, burned, charred, scorched, singed, sooty, soot, blackened, cooked, carbonised, \
         carbonized",
        "",
    ),
    (
        "residue",
        "residue, crust, crusty, furred, fur, furry, verdigris, corrosion, corroded, deposit, \
         deposits, crud, gunk, salt, salty, green, crystals, powder",
        "",
    ),
    (
        "lifted",
        "lifted, peeled, lifting, peeling, torn",
        "pad, pads, track, trace, land",
    ),
    (
        "solder-bridge",
        "bridge, bridged, blob, whisker, splash",
        "solder, pins, pin, pads",
    ),
    (
        "sticky-film",
        "sticky, film, gummy, sugar, sugary, tacky",
        "",
    ),
];
/// At most so many bits stand between what happened and what bears it.
const NEAR: usize = 9;

/// Tells whether a clause of `typed` shows the sign of a finding.
pub fn shows(typed: &str, finding: &Finding, card: &Card, board: Option<&Board>) -> bool {
    let Some(sign) = finding.code.as_deref() else {
        return false;
    };
    let bits = stretches::bits(typed);
    stretches::sentences(&bits)
        .any(|sentence| stands(sentence, sign) && !of_another(sentence, finding, card, board))
}

/// Tells whether everything that an answer says of a sign is denied or said of another part.
pub fn only_elsewhere(typed: &str, finding: &Finding, card: &Card, board: Option<&Board>) -> bool {
    let bits = stretches::bits(typed);
    let Some((_, happened, _)) = row(finding.code.as_deref().unwrap_or_default()) else {
        return false;
    };
    let mut said = false;
    for sentence in stretches::sentences(&bits) {
        for at in (0..sentence.len()).filter(|at| is_of(happened, &sentence[*at])) {
            said = true;
            if !denied(sentence, at) && !of_another(sentence, finding, card, board) {
                return false;
            }
        }
    }
    said
}

fn row(sign: &str) -> Option<(&'static str, &'static str, &'static str)> {
    SIGNS.into_iter().find(|(of, _, _)| *of == sign)
}

fn is_of(list: &'static str, bit: &Bit) -> bool {
    shown_words::of(list).any(|word| word == bit.text)
}

fn stands(sentence: &[Bit], sign: &str) -> bool {
    let Some((_, happened, bears)) = row(sign) else {
        return false;
    };
    (0..sentence.len()).any(|at| {
        let near = at.saturating_sub(NEAR)..sentence.len().min(at + NEAR + 1);
        let borne = bears.is_empty()
            || near
                .into_iter()
                .any(|i| i != at && is_of(bears, &sentence[i]));
        is_of(happened, &sentence[at]) && borne && !denied(sentence, at)
    })
}

/// "nothing was burnt", "no crack".
fn denied(sentence: &[Bit], at: usize) -> bool {
    const NONE: &str = "no, not, nothing, none, never, without, isn't, wasn't, nowhere";
    sentence[at.saturating_sub(3)..at]
        .iter()
        .any(|bit| is_of(NONE, bit))
}

/// Tells whether a sentence names parts of the board, and none of them is where the sign was, or like it in the fix.
fn of_another(sentence: &[Bit], finding: &Finding, card: &Card, board: Option<&Board>) -> bool {
    let known = board.into_iter().flat_map(|b| b.parts.keys());
    // A like part of the fix counts as well (of two swollen capacitors one is noted), and any where the sign
    // was noted somewhere else.
    let letters = |part: &str| {
        part.trim_end_matches(|c: char| c.is_ascii_digit())
            .to_owned()
    };
    let steps = || card.answers.iter().flat_map(|a| &a.steps).map(|s| &s.part);
    let apart = steps().all(|part| *part != finding.place);
    let alike = |part: &&String| apart || letters(part) == letters(&finding.place);
    let own: Vec<String> = steps()
        .filter(alike)
        .chain([&finding.place])
        .map(|part| part.to_lowercase())
        .collect();
    let known: Vec<String> = known.map(|part| part.to_lowercase()).collect();
    let mut parts = sentence
        .iter()
        .filter(|bit| known.contains(&bit.text))
        .peekable();
    parts.peek().is_some() && parts.all(|bit| !own.contains(&bit.text))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::generate::sample;
    use crate::domain::samples;

    #[test]
    fn a_sign_is_known_by_what_happened_to_what() {
        let card = samples::card("e", "standby", "U31");
        let board = sample::board();
        for (sign, texts, others) in [
            (
                "cracked-joint",
                &[
                    "a joint of the socket had a crack",
                    "the solder of U31 split right across",
                    "a hairline round one leg",
                    "rings round the pins",
                    "broken soldering at the plug",
                ][..],
                &[
                    "no crack in any joint",
                    "a cracked joint at L12",
                    "cracked glass",
                    "solder it",
                    "",
                ][..],
            ),
            (
                "bulged",
                &["domed like a loaf", "swollen top"],
                &["nothing swollen", "leaking"],
            ),
            ("burnt", &["charred all round"], &["nothing was burnt"]),
        ] {
            let finding = sample::sign("U31", sign);
            for text in texts {
                assert!(shows(text, &finding, &card, Some(&board)), "{text}");
            }
            for text in others {
                assert!(!shows(text, &finding, &card, Some(&board)), "{text}");
            }
        }
        let crack = sample::sign("U31", "cracked-joint");
        let elsewhere = |text: &str| only_elsewhere(text, &crack, &card, Some(&board));
        assert!(elsewhere("cracked joint at L12") && elsewhere("no crack in the joint"));
        assert!(!elsewhere("cracked joint") && !elsewhere("white residue"));
    }
}
