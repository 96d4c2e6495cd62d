//! What can go wrong with a board: the text of faults/*.txt as values.
//!
//! One word a line says what the line is; `"` holds words together; `|` parts things to choose from.

use super::fixed::Fixed;

macro_rules! faults {
    ($($board:literal),*) => {
        [$(include_str!(concat!("../faults/", $board, ".txt"))),*]
    };
}

const TEXTS: [&str; 6] = faults!(
    "petrel-p4",
    "skua-e6",
    "tern-h3",
    "dunlin-s20",
    "gannet-a2",
    "fulmar-g5"
);

/// When a sight or an act is met at all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Gate {
    Always,
    Dry,
    Wet,
    Impact,
    Surge,
}

/// Something that a fault shows, or that is done about it, and how often in a hundred it is recorded.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    pub(crate) gate: Gate,
    pub(crate) percent: u32,
    pub(crate) words: Vec<String>,
    /// Words that a technician put down instead of the usual ones.
    pub(crate) raw: Vec<String>,
}

/// Why a repair came back, and as what.
#[derive(Clone, Debug)]
pub(crate) struct Bounce {
    pub(crate) percent: u32,
    pub(crate) cause: String,
    /// The fault it came back with; none: the same again.
    pub(crate) again: Option<String>,
}

/// Why a board was given up.
#[derive(Clone, Debug)]
pub(crate) struct NoFix {
    pub(crate) percent: u32,
    pub(crate) reason: String,
    pub(crate) note: Option<String>,
}

/// One way in which a board fails.
#[derive(Clone, Debug, Default)]
pub(crate) struct Fault {
    pub(crate) id: String,
    /// How many boards came in with it in three years, besides those written down by hand.
    pub(crate) times: u32,
    pub(crate) family: String,
    pub(crate) contributing: Vec<(u32, String)>,
    pub(crate) complaints: Vec<(u32, Vec<String>)>,
    pub(crate) revs: Vec<(u32, String)>,
    pub(crate) environment: Vec<(u32, String)>,
    /// Quantities that several readings share.
    pub(crate) shared: Vec<(String, String)>,
    pub(crate) before: Vec<Line>,
    pub(crate) after: Vec<Line>,
    pub(crate) fixes: Vec<(String, String)>,
    pub(crate) also: Vec<Line>,
    pub(crate) vain: Vec<Line>,
    pub(crate) proofs: Vec<String>,
    /// Minutes to find it, and then to mend it: from, to.
    pub(crate) find: (i64, i64),
    pub(crate) mend: (i64, i64),
    pub(crate) parts: Option<Fixed>,
    pub(crate) bounces: Vec<Bounce>,
    pub(crate) no_fixes: Vec<NoFix>,
    pub(crate) notes: Vec<(u32, String)>,
    pub(crate) by: Vec<String>,
    /// Recorded whole, proved and held: for pairs that are to be compared.
    pub(crate) sure: bool,
}

impl Fault {
    /// Tells whether this was a wrong diagnosis from the start.
    pub(crate) fn always_comes_back(&self) -> bool {
        let sum: u32 = self.bounces.iter().map(|bounce| bounce.percent).sum();
        100 <= sum
    }
}

/// A board and its faults.
#[derive(Clone, Debug, Default)]
pub(crate) struct BoardModel {
    pub(crate) id: String,
    pub(crate) supply: Option<Fixed>,
    pub(crate) limit: Option<Fixed>,
    pub(crate) value: Option<Fixed>,
    pub(crate) revs: Vec<(u32, String)>,
    /// What the eye finds on any such board, whatever is wrong with it.
    pub(crate) looks: Vec<Line>,
    pub(crate) faults: Vec<Fault>,
}

/// Parts a line into words; what stands in `"` is one word, and `|` is a word of its own.
fn words(line: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (place, piece) in line.split('"').enumerate() {
        if place % 2 == 1 {
            found.push(piece.to_owned());
        } else {
            found.extend(piece.split_whitespace().map(str::to_owned));
        }
    }
    found
}

fn number(word: &str) -> u32 {
    word.parse()
        .unwrap_or_else(|_| panic!("a number, not {word:?}"))
}

fn range(word: &str) -> (i64, i64) {
    let (low, high) = word.split_once("..").unwrap_or((word, word));
    (number(low).into(), number(high).into())
}

