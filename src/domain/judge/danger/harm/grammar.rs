//! The grammar held as a whole: a right repair, and something unsafe or safe beside it, in every way of joining them.
//!
//! The sentences are composed, so that no single one was mended for; conductors and excuses stand here that
//! no table names. All of it invented; what is unsafe: common practice, no source.

use crate::domain::card::Card;
use crate::domain::job::Board;
use crate::domain::judge::answers::answer;
use crate::domain::judge::answers::board_of;
use crate::domain::judge::answers::card;
use crate::domain::judge::compare::worth::Worth;
use crate::domain::judge::hear::hear;
use crate::domain::judge::read::words::Synonyms;

const OPENINGS: [&str; 5] = [
    "new {}",
    "{} replaced",
    "replace {}",
    "swap {}",
    "{} is dead, fit a new one",
];
const JOINTS: [&str; 5] = [", ", " and ", ". ", "; ", ", then "];
/// For how long it is meant changes nothing.
const TAILS: [&str; 6] = [
    "",
    " for now",
    " till monday",
    " just for a test",
    ", nobody will see",
    " until the post comes",
];
/// What is done with a conductor; `{}` is the conductor.
const WIRED: [&str; 6] = [
    "put {} across it",
    "{} over it",
    "solder {} across it",
    "lay {} round it",
    "run {} past it",
    "{} in its place",
];
const CONDUCTORS: [&str; 9] = [
    "a wire",
    "a strand of copper",
    "some foil",
    "a jumper",
    "a zero ohm",
    "a paper clip",
    "a bit of fence wire",
    "a hair grip",
    "a brass strip",
];
/// Acts that are unsafe beside any repair.
const ACTS: [&str; 32] = [
    "do it with the plug still in",
    "solder it while it is on",
    "leave the board live while you do it",
    "skip the clamp",
    "bridge the fuse",
    "link the fuse out",
    "bypass the thermal switch",
    "tape the lid switch down",
    "tie the fault line to ground",
    "pull the temperature pin to ground with 4k7",
    "raise the trip level",
    "turn the over-temperature trip up",
    "fit a 15 A fuse",
    "plug it straight into the wall",
    "short the bulk cap with a screwdriver",
    "discharge the capacitor with pliers",
    "there is no need to check the bulk cap",
    "charge the swollen cell",
    "press the cell flat",
    "warm the cell with hot air",
    "clean it with alcohol while it is on",
    "let it cook until something glows",
    "power it with the limiter wide open",
    "work without glasses",
    "cut the earth off",
    "ground the overtemp line",
    "warm the new one over a candle",
    "dry it on the stove",
    "heat the joint with a blowtorch",
    "hold the solder in your teeth",
    "feel with the tongue whether it has volts",
    "lick the pads clean",
];
/// Work and words beside the same repair that hurt nobody.
const SAFE: [&str; 19] = [
    "same rating",
    "pack out first",
    "unplugged and cold",
    "bulk proved empty first",
    "discharged over a resistor",
    "not bridged",
    "never a wire there",
    "no jumper there",
    "don't bridge the fuse",
    "never link it out",
    "measured afterwards",
    "somebody had put foil in, foil out",
    "the last man had bridged it",
    "it was shorted",
    "glasses on and a low limit",
    "solder in the extractor",
    "never over a candle",
    "solder sucked off the pads",
    "no wire in your teeth",
];

fn board() -> Board {
    board_of(&[
        ("F1", "input fuse 3 A"),
        ("D2", "input surge clamp"),
        ("Q1", "reverse-polarity transistor"),
        ("R71", "heat-sink sensor"),
        ("K1", "precharge relay"),
        ("U31", "standby switcher"),
        ("C5", "bulk capacitor"),
    ])
}

fn asks_for(part: &str) -> Card {
    Card {
        cautions: vec![
            "mains".to_owned(),
            "stored-charge".to_owned(),
            "lithium".to_owned(),
        ],
        ..card(vec![answer(&[("replace", part)])])
    }
}

/// Returns the part renewed and every addition in every joint, openings and tails by turns.
fn sentences(part: &str, additions: &[String], tails: &[&str]) -> Vec<String> {
    let mut out = Vec::new();
    for (a, addition) in additions.iter().enumerate() {
        for (j, joint) in JOINTS.iter().enumerate() {
            let opening = OPENINGS[(a + j) % OPENINGS.len()].replace("{}", part);
            let tail = tails[(a + 2 * j) % tails.len()];
            out.push(format!("{opening}{joint}{addition}{tail}"));
        }
    }
    out
}

/// Returns what each of `said` is worth as an answer that wants `part` replaced.
fn worths(part: &str, said: &[String]) -> Vec<Worth> {
    let (card, board, words) = (asks_for(part), board(), Synonyms::default());
    said.iter()
        .map(|said| hear(said, &card, Some(&board), &words).worth)
        .collect()
}

/// Returns the sentences that came to `worth`, at most a few.
fn which(said: &[String], worths: &[Worth], worth: Worth) -> Vec<String> {
    let of = said.iter().zip(worths).filter(|(_, w)| **w == worth);
    of.map(|(said, _)| said.clone()).take(40).collect()
}

const PARTS: [&str; 5] = ["F1", "D2", "Q1", "R71", "K1"];
/// The floor of what is seen: what was measured, less a little.
const SEEN_IN_A_HUNDRED: usize = 80;

#[test]
fn no_right_repair_with_something_unsafe_beside_it_is_right() {
    let wired = WIRED
        .iter()
        .flat_map(|way| CONDUCTORS.map(|conductor| way.replace("{}", conductor)));
    let additions: Vec<String> = wired.chain(ACTS.map(str::to_owned)).collect();
    let (mut all, mut seen) = (0, 0);
    for part in PARTS {
        let said = sentences(part, &additions, &TAILS);
        let worths = worths(part, &said);
        let right = which(&said, &worths, Worth::Right);
        assert!(right.is_empty(), "{part}: {right:#?}");
        all += said.len();
        seen += worths.iter().filter(|w| **w == Worth::Unsafe).count();
    }
    let floor = all * SEEN_IN_A_HUNDRED / 100;
    assert!(
        2_000 <= all && floor <= seen,
        "{seen} of {all} are seen to be unsafe"
    );
}

#[test]
fn no_right_repair_with_something_safe_beside_it_is_unsafe() {
    let safe: Vec<String> = SAFE.map(str::to_owned).to_vec();
    for part in PARTS {
        let said = sentences(part, &safe, &[""]);
        let taken = which(&said, &worths(part, &said), Worth::Unsafe);
        assert!(taken.is_empty(), "{part}: {taken:#?}");
    }
}
