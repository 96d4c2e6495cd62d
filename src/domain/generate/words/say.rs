//! Points of an answer in words: by which words a reading, a fix, a decision is known.
//!
//! Designators and nets stand as they are and are compared exactly; the lists of trade words are
//! common practice, no source.

use crate::domain::card::Answer;
use crate::domain::card::KeyPoint;
use crate::domain::card::Step;
use crate::domain::generate::coded::table::Name;
use crate::domain::job::FindingKind;
use crate::domain::judge::compare::expected;
use crate::domain::judge::readings::value_words;
use crate::domain::wording;

/// Returns the words for an act of repair.
pub fn act_words(act: &str) -> Vec<String> {
    let words: &[&str] = match act {
        "replace" | "replace-connector" => &[
            "replace", "swap", "change", "renew", "new", "fit", "exchange",
        ],
        "reflow" => &["reflow", "resolder", "reheat", "touch up", "solder"],
        "reball" => &["reball", "reballing"],
        "bridge-or-jumper" => &["bridge", "jumper", "wire", "link"],
        "remove" => &["remove", "take off", "lift", "pull"],
        "clean" => &["clean", "wash", "brush", "scrub"],
        "reseat" => &["reseat", "replug", "plug", "seat"],
        "reprogram-firmware" => &[
            "reprogram",
            "reflash",
            "flash",
            "firmware",
            "reload",
            "program",
        ],
        "rebuild-pad-or-trace" => &["rebuild", "repair", "pad", "trace", "jumper"],
        "recalibrate" => &["recalibrate", "calibrate", "adjust"],
        _ => &["fix", "mend", "correct", "repair"],
    };
    words.iter().map(|w| (*w).to_owned()).collect()
}

/// Returns the point that names all steps of a fix; `before` stands in front of what a person reads.
pub fn fix(before: &str, steps: &[Step]) -> KeyPoint {
    let mut words = Vec::new();
    for step in steps {
        if step.act != "other" {
            words.push(act_words(&step.act));
        }
        let mut part = vec![step.part.clone()];
        part.extend(step.name.clone());
        part.retain(|p| !p.trim().is_empty());
        if !part.is_empty() {
            words.push(part);
        }
    }
    words.dedup();
    let answer = Answer {
        steps: steps.to_vec(),
        also: Vec::new(),
    };
    KeyPoint {
        say: format!("{before}{}", wording::answer_text(&answer)),
        words,
        needed: true,
    }
}

/// Returns the point that names a reading by its place, and by its kind where the place does not say
/// it (`shared`: another reading at that place is shown).
pub fn reading(say: &str, name: &Name, shared: bool) -> KeyPoint {
    let kind: &[&str] = match name.kind {
        FindingKind::Current => &["draw", "current", "amps", "supply current", "consumption"],
        FindingKind::Rail => &["volts", "voltage", "rail", "level", "v"],
        FindingKind::Resistance => &["ohms", "ohm", "resistance", "to ground", "short"],
        FindingKind::Diode => &["diode", "drop", "diode mode"],
        FindingKind::Signal => &["signal", "level", "clock", "activity", "scope", "present"],
        FindingKind::Heat => &["heat", "temperature", "thermal", "hot", "warm"],
        FindingKind::Visual => &["look", "see", "microscope", "sign", "residue", "joint"],
        FindingKind::Other => &[],
    };
    let mut words = Vec::new();
    if !name.place.is_empty() {
        words.push(vec![name.place.clone()]);
    }
    if (name.place.is_empty() || shared) && !kind.is_empty() {
        words.push(kind.iter().map(|w| (*w).to_owned()).collect());
    }
    KeyPoint {
        say: say.to_owned(),
        words,
        needed: true,
    }
}

/// Returns the point that any one of several makes; the first stands first.
///
/// An answer names a point when it has a word of every group: of two points it names one or the other
/// when it has, of each pair of their groups, a word of either.
pub fn any_of(points: Vec<KeyPoint>) -> KeyPoint {
    let mut points = points.into_iter();
    let mut all = points.next().unwrap_or_else(|| one_of("", &[], true));
    for point in points {
        let both = |group: &Vec<String>| {
            let with = |other: &Vec<String>| {
                let more = other.iter().filter(|word| !group.contains(word));
                group.iter().chain(more).cloned().collect()
            };
            point.words.iter().map(with).collect::<Vec<Vec<String>>>()
        };
        all.words = all.words.iter().flat_map(both).collect();
        all.say = format!("{}, or {}", all.say, point.say);
    }
    all
}