/// `B*3` as a weight and a word; without `*` the weight is 1.
fn weighted(words: &[String]) -> Vec<(u32, String)> {
    let pairs = words.iter().map(|word| match word.split_once('*') {
        Some((word, weight)) => (number(weight), word.to_owned()),
        None => (1, word.clone()),
    });
    pairs.collect()
}

/// A chance and what it is a chance of: `30 salt-water`.
fn chances(words: &[String]) -> Vec<(u32, String)> {
    let pairs = words.chunks(2);
    pairs
        .map(|pair| (number(&pair[0]), pair[1].clone()))
        .collect()
}

/// `w60 see U31 residue point | white crust`: a gate and a chance, the thing, its words if unusual.
fn line(words: &[String]) -> Line {
    let (gate, percent) = match words[0].split_at(1) {
        ("d", rest) => (Gate::Dry, rest),
        ("w", rest) => (Gate::Wet, rest),
        ("i", rest) => (Gate::Impact, rest),
        ("s", rest) => (Gate::Surge, rest),
        _ => (Gate::Always, words[0].as_str()),
    };
    let mut parts = words[1..].split(|word| word == "|");
    let said = parts.next().expect("there is a first part").to_vec();
    Line {
        gate,
        percent: number(percent),
        words: said,
        raw: parts.map(|part| part.join(" ")).collect(),
    }
}

fn fault_line(fault: &mut Fault, words: &[String]) {
    let rest = &words[1..];
    match words[0].as_str() {
        "family" => fault.family.clone_from(&rest[0]),
        "contributing" => fault.contributing = chances(rest),
        "complaint" => {
            let weight = rest[0].parse().expect("a complaint begins with its weight");
            fault.complaints.push((weight, rest[1..].to_vec()));
        }
        "revs" => fault.revs = weighted(rest),
        "env" => fault.environment = chances(rest),
        "let" => fault.shared.push((rest[0].clone(), rest[1].clone())),
        "after" => fault.after.push(line(rest)),
        "fix" => fault.fixes.push((rest[0].clone(), rest[1].clone())),
        "also" => fault.also.push(line(rest)),
        "vain" => fault.vain.push(line(rest)),
        "proof" => fault.proofs.push(rest.join(" ")),
        "find" => fault.find = range(&rest[0]),
        "mend" => fault.mend = range(&rest[0]),
        "parts" => fault.parts = Fixed::read(&rest[0]),
        "bounce" => fault.bounces.push(Bounce {
            percent: number(&rest[0]),
            cause: rest[1].clone(),
            again: rest.get(2).cloned(),
        }),
        "nofix" => fault.no_fixes.push(NoFix {
            percent: number(&rest[0]),
            reason: rest[1].clone(),
            note: rest.get(2).cloned(),
        }),
        "note" => fault.notes.push((number(&rest[0]), rest[1].clone())),
        "by" => fault.by = rest.to_vec(),
        "sure" => fault.sure = true,
        _ => fault.before.push(line(words)),
    }
}

fn board(text: &str) -> BoardModel {
    let mut model = BoardModel::default();
    for text in text.lines() {
        let words = words(text);
        let Some(first) = words.first() else { continue };
        if first.starts_with('#') {
            continue;
        }
        match (first.as_str(), model.faults.last_mut()) {
            ("fault", _) => model.faults.push(Fault {
                id: words[1].clone(),
                times: number(&words[2]),
                revs: model.revs.clone(),
                ..Fault::default()
            }),
            (_, Some(fault)) => fault_line(fault, &words),
            ("board", None) => model.id.clone_from(&words[1]),
            ("supply", None) => model.supply = Fixed::read(&words[1]),
            ("limit", None) => model.limit = Fixed::read(&words[1]),
            ("value", None) => model.value = Fixed::read(&words[1]),
            ("look", None) => model.looks.push(line(&words[1..])),
            ("revs", None) => model.revs = weighted(&words[1..]),
            (other, None) => panic!("no fault yet, and {other:?} says nothing about a board"),
        }
    }
    model
}

/// Returns all boards with their faults.
pub(crate) fn boards() -> Vec<BoardModel> {
    TEXTS.iter().map(|text| board(text)).collect()
}