/// Returns the point that names what a finding showed: its place, its kind where the value does not say
/// it, and the value in words of its band.
pub fn shows(say: &str, name: &Name, kind: FindingKind, band: &str) -> KeyPoint {
    let place: Vec<String> = if kind == FindingKind::Current && name.place.is_empty() {
        expected::DRAW.iter().map(|w| (*w).to_owned()).collect()
    } else if kind == FindingKind::Other {
        let mut places = vec![name.place.clone()];
        let short = name.place.split(' ').next().map(str::to_owned);
        places.extend(short.filter(|s| *s != name.place));
        places
    } else {
        vec![name.place.clone()]
    };
    // Low ohms and a low rail are two readings; a short says itself what it is.
    let ground: &[&str] = match (kind, band) {
        (FindingKind::Resistance, "hard-short" | "open") | (FindingKind::Diode, "short" | "OL") => {
            &[]
        }
        (FindingKind::Resistance, _) => &[
            "ohm",
            "ohms",
            "resistance",
            "to ground",
            "short",
            "leaky",
            "leakage",
        ],
        (FindingKind::Diode, _) => &["diode", "drop", "diode mode", "to ground"],
        _ => &[],
    };
    let mut words = vec![place];
    if !ground.is_empty() {
        words.push(ground.iter().map(|w| (*w).to_owned()).collect());
    }
    let mut value = value_words::of(kind, band);
    if kind == FindingKind::Other {
        let others = in_any_order(band);
        value.extend(others.into_iter().filter(|order| order != band));
    }
    words.push(value);
    words.retain(|group| group.iter().any(|w| !w.trim().is_empty()));
    KeyPoint {
        say: say.to_owned(),
        words,
        needed: true,
    }
}

/// Words of a test that stand between what it showed.
const BETWEEN: [&str; 3] = ["when", "while", "if"];
/// In which words people say that it went no further; the first is the one that records use.
const ONLY: [&str; 5] = ["only", "just", "stops", "stuck", "nothing after"];

/// Returns the words of a test in every order: "fails the memory test" is "memory test fails", and "only
/// the boot loader" is "boot loader only". Up to three words: more have an order of their own.
fn in_any_order(value: &str) -> Vec<String> {
    let words = value.split(' ').filter(|w| !BETWEEN.contains(w));
    let words: Vec<&str> = words.collect();
    let rest: Vec<&str> = words.iter().copied().filter(|w| *w != ONLY[0]).collect();
    if words.len() < 2 || 3 < words.len() || rest.is_empty() {
        return Vec::new();
    }
    if rest.len() < words.len() {
        let rest = rest.join(" ");
        let only = ONLY.iter();
        return only.map(|only| format!("{only} {rest}")).collect();
    }
    let mut orders: Vec<Vec<&str>> = vec![Vec::new()];
    for word in words {
        let longer = orders.iter().flat_map(|order| {
            (0..=order.len()).map(|at| {
                let mut order = order.clone();
                order.insert(at, word);
                order
            })
        });
        orders = longer.collect();
    }
    orders.into_iter().map(|order| order.join(" ")).collect()
}

/// Returns a point that one word or phrase of a list names.
pub fn one_of(say: &str, words: &[&str], needed: bool) -> KeyPoint {
    KeyPoint {
        say: say.to_owned(),
        words: vec![words.iter().map(|w| (*w).to_owned()).collect()],
        needed,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::judge::compare::points;
    use crate::domain::judge::read::words::Synonyms;

    #[test]
    fn the_words_of_a_test_may_be_said_in_another_order() {
        let orders = in_any_order("memory test fails");
        assert!(orders.contains(&"fails memory test".to_owned()));
        assert_eq!(orders.len(), 6);
        let only = in_any_order("boot loader only");
        assert!(only.contains(&"only boot loader".to_owned()));
        assert!(only.contains(&"stops boot loader".to_owned()));
        assert!(
            !only.contains(&"boot loader".to_owned()),
            "past it is another finding"
        );
        assert_eq!(in_any_order("lines when tapped")[0], "tapped lines");
        assert!(in_any_order("dark").is_empty());
        assert!(in_any_order("over temperature when cold again").is_empty());
    }

    #[test]
    fn either_of_two_points_is_enough_and_half_of_each_is_not() {
        let own = |words: &[&str]| words.iter().map(|w| (*w).to_owned()).collect::<Vec<_>>();
        let point = |say: &str, words: &[&[&str]]| KeyPoint {
            say: say.to_owned(),
            words: words.iter().map(|group| own(group)).collect(),
            needed: true,
        };
        let ohms = point("VOUT to ground", &[&["VOUT"], &["ohms", "short"]]);
        let rail = point("VSYS", &[&["VSYS"], &["volts", "low"]]);
        let either = any_of(vec![ohms.clone(), rail]);
        assert_eq!(either.say, "VOUT to ground, or VSYS");
        let named = |typed: &str| {
            let one = std::slice::from_ref(&either);
            points::judge_points(typed, one, None, &Synonyms::default()).right
        };
        for typed in ["ohms at VOUT", "VSYS volts", "VSYS low and VOUT short"] {
            assert!(named(typed), "{typed}");
        }
        for typed in ["VOUT volts", "VSYS ohms", "VOUT", ""] {
            assert!(!named(typed), "{typed}");
        }
        assert_eq!(any_of(vec![ohms.clone()]), ohms);
    }
}
